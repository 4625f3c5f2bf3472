"""A pool that is kept, what it foretells of one visit, and what `examine` and the sheet make of it: sooner at most, never a call."""

from __future__ import annotations

import json
from dataclasses import replace
from datetime import date
from functools import cache
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from conftest import priced
from made_fleet import visit, yard
from wheeltapper.fleet.foretell import Pooled, foretold_of
from wheeltapper.fleet.outlook import Outlook, ahead_of, look_ahead
from wheeltapper.flow import Examination, examine
from wheeltapper.plan.foresight import OWN, POOLED, RHYTHM, Foreseen, Foresight
from wheeltapper.records import Visit
from wheeltapper.report import record, terminal, wording
from wheeltapper.report.sheet import sheet

DAY = date(2024, 6, 1)
DAYS = (date(2022, 2, 1), date(2022, 8, 1), date(2023, 2, 1), date(2023, 8, 1))


@cache
def shop() -> tuple[Visit, ...]:
    """Thirty made-up trailers, five visits each."""
    return tuple(yard(1, 30))


@cache
def whole() -> Outlook:
    """All of it at once."""
    return look_ahead(shop(), priced(), DAY)


def kept(day: date = DAY) -> Pooled:
    """What is kept of it."""
    return Pooled(whole().families, day, len(shop()), "all", priced().fingerprint, "pool")


def one(*sizes: str, name: str = "T-1", past: bool = True, **more: Any) -> tuple[Visit, list[Visit]]:
    """The last visit of a trailer with one drum measured, 6,000 miles between visits, and those before it."""
    rows = [
        visit(name, day, {"1-road": s}, mileage={"now": 1000 + 6000 * k, "quality": "hubometer"}, **more)
        for k, (day, s) in enumerate(zip(DAYS, sizes, strict=False))
    ]
    told = [
        {"position": "1-road", "what": "friction diameter", "value": s, "unit": "in", "gauge": "G1", "miles": 1000 + 6000 * k, "date": DAYS[k].isoformat()}
        for k, s in enumerate(sizes[:-1])
    ]  # fmt: skip
    last = visit(
        name, DAYS[len(sizes) - 1], {"1-road": sizes[-1]}, mileage={"now": 1000 + 6000 * (len(sizes) - 1), "quality": "hubometer"},
        history=told if past else [], scope="hub service", **more,
    )  # fmt: skip
    return last, rows[:-1]


def foreseen(*sizes: str) -> tuple[Examination, Examination]:
    """The last visit examined without the shop's pool, and with it."""
    last, earlier = one(*sizes)
    seen = foretold_of(last, earlier, kept(), priced())
    return examine(last, priced(), DAY), examine(last, priced(), DAY, (), seen)


def interim(ex: Examination) -> list[Any]:
    """The checks between the services."""
    return [n for n in ex.next if n.what == "interim check"]


@pytest.mark.second_way
@pytest.mark.parametrize("number", [0, 7, 29])
def test_a_kept_pool_says_of_one_unit_what_the_whole_shop_says(number: int) -> None:
    """Told from all visits at once, and from the unit's own and what was kept: the same to a mile."""
    name = f"U-{number:04d}"
    mine = [v for v in shop() if v.unit.id == name]
    both = [a for a in whole().ahead if a.unit == name], ahead_of(mine, whole().families, DAY, priced(), DAY)

    assert len(both[0]) == len(both[1]) == 4
    for a, b in zip(*both, strict=True):
        assert (a.position, a.how, a.check_mi, a.check_date) == (b.position, b.how, b.check_mi, b.check_date)
        assert (b.near_mi, b.middle_mi, b.far_mi) == pytest.approx((a.near_mi, a.middle_mi, a.far_mi), abs=1)


@pytest.mark.second_way
def test_a_record_newer_than_the_pool_counts() -> None:
    """Pooled before a unit's last visit, or with it: within a few parts in a hundred the same, and not what it was."""
    mine = [v for v in shop() if v.unit.id == "U-0003"]
    before = mine[-2].date
    rest = [v for v in shop() if v is not mine[-1]]
    old = look_ahead(rest, priced(), DAY).families
    new = ahead_of(mine, old, before, priced(), DAY)
    told = {a.position: a for a in whole().ahead if a.unit == "U-0003"}

    assert {a.records for a in new} == {5}
    for a in new:
        assert a.middle_mi == pytest.approx(told[a.position].middle_mi, rel=0.05)
        assert a.near_mi == pytest.approx(told[a.position].near_mi, rel=0.10)


@pytest.mark.reasoned
def test_a_trailer_nobody_has_seen_gets_a_wide_window_of_its_group() -> None:
    """One reading, a unit that is not in the pool, and another use that is in no group: told, and wider."""
    last, _ = one("12.020")
    other = last.model_copy(update={"unit": last.unit.model_copy(update={"use": "rental"})})
    known, strange = (foretold_of(v, (), kept(), priced()).parts[0] for v in (last, other))

    assert known.prediction == strange.prediction == POOLED
    assert known.records == 1
    assert known.near_mi < known.middle_mi < known.far_mi
    assert strange.far_mi / strange.near_mi > known.far_mi / known.near_mi


@pytest.mark.reasoned
def test_one_reading_says_nothing_alone_and_the_pool_brings_the_check_forward() -> None:
    """12.070 of 12.090 in: no rate of its own; the shop's rate says it does not last to the next service."""
    alone, pooled = foreseen("12.070")
    (found,) = interim(pooled)

    assert interim(alone) == []
    assert found.prediction == POOLED
    assert found.miles is not None
    assert found.miles < min(n.miles for n in pooled.next if n.what == "hubs off" and n.miles)
    assert found.date is not None
    assert (alone.calls, alone.release, alone.quote) == (pooled.calls, pooled.release, pooled.quote)


@pytest.mark.reasoned
def test_where_only_the_calendar_asks_for_the_hubs_a_check_must_be_sooner_than_that() -> None:
    """Salt water, every six months: a drum that is nearly new needs no check between, one near its limit does."""
    for size, checks in (("12.010", 0), ("12.078", 1)):
        last = one(size)[0]
        wet = last.model_copy(update={"unit": last.unit.model_copy(update={"use": "salt water"})})
        ex = examine(wet, priced(), DAY, (), foretold_of(wet, (), kept(), priced()))
        assert [n.prediction for n in interim(ex)] == [POOLED] * checks


@pytest.mark.reasoned
def test_a_drum_fitted_on_the_visit_is_not_told_beside_the_reading_of_the_old_one() -> None:
    """The reading was of the drum that came off; what the new one will do stands on no ruler of the old."""
    done = [{"position": "1-road", "part": "hub-drum", "action": "replaced", "by": "T1"}]
    last, earlier = one("12.010", "12.040", "12.095", done=done)
    seen = foretold_of(last, earlier, kept(), priced())

    assert seen.parts == ()
    assert "pooled over the shop's records: about" not in terminal.text(
        sheet(examine(last, priced(), DAY, (), seen))
    )


@pytest.mark.reasoned
def test_its_own_records_stand_where_they_ask_for_an_earlier_look() -> None:
    """Twelve thousandths in each 6,000 miles, then thirty: 80 % of what remains at that rate, whatever the shop says."""
    alone, pooled = foreseen("12.010", "12.022", "12.052")
    left = (12.090 - 0.003 - 12.052) / 0.030 * 6000
    (own,), (found,) = interim(alone), interim(pooled)

    assert own.miles == int(0.8 * left // 500 * 500)
    assert own.prediction == OWN
    assert found.miles <= own.miles
    assert found.date <= own.date


def row(near: int, check: int, day: date | None) -> Foresight:
    """A foresight of one drum."""
    part = Foreseen("1-road", "friction diameter", POOLED, 2, near, near + 4000, near + 9000, check, day)
    return Foresight((part,), (("friction diameter", True, "it held what it promised"),), DAY, 150, "p")


@pytest.mark.reasoned
@settings(max_examples=60, deadline=None)
@given(
    check=st.integers(0, 60).map(lambda n: 500 * n), day=st.dates(DAYS[2], date(2030, 1, 1)) | st.none(),
    sizes=st.sampled_from([("12.010", "12.022", "12.052"), ("12.070",), ("12.010", "12.040", "12.070"), ("12.080", "12.095")]),
)  # fmt: skip
def test_no_foresight_puts_a_check_off_or_changes_a_call(
    check: int, day: date | None, sizes: tuple[str, ...]
) -> None:
    """Whatever is foretold: every check is there as soon as without it, in miles and by date; calls, gate and money stay."""
    last, _ = one(*sizes)
    bare, told = examine(last, priced(), DAY), examine(last, priced(), DAY, (), row(check, check, day))

    assert (bare.calls, bare.causes, bare.release, bare.quote, bare.problems) == (
        told.calls, told.causes, told.release, told.quote, told.problems,
    )  # fmt: skip
    for n in bare.next:
        same = [m for m in told.next if (m.what, m.part, m.every) == (n.what, n.part, n.every)]
        assert any(
            (m.miles or 0) <= (n.miles or 0) and (n.date is None or (m.date and m.date <= n.date))
            for m in same
        )


@pytest.mark.reasoned
def test_the_sheet_says_which_was_used() -> None:
    """In the remaining distance, at each check, at the foot, and for programs; without a shop it says so too."""
    alone, pooled = foreseen("12.010", "12.040", "12.060")
    assert pooled.foresight is not None
    data = record.as_dict(pooled, wording.INCH)
    text = " ".join(terminal.text(sheet(pooled)).split())

    assert "pooled over the shop's records: about" in text
    assert f"as of 1 Jun 2024 from 150 visits ({pooled.foresight.fingerprint})" in text
    assert {n["prediction"] for n in data["next"]} <= {POOLED, OWN, RHYTHM}
    assert {n["prediction"] for n in data["next"] if n["what"] == "interim check"} <= {POOLED, OWN}
    assert {n["prediction"] for n in data["next"] if n["what"] == "hubs off"} == {RHYTHM}
    assert data["foresight"]["fingerprint"] == pooled.foresight.fingerprint
    assert data["sizes"][0]["foreseen"]["prediction"] == POOLED

    bare = record.as_dict(alone, wording.INCH)
    assert bare["foresight"] is None
    assert "No pool of a shop's records was at hand" in " ".join(terminal.text(sheet(alone)).split())
    assert [n["prediction"] for n in bare["next"] if n["what"] == "interim check"] == [OWN]


@pytest.mark.reasoned
def test_a_pool_that_has_not_shown_itself_says_why_and_changes_nothing() -> None:
    """Three trailers: nothing is foretold, each part goes by its own records, and the sheet says why."""
    few = look_ahead(yard(2, 3), priced(), DAY).families
    last, earlier = one("12.010", "12.040", "12.060")
    seen = foretold_of(last, earlier, replace(kept(), families=few), priced())
    ex = examine(last, priced(), DAY, (), seen)

    assert seen.parts == ()
    assert ex.next == examine(last, priced(), DAY).next
    assert "could be foretold" in wording.foresight(seen)


@pytest.mark.reasoned
def test_the_same_foresight_gives_the_same_bytes_and_another_another_name() -> None:
    """Fingerprints tell two apart; the JSON of a visit is the same twice."""
    _, first = foreseen("12.010", "12.040", "12.060")
    _, again = foreseen("12.010", "12.040", "12.060")
    assert first.foresight is not None

    assert record.as_json(first) == record.as_json(again)
    assert json.loads(first.foresight.text)["visits"] == 150
    assert row(5000, 5000, None).fingerprint != row(5000, 4500, None).fingerprint
