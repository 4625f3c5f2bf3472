"""A visit that is out, for tests of what falls due after it."""

from __future__ import annotations

import tomllib
from datetime import date as Date
from typing import Any

from conftest import CASES, bases, laid_over
from web.owned import said
from wheeltapper.store import keep
from wheeltapper.store.models import KeptVisit
from wheeltapper.web import live
from wheeltapper.web.demo_shop import pieces

RETURNED = tomllib.loads((CASES / "settled-after-three-retorques.toml").read_text("utf-8"), parse_float=str)["visit"]["return_sheet"]  # fmt: skip


def out_today(unit: str = "KM-7", day: Date | None = None, **more: Any) -> KeptVisit:
    """A fine tandem that left today, or on that day."""
    raw = laid_over(bases()["tandem-10-5"], {"date": (day or Date.today()).isoformat(), "unit": {"id": unit}, "return_sheet": RETURNED, **more})  # fmt: skip
    visit = keep.open_visit()
    keep.add(visit, [said(body) for body in pieces(raw)], "phone")
    live.told(KeptVisit.objects.get(pk=visit.pk))
    return KeptVisit.objects.get(pk=visit.pk)
