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
from wheeltapper.units import from_si

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
