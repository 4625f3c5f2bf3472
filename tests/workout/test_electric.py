"""Magnets and wires as a person asks for them."""

from __future__ import annotations

import pytest

from asking import answered, shown, slipped

FOUR = "3.2 3.2 3.2 3.2 ohm"


@pytest.mark.published("lessons-in-electric-circuits-wire-table")
def test_wire_sizes() -> None:
    """Lessons in Electric Circuits, Reference vol., ch. 3: 12 AWG is 0.08081 in, 6530 circular mils, 5.21 ohm a km."""
    answer = answered("wire", awg="12")

    assert shown(answer, "diameter") == pytest.approx(0.08081, abs=5e-6)
    assert shown(answer, "circular_mils") == pytest.approx(6530, abs=0.6)
    assert shown(answer, "per_km") == pytest.approx(5.21, rel=0.004)
    assert shown(answer, "per_kft") == pytest.approx(1.588, rel=0.004)


@pytest.mark.published("low-voltage-drop-page")
def test_drop_of_a_fixed_current() -> None:
    """A published low-voltage calculator: 5 A over 50 ft one way of 14 AWG, 12 V: 1.26 V, 10.5 %."""
    answer = answered("wire", awg="14", length="50 ft", current="5 A")

    assert shown(answer, "voltage_drop") == pytest.approx(1.26, abs=0.005)
    assert shown(answer, "drop_part") == pytest.approx(10.5, abs=0.05)


@pytest.mark.reasoned
def test_drop_with_coils_and_the_gauge_for_it() -> None:
    """Two 3.2 ohm coils behind 30 ft of 14 AWG: 6.851 A, 10.96 V; the gauge named for half a volt keeps it, the next does not."""
    answer = answered("wire", awg="14", length="30 ft", coils="3.2 3.2 ohm", drop="0.5 V")
    kept = answered("wire", awg=str(shown(answer, "gauge_wanted")), length="30 ft", coils="3.2 3.2 ohm")
    thinner = answered(
        "wire", awg=str(shown(answer, "gauge_wanted") + 2), length="30 ft", coils="3.2 3.2 ohm"
    )

    assert shown(answer, "current") == pytest.approx(6.851, abs=0.001)
    assert shown(answer, "left") == pytest.approx(10.96, abs=0.005)
    assert shown(kept, "voltage_drop") <= 0.5 < shown(thinner, "voltage_drop")


@pytest.mark.reasoned
@pytest.mark.parametrize("share, length, named", [("1 %", "60 ft", "2/0 AWG"), ("5 %", "20 ft", "10 AWG")])
def test_the_gauge_in_words(share: str, length: str, named: str) -> None:
    """Thick wires are called 1/0, 2/0; a fixed 12 A is taken at the full current."""
    answer = answered("wire", length=length, current="12 A", drop_share=share)

    assert named in answer.says[0]


@pytest.mark.published("magnet-faq")
@pytest.mark.parametrize(
    "coils, printed", [("3.2 3.2 ohm", 7.5), (FOUR, 15.0), ("3.2 3.2 3.2 3.2 3.2 3.2 ohm", 22.6)]
)
def test_current_of_a_set(coils: str, printed: float) -> None:
    """Two published question pages: two, four and six 3.2 ohm magnets at 12 V, 1 %."""
    assert shown(answered("magnet-current", volts="12 V", coils=coils), "expected") == pytest.approx(printed, rel=0.01)  # fmt: skip


@pytest.mark.reasoned
@pytest.mark.parametrize("amps, harness, bench", [
    ("8 A", "too low", "too low"), ("9.5 A", "inside", "too low"), ("12 A", "inside", "inside"),
    ("15.5 A", "too high", "inside"), ("19 A", "too high", "too high"), ("14.4 A", "at the edge, inside the doubt", "inside"),
])  # fmt: skip
def test_both_ratings_have_their_own_verdict(amps: str, harness: str, bench: str) -> None:
    """Four 3.2 ohm magnets at 12 V: 2.10 to 3.60 A a brake by the harness, 2.625 to 4.50 A by the bench, kept apart."""
    answer = answered("magnet-current", volts="12 V", coils=FOUR, amps=amps)

    assert shown(answer, "harness_window") == pytest.approx((2.10, 3.60))
    assert shown(answer, "bench_window") == pytest.approx((2.625, 4.50))
    assert shown(answer, "harness_verdict") == harness
    assert shown(answer, "bench_verdict") == bench


@pytest.mark.reasoned
def test_small_brakes_and_a_makers_own_rating() -> None:
    """7 in: 2.5 A from the table; a maker's figure in its place moves the window."""
    small = answered("magnet-current", volts="12 V", coils="3.9 3.9 ohm", drum="7 in")
    own = answered("magnet-current", volts="12 V", coils=FOUR, rated="3.2 A")

    assert shown(small, "harness_window") == pytest.approx((1.75, 3.0))
    assert shown(own, "harness_window") == pytest.approx((2.24, 3.84))


@pytest.mark.reasoned
def test_a_leg_with_a_bad_splice() -> None:
    """9.0 V where its neighbours have 11.9: its own 1.03 ohm is named, and the feed is not blamed."""
    answer = answered("leg-resistance", plug="12.6 V", magnets="11.8 11.9 9.0 11.8 V", coils="3.2 ohm", awg="12", length="25 ft")  # fmt: skip

    assert shown(answer, "own")[2] == pytest.approx(2.9 / (9.0 / 3.2), rel=1e-9)
    assert [said for said in answer.says if said.startswith("Leg")] == [answer.says[0]]
    assert answer.says[0].startswith("Leg 3: 1.03 ohm")
    assert not any("shared feed" in said for said in answer.says)


@pytest.mark.reasoned
def test_a_feed_that_loses_for_all() -> None:
    """9.0 V at every magnet: the shared feed, by what is over its copper; and a sound harness says so."""
    bad = answered(
        "leg-resistance", plug="12.6 V", magnets="9 9 9 9 V", coils="3.2 ohm", awg="12", length="25 ft"
    )
    good = answered(
        "leg-resistance", plug="12.6 V", magnets="11.5 11.5 V", coils="3.2 ohm", awg="12", length="48 ft"
    )
    blind = answered("leg-resistance", plug="12.6 V", magnets="11.5 11.5 V", coils="3.2 ohm")

    assert shown(bad, "excess") == pytest.approx(3.6 / (4 * 9 / 3.2) - shown(bad, "wire"), rel=1e-9)
    assert "shared feed" in bad.says[0]
    assert good.says == ("Every leg has what its wire gives it, within the meter's doubt.",)
    assert "awg" in blind.says[0]


@pytest.mark.reasoned
def test_a_feed_better_than_its_copper_is_no_sound_harness() -> None:
    """Less loss than the wire must have is a wrong reading or a wrong length, never 'every leg has what it should'."""
    answer = answered("leg-resistance", plug="12.6 V", magnets="12.5 12.5 V", coils="3.2 ohm", awg="14", length="60 ft")  # fmt: skip

    assert shown(answer, "excess") < 0
    assert "less than its copper must" in answer.says[0]


@pytest.mark.reasoned
def test_half_the_current_of_four() -> None:
    """7.9 A at 12.6 V on four like magnets: two not fed, six pairs, one voltage named to measure; no pair picked."""
    answer = answered(
        "dead-leg", amps="7.9 A", plug="12.6 V", coils=FOUR, names="1-road 1-curb 2-road 2-curb"
    )

    assert shown(answer, "fewest") == 2
    assert shown(answer, "unique") is False
    assert shown(answer, "listed")[0] == "1-road and 1-curb not fed"
    assert shown(answer, "measure_next") == "1-road"
    assert "cannot choose" in answer.says[0]
    assert "never a magnet" in answer.says[-1]


@pytest.mark.reasoned
def test_voltages_at_two_legs_settle_it() -> None:
    """The same with 0 V at 1-curb and 12.5 V at 1-road and 2-road: 1-curb and 2-curb, alone."""
    answer = answered("dead-leg", amps="7.9 A", plug="12.6 V", coils=FOUR, names="1-road 1-curb 2-road 2-curb",
                      known_legs="1 2 3", known_volts="12.5 0 12.5 V")  # fmt: skip

    assert shown(answer, "unique") is True
    assert shown(answer, "listed") == ("1-curb and 2-curb not fed",)
    assert answer.says[0] == "Simplest: 1-curb and 2-curb not fed."


@pytest.mark.reasoned
def test_all_fed_and_more_than_all() -> None:
    """The full current needs no leg at fault, with coils from the table's range too; too much current has no explanation."""
    whole = answered("dead-leg", amps="15.7 A", plug="12.6 V", coils=FOUR)
    ranged = answered("dead-leg", amps="14.5 A", plug="12.6 V", brakes="4")
    short = answered("dead-leg", amps="19 A", plug="12.6 V", coils=FOUR)

    assert shown(whole, "listed") == ("every leg fed",)
    assert shown(ranged, "fewest") == 0
    assert shown(short, "explanations") == 0
    assert shown(short, "fewest") is None
    assert "short" in short.says[0]


@pytest.mark.reasoned
def test_one_coil_not_measured_widens_only_its_own_leg() -> None:
    """15.2 A of 15.75: told as a resistance in one leg; where one coil was not measured, its own ohms may explain it."""
    known = answered("dead-leg", amps="15.2 A", plug="12.6 V", coils=FOUR, coil_doubt="0.01 ohm", amps_doubt="0.1 A", volts_doubt="0.02 V")  # fmt: skip
    loose = answered("dead-leg", amps="15.2 A", plug="12.6 V", coils=FOUR, coil_doubt="0.01 ohm", amps_doubt="0.1 A", volts_doubt="0.02 V",
                     not_measured="2", coil_range="3.0 3.8 ohm")  # fmt: skip

    assert shown(known, "fewest") == 1
    assert all(" ohm in " in told for told in shown(known, "listed"))
    assert shown(loose, "listed")[0] == "every leg fed"


@pytest.mark.reasoned
@pytest.mark.parametrize("name, texts, what", [
    ("wire", {}, "nothing to work out"),
    ("wire", {"awg": "45"}, "no wire of this gauge"),
    ("wire", {"awg": "14", "length": "50 ft", "current": "5 A", "coils": "3.2 ohm"}, "twice"),
    ("wire", {"awg": "14", "length": "50 ft", "current": "500 A"}, "cannot carry"),
    ("wire", {"length": "50 ft", "current": "5 A", "drop": "13 V"}, "drop lies between"),
    ("wire", {"current": "5 A", "drop": "1 V"}, "needs the run"),
    ("wire", {"length": "5000 ft", "current": "50 A", "drop": "0.01 V"}, "thick enough"),
    ("magnet-current", {"volts": "12 V", "coils": "0 ohm"}, "coil is zero"),
    ("magnet-current", {"volts": "0 V", "coils": "3.2 ohm"}, "voltage is zero"),
    ("magnet-current", {"volts": "12 V", "coils": "3.2 ohm", "rated": "0 A"}, "rated current"),
    ("leg-resistance", {"plug": "12 V", "magnets": "11 0 V", "coils": "3.2 ohm"}, "not more than zero"),
    ("leg-resistance", {"plug": "12 V", "magnets": "11 13 V", "coils": "3.2 ohm"}, "more volts than the plug"),
    ("leg-resistance", {"plug": "12 V", "magnets": "11 11 V", "coils": "3.2 3.2 3.2 ohm"}, "volts and ohms"),
    ("leg-resistance", {"plug": "12 V", "magnets": "11 11 V", "coils": "3.2 ohm", "lead_length": "5 ft"}, "no gauge"),
    ("dead-leg", {"amps": "8 A", "plug": "12 V"}, "counted alike"),
    ("dead-leg", {"amps": "8 A", "plug": "12 V", "coils": FOUR, "names": "a b"}, "counted alike"),
    ("dead-leg", {"amps": "8 A", "plug": "12 V", "coils": FOUR, "known_legs": "5", "known_volts": "12 V"}, "not there"),
    ("dead-leg", {"amps": "8 A", "plug": "12 V", "coils": FOUR, "known_legs": "1 2", "known_volts": "12 V"}, "its own leg"),
    ("dead-leg", {"amps": "8 A", "plug": "12 V", "brakes": "9"}, "counted alike"),
    ("dead-leg", {"amps": "8 A", "plug": "12 V", "brakes": "2.5"}, "not a whole number"),
    ("dead-leg", {"amps": "8 A", "plug": "12 V", "brakes": "6", "coils": FOUR}, "counted alike"),
    ("dead-leg", {"amps": "8 A", "plug": "12 V", "brakes": "4", "coil_range": "3.8 3.0 ohm"}, "range"),
])  # fmt: skip
def test_slips_are_said(name: str, texts: dict[str, str], what: str) -> None:
    """What cannot be worked out is one plain problem that says what to do."""
    assert what in slipped(name, **texts).what
