"""Taxes, fees, deposit, validity, changed lines and the parts list, on one visit whose sums are made by hand."""

from __future__ import annotations

from datetime import date
from pathlib import Path
from typing import Any

import pytest

from conftest import ROOT, examined, priced
from wheeltapper.intake import visit_from_bytes
from wheeltapper.plan.parts import Wanted, parts_list
from wheeltapper.problems import TablesError
from wheeltapper.reference.house import load
from wheeltapper.reference.money import cents_of
from wheeltapper.report.estimate import told
from wheeltapper.words import hand_of

pytestmark = pytest.mark.reasoned
CAP_GONE: dict[str, Any] = {  # one axle, booked for an adjust alone; a cap is missing on one wheel
    "date": "2026-05-14", "technician": "T1", "booked": ["adjust"],
    "unit": {"id": "TF-9", "axles": 1, "brake": "electric drum", "drum": "10 in", "bolt_pattern": "5 on 4.5", "studs": "1/2-20"},
    "corner": [
        {"position": "1-road", "rest_fine": "T1", "look": [{"check": "cap", "found": "missing"}]},
        {"position": "1-curb", "rest_fine": "T1"},
    ],
}  # fmt: skip


def edit(**more: Any) -> dict[str, Any]:
    """A change of the cap's line."""
    return {"group": "must", "code": "CAP", "asked": 1, "why": "the owner brings it", "by": "AL", **more}


def house(tmp_path: Path, **files: str) -> Path:
    """A house folder like the example's with some files in place of its own."""
    for path in (ROOT / "examples" / "house").iterdir():
        (tmp_path / path.name).write_bytes(path.read_bytes())
    for name, text in files.items():
        (tmp_path / name.replace("_", ".")).write_text(text)
    return tmp_path


def test_the_sum_made_by_hand() -> None:
    """Adjust 0.2 h; two hubs at 0.6 h; cap 6.00, and two each of seal 9.50, pin 0.75, grease 5.00: 36.50 of parts."""
    owed = examined(CAP_GONE).estimate.least

    assert (owed.parts_cents, owed.labour_cents, float(owed.hours)) == (3650, 16800, 1.4)
    assert [(f.say, f.cents) for f in owed.fees] == [("shop supplies", 672), ("old grease taken away", 375)]
    assert [t.cents for t in owed.taxes] == [298]  # 6.35 % of 36.50 + 10.47 = 46.97: 2.982595
    assert owed.total_cents == 3650 + 16800 + 672 + 375 + 298
    assert examined(CAP_GONE).estimate.deposit_cents == 5449  # a quarter of 217.95: 54.4875
    assert examined(CAP_GONE).estimate.valid_until == date(2026, 6, 4)


def test_a_fee_has_its_bound_and_an_empty_job_has_none(tmp_path: Path) -> None:
    tables = load(
        house(tmp_path, fees_csv="code,say,amount,percent,of,at_most\nSHOP,supplies,1.00,50,labour,20.00\n")
    )
    nothing = CAP_GONE | {"booked": [], "scope": "adjust", "corner": CAP_GONE["corner"][1:]}

    assert [f.cents for f in examined(CAP_GONE, tables).estimate.least.fees] == [2000]
    empty = examined(nothing, tables).estimate.least
    assert (empty.fees, empty.taxes, empty.total_cents) == ((), (), 0)


def test_without_a_price_there_is_no_total_and_no_deposit_but_what_is_known_is_said() -> None:
    made = examined(CAP_GONE, load(None)).estimate

    assert (made.least.total_cents, made.least.parts_cents, float(made.least.hours)) == (None, None, 1.4)
    assert made.deposit_cents == 0  # ours asks for none


def test_the_last_change_counts_and_all_of_them_are_told() -> None:
    visit = CAP_GONE | {"estimate": [edit(qty=0), edit(qty=1, each="4.25", why="ours after all", by="KR")]}
    out = examined(visit)
    row = next(r for g in out.estimate.groups for r in g.rows if r.now.code == "CAP")
    said = next(r for p in told(out).groups for r in p.rows if r.code == "CAP")

    assert (row.now.cents, row.asked.cents if row.asked else None) == (425, 600)
    assert said.asked == "The rules ask for 1, $6.00."
    assert said.changes == (
        "AL made it struck: the owner brings it",
        "KR made it 1, $4.25 each: ours after all",
    )
    assert next(p for p in told(out).groups if p.key == "must").asked.startswith(
        "What the rules ask for comes to $"
    )
    assert out.release == examined(CAP_GONE).release


def test_hours_of_one_and_a_flat_price_of_labour() -> None:
    slow = examined(CAP_GONE | {"estimate": [edit(group="booked", code="L-ADJ", hours="0.5")]}).estimate
    flat = examined(CAP_GONE | {"estimate": [edit(group="booked", code="L-ADJ", each="10.00")]}).estimate

    assert (slow.least.labour_cents, float(slow.least.hours)) == (16800 + 3600, 1.7)
    assert (flat.least.labour_cents, float(flat.least.hours)) == (16800 - 2400 + 1000, 1.4)


def test_a_change_that_the_rules_went_past_says_so() -> None:
    stale = told(examined(CAP_GONE | {"estimate": [edit(asked=2, qty=2)]}))
    gone = told(examined(CAP_GONE | {"estimate": [edit(code="NUT", asked=5, qty=4)]}))

    assert "asked for 2 when it was changed: look again" in next(
        r.asked for p in stale.groups for r in p.rows if r.code == "CAP"
    )
    assert gone.strays == (
        "must, NUT: AL made it 4: the owner brings it. The rules no longer ask for that line: it counts nothing.",
    )
    assert (
        examined(CAP_GONE | {"estimate": [edit(code="NUT", asked=5, qty=4)]}).estimate.least
        == examined(CAP_GONE).estimate.least
    )


def test_deposit_and_date_are_set_with_a_reason() -> None:
    terms = [
        {"deposit": "50.00", "why": "first visit", "by": "AL"},
        {"valid_until": "2026-05-20", "why": "sale ends", "by": "AL"},
    ]
    out = examined(CAP_GONE | {"terms": terms})

    assert (out.estimate.deposit_cents, out.estimate.valid_until) == (5000, date(2026, 5, 20))
    assert told(out).terms == (
        "AL set a deposit of $50.00: first visit",
        "AL set good until 20 May 2026: sale ends",
    )


@pytest.mark.parametrize(
    ("name", "text", "said"),
    [("taxes_csv", "code,say,percent,on\nA,a,8,everything\n", "taxes, A: 'everything' is not one or more of parts, labour, fees"),
     ("taxes_csv", "code,say,percent,on\nA,a,108,parts\n", "taxes, A: '108' is not a number of percent"),
     ("taxes_csv", "code,say,percent,on\nA,a,\"8,25\",parts\n", "'8,25' is not a number of percent"),
     ("fees_csv", "code,say,amount,percent,of,at_most\nA,a,1.001,,,\n", "fees, A: '1.001' is not an amount of money"),
     ("fees_csv", "code,say,amount,percent,of,at_most\nA,a,,5,fees,\n", "fees, A: 'fees' is not one or more of parts, labour"),
     ("house_toml", 'traffic = "middle"\n', "house, traffic: 'middle' is not right or left"),
     ("house_toml", 'deposit_percent = "half"\n', "house, deposit_percent: 'half' is not a number of percent"),
     ("house_toml", 'estimate_days = "0"\n', "house, estimate_days: '0' is not a number of days")],
)  # fmt: skip
def test_a_broken_row_is_named(tmp_path: Path, name: str, text: str, said: str) -> None:
    with pytest.raises(TablesError) as slip:
        load(house(tmp_path, **{name: text}))
    assert any(said in fault for fault in slip.value.faults)


@pytest.mark.parametrize(
    ("text", "cents"),
    [("", None), ("0", 0), ("12.5", 1250), ("1,240.00", 124000), ("1240", 124000), (" 7.05 ", 705)],
)
def test_money_as_written(text: str, cents: int | None) -> None:
    assert cents_of(text) == cents


@pytest.mark.parametrize("text", ["104,00", "1,24", "12.345", "-3", "1e3", "1/2", "$5", "12,4000", "five"])
def test_money_is_not_guessed(text: str) -> None:
    with pytest.raises(ValueError, match="is not an amount of money"):
        cents_of(text)


def test_left_and_right_follow_the_traffic_and_are_never_guessed() -> None:
    assert [hand_of(p, "right") for p in ("1-road", "1-curb")] == ["left", "right"]
    assert [hand_of(p, "left") for p in ("1-road", "1-curb")] == ["right", "left"]
    assert {hand_of("1-road", ""), hand_of("axle 1", "right"), hand_of("trailer", "left")} == {""}


def test_the_parts_list_of_the_demo(tmp_path: Path) -> None:
    visit, _ = visit_from_bytes((ROOT / "examples" / "visit.toml").read_bytes(), "visit.toml")
    assert visit is not None
    out = examined(visit.model_dump(mode="json", exclude_none=True))
    made = parts_list(visit, out.estimate, priced())
    brakes = _of("BA12", made.now)

    assert (brakes.qty, brakes.left, brakes.right) == (2, 1, 1)
    assert set(brakes.where) == {"2-road (left)", "2-curb (right)"}
    assert brakes.size == ("drum 12 in", "axle rating 5200 lb")
    assert _of("CONN", made.now).where[0].startswith("2 at ")
    drum = _of("HD12_6", made.now)
    assert drum.missing == ("inner bearing", "outer bearing")
    assert drum.size == ("drum 12 in", "bolt pattern 6 on 5.5", "studs 1/2-20")
    assert _of("HD12_6", made.if_yes).qty == 3  # the road side of axle 1 and the curb side of axle 2 on top
    assert not any(w.code.startswith("L-") for w in (*made.now, *made.if_yes))
    left = parts_list(visit, out.estimate, load(house(tmp_path, house_toml='traffic = "left"\n')))
    assert set(_of("BA12", left.now).where) == {"2-road (right)", "2-curb (left)"}
    unknown = parts_list(visit, out.estimate, load(None))
    assert not unknown.sides_known
    assert _of("BA12", unknown.now).where == ("2-curb", "2-road")
    assert (_of("BA12", unknown.now).left, _of("BA12", unknown.now).right) == (0, 0)


def _of(code: str, rows: tuple[Wanted, ...]) -> Wanted:
    return next(w for w in rows if w.code == code)
