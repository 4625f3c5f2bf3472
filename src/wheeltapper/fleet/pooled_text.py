"""A pool as text to be kept, and back again: word for word the same pool, or nothing where it is not whole."""

from __future__ import annotations

import json
from dataclasses import asdict, replace
from datetime import date as Date
from hashlib import sha256
from typing import Any

import numpy as np

from wheeltapper.fleet.foretell import Pooled
from wheeltapper.fleet.outlook import Family
from wheeltapper.fleet.proof import Proof
from wheeltapper.measure.wear_path import Scatter
from wheeltapper.measure.wear_pool import Pool

FORM = 1  # of the text; another one is made anew
SHORT = 12  # of a fingerprint


def text_of(pooled: Pooled) -> str:
    """The pool as JSON, one line."""
    plain = asdict(replace(pooled, fingerprint="")) | {"form": FORM}
    return json.dumps(plain, default=_plain, sort_keys=True) + "\n"


def named(pooled: Pooled) -> Pooled:
    """The same with its fingerprint: of all that is in it."""
    return replace(pooled, fingerprint=sha256(text_of(pooled).encode()).hexdigest()[:SHORT])


def pooled_of(text: str) -> Pooled | None:
    """The pool that was kept, or None where this is none of ours."""
    try:
        said = json.loads(text)
        if said.pop("form") != FORM:
            return None
        families = tuple(_family(f) for f in said.pop("families"))
        return named(Pooled(**said | {"families": families, "on": Date.fromisoformat(said["on"])}))
    except (ValueError, TypeError, KeyError, AttributeError):
        return None


def _plain(value: Any) -> Any:
    return value.isoformat() if isinstance(value, Date) else value.tolist()


def _family(said: dict[str, Any]) -> Family:
    pool = said.pop("pool")
    groups = tuple(tuple(g) for g in said.pop("groups"))
    return Family(**said | {"groups": groups, "proof": Proof(**said["proof"]), "pool": pool and _pool(pool)})


def _pool(said: dict[str, Any]) -> Pool:
    arrays = {k: np.array(said[k], dtype=float) for k in ("group_mean", "group_variance")}
    return Pool(**said | arrays | {"scatter": Scatter(**said["scatter"])})
