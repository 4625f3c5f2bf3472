"""What an owner is shown, as a version: plain data, its SHA-256, and from how many entries it was made.

The page, the telephone and the paper are drawn from this and nothing else. An answer names the version; it is kept word for word
under that name, and it can be made again from the visit's first entries as long as the tables are the same.
"""

from __future__ import annotations

import json
import secrets
from collections.abc import Mapping
from dataclasses import asdict, dataclass
from datetime import date as Date
from datetime import timedelta
from hashlib import sha256
from itertools import product
from typing import Any

from django.conf import settings

from wheeltapper.atlas import GOOD, photo_name, pictures
from wheeltapper.problems import Problem
from wheeltapper.report.owner import page
from wheeltapper.store import files, keep, outlook
from wheeltapper.store.chain import canonical
from wheeltapper.store.entries import Entry
from wheeltapper.store.models import KeptVisit
from wheeltapper.web import live
from wheeltapper.web.live import Live

OWNER = "owner"  # whose entries they are; no short of a person has small letters
MOST_WORDS, MOST_NAME = 600, 80
ON_THE_PAGE, BY_PHONE, IN_PERSON = "on the page", "phone read-back", "in person"


@dataclass(frozen=True)
class Shown:
    """One version."""

    page: dict[str, Any]
    text: str  # what is hashed
    version: str
    entries: int
    day: Date
    tables: str

    @property
    def seen(self) -> dict[str, Any]:
        """As an answer names it."""
        return {"version": self.version, "entries": self.entries, "tables": self.tables, "day": self.day.isoformat()}  # fmt: skip

    @property
    def choices(self) -> dict[str, dict[str, Any]]:
        """What the owner may choose, by name."""
        things = next(s["things"] for s in self.page["sections"] if s["call"] == "owner decides")
        return {t["key"]: t for t in things}

    @property
    def photos(self) -> set[str]:
        """The photos that stand on it."""
        views = [t["view"] for s in self.page["sections"] for t in s["things"] if t["view"]]
        return {v["yours"] for v in views if v["yours"]}


def now(visit: KeptVisit) -> Shown | None:
    """What the visit's owner is shown at this moment; None while nobody said which trailer it is."""
    visit.refresh_from_db()
    return made(live.live(visit), visit.entries, Date.today())


def again(visit: KeptVisit, entries: int, version: str) -> Shown | None:
    """A version made again from the visit's first entries; None where they do not make it."""
    visit.refresh_from_db()
    if not 0 < entries <= visit.entries:
        return None
    days = Date.today(), Date.today() - timedelta(days=1)  # it may have been opened before midnight
    for day, pool in product(days, (*outlook.pools(), None)):
        found = made(live.as_of(visit, entries, day, pool), entries, day)
        if found is not None and found.version == version:
            return found
    return None


def made(of: Live, entries: int, day: Date) -> Shown | None:
    """What is shown of a visit as it stood."""
    if of.examination is None or of.sheet is None:
        return None
    plain = json.loads(canonical(asdict(page(of.examination, of.sheet, of.folded.photos))))
    plain["pictures"] = {name: _hash_of(name) for name in sorted(_atlas(plain))}
    text = canonical(plain)
    version = sha256(text.encode()).hexdigest()
    return Shown(plain, text, version, entries, day, of.tables.fingerprint)


def _atlas(plain: Mapping[str, Any]) -> set[str]:
    views = [t["view"] for s in plain["sections"] for t in s["things"] if t["view"]]
    return {v[k] for v in views for k in ("drawn", "good") if v[k]}


def _hash_of(name: str) -> str:
    """Of the picture that is shown under an atlas name: the shop's own where it has one, else ours, which its name tells."""
    found = next(p for p in pictures() if p.file == name)
    own = settings.HOUSE_FOLDER / "atlas" / photo_name(found.part, found.view)
    return sha256(own.read_bytes()).hexdigest() if found.condition == GOOD and own.is_file() else "ours"


def choice_rows(of: Live, choice: str) -> tuple[tuple[str, str], ...]:
    """Wheel and part of every call that an answer to a choice answers."""
    ex = of.examination
    return next((c.places for c in ex.quote.choices if c.id == choice), ()) if ex else ()


def words_of(text: str) -> str:
    """What an owner typed, without what nobody can see."""
    return "".join(c for c in text if c.isprintable() or c == "\n").strip()[:MOST_WORDS]


def one_line(text: str) -> str:
    """A name as typed."""
    return words_of(text).replace("\n", " ")[:MOST_NAME]


def keep_said(
    visit: KeptVisit, seen: Shown | None, body: dict[str, Any], device: str, by: str = OWNER
) -> Problem | None:
    """Keep what an owner said, and the version that it was said to."""
    if seen is not None:
        kept = files.kept_shown(seen.text)
        if isinstance(kept, Problem):
            return kept
    entry = Entry.model_validate(
        {"id": secrets.token_hex(16), "at": keep.now(), "by": by, "kind": "piece", "body": body}
    )
    keep.add(visit, [entry], device)
    live.told(visit)
    return None


def answered(
    visit: KeptVisit, seen: Shown, on: str, word: str, who: Mapping[str, str], device: str, by: str = OWNER
) -> Problem | None:
    """Keep an owner's answer to a choice, or to the work that nobody may choose (`on` is 'work').

    Args:
        visit: whose.
        seen: the version in front of the owner.
        on: the choice's name, or 'work'.
        word: the answer.
        who: by, how and said.
        device: which link or device it came through.
        by: whose entry it is.
    """
    current = now(visit)
    if current is None or not _same_offer(seen, current, on):
        what = "what we found or what it costs has changed since you opened this page"
        return Problem("your answer", what, "look at it again below, then answer.")
    row: dict[str, Any] = {k: v for k, v in who.items() if v} | {"answer": word, "date": Date.today().isoformat(), "seen": seen.seen}  # fmt: skip
    if on == "work" and word in ("do it", "it stays here", "not here"):
        cents = {} if seen.page["must_cents"] is None else {"cents": seen.page["must_cents"]}
        return keep_said(
            visit, seen, {"go_ahead": [row | {"items": seen.page["must_items"]} | cents]}, device, by
        )
    places = choice_rows(live.live(visit), on)
    if word not in ("now", "not now") or not places:
        return Problem("your answer", "it is none of those offered", "tap one of the answers on the page.")
    cents = seen.choices[on]["cents"]
    row |= {} if cents is None else {"cents": cents}
    return keep_said(
        visit, seen, {"answer": [{"position": p, "part": part} | row for p, part in places]}, device, by
    )


def _same_offer(seen: Shown, current: Shown, on: str) -> bool:
    """Nobody agrees to what is not offered any more, nor to another price."""
    if on == "work":
        return bool(current.page["asks"]) and all(seen.page[k] == current.page[k] for k in ("asks", "must_items", "must_cents"))  # fmt: skip
    then, still = seen.choices.get(on), current.choices.get(on)
    return then is not None and still is not None and then["cents"] == still["cents"]


def asked(visit: KeptVisit, seen: Shown | None, text: str, about: str, who: Mapping[str, str], device: str, by: str = OWNER) -> Problem | None:  # fmt: skip
    """Keep a question of an owner."""
    text = words_of(text)
    if not text:
        return Problem("your question", "it is empty", "write what you want to know.")
    named = {"about": about[:80]} if about else {}
    row = {
        "text": text,
        "date": Date.today().isoformat(),
        **named,
        **{k: v for k, v in who.items() if v and k != "said"},
    }
    return keep_said(visit, seen, {"question": [row | ({"seen": seen.seen} if seen else {})]}, device, by)
