"""Press fits and their limits against worked examples and tables in print."""

from __future__ import annotations

import pytest

from conftest import priced
from wheeltapper.measure import fits
from wheeltapper.measure.fits import Rings
from wheeltapper.units import INCH_M
from wheeltapper.workout.cup import fit_m, window_m

MM, MPA = 1e-3, 1e6


def alike(bore_mm: float, joint_mm: float, rim_mm: float, modulus_gpa: float, poisson: float = 0.3) -> Rings:
    """Two rings of one material."""
    e = modulus_gpa * 1e9
    return Rings(bore_mm * MM, joint_mm * MM, rim_mm * MM, e, poisson, e, poisson)


@pytest.mark.published("ugural-8.3")
def test_compound_cylinder() -> None:
    """Ugural and Fenster, Advanced Strength and Applied Elasticity, example 8.3, and Bhavikatti, example 8.8.17 p. 350.

    Radii 150, 200 and 250 mm, radial interference 0.1 mm, E = 200 GPa: p = 12.3 MPa; hoop stress 56.0 and 43.7 MPa
    outside, -56.2 and -43.9 MPa inside. Second-hand worked copies were read, not the books; one of them carries the
    rounded p = 12.3 on, so its stresses are held to 0.1 MPa.
    """
    rings = alike(300, 400, 500, 200)
    pressure = fits.pressure_pa(rings, 2 * 0.1 * MM)
    s = fits.stresses(rings, pressure)

    assert pressure / MPA == pytest.approx(12.3, abs=0.05)
    assert s.outer_joint_hoop_pa / MPA == pytest.approx(56.0, abs=0.1)
    assert s.outer_rim_hoop_pa / MPA == pytest.approx(43.7, abs=0.1)
    assert s.inner_bore_hoop_pa / MPA == pytest.approx(-56.2, abs=0.1)
    assert s.inner_joint_hoop_pa / MPA == pytest.approx(-43.9, abs=0.1)


@pytest.mark.published("bhavikatti-8.8.16")
def test_allowance_for_a_wanted_pressure() -> None:
    """Bhavikatti, Strength of Materials, example 8.8.16 p. 348 (second-hand copy read): 200/250/300 mm, E = 2e5, 30 MPa.

    The shrinkage allowance is 0.189 mm on the radius, 0.379 mm on the diameter.
    """
    diametral = fits.diametral_m(alike(200, 250, 300, 200), 30 * MPA)

    assert diametral / 2 / MM == pytest.approx(0.189, abs=0.0005)
    assert diametral / MM == pytest.approx(0.379, abs=0.0005)


@pytest.mark.published("press-fit-page")
def test_solid_shaft() -> None:
    """A press-fit calculator's worked page, a weak authority: shaft 50, hub 80, length 40, 0.04 mm, 210 GPa, mu 0.12.

    It prints 38.6 kN, 965 N m and 117 MPa of hoop stress in the hub.
    """
    rings = alike(0, 50, 80, 210)
    pressure = fits.pressure_pa(rings, 0.04 * MM)

    assert fits.push_out_n(50 * MM, 40 * MM, pressure, 0.12) == pytest.approx(38.6e3, abs=0.05e3)
    assert fits.holding_torque_n_m(50 * MM, 40 * MM, pressure, 0.12) == pytest.approx(965, abs=0.5)
    assert fits.stresses(rings, pressure).outer_joint_hoop_pa / MPA == pytest.approx(117, abs=0.5)


@pytest.mark.published("jindal-4-2")
def test_limits_of_25_h7_r6() -> None:
    """Jindal, Machine Design, example 4-2 p. 112 (second-hand copy read): hole 0 to +21 um, shaft +28 to +41 um.

    ISO 286 limits of 25 H7/r6: interference at most 0.041 mm, at least 0.007 mm.
    """
    least, most = fits.interference_limits_m(28e-6, 41e-6, 0.0, 21e-6)

    assert least == pytest.approx(0.007 * MM, abs=1e-12)
    assert most == pytest.approx(0.041 * MM, abs=1e-12)
    assert fits.kind_of_fit(float(least), float(most)) == "interference"


@pytest.mark.published("bearing-manual-79")
@pytest.mark.parametrize("cup_in, least, most", [(2.4409, 0.0005, 0.0030), (3.2650, 0.0010, 0.0040)])
def test_cup_in_a_trailer_hub(cup_in: float, least: float, most: float) -> None:
    """A tapered-roller engineering manual, table 79 (rotating cup, trailer wheels, class 4 and 2).

    It prints the fit it makes: 0.0005 to 0.0030 in tight up to 3.0000 in, 0.0010 to 0.0040 in tight over that.
    """
    got = fit_m(priced(), "cup outside", "hub bore", cup_in * INCH_M)

    assert got == pytest.approx((least * INCH_M, most * INCH_M), abs=1e-9)


@pytest.mark.published("bearing-manual-78")
def test_cone_on_a_trailer_spindle() -> None:
    """The manual's table 78 (stationary cone, trailer wheel, bore to 3 in): 0.0002 to 0.0012 in loose."""
    tightest_last = fit_m(priced(), "spindle seat", "cone bore", 1.7500 * INCH_M)

    assert tightest_last == pytest.approx((-0.0012 * INCH_M, -0.0002 * INCH_M), abs=1e-9)


@pytest.mark.published("seal-tables")
@pytest.mark.parametrize(
    "size_in, wide, press", [(2.565, 0.0010, (0.002, 0.006)), (3.376, 0.0015, (0.003, 0.007))]
)
def test_seal_bore(size_in: float, wide: float, press: tuple[float, float]) -> None:
    """Two seal makers' tables: bore +-0.0010 to 3 in and +-0.0015 over it; press 0.004 and 0.005, both +-0.002 in."""
    low, high = window_m(priced(), "seal bore", size_in * INCH_M)
    over = window_m(priced(), "seal press", size_in * INCH_M)

    assert (low, high) == pytest.approx(((size_in - wide) * INCH_M, (size_in + wide) * INCH_M), abs=1e-9)
    assert over == pytest.approx(tuple((size_in + p) * INCH_M for p in press), abs=1e-9)
