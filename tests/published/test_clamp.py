"""Threads, torque and clamped joints against printed values."""

from __future__ import annotations

from math import degrees, pi

import numpy as np
import pytest

from wheeltapper.measure import clamp, joint

INCH_M = 0.0254
LBF_N = 4.4482216152605
PSI_PA = LBF_N / INCH_M**2
LB_IN_N_M = LBF_N * INCH_M
MM = 1e-3


@pytest.mark.published("iso-898-1")
@pytest.mark.parametrize("d, pitch, area, load_88, load_109, proof_88, proof_109", [
    (12, 1.75, 84.3, 67.4, 87.7, 48.9, 70.0),
    (16, 2.0, 157, 125, 163, 91.0, 130),
    (20, 2.5, 245, 203, 255, 147, 203),
])  # fmt: skip
def test_loads_of_metric_threads(
    d: float, pitch: float, area: float, load_88: float, load_109: float, proof_88: float, proof_109: float
) -> None:
    """ISO 898-1 stress areas, least ultimate and proof loads of classes 8.8 and 10.9, as reprinted on public pages.

    0.4 %: the tables round the area to three figures and multiply then. Proof 580 MPa up to M16, 600 over it.
    """
    ours = clamp.stress_area_m2(d * MM, pitch * MM)
    strengths = {
        load_88: 800 if d <= 16 else 830,
        load_109: 1040,
        proof_88: 580 if d <= 16 else 600,
        proof_109: 830,
    }

    assert ours * 1e6 == pytest.approx(area, rel=0.004)
    for load, strength in strengths.items():
        assert clamp.preload_at_share_n(ours, strength * 1e6, 1.0) / 1e3 == pytest.approx(load, rel=0.004)


@pytest.mark.published("jindal-9-1")
@pytest.mark.parametrize("pitch, area", [(2.0, 156.7), (1.5, 167.2)])
def test_coarse_and_fine_area(pitch: float, area: float) -> None:
    """U. C. Jindal, Machine Design, Example 9-1 p. 266: M16 coarse and fine (second-hand copy read)."""
    assert clamp.stress_area_m2(16 * MM, pitch * MM) * 1e6 == pytest.approx(area, abs=0.05)


@pytest.mark.published("asme-b1.1")
@pytest.mark.parametrize("d, threads, area", [(0.5, 20, 0.1599), (0.5625, 18, 0.203), (0.625, 18, 0.256)])
def test_areas_of_wheel_studs(d: float, threads: float, area: float) -> None:
    """ASME B1.1 stress areas of 1/2-20, 9/16-18 and 5/8-18, as a public thread table prints them."""
    ours = clamp.stress_area_m2(d * INCH_M, INCH_M / threads, clamp.INCH_DEPTH_SHARE)

    assert ours / INCH_M**2 == pytest.approx(area, abs=0.0005)


@pytest.mark.published("en-1993-1-8")
@pytest.mark.parametrize("area, tensile, preload", [
    (157, 800, 87.9), (245, 800, 137.2), (353, 800, 197.7), (157, 1000, 109.9), (245, 1000, 171.5), (353, 1000, 247.1),
])  # fmt: skip
def test_structural_preload(area: float, tensile: float, preload: float) -> None:
    """EN 1993-1-8, 0.7 fub As for M16, M20, M24 of 8.8 and 10.9, as a public page prints it (EN 1090-2 values)."""
    assert clamp.preload_at_share_n(area * 1e-6, tensile * 1e6, 0.7) / 1e3 == pytest.approx(preload, abs=0.1)


@pytest.mark.published("wentzell-6-1")
def test_torque_for_a_share_of_proof() -> None:
    """T. H. Wentzell, Machine Design, Example 6.1 p. 120 (second-hand copy): 3/4-10, 85 % of 85 ksi, K 0.2: 3619.7 lb in."""
    pull = clamp.preload_at_share_n(0.334 * INCH_M**2, 85e3 * PSI_PA, 0.85)
    torque = clamp.torque_for_preload_n_m(pull, 0.2, 0.75 * INCH_M)

    assert torque / LB_IN_N_M == pytest.approx(3619.7, abs=0.1)
    assert clamp.preload_from_torque_n(3619.7 * LB_IN_N_M, 0.2, 0.75 * INCH_M) == pytest.approx(
        pull, rel=2e-5
    )
    assert clamp.strength_share(pull, 0.334 * INCH_M**2, 85e3 * PSI_PA) == pytest.approx(0.85, rel=1e-12)


@pytest.mark.published("jindal-9-5")
def test_torque_in_newton_metres() -> None:
    """Jindal, Machine Design, Example 9-5 p. 268 (second-hand copy): 75 % of 650 MPa on 115 mm2, d 14, K 0.2: 156.97 N m."""
    pull = clamp.preload_at_share_n(115e-6, 650e6, 0.75)

    assert clamp.torque_for_preload_n_m(pull, 0.2, 14 * MM) == pytest.approx(156.97, abs=0.01)


@pytest.mark.published("jindal-9-3")
def test_nut_factor_from_friction() -> None:
    """Jindal, Machine Design, Example 9-3 p. 267 (second-hand copy): d 18, P 2.5, 0.15 and 0.13, seat 1.25 d: K 0.18343.

    There the mean thread diameter lies halfway between outside and root; the pitch diameter would give 0.1830.
    """
    d, pitch = 18 * MM, 2.5 * MM
    mean = (d + clamp.root_diameter_m(d, pitch)) / 2

    assert clamp.nut_factor_share(d, mean, pitch, 0.15, 1.25 * d, 0.13) == pytest.approx(0.18343, abs=1e-5)


@pytest.mark.published("vdi-2230")
@pytest.mark.parametrize("d, pitch, yield_mpa, head, hole, pull_kn, torque", [
    (12, 1.25, 640, 16.63, 13.5, 48.0, 90),
    (20, 1.5, 660, 28.19, 22.0, 148, 454),
])  # fmt: skip
def test_assembly_values(
    d: float, pitch: float, yield_mpa: float, head: float, hole: float, pull_kn: float, torque: float
) -> None:
    """VDI 2230 guide values for fine threads of class 8.8, friction 0.12, 90 % of Rp0.2, on a supplier's catalogue page.

    0.3 % on the preload and 0.7 % on the torque: printed to two or three figures, seat diameters ours.
    """
    pull = clamp.assembly_preload_n(yield_mpa * 1e6, d * MM, pitch * MM, 0.12)
    mean = clamp.pitch_diameter_m(d * MM, pitch * MM)
    ours = clamp.assembly_torque_n_m(pull, pitch * MM, mean, 0.12, (head + hole) / 2 * MM, 0.12)

    assert pull / 1e3 == pytest.approx(pull_kn, rel=0.003)
    assert ours == pytest.approx(torque, rel=0.007)


@pytest.mark.published("wentzell-6-2")
def test_turn_and_heat() -> None:
    """Wentzell, Machine Design, Examples 6.2 and 6.3 pp. 121-122 (second-hand copy): grip 5 in: 43.35 degrees, 370.5 F."""
    area, grip = 0.334 * INCH_M**2, 5 * INCH_M
    pull = clamp.preload_at_share_n(area, 85e3 * PSI_PA, 0.85)
    rod = joint.rod_n_per_m([area], [grip], 30e6 * PSI_PA)

    assert degrees(joint.turn_rad(pull, rod, INCH_M / 10)) == pytest.approx(43.35, abs=0.01)
    assert joint.heating_k(pull / rod, grip, 6.5e-6 * 1.8) * 1.8 == pytest.approx(370.5, abs=0.1)


@pytest.mark.published("shigley-solutions-8")
@pytest.mark.parametrize("thick, modulus, hole, face, stiffness, digits", [
    (20, 207, 12, 18, 4470, 0.5), (22.5, 100, 12, 18, 2074, 0.5), (20, 207, 10, 15, 3503, 0.5), (22.5, 96, 10, 15, 1567, 0.5),
    (2.5, 100, 12, 41.09, 52230, 13), (2.5, 96, 10, 38.09, 44044, 12),
])  # fmt: skip
def test_one_cone(
    thick: float, modulus: float, hole: float, face: float, stiffness: float, digits: float
) -> None:
    """Solutions manual to Shigley's Mechanical Engineering Design, ch. 8 pp. 213 and 221: one frustum each, MN/m.

    Excerpts read on a public page. Two like frusta back to back are half as stiff as one. The last two rest on a
    diameter printed to four figures, which is worth 13 and 12 MN/m.
    """
    both = joint.clamped_n_per_m([2 * thick * MM], [modulus * 1e9], hole * MM, face * MM)

    assert 2 * both / 1e6 == pytest.approx(stiffness, abs=digits)


@pytest.mark.published("shigley-solutions-8")
@pytest.mark.parametrize("layers, moduli, hole, face, stiffness, digits", [
    ((20, 25), (207, 100), 12, 18, 1379, 0.5),
    ((20, 25), (207, 96), 10, 15, 1057, 0.5),
])  # fmt: skip
def test_joint_of_steel_on_iron(
    layers: tuple[float, ...],
    moduli: tuple[float, ...],
    hole: float,
    face: float,
    stiffness: float,
    digits: float,
) -> None:
    """The same manual, pp. 213 and 221: steel on cast iron, three frusta: 1379 and 1057 MN/m."""
    ours = joint.clamped_n_per_m([t * MM for t in layers], [e * 1e9 for e in moduli], hole * MM, face * MM)

    assert ours / 1e6 == pytest.approx(stiffness, abs=digits)


@pytest.mark.published("shigley-solutions-8")
def test_joint_of_four_cones() -> None:
    """The same manual, p. 215: steel 0.5, iron 0.625, steel 0.095 in on a 1/2 in bolt: 10.79 Mlbf/in, C 0.267 with 3.94."""
    million = 1e6 * LBF_N / INCH_M
    layers, moduli = [0.5, 0.625, 0.095], [30e6, 14.5e6, 30e6]
    ours = joint.clamped_n_per_m([t * INCH_M for t in layers], [e * PSI_PA for e in moduli], 0.5 * INCH_M, 0.75 * INCH_M)  # fmt: skip

    assert ours / million == pytest.approx(10.79, abs=0.005)
    assert 3.94 * million / (3.94 * million + ours) == pytest.approx(0.267, abs=0.0005)


@pytest.mark.published("shigley-solutions-8")
@pytest.mark.parametrize("shank, thread, stiffness", [(30, 15, 466.8), (10, 16, 744)])
def test_bolt_with_a_shank(shank: float, thread: float, stiffness: float) -> None:
    """The same manual, p. 213 and problem 8-23: M12, shank 113 mm2 and thread 84.3 mm2, 207 GPa: 466.8 and 744 MN/m."""
    ours = joint.rod_n_per_m([113e-6, 84.3e-6], [shank * MM, thread * MM], 207e9)

    assert ours / 1e6 == pytest.approx(stiffness, abs=0.5 if stiffness > 500 else 0.05)


@pytest.mark.published("shigley-solutions-8")
def test_preload_of_three_quarters() -> None:
    """The same manual, pp. 213 and 221: 0.75 of proof: 84.3 mm2 at 600 MPa 37.9 kN, 58 mm2 at 830 MPa 36.1 kN."""
    pulls = clamp.preload_at_share_n(
        np.array([84.3e-6, 58e-6]), np.array([600e6, 830e6]), np.array([0.75, 0.75])
    )

    assert pulls / 1e3 == pytest.approx([37.9, 36.1], abs=0.05)


@pytest.mark.published("machinery-thread-geometry")
def test_thread_diameters() -> None:
    """ISO 724 and ISO 898-1: M12x1.75 has a pitch diameter of 10.863 and a root diameter of 9.853 mm (from memory)."""
    assert clamp.pitch_diameter_m(12.0, 1.75) == pytest.approx(10.863, abs=0.0005)
    assert clamp.root_diameter_m(12.0, 1.75) == pytest.approx(9.853, abs=0.0005)
    assert pi / 4 * ((10.863 + 9.853) / 2) ** 2 == pytest.approx(clamp.stress_area_m2(12.0, 1.75), rel=1e-4)
