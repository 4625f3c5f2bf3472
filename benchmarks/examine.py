"""Times one four-corner visit through flow.examine, and a yard of 2,000 visits on one core.

Run: python benchmarks/examine.py. Prints the median of one visit in ms and the yard in seconds. Never part of the tests:
times depend on the machine; quote ratios of one run.
"""

from __future__ import annotations

import sys
import time
import tomllib
from datetime import date
from pathlib import Path
from statistics import median

from wheeltapper.flow import examine
from wheeltapper.intake import visit_from_bytes
from wheeltapper.reference.house import load
from wheeltapper.report.record import as_dict
from wheeltapper.report.wording import INCH

ROOT = Path(__file__).parent.parent
YARD = 2000


def main() -> None:
    """Measure and print."""
    tables = load(ROOT / "examples" / "house")
    data = (ROOT / "examples" / "visit.toml").read_bytes()
    visit, slips = visit_from_bytes(data, "visit.toml")
    if visit is None:
        sys.exit("examples/visit.toml cannot be read")
    on = date(2026, 11, 25)
    times = []
    for _ in range(50):
        start = time.perf_counter()
        examine(visit, tables, on, slips)
        times.append(time.perf_counter() - start)
    print(f"one visit, flow.examine: median {median(times) * 1e3:.2f} ms, worst {max(times) * 1e3:.2f} ms")
    start = time.perf_counter()
    for number in range(YARD):
        text = data.replace(b"TF-0417", b"TF-%04d" % number)
        read, slips = visit_from_bytes(text, "visit.toml")
        assert read is not None
        as_dict(examine(read, tables, on, slips), INCH)
    whole = time.perf_counter() - start
    start = time.perf_counter()
    for _ in range(YARD):
        tomllib.loads(data.decode())
    parse = time.perf_counter() - start
    print(
        f"a yard of {YARD} visits, file text to plain data: {whole:.1f} s on one core ({whole / parse:.1f} times the bare TOML parse)"
    )


if __name__ == "__main__":
    main()
