"""The whole way, from visits to what is ahead: which answer is given and why, distances, dates, what if."""

from __future__ import annotations

import json
from datetime import date
from functools import cache
from pathlib import Path
from typing import Any

import numpy as np
import pytest
from click.testing import CliRunner, Result

from conftest import ON, ROOT, priced
from made_fleet import UNIT, visit, yard
from wheeltapper.cli import main
from wheeltapper.fleet.ahead import Ahead
from wheeltapper.fleet.outlook import Outlook, look_ahead
from wheeltapper.fleet.what_if import now_or_later
from wheeltapper.flow import examine
from wheeltapper.records import Visit
from wheeltapper.units import MILE_M

pytestmark = pytest.mark.reasoned
DAY = date(2024, 6, 1)
DAYS = (date(2022, 2, 1), date(2022, 8, 1), date(2023, 2, 1), date(2023, 8, 1))


def few(*sizes: str, **more: Any) -> list[Visit]:
    """One drum of one unit, 6,000 miles between visits."""
    return [
        visit("T-1", day, {"1-road": s}, mileage={"now": 1000 + 6000 * k, "quality": "hubometer"}, **more)
        for k, (day, s) in enumerate(zip(DAYS, sizes, strict=False))
    ]


def alone(visits: list[Visit], ask: float | None = None) -> Ahead:
    """What is ahead of the only part."""
    found = look_ahead(visits, priced(), DAY, ask).ahead
    assert len(found) == 1
    return found[0]


@cache
def shop() -> tuple[Visit, ...]:
    """Thirty made-up trailers, five visits each."""
    return tuple(yard(1, 30))


def of(found: Outlook, unit: str, position: str = "1-road") -> Ahead:
    """One part."""
    return next(a for a in found.ahead if (a.unit, a.position) == (unit, position))


def in_shop(visits: list[Visit], ask: float | None = None) -> Outlook:
    """The shop with one more unit."""
    return look_ahead([*shop(), *visits], priced(), DAY, ask)


def test_a_small_shop_gets_what_the_sheet_says() -> None:
    """C7 and C8 as in the examination of the last visit with its history: same rate, same distance, same check."""
    rows = few("12.010", "12.030", "12.052")
    past = [
        {"position": "1-road", "what": "friction diameter", "value": s, "unit": "in", "gauge": "G1", "miles": m}
        for s, m in (("12.010", 1000), ("12.030", 7000))
    ]  # fmt: skip
    last = visit("T-1", DAYS[2], {"1-road": "12.052"}, mileage={"now": 13000}, history=past)
    gauged = next(g for g in examine(last, priced(), ON).findings.gauged if g.what == "friction diameter")
    found = alone(rows)

    assert (found.how, found.records) == ("own records", 3)
    assert "could be foretold" in found.why
    assert found.rate_share == pytest.approx(gauged.rate_share)
    assert found.middle_mi == pytest.approx((gauged.remaining_m or 0) / MILE_M)
    assert (found.check_mi, found.at_mi) == (gauged.interim_mi, 13000 + (gauged.interim_mi or 0))
    assert found.chance is None


def test_one_record_is_not_enough_to_say_and_still_has_a_date() -> None:
    """The calendar asks for the hubs all the same."""
    found = alone(few("12.010"))

    assert (found.how, found.check_mi, found.check_date) == ("not enough to say", None, date(2022, 8, 1))
    assert found.late


def test_a_pool_that_has_shown_itself_is_used() -> None:
    """Every part has a window that holds its middle, a check no later than its near end, and a date beside it."""
    found = look_ahead(shop(), priced(), DAY)
    (family,) = found.families

    assert family.proof.used
    assert {a.how for a in found.ahead} <= {"pooled", "faster lately"}
    for a in found.ahead:
        assert a.near_mi is not None
        assert a.middle_mi is not None
        assert a.far_mi is not None
        assert a.near_mi <= a.middle_mi <= a.far_mi
        assert a.check_mi is not None
        assert a.check_mi <= a.near_mi
        assert a.check_mi % 500 == 0
        assert a.check_date is not None


def test_a_new_unit_has_its_groups_rate_and_narrows() -> None:
    """One reading: the shop's rate, wide; with each more it is narrower."""
    widths = []
    for n in (1, 2, 4):
        a = of(in_shop(few("12.010", "12.019", "12.028", "12.037")[:n]), "T-1")
        assert a.how == "pooled"
        widths.append(np.log((a.fast_share or 0) / (a.slow_share or 1)))

    assert widths[0] > 1.5 * widths[1] > 1.5 * widths[2]


def test_a_guess_is_wider_than_a_hubometer() -> None:
    """The same readings and miles, less well known."""
    rows = few("12.010", "12.030", "12.050")
    guessed = [
        v.model_copy(update={"mileage": v.mileage.model_copy(update={"quality": "guess"})}) for v in rows
    ]
    sure, wide = (of(in_shop(r), "T-1") for r in (rows, guessed))

    assert (wide.near_mi or 0) < (sure.near_mi or 0)
    assert (wide.far_mi or 0) > (sure.far_mi or 0)


def test_faster_lately_is_the_floor() -> None:
    """Two thousandths for each interval, then forty: the late slope counts, and the shop's rate excuses nothing."""
    a = of(in_shop(few("12.010", "12.013", "12.016", "12.056"), ask=5100), "T-1")

    assert a.how == "faster lately"
    assert a.rate_share == pytest.approx(0.040 * 0.0254 / (6000 * MILE_M))
    left = (12.090 - 0.003 - 12.056) / 0.040 * 6000
    assert (a.near_mi or 0) <= (a.middle_mi or 0) == pytest.approx(left)
    assert a.check_mi == 3500  # 80 % of 4,650, rounded down
    assert a.chance == pytest.approx(0.5, abs=0.02)  # 0.034 in at that rate, the gauge's doubt either way


def test_a_drum_fitted_and_not_measured_goes_by_the_shop() -> None:
    """Taken as new, no record of its own."""
    new = [{"position": "1-road", "part": "hub-drum", "action": "replaced", "by": "T1"}]
    rows = few("12.060", "12.085", done=new)[1:]
    a = of(in_shop(rows), "T-1")

    assert (a.how, a.records, a.size_m) == ("pooled", 0, pytest.approx(12 * 0.0254))
    assert (a.near_mi or 0) > 5000


def test_chances_grow_with_the_miles() -> None:
    """Half way at the middle, one in twenty at the near end."""
    rows = few("12.010", "12.030", "12.050")
    a = of(in_shop(rows), "T-1")
    chances = [of(in_shop(rows, m), "T-1").chance for m in (a.near_mi, a.middle_mi, a.far_mi)]

    assert chances == pytest.approx([0.05, 0.5, 0.95], abs=0.002)


def test_visits_after_the_day_it_is_asked_are_left_out() -> None:
    """As of the second visit there are two records."""
    found = look_ahead(few("12.010", "12.030", "12.052"), priced(), DAYS[1])

    assert found.ahead[0].records == 2
    assert not found.ahead[0].late


def test_months_stood_count_by_the_calendar() -> None:
    """Hardly a mile in a year and a half: the service date stands, no distance runs out, and the months are said."""
    rows = [
        visit("T-1", d, {"1-road": "12.010"}, mileage={"now": 1000 + k, "quality": "hubometer"})
        for k, d in enumerate(DAYS)
    ]
    found = alone(rows)

    assert found.stood_months == pytest.approx(18, abs=0.2)
    assert found.check_date == date(2024, 2, 1)
    assert (found.near_date, found.middle_date) == (None, None)


def test_an_axle_now_or_later() -> None:
    """Both ends priced now and then, no price twice, the chance of the worse end and no more than both together."""
    unit = UNIT | {"drum": "10 in", "bolt_pattern": "5 on 4.5", "studs": "1/2-20", "axle_rating_lb": 3500}
    rows = [
        visit(
            "T-1", day, {"1-road": a, "1-curb": b}, unit=unit, mileage={"now": 1000 + 6000 * k, "quality": "hubometer"},
            limit=[{"what": "friction diameter", "value": "10.090", "unit": "in", "grade": "on the part"}],
        )
        for k, (day, a, b) in enumerate(zip(DAYS, ("10.010", "10.026", "10.042", "10.058"), ("10.010", "10.021", "10.032", "10.043"), strict=True))
    ]  # fmt: skip
    rows = [v.model_copy(update={"unit": v.unit.model_copy(update={"id": "T-1"})}) for v in rows]
    mine = [a for a in in_shop(rows, 11000).ahead if a.unit == "T-1"]
    choice = now_or_later(examine(rows[-1], priced(), DAY), mine, "1", "friction diameter", 11000)
    unknown = now_or_later(examine(rows[-1], priced(), DAY), mine[:1], "1", "friction diameter", 11000)

    assert choice.now_cents is not None
    assert choice.later_cents is not None
    assert 0 < choice.now_cents < choice.later_cents  # the hubs are open now; later they are opened again
    assert next(row.qty for row in choice.now if row.code.startswith("HD10")) == 2
    assert choice.worst_end == max(a.chance or 0 for a in mine)
    assert choice.at_most == pytest.approx(sum(a.chance or 0 for a in mine))
    assert (unknown.worst_end, unknown.at_most) == (None, None)


def run(*words: str) -> Result:
    """The command."""
    return CliRunner().invoke(main, ["ahead", *words, "--house", str(ROOT / "examples" / "house")])


def written(folder: Path, visits: list[Visit]) -> str:
    """Visits as files."""
    for v in visits:
        (folder / f"{v.unit.id}-{v.date}.json").write_text(v.model_dump_json(exclude_none=True), "utf-8")
    return str(folder)


def test_command_says_which_and_why(tmp_path: Path) -> None:
    """The text names the answer's source, the next check both ways, and what if."""
    folder = written(tmp_path, [*yard(1, 30), *few("12.010", "12.030", "12.050")])
    out = run(folder, "--on", "2024-01-01", "--unit", "T-1", "--what-if", "9000", "--axle", "T-1:1")

    assert out.exit_code == 0, out.output
    assert "pooled over the shop's records: it held what it promised" in out.stdout
    assert "or by " in out.stdout
    assert "chance of its limit before 9,000 miles" in out.stdout
    assert "hub-drum at both ends, now or 9,000 miles later" in out.stdout
    assert "U-0001" not in out.stdout


def test_command_as_json_and_its_problems(tmp_path: Path) -> None:
    """A count that went back is said, and the exit code is 1."""
    rows = few("12.010", "12.030")
    rows.append(visit("T-1", DAYS[2], {"1-road": "12.050"}, mileage={"now": 10, "quality": "hubometer"}))
    out = run(written(tmp_path, rows), "--json", "--on", "2024-01-01")
    data = json.loads(out.stdout)

    assert out.exit_code == 1
    assert [(p["unit"], p["how"], p["late"]) for p in data["parts"]] == [("T-1", "own records", True)]
    assert data["families"][0]["pooled"] is False
    assert "went back" in data["problems"][0]["what"]


@pytest.mark.parametrize(
    "words, said",
    [
        (["--axle", "T-1:1"], "--what-if"), (["--unit", "T-2"], "T-1"), (["--what-if", "5", "--axle", "T-1:4"], "UNIT:AXLE"),
    ],
)  # fmt: skip
def test_command_misused(tmp_path: Path, words: list[str], said: str) -> None:
    """Each slip of the command is named."""
    out = run(written(tmp_path, few("12.010", "12.030")), *words)

    assert out.exit_code == 2
    assert said in out.stderr


def test_a_folder_without_visits(tmp_path: Path) -> None:
    """A file that is no visit, and none at all."""
    (tmp_path / "notes.toml").write_text("date = 2024-01-01", "utf-8")
    out = run(str(tmp_path))

    assert out.exit_code == 1
    assert "notes.toml" in out.stderr
    assert "no visit file" in out.stderr
