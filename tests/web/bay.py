"""A visit for tests of the bay's screens: taken in at the gate, answered by entries."""

from __future__ import annotations

import json
import secrets
from typing import Any

from django.test import Client

from wheeltapper.store.models import KeptVisit

GATE = {
    "unit": "TF-0417",
    "axles": "2",
    "brake": "electric drum",
    "drum": "12 in",
    "scope": "hub service",
    "quality": "unknown",
}


def taken_in(client: Client, **more: str) -> KeptVisit:
    """A trailer that has rolled in."""
    answer = client.post("/gate", {**GATE, **more})
    assert answer.status_code == 302, answer.content.decode()
    return KeptVisit.objects.latest("pk")


def entry(body: dict[str, Any], by: str = "JT", **more: Any) -> dict[str, Any]:
    """An entry as a phone makes it."""
    return {
        "id": secrets.token_hex(16),
        "at": "2026-11-26T09:00:00.000Z",
        "by": by,
        "kind": "piece",
        "instead_of": [],
        "body": body,
        **more,
    }


def look(check: str, *found: str, position: str = "1-road", how: str = "look", **more: Any) -> dict[str, Any]:
    """An answered check as the body of an entry."""
    return {"corner": [{"position": position, how: [{"check": check, "found": list(found), **more}]}]}


def send(client: Client, visit: KeptVisit, *entries: dict[str, Any]) -> Any:
    """Send entries; the answer as JSON with its status."""
    answer = client.post(
        f"/visit/{visit.number}/entries",
        json.dumps({"entries": entries}),
        "application/json",
        headers={"Accept": "application/json"},
    )
    return answer.status_code, answer.json()
