"""The list of what is due as whoever tows the trailer is shown it: plain data with a version, which what is said then names."""

from __future__ import annotations

import json
from collections.abc import Mapping
from dataclasses import asdict
from datetime import date as Date
from hashlib import sha256
from typing import Any

from wheeltapper.report import due_words
from wheeltapper.store.chain import canonical
from wheeltapper.web import due
from wheeltapper.web.live import Live
from wheeltapper.web.shown import Shown


def listed(now: Live) -> Shown:
    """The list as it is now."""
    words = {"words": dict(due_words.WORDS), "turns": due_words.TURNS, "come_in": due_words.COME_IN}
    shop = now.sheet.shop if now.sheet else ""
    made = {"unit": now.kept.unit, "shop": shop, "rows": [asdict(r) for r in due.rows(now)], **words}
    text = canonical(made)
    version = sha256(text.encode()).hexdigest()
    return Shown(json.loads(text), text, version, now.kept.entries, Date.today(), now.tables.fingerprint)


def context(page: Mapping[str, Any], version: str) -> dict[str, Any]:
    """What the page is drawn from."""
    rows = page["rows"]
    return {
        "shop": page["shop"], "unit": page["unit"], "rows": rows, "w": page["words"], "turns": page["turns"], "version": version,
        "come_in": page["come_in"] if any(r["come_in"] for r in rows) else "",
        "later": [r for r in rows if not (r["closed"] or r["told"] or r["come_in"])], "closed": [r for r in rows if r["closed"]],
    }  # fmt: skip
