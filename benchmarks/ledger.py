"""Times the ledger of a unit with 60 visits, as the server answers it: the first opening, the second, and one without extracts.

Run: python benchmarks/ledger.py [VISITS]. The visits are made up: whole sweeps, drums and linings read at four wheels each time,
parts replaced where they come to their limit, and each visit carries on what those before it told. Times depend on the machine.
"""

from __future__ import annotations

import os
import sys
import tempfile
import time
from pathlib import Path
from statistics import median
from typing import Any

sys.path.insert(0, str(Path(__file__).parent.parent / "tests"))
ROUNDS = 15


def main(visits: int) -> None:
    """Fill a shop, then open the page."""
    os.environ["WHEELTAPPER_FOLDER"] = tempfile.mkdtemp(prefix="ledger-")
    os.environ["DJANGO_SETTINGS_MODULE"] = "wheeltapper.web.settings"
    os.environ["WHEELTAPPER_ARGON2_KIB"] = "64"
    import django

    django.setup()
    from django.core.management import call_command

    call_command("migrate", verbosity=0)
    from kept_unit import many
    from web.people import client_of, person
    from wheeltapper.store.models import Extract
    from wheeltapper.web import ledger

    many(visits)
    many_kb = sum(len(str(e.body)) for e in Extract.objects.all()) / 1000
    desk = client_of(person("counter"))
    desk.get("/")  # what every page needs is loaded

    def opened(clear: Any) -> tuple[float, float]:
        clear()
        start, busy = time.perf_counter(), time.process_time()
        answer = desk.get("/ledger/TF-0417")
        assert answer.status_code == 200
        return 1000 * (time.perf_counter() - start), 1000 * (time.process_time() - busy)

    cold = opened(Extract.objects.all().delete)
    first = [opened(ledger._pages.clear) for _ in range(ROUNDS)]
    second = [opened(lambda: None) for _ in range(ROUNDS)]
    print(f"{visits} visits, extracts of {many_kb:.0f} kB; ms on the clock, and of the processor")
    for said, rows in (
        ("without extracts, once", [cold]),
        ("first opening", first),
        ("second opening", second),
    ):
        clock, busy = (sorted(row[i] for row in rows) for i in (0, 1))
        print(
            f"{said:24} median {median(clock):6.0f} and {median(busy):5.0f}, worst {clock[-1]:6.0f} and {busy[-1]:5.0f}"
        )


if __name__ == "__main__":
    main(int(sys.argv[1]) if len(sys.argv) > 1 else 60)
