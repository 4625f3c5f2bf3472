"""The sweep on paper: every row is on it with its number and words, it fits its pages, and the same bytes come every time."""

from __future__ import annotations

import io
import re
from datetime import date as Date
from typing import get_args

import pytest
from pypdf import PdfReader

from conftest import bases, examined, laid_over
from wheeltapper.findings.numbered import WHY_NOT, rows_of
from wheeltapper.records import Corner, Look, Reading, Unit, Visit
from wheeltapper.reference.house import load
from wheeltapper.report.sweep_paper import LIMITS, MOST_WORDS, PAPERS, sweep_pdf
from wheeltapper.words import BrakeKind, positions

pytestmark = pytest.mark.reasoned
TABLES = load(None)
BRAKES: tuple[BrakeKind, ...] = get_args(BrakeKind)
MM = 72 / 25.4
SIZES = {"letter": (215.9, 279.4), "a4": (210.0, 297.0)}  # ANSI/ASME Y14.1 A and ISO 216, from memory


def trailer(
    brake: BrakeKind = "electric drum", axles: int = 1, drum: str | None = "12 in", id: str = "TF-0417"
) -> Visit:
    """A trailer of which nothing else is known."""
    unit = Unit(id=id, axles=axles, brake=brake, drum=None if brake == "hydraulic disc" else drum)
    return Visit(date=Date(2026, 11, 26), technician="", unit=unit)


def pages(data: bytes) -> list[str]:
    """The text of each page in one line."""
    return [" ".join(p.extract_text().split()) for p in PdfReader(io.BytesIO(data)).pages]


@pytest.mark.parametrize("paper", PAPERS)
@pytest.mark.parametrize("brake", BRAKES)
def test_two_pages_a_wheel_and_one_for_the_trailer(brake: BrakeKind, paper: str) -> None:
    read = PdfReader(io.BytesIO(sweep_pdf(trailer(brake, 2), TABLES, None, paper)))
    width, height = (float(v) / MM for v in read.pages[0].mediabox[2:])

    assert len(read.pages) == 2 * 4 + 1
    assert (width, height) == pytest.approx(SIZES[paper], abs=0.1)


@pytest.mark.parametrize("axles", [1, 3, 4])
def test_more_and_fewer_wheels_fit_too(axles: int) -> None:
    said = pages(sweep_pdf(trailer(axles=axles), TABLES))

    assert len(said) == 2 * len(positions(axles)) + 1
    assert all(p in said[-1] for p in positions(axles))


@pytest.mark.parametrize("brake", BRAKES)
def test_every_row_and_every_word_is_on_the_paper_in_order(brake: BrakeKind) -> None:
    visit = trailer(brake)
    said = pages(sweep_pdf(visit, TABLES))
    wheel = " ".join(said[:2])
    rows = rows_of(visit, TABLES)
    found = [
        wheel.find(f"{r.number} {r.check.check}" if not r.limit else f"{r.number} most allowed") for r in rows
    ]

    assert -1 not in found, [r.said for r, f in zip(rows, found, strict=True) if f == -1]
    assert found == sorted(found)
    for row in (r for r in rows if not r.at):
        for i, word in enumerate(row.check.found, 1):
            assert f"{i % MOST_WORDS} {word}" in wheel, (row.said, word)
    assert all(why in wheel for why in WHY_NOT)


def test_no_check_has_more_words_than_digits() -> None:
    assert max(len(c.found) for c in TABLES.checks.values()) <= MOST_WORDS


def test_limits_stand_with_their_source_and_every_row_named_is_there() -> None:
    wheel = " ".join(pages(sweep_pdf(trailer(), TABLES))[:2])

    assert "at most 12.090 in (assumed: axle manufacturers' service manuals)" in wheel.replace("’", "'")
    for rows in LIMITS.values():
        for _, id in rows:
            assert any(name == id or name.startswith(f"{id}.") for name in TABLES.limits), id


def test_nominal_and_unit_are_printed_as_the_bench_has_them() -> None:
    inches, metric = (" ".join(pages(sweep_pdf(trailer(), TABLES, length=u))[:2]) for u in ("in", "mm"))

    assert "mid 0 12." in inches
    assert "mid 0 12." not in metric
    assert "mm" in metric


def test_what_was_found_last_time_stands_on_its_wheel_alone() -> None:
    last = examined(laid_over(next(iter(bases().values())), {})).visit
    spoilt = Corner(
        position="1-curb",
        look=(Look(check="cap", found=("missing",)),),
        reading=(Reading(what="lining thickness", at=("primary",), value=("0.180",), unit="in", gauge="g"),),
    )
    last = last.model_copy(update={"corner": (spoilt,)})
    said = pages(sweep_pdf(Visit(date=Date(2026, 11, 26), technician="", unit=last.unit), TABLES, last))

    assert (
        "cap: missing; lining thickness, primary: 0.180 in"
        in said[[*positions(last.unit.axles)].index(spoilt.position) * 2]
    )
    assert sum("cap: missing" in p for p in said) == 1


@pytest.mark.parametrize("paper", PAPERS)
@pytest.mark.parametrize("length", ["in", "mm"])
@pytest.mark.parametrize("drum", ["12 in", "12 1/4 in", None])
def test_a_long_last_visit_and_any_unit_leave_it_two_pages_a_wheel(
    paper: str, length: str, drum: str | None
) -> None:
    visit = trailer(drum=drum)
    looks = tuple(
        Look(check=c.check, found=tuple(c.found))
        for c in TABLES.checks.values()
        if c.found and not c.of_trailer
    )
    last = visit.model_copy(update={"corner": (Corner(position="1-road", look=looks),)})
    said = pages(sweep_pdf(visit, TABLES, last, paper, length))

    assert len(said) == 5
    assert re.search(r"and \d+ more on its sheet", said[0])


def test_text_is_nine_points_at_least() -> None:
    sizes = set()
    for page in PdfReader(io.BytesIO(sweep_pdf(trailer(), TABLES))).pages:
        page.extract_text(
            visitor_text=lambda text, cm, tm, font, size: (
                sizes.add(round(abs(size * tm[3]), 1)) if text.strip() else None
            )
        )

    assert min(sizes) >= 9.0


def test_it_is_printed_in_black_alone() -> None:
    for page in PdfReader(io.BytesIO(sweep_pdf(trailer(), TABLES))).pages:
        code = page.get_contents().get_data().decode("latin-1")  # type: ignore[union-attr]
        colours = {m for m in re.findall(r"([\d.]+ [\d.]+ [\d.]+) (?:rg|RG|sc|SC|scn|SCN)\b", code)}
        assert all(len(set(c.split())) == 1 for c in colours), colours


def test_what_was_typed_is_printed_as_typed() -> None:
    hostile = '#panic() $x$ *b* "q" \\ [ ] <b> \u4e2d'
    assert "#panic() $x$ *b*" in pages(sweep_pdf(trailer(id=hostile), TABLES))[-1]


def test_the_same_bytes_on_every_run() -> None:
    assert sweep_pdf(trailer(), TABLES) == sweep_pdf(trailer(), TABLES)
