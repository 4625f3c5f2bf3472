"""More bad news never makes a call milder, wherever it comes in and whatever is known already."""

from __future__ import annotations

from typing import Any

import pytest
from hypothesis import example, given, settings
from hypothesis import strategies as st

from full_visit import (
    Data,
    Finding,
    columns,
    findings,
    full,
    here,
    milder,
    readings,
    run,
    severities,
    with_finding,
    with_readings,
)
from wheeltapper.reference.tables import BRAKES, Check
from wheeltapper.words import positions

pytestmark = pytest.mark.reasoned
FEW = settings(max_examples=120, deadline=None)


def news(brake: str, axles: int) -> st.SearchStrategy[tuple[str, Finding]]:
    """A finding at a wheel."""
    return st.tuples(st.sampled_from(positions(axles)), st.sampled_from(findings(brake)))


def sizes(brake: str, axles: int) -> st.SearchStrategy[tuple[str, Check, int, int]]:
    """A column and row of a measured check at a wheel."""
    rows = [(c, k, r) for c in here(brake) if c.dimension for k, n in enumerate(columns(c)) for r in range(n)]
    return st.tuples(st.sampled_from(positions(axles)), st.sampled_from(rows)).map(
        lambda row: (row[0], *row[1])
    )


@st.composite
def visits(draw: st.DrawFn) -> tuple[Data, str, int]:
    """A fully answered visit that may already have findings and worse readings."""
    brake, axles = draw(st.sampled_from(BRAKES)), draw(st.sampled_from((1, 2)))
    visit = full(brake, axles)
    for position, finding in draw(st.lists(news(brake, axles), max_size=4)):
        visit = with_finding(visit, position, finding)
    for position, check, column, row in draw(st.lists(sizes(brake, axles), max_size=3)):
        visit = with_readings(visit, position, check, column, row)
    return visit, brake, axles


@pytest.mark.parametrize("brake", BRAKES)
def test_nothing_found_is_fine(brake: str) -> None:
    """The start of all of these: every check answered fine, every part keeps, nothing is open but the return sheet."""
    out = run(full(brake))

    assert set(severities(out).values()) == {0}
    assert (out.problems, out.findings.gaps, out.release.state) == ((), (), "ready for check")


@pytest.mark.parametrize("brake", BRAKES)
def test_each_finding_alone(brake: str) -> None:
    """Every word of every check, alone, at either end of the axle: no part gets milder."""
    fine = run(full(brake))
    worse = [(p, f, run(with_finding(full(brake), p, f))) for p in positions(1) for f in findings(brake)]

    assert [(p, f, milder(fine, out)) for p, f, out in worse if milder(fine, out)] == []


def kinds(brake: str) -> list[Finding]:
    """One finding for each different set of calls that a single finding brings."""
    by_calls = {
        repr(sorted(severities(run(with_finding(full(brake), "1-road", f))).items())): f
        for f in findings(brake)
    }
    return list(by_calls.values())


@pytest.mark.parametrize("brake", BRAKES)
def test_every_two_kinds_of_finding(brake: str) -> None:
    """Two findings at one axle, of every two kinds: no call is milder than with the first of them alone."""
    fresh, slips = kinds(brake), []
    for first in fresh:
        one = with_finding(full(brake), "1-road", first)
        alone = run(one)
        for place, second in ((p, f) for p in positions(1) for f in fresh):
            slips += [(first, place, second, m) for m in milder(alone, run(with_finding(one, place, second)))]

    assert slips == []


@FEW
@given(visits(), st.data())
def test_one_more_finding(start: tuple[Data, str, int], data: Any) -> None:
    """One more finding on top of others: no part gets milder."""
    visit, brake, axles = start
    position, finding = data.draw(news(brake, axles))

    assert milder(run(visit), run(with_finding(visit, position, finding))) == []


@FEW
@given(visits(), st.data())
def test_a_worse_reading(start: tuple[Data, str, int], data: Any) -> None:
    """A larger drum, a thinner lining, a higher or lower resistance: no part gets milder."""
    visit, brake, axles = start
    position, check, column, row = data.draw(sizes(brake, axles))
    outcomes = [run(with_readings(visit, position, check, column, r)) for r in (0, row)]
    found = milder(*outcomes)
    if (
        check.check == "hub temperature"
    ):  # a hub is hot against its mate: the hotter mate is the news, at its own wheel
        found = [said for said in found if said.startswith(position)]

    assert found == []


@pytest.mark.parametrize("text", ["open", "1.0", "4.6"])
def test_one_bad_coil_after_the_other(text: str) -> None:
    """A second bad coil explains nothing away: amperes that no sound coil could draw stay unexplained."""
    visits_ = [full()]
    check = next(c for c in here("electric drum") if c.check == "magnet resistance")
    column, row = next(
        (k, r)
        for k, n in enumerate(columns(check))
        for r in range(n)
        if readings(check, k, r)[0]["value"] == text
    )
    for position in positions(1):
        visits_.append(with_readings(visits_[-1], position, check, column, row))
    none, one, both = (run(v) for v in visits_)

    assert milder(none, one) + milder(one, both) == []


@settings(max_examples=80, deadline=None)
@example(first=10.060, more=0.001)
@given(st.integers(10000, 10120).map(lambda n: n / 1000), st.integers(0, 40).map(lambda n: n / 1000))
def test_a_larger_drum(first: float, more: float) -> None:
    """One diameter, however small the step: larger never makes the drum's call milder, with any grade of limit."""
    for limit in ([], full()["limit"], [full()["limit"][0] | {"grade": "assumed"}]):
        visit = full() | {"limit": limit}
        both = []
        for size in (first, first + more):
            visit["corner"][0]["reading"] = [
                r for r in visit["corner"][0]["reading"] if r["what"] != "friction diameter"
            ]
            visit["corner"][0]["reading"].append(
                {"what": "friction diameter", "value": f"{size:.3f}", "unit": "in", "gauge": "G1"}
            )
            both.append(severities(run(visit))["1-road", "hub-drum"])

        assert both[0] <= both[1]


@pytest.mark.parametrize(("brake", "what", "limits"), [
    ("hydraulic disc", "rotor thickness", ("22.0", "25.3")),
    ("hydraulic drum", "friction diameter", ("256.3", "254.5")),
])  # fmt: skip
@pytest.mark.parametrize("turned", [False, True])
def test_a_second_stricter_limit(brake: str, what: str, limits: tuple[str, str], turned: bool) -> None:
    """Two limits of one grade that differ: the stricter one is never set aside silently."""
    rows = [{"what": what, "value": v, "unit": "mm", "grade": "on the part"} for v in limits]
    strict = full(brake) | {"limit": rows[1:]}
    both = full(brake) | {"limit": rows[::-1] if turned else rows}

    assert milder(run(strict), run(both)) == []


@pytest.mark.parametrize("brake", BRAKES)
def test_a_finding_at_the_mirrored_wheel(brake: str) -> None:
    """Road and curb are alike: the same finding at the other side gives the mirrored calls."""
    for finding in findings(brake):
        road, curb = (severities(run(with_finding(full(brake), p, finding))) for p in positions(1))
        assert {(mirror(p), part): call for (p, part), call in road.items()} == curb, finding


@FEW
@given(
    st.sampled_from(BRAKES).flatmap(
        lambda b: st.tuples(st.just(b), st.lists(news(b, 2), min_size=1, max_size=4))
    )
)
def test_findings_at_mirrored_wheels(case: tuple[str, list[tuple[str, Finding]]]) -> None:
    """The same with several findings: no call depends on which side of the trailer is called road."""
    brake, found = case
    here_, there = full(brake, 2), full(brake, 2)
    for position, finding in found:
        here_, there = with_finding(here_, position, finding), with_finding(there, mirror(position), finding)
    calls = severities(run(here_))

    assert {(mirror(p), part): call for (p, part), call in calls.items()} == severities(run(there))


def mirror(position: str) -> str:
    """The wheel at the other end of the same axle."""
    return position.replace("road", "x").replace("curb", "road").replace("x", "curb")
