"""A visit with findings and prices, and an owner's link to it, for tests of what owners see."""

from __future__ import annotations

import re
import secrets
import shutil
import tomllib
from pathlib import Path
from typing import Any

from django.test import Client

from conftest import ROOT
from wheeltapper.store import keep, links
from wheeltapper.store.entries import Entry
from wheeltapper.store.models import KeptVisit, OwnerLink
from wheeltapper.web import live
from wheeltapper.web.demo_shop import _files, pieces


def with_prices(folder: Path, settings: Any) -> None:
    """The example shop's tables as this shop's own."""
    shutil.copytree(ROOT / "examples" / "house", folder / "house")
    settings.HOUSE_FOLDER = folder / "house"


def kept_example(name: str = "visit", photos: bool = False, **head: Any) -> KeptVisit:
    """An example visit as people would have entered it."""
    raw = tomllib.loads((ROOT / "examples" / f"{name}.toml").read_text("utf-8"), parse_float=str) | head
    visit = keep.open_visit()
    keep.add(visit, [said(body, raw["technician"]) for body in pieces(raw)], "phone")
    if photos:
        keep.add(visit, _files(raw), "phone")
    live.told(KeptVisit.objects.get(pk=visit.pk))
    return KeptVisit.objects.get(pk=visit.pk)


def said(body: dict[str, Any], by: str = "T1") -> Entry:
    """A piece as an entry."""
    return Entry.model_validate(
        {"id": secrets.token_hex(16), "at": keep.now(), "by": by, "kind": "piece", "body": body}
    )


def link_to(visit: KeptVisit, to: str = "Dana Reed") -> tuple[OwnerLink, str]:
    """A link and its address."""
    link = links.make(visit, to, "CW", 30)
    return link, f"/o/{links.token_of(link)}/"


class Owner:
    """Somebody with a link and any phone: no cookie, no script."""

    def __init__(self, at: str) -> None:
        self.at, self.client = at, Client(enforce_csrf_checks=True)
        self.page = ""

    def look(self) -> int:
        """Open the page; its status."""
        answer = self.client.get(self.at)
        self.page = answer.content.decode()
        return answer.status_code

    def seen(self) -> dict[str, str]:
        """The version in front of them."""
        found = re.search(
            r'name="version" value="(\w+)"><input type="hidden" name="entries" value="(\d+)"', self.page
        )
        assert found is not None
        return {"version": found[1], "entries": found[2]}

    def answer(self, on: str, word: str, **more: str) -> Any:
        """Tap an answer on the page that was opened last."""
        return self.client.post(f"{self.at}answer", {"on": on, "answer": word, **self.seen(), **more})

    def ask(self, text: str) -> Any:
        """Send a question."""
        return self.client.post(f"{self.at}ask", {"text": text, **self.seen()})
