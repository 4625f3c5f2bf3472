"""Threads and joints by other roads: forces on a flank, springs solved as equations, cones summed slice by slice."""

from __future__ import annotations

from math import cos, inf, pi, radians, sin, tan

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from wheeltapper.measure import clamp, joint
from wheeltapper.problems import NoAnswerError

D, P = 12e-3, 1.5e-3
FRICTION = st.floats(0.02, 0.4)


@pytest.mark.second_way
@given(friction=FRICTION, lead=st.floats(0.5e-3, 6e-3), flank=st.floats(0.0, 0.7), pull=st.floats(1e2, 1e5))
def test_thread_by_forces_on_its_flank(friction: float, lead: float, flank: float, pull: float) -> None:
    """Normal force and push on an inclined plane as two equations, solved by numpy."""
    mean = 11e-3
    climb = np.arctan(lead / (pi * mean))
    rub = friction / cos(flank)
    along = np.array([[cos(climb) - rub * sin(climb), 0.0], [sin(climb) + rub * cos(climb), -1.0]])
    _, push = np.linalg.solve(along, [pull, 0.0])

    assert clamp.thread_torque_n_m(pull, mean, lead, friction, flank) == pytest.approx(
        push * mean / 2, rel=1e-9
    )


@pytest.mark.reasoned
@given(lead=st.floats(0.5e-3, 6e-3), pull=st.floats(1e2, 1e5))
def test_without_friction_all_work_lifts(lead: float, pull: float) -> None:
    """One turn without friction does the work of the pull over one lead."""
    assert 2 * pi * clamp.thread_torque_n_m(pull, 11e-3, lead, 0.0) == pytest.approx(pull * lead, rel=1e-12)
    assert clamp.collar_torque_n_m(pull, 15e-3, 0.0) == 0


@pytest.mark.second_way
@pytest.mark.parametrize("cone", [60, 90, 120, 180])
def test_conical_seat_by_rings(cone: float) -> None:
    """An even pressure on a narrow cone, ring by ring: the pull is its axial part, the torque its friction."""
    half, inner, outer = radians(cone) / 2, 7.99e-3, 8.01e-3
    edges = np.linspace(inner, outer, 2001)
    radius = (edges[:-1] + edges[1:]) / 2
    area = 2 * pi * radius * np.diff(edges) / sin(half)
    pull, torque = (area * sin(half)).sum(), (0.15 * area * radius).sum()

    assert clamp.collar_torque_n_m(pull, 16e-3, 0.15, radians(cone)) == pytest.approx(torque, rel=1e-6)


@pytest.mark.reasoned
def test_a_cone_nut_takes_more_torque_for_the_same_clamp() -> None:
    """60 degrees doubles the seat's friction, 90 raises it by the root of two, 180 is flat."""
    flat = clamp.collar_torque_n_m(1e4, 16e-3, 0.12)

    assert clamp.collar_torque_n_m(1e4, 16e-3, 0.12, radians(60)) == pytest.approx(2 * flat, rel=1e-12)
    assert clamp.collar_torque_n_m(1e4, 16e-3, 0.12, radians(90)) == pytest.approx(2**0.5 * flat, rel=1e-12)


@pytest.mark.reasoned
@given(torque=st.floats(1, 500), factor=st.floats(0.05, 0.5))
def test_torque_and_clamp_turn_round(torque: float, factor: float) -> None:
    """The torque of the clamp of a torque is that torque; more friction leaves less clamp."""
    pull = clamp.preload_from_torque_n(torque, factor, D)

    assert clamp.torque_for_preload_n_m(pull, factor, D) == pytest.approx(torque, rel=1e-12)
    assert clamp.preload_from_torque_n(torque, factor * 1.1, D) < pull


@pytest.mark.reasoned
@given(rub=FRICTION, seat=FRICTION)
def test_nut_factor_is_torque_over_clamp_and_diameter(rub: float, seat: float) -> None:
    """K d F is the sum of thread and seat torque, and the three-part form differs only by its rounded constants."""
    mean, pull = clamp.pitch_diameter_m(D, P), 4e4
    whole = clamp.thread_torque_n_m(pull, mean, P, rub) + clamp.collar_torque_n_m(pull, 15e-3, seat)
    factor = clamp.nut_factor_share(D, mean, P, rub, 15e-3, seat)

    assert clamp.torque_for_preload_n_m(pull, factor, D) == pytest.approx(whole, rel=1e-12)
    assert clamp.assembly_torque_n_m(pull, P, mean, rub, 15e-3, seat) == pytest.approx(whole, rel=0.03)


@pytest.mark.second_way
@pytest.mark.parametrize("rub", [0.08, 0.12, 0.2])
def test_assembly_preload_by_stresses(rub: float) -> None:
    """Tension and twist of the core at that pull make 90 % of the yield strength, twist as in a bar gone plastic."""
    pull = clamp.assembly_preload_n(640e6, D, P, rub)
    core = (clamp.pitch_diameter_m(D, P) + clamp.root_diameter_m(D, P)) / 2
    mean = clamp.pitch_diameter_m(D, P)
    torque = pull * mean / 2 * (P / (pi * mean) + 1.155 * rub)
    tension, twist = pull / (pi / 4 * core**2), torque / (pi / 12 * core**3)

    assert (tension**2 + 3 * twist**2) ** 0.5 == pytest.approx(0.9 * 640e6, rel=1e-4)


@pytest.mark.second_way
@pytest.mark.parametrize("layers, moduli", [((5e-3,), (205e9,)), ((4e-3, 12e-3), (71e9, 100e9)), ((2e-3, 3e-3, 9e-3), (205e9, 71e9, 110e9))])  # fmt: skip
def test_cones_by_slices(layers: tuple[float, ...], moduli: tuple[float, ...]) -> None:
    """Twenty thousand slices of both cones, each a ring in compression, summed."""
    hole, face, whole = 13e-3, 19e-3, sum(layers)
    x = (np.arange(20000) + 0.5) * whole / 20000
    wide = face + 2 * np.minimum(x, whole - x) * tan(pi / 6)
    modulus = np.asarray(moduli)[np.searchsorted(np.cumsum(layers), x)]
    give = (whole / 20000 / (modulus * pi / 4 * (wide**2 - hole**2))).sum()

    assert joint.clamped_n_per_m(layers, moduli, hole, face) == pytest.approx(1 / give, rel=1e-4)


@pytest.mark.second_way
@given(stud=st.floats(1e8, 1e9), clamped=st.floats(2e8, 1e10), settled=st.floats(0, 1e-4))
def test_lost_clamp_by_two_springs(stud: float, clamped: float, settled: float) -> None:
    """Stud and joint as equations: equal forces, and the stud's stretch and the joint's squeeze fill what is left."""
    squeezed = 2e-4  # how much both deform together when tight
    stretch, _ = np.linalg.solve([[stud, -clamped], [1, 1]], [0, squeezed - settled])
    tight, _ = np.linalg.solve([[stud, -clamped], [1, 1]], [0, squeezed])
    both = joint.series_n_per_m(stud, clamped)

    assert joint.settled_preload_n(settled, both) == pytest.approx(
        stud * (tight - stretch), rel=1e-6, abs=1e-3
    )


@pytest.mark.reasoned
@given(angle=st.floats(0.01, 3), stud=st.floats(1e8, 1e9))
def test_turn_and_clamp_turn_round(angle: float, stud: float) -> None:
    """The turn of the clamp of a turn is that turn, and a turn is the settling of its part of the pitch."""
    pull = joint.turned_preload_n(angle, stud, P)

    assert joint.turn_rad(pull, stud, P) == pytest.approx(angle, rel=1e-12)
    assert joint.settled_preload_n(angle / (2 * pi) * P, stud) == pytest.approx(pull, rel=1e-12)


@pytest.mark.reasoned
def test_a_rigid_joint_is_the_stud_alone_and_heat_alike_changes_nothing() -> None:
    """Limits: an infinite joint leaves the stud's stiffness; like metals grow alike; aluminium tightens when warm."""
    assert joint.series_n_per_m(5e8, inf) == pytest.approx(5e8, rel=1e-15)
    assert joint.heated_preload_n(5e8, 0.02, 12e-6, 12e-6, 80.0) == 0
    assert joint.heated_preload_n(5e8, 0.02, 23e-6, 12e-6, 80.0) == pytest.approx(5e8 * 0.02 * 11e-6 * 80)


@pytest.mark.second_way
@pytest.mark.parametrize("studs", [3, 4, 5, 6, 8])
def test_pulls_stud_by_stud(studs: int) -> None:
    """A rigid face turned about the axis that is worst: each stud's pull from equilibrium, the largest taken."""
    radius, moment, off = 0.07, 800.0, 300.0
    worst = 0.0
    for turned in np.linspace(0, 2 * pi, 721):
        height = radius * np.sin(turned + 2 * pi * np.arange(studs) / studs)
        shape = np.column_stack([np.ones(studs), height])
        tilt = np.linalg.solve(shape.T @ shape, [off, moment])
        worst = max(worst, float((shape @ tilt).max()))

    assert joint.stud_pull_n(moment, off, float(studs), 2 * radius) == pytest.approx(worst, rel=1e-4)


@pytest.mark.second_way
@pytest.mark.parametrize("studs", [4, 5, 6, 8])
def test_shears_stud_by_stud(studs: int) -> None:
    """Twist and push as vectors on every stud, the push turned to the worst: the largest sum."""
    radius, twist, push = 0.07, 2000.0, 5000.0
    angle = 2 * pi * np.arange(studs) / studs
    around = twist / (studs * radius) * np.exp(1j * (angle + pi / 2))
    worst = max(
        np.abs(around + push / studs * np.exp(1j * t)).max() for t in np.linspace(0, 2 * pi, 24 * studs + 1)
    )

    assert joint.stud_shear_n(twist, push, float(studs), 2 * radius) == pytest.approx(worst, rel=1e-9)


@pytest.mark.reasoned
def test_clamp_needed() -> None:
    """Half the friction needs twice the clamp for shear, and a pull is added whole."""
    assert joint.clamp_needed_n(1000.0, 0.0, 0.1) == pytest.approx(2 * joint.clamp_needed_n(1000.0, 0.0, 0.2))
    assert joint.clamp_needed_n(1000.0, 500.0, 0.2) == pytest.approx(5500)


@pytest.mark.reasoned
def test_many_corners_at_once() -> None:
    """An array in is an array out, each place as it is alone."""
    d, pitch, rub = np.array([12e-3, 14e-3]), np.array([1.5e-3, 1.5e-3]), np.array([0.1, 0.2])
    factors = clamp.nut_factor_share(d, d - pitch, pitch, rub, 1.25 * d, rub)
    stiff = joint.clamped_n_per_m([d, d / 2], [71e9 + 0 * d, 110e9 + 0 * d], d, 1.5 * d)

    for n in range(2):
        alone = clamp.nut_factor_share(d[n], d[n] - pitch[n], pitch[n], rub[n], 1.25 * d[n], rub[n])
        assert factors[n] == pytest.approx(alone, rel=1e-14)
        assert stiff[n] == pytest.approx(
            joint.clamped_n_per_m([d[n], d[n] / 2], [71e9, 110e9], d[n], 1.5 * d[n])
        )
    assert isinstance(clamp.stress_area_m2(D, P), float)


@pytest.mark.reasoned
@pytest.mark.parametrize("asked", [
    lambda: clamp.stress_area_m2(D, 0.0),
    lambda: clamp.stress_area_m2(D, 0.02),
    lambda: clamp.stress_area_m2(np.array([D, D]), np.array([P, -P])),
    lambda: clamp.thread_torque_n_m(1e4, 11e-3, P, -0.1),
    lambda: clamp.thread_torque_n_m(1e4, 11e-3, 0.03, 2.0),
    lambda: clamp.thread_torque_n_m(1e4, 11e-3, P, 0.1, pi / 2),
    lambda: clamp.collar_torque_n_m(1e4, 15e-3, -0.1),
    lambda: clamp.collar_torque_n_m(1e4, 15e-3, 0.1, 0.0),
    lambda: clamp.torque_for_preload_n_m(1e4, -0.2, D),
    lambda: clamp.preload_from_torque_n(100.0, 0.0, D),
    lambda: clamp.preload_from_torque_n(100.0, float("nan"), D),
    lambda: clamp.strength_share(1e4, 0.0, 600e6),
    lambda: joint.rod_n_per_m([], [], 205e9),
    lambda: joint.rod_n_per_m([0.0], [0.02], 205e9),
    lambda: joint.rod_n_per_m([1e-4], [0.0], 205e9),
    lambda: joint.clamped_n_per_m([0.01], [205e9], 13e-3, 13e-3),
    lambda: joint.clamped_n_per_m([0.0], [205e9], 13e-3, 19e-3),
    lambda: joint.clamped_n_per_m([0.01, 0.01], [205e9], 13e-3, 19e-3),
    lambda: joint.clamped_n_per_m([0.01], [205e9], 13e-3, 19e-3, 0.0),
    lambda: joint.series_n_per_m(0.0, 1e9),
    lambda: joint.turn_rad(1e4, 5e8, 0.0),
    lambda: joint.turned_preload_n(1.0, -5e8, P),
    lambda: joint.heating_k(1e-5, 0.0, 1e-5),
    lambda: joint.stud_shear_n(1e3, 0.0, 1.0, 0.14),
    lambda: joint.stud_pull_n(1e3, 0.0, 2.0, 0.14),
    lambda: joint.clamp_needed_n(1e3, 0.0, 0.0),
])  # fmt: skip
def test_what_cannot_be_answered(asked: object) -> None:
    """Zero pitch, negative K, no friction, a hole as wide as its nut: refused, with what to do."""
    assert callable(asked)
    with pytest.raises(NoAnswerError) as slip:
        asked()

    assert len(slip.value.what) > 10
    assert slip.value.do.endswith(".")
