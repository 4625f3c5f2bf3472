"""Eight technicians at once on a shop of 2,000 kept visits: how long each kind of answer takes.

Run: python benchmarks/web_load.py [VISITS] [SECONDS]. One process of the server, as `wheeltapper serve` starts it; clients are threads
of another process on the same machine, so that the figures hold the clients' share of the processor, too.
"""

from __future__ import annotations

import json
import os
import random
import re
import secrets
import subprocess
import sys
import tempfile
import threading
import time
from collections import defaultdict
from http.client import HTTPConnection
from pathlib import Path
from statistics import quantiles

PORT, PEOPLE = 8731, 8
BREATH_S = (
    0.5,
    2.5,
)  # between taps; six minutes for the 48 taps of a tandem are one in 7.5 s, so this is five times the work
PASSWORD = "four hubs and a drum"
CHECKS = ("wheel", "nuts", "cap", "rim and chamfer", "band line", "band surface", "heat colour", "magnet face", "seal bore", "hub", "hub face", "pilot",
          "studs", "grease", "seal", "spindle", "shoes", "adjuster and springs", "backing plate", "magnet", "wiring")  # fmt: skip


def filled(visits: int) -> None:
    """A shop with people and kept visits, the last 40 of them open."""
    import django

    django.setup()
    from django.core.management import call_command

    call_command("migrate", verbosity=0)
    from wheeltapper.store import keep
    from wheeltapper.store.entries import Entry
    from wheeltapper.store.models import KeptVisit, Person
    from wheeltapper.web import live

    for i in range(PEOPLE):
        person = Person(login=f"t{i}", name=f"Tech {i}", short=f"T{i}", role="lead")
        person.set_password(PASSWORD)
        person.save()
    for n in range(visits):
        unit = {"id": f"TF-{n:04d}", "axles": 2, "brake": "electric drum", "drum": "12 in"}
        bodies = [
            {
                "date": "2026-11-01",
                "technician": "T0",
                "unit": unit,
                "booked": ["hub service"],
                "gauge": [{"id": "G", "kind": "drum gauge", "u": ["0.003 in"]}],
            }
        ]
        bodies += [answered(p, c, "fine") for p in ("1-road", "1-curb", "2-road", "2-curb") for c in CHECKS]
        bodies += [
            sized(p, at)
            for p in ("1-road", "1-curb", "2-road", "2-curb")
            for at in ("mid 0", "mid 45", "mid 90", "mid 135", "open", "closed")
        ]
        visit = keep.open_visit()
        keep.add(
            visit,
            [Entry(id=secrets.token_hex(16), at=keep.now(), by="T0", kind="piece", body=b) for b in bodies],
            "bench",
        )
        if n >= visits - 40:
            live.told(visit)
        else:
            KeptVisit.objects.filter(pk=visit.pk).update(open=False, unit=unit["id"], state="settled")


def answered(position: str, check: str, word: str) -> dict[str, object]:
    """One answered check."""
    return {"corner": [{"position": position, "look": [{"check": check, "found": [word]}]}]}


def sized(position: str, at: str) -> dict[str, object]:
    """One reading."""
    return {
        "corner": [
            {
                "position": position,
                "reading": [
                    {"what": "friction diameter", "at": [at], "value": ["12.031"], "unit": "in", "gauge": "G"}
                ],
            }
        ]
    }


class Technician(threading.Thread):
    """Looks at the yard, opens a wheel, answers, reads, and looks at the table, with a breath between taps."""

    def __init__(self, number: int, visits: list[str], until: float) -> None:
        super().__init__()
        self.number, self.visits, self.until = number, visits, until
        self.taken: dict[str, list[float]] = defaultdict(list)
        self.line = HTTPConnection("127.0.0.1", PORT, timeout=60)
        self.cookies: dict[str, str] = {}
        self.dice = random.Random(number)

    def ask(self, kind: str, method: str, path: str, body: str | None = None, form: bool = False) -> str:
        """One request, timed when kind is given."""
        headers = {
            "Cookie": "; ".join(f"{k}={v}" for k, v in self.cookies.items()),
            "X-CSRFToken": self.cookies.get("csrftoken", ""),
            "Accept": "*/*",
        }
        if body is not None:
            headers["Content-Type"] = "application/x-www-form-urlencoded" if form else "application/json"
        start = time.perf_counter()
        self.line.request(method, path, body, headers)
        answer = self.line.getresponse()
        text = answer.read().decode()
        took = time.perf_counter() - start
        for name, value in answer.getheaders():
            if name.lower() == "set-cookie":
                key, _, rest = value.partition("=")
                self.cookies[key] = rest.split(";")[0]
        if kind:
            assert answer.status == 200, (path, answer.status, text[:300])
            self.taken[kind].append(took)
        return text

    def run(self) -> None:
        """A shift."""
        page = self.ask("", "GET", "/sign-in")
        token = re.search(r'csrfmiddlewaretoken" value="([^"]+)', page)[1]
        self.ask(
            "",
            "POST",
            "/sign-in",
            f"login=t{self.number}&password={PASSWORD.replace(' ', '+')}&csrfmiddlewaretoken={token}",
            form=True,
        )
        turn = 0
        while time.time() < self.until:
            visit = self.visits[(self.number * 5 + turn) % len(self.visits)]
            wheel = ("1-road", "1-curb", "2-road", "2-curb")[turn % 4]
            turn += 1
            self.pause("yard", "GET", "/")
            self.pause("corner", "GET", f"/visit/{visit}/wheel/{wheel}")
            for check in CHECKS[:6]:
                entry = {
                    "id": secrets.token_hex(16),
                    "at": "2026-11-26T09:00:00.000Z",
                    "by": f"T{self.number}",
                    "kind": "piece",
                    "instead_of": [],
                    "body": answered(wheel, check, "fine"),
                }
                self.pause(
                    "entry",
                    "POST",
                    f"/visit/{visit}/entries",
                    json.dumps({"entries": [entry], "show": wheel}),
                )
            self.pause("bench", "GET", f"/visit/{visit}/bench/{wheel}")
            self.pause("table", "GET", f"/visit/{visit}")

    def pause(self, kind: str, method: str, path: str, body: str | None = None) -> None:
        """A request, then a breath."""
        self.ask(kind, method, path, body)
        time.sleep(self.dice.uniform(*BREATH_S))


def main() -> None:
    """Fill, serve, load, print."""
    visits, seconds = (
        int(sys.argv[1]) if len(sys.argv) > 1 else 2000,
        float(sys.argv[2]) if len(sys.argv) > 2 else 60,
    )
    with tempfile.TemporaryDirectory() as folder:
        os.environ.update(
            WHEELTAPPER_FOLDER=folder,
            DJANGO_SETTINGS_MODULE="wheeltapper.web.settings",
            PYTHONPATH=os.pathsep.join(sys.path),
        )
        start = time.time()
        filled(visits)
        size = Path(folder, "shop.sqlite3").stat().st_size / 1e6
        print(f"{visits} visits kept in {time.time() - start:.0f} s, {size:.0f} MB")
        from wheeltapper.store.models import KeptVisit

        numbers = list(KeptVisit.objects.filter(open=True).values_list("number", flat=True))
        run = [
            sys.executable,
            "-c",
            "from wheeltapper.cli import main; main()",
            "serve",
            "--folder",
            folder,
            "--port",
            str(PORT),
            "--host",
            "127.0.0.1",
        ]
        with subprocess.Popen(run, stdout=subprocess.DEVNULL) as server:
            time.sleep(6)
            crew = [Technician(i, numbers, time.time() + seconds) for i in range(PEOPLE)]
            for t in crew:
                t.start()
            for t in crew:
                t.join()
            server.terminate()
        said(crew)


def said(crew: list[Technician]) -> None:
    """The table."""
    kinds: dict[str, list[float]] = defaultdict(list)
    for t in crew:
        for kind, times in t.taken.items():
            kinds[kind] += times
    kinds["all"] = [t for times in list(kinds.values()) for t in times]
    print(f"{'answer':14}{'many':>7}{'median ms':>11}{'95 % ms':>9}{'most ms':>9}")
    for kind, times in kinds.items():
        print(
            f"{kind:14}{len(times):7}{1e3 * quantiles(times, n=100)[49]:11.0f}{1e3 * quantiles(times, n=100)[94]:9.0f}{1e3 * max(times):9.0f}"
        )


if __name__ == "__main__":
    main()
