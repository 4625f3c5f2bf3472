"""What every record is made of: frozen, refusing fields it does not know, with texts kept as they were typed."""

from __future__ import annotations

from typing import Annotated

from pydantic import BaseModel, BeforeValidator, ConfigDict, Field, WithJsonSchema


def _as_list(value: object) -> object:
    return value if isinstance(value, list | tuple) or value is None else [value]


_TEXT = {"type": ["string", "number"]}
Texts = Annotated[  # one text or a list of texts
    tuple[str, ...],
    BeforeValidator(_as_list),
    WithJsonSchema({"anyOf": [_TEXT, {"type": "array", "items": _TEXT}]}),
]
Miles = Annotated[float, Field(ge=0, le=5_000_000)]
Level = Annotated[float, Field(ge=-200, le=60)]
Tone = Annotated[float, Field(gt=0, le=30_000)]
Share = Annotated[float, Field(ge=0, le=1)]


class Record(BaseModel):
    """A frozen record that refuses fields it does not know."""

    model_config = ConfigDict(frozen=True, extra="forbid", coerce_numbers_to_str=True)
