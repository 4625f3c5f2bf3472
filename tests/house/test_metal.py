"""Rows of sizes and strengths: read into SI, every broken row named, a shop's own laid over ours."""

from __future__ import annotations

from pathlib import Path

import pytest

from conftest import priced
from wheeltapper.problems import TablesError
from wheeltapper.reference import metal
from wheeltapper.reference.faults import build
from wheeltapper.reference.house import load
from wheeltapper.reference.tables import ours
from wheeltapper.units import from_si, to_si

pytestmark = pytest.mark.reasoned


@pytest.mark.parametrize(
    ("table", "column", "text"),
    [
        ("materials", "modulus_gpa", "0"),
        ("materials", "density_kg_m3", "heavy"),
        ("bearings", "bore_in", "-1"),
        ("bearings", "c_kn", "inf"),
        ("fits", "low_in", "0.5"),
        ("studs", "pitch", "0"),
        ("grades", "proof", ""),
        ("torques", "low", "500"),
        ("torques", "unit", "in"),
        ("heat_colours", "unit", "ft-lb"),
        ("stages", "high", "1"),
        ("settings", "method", ""),
        ("settings", "source", "hearsay"),
        ("drums", "warmed_lb", "0"),
        ("materials", "source", "hearsay"),
    ],
)
def test_a_broken_row_is_named(table: str, column: str, text: str) -> None:
    """A number that cannot be, a unit of another kind, a source nobody listed: the tables are refused, with the table named."""
    raw = ours()
    raw[table] = [{**raw[table][0], column: text}, *raw[table][1:]]

    with pytest.raises(TablesError) as broken:
        build(raw, "x")
    assert any(table in fault or "hearsay" in fault for fault in broken.value.faults)


def test_every_row_of_metal_has_a_listed_source() -> None:
    """Each table of sizes names sources of sources.toml."""
    raw = ours()
    named = {row["source"] for table in metal.READERS for row in raw[table]}

    assert named <= set(raw["sources"]["source"])


def test_values_become_si() -> None:
    """A grey iron of 97 GPa, a pitch of 20 to the inch, a torque of 90 ft-lb."""
    t = priced()

    assert t.materials["grey iron"].modulus_pa == 97e9
    assert t.studs["1/2-20"].pitch_m == pytest.approx(0.00127)
    assert t.torques[1].low_n_m == pytest.approx(122.0236)
    assert from_si(t.heat_colours[0].low_k, "F") == pytest.approx(400)


def test_a_shop_adds_its_own_label(tmp_path: Path) -> None:
    """A torque of the shop's own wheels stands beside the published ones, and none of ours is gone."""
    row = "studs,nut,wheel,low,high,unit,source,at\n9/16-18,cone,any,110,130,ft-lb,house-default,label of our own wheels\n"
    (tmp_path / "torques.csv").write_text(row, "utf-8")
    t = load(tmp_path)

    assert len(t.torques) == len(priced().torques) + 1
    assert any(r.text == "110 to 130 ft-lb" for r in t.torques)


def test_a_shop_cannot_move_a_published_fit(tmp_path: Path) -> None:
    """Published fits and colours are no house matter."""
    (tmp_path / "fits.csv").write_text(
        "what,over_in,to_in,low_in,high_in,source,at\nhub bore,0,3,-1,1,house-default,\n", "utf-8"
    )

    with pytest.raises(TablesError):
        load(tmp_path)


def test_fits_by_size() -> None:
    """The row of a size counts up to and with its upper end; beyond the table there is none."""
    t = priced()
    rows = [t.fit("hub bore", inch * 0.0254) for inch in (2.0, 3.0, 3.0001, 5.0, 5.1)]

    assert [None if r is None else round(from_si(r.low_m, "in"), 4) for r in rows] == [
        -0.002,
        -0.002,
        -0.003,
        -0.003,
        None,
    ]


@pytest.mark.parametrize(
    ("grade", "size", "unit", "proof", "strength_unit"),
    [
        ("grade 5", 0.25, "in", 85, "ksi"),
        ("grade 5", 1.0, "in", 85, "ksi"),
        ("grade 5", 1.001, "in", 74, "ksi"),
        ("grade 5", 1.51, "in", None, "ksi"),
        ("grade 2", 0.75, "in", 55, "ksi"),
        ("grade 2", 0.8, "in", 33, "ksi"),
        ("grade 8", 1.5, "in", 120, "ksi"),
        ("8.8", 16.0, "mm", 580, "MPa"),
        ("8.8", 16.1, "mm", 600, "MPa"),
        ("12.9", 12.0, "mm", 970, "MPa"),
        ("8.8", 40.0, "mm", None, "MPa"),
    ],
)
def test_a_grade_has_the_strength_of_its_size(
    grade: str, size: float, unit: str, proof: float | None, strength_unit: str
) -> None:
    """SAE J429 and ISO 898-1 give one grade other strengths over some size, and none past the last."""
    row = priced().grade(grade, to_si(size, unit))

    assert (None if row is None else round(from_si(row.proof_pa, strength_unit), 6)) == proof


def test_a_shop_adds_a_grade_of_its_own(tmp_path: Path) -> None:
    """A row of a new name, and one that moves ours at the same first size; sizes that run backwards are a fault."""
    head = "grade,from,to,size_unit,proof,tensile,yield,unit,source,at\n"
    good = (
        head
        + "our studs,0.25,1,in,100,130,110,ksi,house-default,\ngrade 5,1,1.5,in,70,100,80,ksi,house-default,\n"
    )
    (tmp_path / "grades.csv").write_text(good, "utf-8")
    t = load(tmp_path)

    assert [len(t.grades[name]) for name in ("our studs", "grade 5", "8.8")] == [1, 2, 2]
    assert from_si(t.grades["grade 5"][1].proof_pa, "ksi") == pytest.approx(70)
    (tmp_path / "grades.csv").write_text(head + "odd,1,0.5,in,100,130,110,ksi,house-default,\n", "utf-8")
    with pytest.raises(TablesError):
        load(tmp_path)
