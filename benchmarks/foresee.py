"""Times the shop's pool made from 1,250 made-up units, and one visit examined and put on its sheet with it and without.

Run: PYTHONPATH=tests python benchmarks/foresee.py. Never part of the tests: times depend on the machine; quote ratios of one run.
"""

from __future__ import annotations

import sys
import time
from collections.abc import Callable
from datetime import date
from pathlib import Path
from statistics import median

sys.path.insert(0, str(Path(__file__).parent.parent / "tests"))

from made_fleet import yard
from wheeltapper.fleet.foretell import Pooled, foretold_of
from wheeltapper.fleet.outlook import look_ahead
from wheeltapper.fleet.pooled_text import named, pooled_of, text_of
from wheeltapper.flow import examine
from wheeltapper.reference.house import load
from wheeltapper.report.sheet import sheet

ROOT, DAY = Path(__file__).parent.parent, date(2024, 6, 1)


def timed(what: str, work: Callable[[], object], times: int = 20) -> None:
    """Print the median."""
    rows = []
    for _ in range(times):
        start = time.perf_counter()
        work()
        rows.append(time.perf_counter() - start)
    print(f"{what}: median {median(rows) * 1e3:.1f} ms, worst {max(rows) * 1e3:.1f} ms")


def main() -> None:
    """Measure and print."""
    tables, visits = load(ROOT / "examples" / "house"), yard(3, 1250, visits=4)
    start = time.perf_counter()
    families = look_ahead(visits, tables, DAY).families
    print(
        f"{len(visits)} visits, {families[0].lives} lives pooled and proven: {time.perf_counter() - start:.1f} s"
    )
    pool = named(Pooled(families, DAY, len(visits), "", "", ""))
    text = text_of(pool)
    print(f"kept: {len(text) / 1e3:.1f} kB, used: {families[0].proof.used}")
    mine = [v for v in visits if v.unit.id == "U-0007"]
    seen = foretold_of(mine[-1], mine[:-1], pool, tables)
    timed("read back", lambda: pooled_of(text))
    timed("one visit foretold", lambda: foretold_of(mine[-1], mine[:-1], pool, tables))
    timed("examined and on its sheet, no pool", lambda: sheet(examine(mine[-1], tables, DAY)))
    timed("with what was foretold", lambda: sheet(examine(mine[-1], tables, DAY, (), seen)))


if __name__ == "__main__":
    main()
