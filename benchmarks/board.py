"""The board of a fleet: what is due, and every unit, on a shop of 5,000 units with two visits each: python benchmarks/board.py [UNITS]

The lines are made from summaries as visits leave them (no examination: that is benchmarks/examine.py), by the same code that
makes them as a trailer leaves. The pages are asked for through the whole server code, without the network.
"""

from __future__ import annotations

import os
import statistics
import sys
import tempfile
import time
from datetime import UTC, date, datetime, timedelta
from pathlib import Path
from typing import Any

import django

UNITS = int(sys.argv[1]) if len(sys.argv) > 1 else 5000
ROUNDS = 15


def main() -> None:
    """Make the shop, then time its pages."""
    with tempfile.TemporaryDirectory() as folder:
        os.environ |= {
            "WHEELTAPPER_FOLDER": str(Path(folder) / "shop"),
            "DJANGO_SETTINGS_MODULE": "wheeltapper.web.settings",
        }
        (Path(folder) / "shop").mkdir()
        django.setup()
        from django.core.management import call_command

        call_command("migrate", verbosity=0)
        _fill()
        _time()


def _fill() -> None:
    from wheeltapper.reference.house import load
    from wheeltapper.store import board
    from wheeltapper.store.models import DueLine, KeptVisit

    rows = []
    for n in range(UNITS):
        for k, ago in enumerate((300 + n % 200, n % 290)):
            day = date.today() - timedelta(days=ago)
            opened = datetime(day.year, day.month, day.day, 12, tzinfo=UTC)
            rows.append(
                KeptVisit(
                    number=f"{k}-{n}", unit=f"U-{n:05d}", tag=board.plain(f"U-{n:05d}"), opened=opened, state="settled", open=False,
                    summary=_summary(day, n, k),
                )
            )  # fmt: skip
    KeptVisit.objects.bulk_create(rows, batch_size=500)
    start = time.perf_counter()
    board.catch_up(load(None))
    took = time.perf_counter() - start
    print(
        f"{UNITS} units, {len(rows)} visits, {DueLine.objects.count()} things due; a line made in {took / UNITS * 1000:.1f} ms"
    )


def _summary(day: date, n: int, k: int) -> dict[str, Any]:
    """As a visit leaves it: eight things due, one wheel worn most."""
    due = [
        {"what": what, "miles": miles, "by": (day + timedelta(days=days)).isoformat(), "at": None, "position": None, "part": None,
         "basis": "published trailer owners' manuals", "done": miles < 100 and n % 9 > 0, "come_in": False}
        for what, miles, days in (("retorque", 10, 7), ("retorque", 25, 7), ("retorque", 50, 7), ("adjust", 200, 30), ("adjust", 3000, 92),
                                  ("interim check", 6000, 180), ("look", 3000, 92), ("hubs off", 12000, 365))
    ]  # fmt: skip
    ahead = [["1", "friction diameter", "curb", 0.0002 + 0.0001 * k]] if n % 4 == 0 else []
    line = {
        "worst": ["2-curb", "lining", "owner decides"] if n % 5 == 0 else None, "used": ["2-curb", "lining thickness", 0.4 + n % 50 / 100],
        "cents": 36911, "bearings": ["2-curb"] if n % 50 == 0 else [], "slack": ["1-road"] if n % 20 == 0 else [], "ahead": ahead,
        "facts": {"axles": 2, "brake": "electric drum"},
    }  # fmt: skip
    return {
        "wheels": {},
        "gaps": {},
        "date": day.isoformat(),
        "due": due,
        "miles_now": 20000 + 6000 * k,
        "use": "fleet",
        "board": line,
    }


def _time() -> None:
    from django.test import Client

    from wheeltapper.store.models import Person
    from wheeltapper.web.who import COOKIE

    person = Person(login="jt", name="Jo Tanner", short="JT", role="owner")
    person.set_password("four hubs and a drum")
    person.save()
    client = Client()
    client.post("/sign-in", {"login": "jt", "password": "four hubs and a drum"})
    assert COOKIE in client.cookies
    for name, at in (("what is late", "/board?when=late"), ("what is later", "/board?when=later"), ("every unit", "/board"), ("units with a 7", "/board?q=7"),
                     ("due.csv", "/board/due.csv"), ("units.csv", "/board/units.csv")):  # fmt: skip
        took = []
        for _ in range(ROUNDS):
            start = time.perf_counter()
            answer = client.get(at)
            took.append((time.perf_counter() - start) * 1000)
            assert answer.status_code == 200, (at, answer.status_code)
        print(
            f"{name}: first {took[0]:.0f}, median {statistics.median(took):.0f}, most {max(took):.0f} ms, {len(answer.content) / 1000:.0f} kB"
        )


if __name__ == "__main__":
    main()
