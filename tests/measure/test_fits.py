"""Press fits by reason and a second way: finite elements, exact expansion, limits that must hold."""

from __future__ import annotations

from typing import Any

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from wheeltapper.measure import fits
from wheeltapper.measure.fits import Rings
from wheeltapper.problems import NoAnswerError

CUP = Rings(0.0752, 0.0829, 0.108, 207e9, 0.30, 97e9, 0.26)  # a cup of bearing steel in grey iron
DEEP = Rings(0.030, 0.050, 0.090, 207e9, 0.30, 71e9, 0.33)  # thicker, in aluminium


def by_finite_elements(rings: Rings, diametral_m: float) -> dict[str, float]:
    """A quarter of both rings in plane stress, one bonded mesh; the inner one swells freely by the interference.

    Nothing of the thick-ring formulas is used: pressure comes from cutting the outer ring open along one side and
    adding up what pulls across the cut.
    """
    import skfem
    from skfem.helpers import ddot, eye, sym_grad, trace

    bore, joint, rim = rings.bore_m / 2, rings.joint_m / 2, rings.rim_m / 2
    radii = np.unique(np.concatenate([np.linspace(bore, joint, 9), np.linspace(joint, rim, 13)]))
    flat = skfem.MeshQuad.init_tensor(radii, np.linspace(0, np.pi / 2, 17))
    mesh = skfem.MeshQuad2.from_mesh(flat)
    r, angle = mesh.doflocs
    mesh = skfem.MeshQuad2(np.array([r * np.cos(angle), r * np.sin(angle)]), mesh.t)
    basis = skfem.Basis(mesh, skfem.ElementVector(skfem.ElementQuad2()), intorder=5)
    swell = diametral_m / rings.joint_m

    def stress(strain: Any, x: Any, free: float) -> Any:
        """Plane stress, the free swelling of the inner ring taken off first."""
        inner = np.hypot(x[0], x[1]) < joint
        e = np.where(inner, rings.inner_modulus_pa, rings.outer_modulus_pa)
        nu = np.where(inner, rings.inner_poisson_share, rings.outer_poisson_share)
        left = strain - eye(np.where(inner, free, 0.0), 2)
        return e / (1 + nu) * left + eye(e * nu / (1 - nu**2) * trace(left), 2)

    @skfem.BilinearForm
    def stiff(u: Any, v: Any, w: Any) -> Any:
        """Work of the elastic stress."""
        return ddot(stress(sym_grad(u), w.x, 0.0), sym_grad(v))

    @skfem.LinearForm
    def push(v: Any, w: Any) -> Any:
        """Work of the stress that swelling would make in a held ring."""
        return -ddot(stress(np.zeros_like(sym_grad(v)), w.x, swell), sym_grad(v))

    held = np.concatenate(
        [
            basis.get_dofs(lambda x: np.abs(x[1]) < 1e-9).all("u^2"),
            basis.get_dofs(lambda x: np.abs(x[0]) < 1e-9).all("u^1"),
        ]
    )
    u = skfem.solve(*skfem.condense(stiff.assemble(basis), push.assemble(basis), D=held))
    cut = mesh.facets_satisfying(lambda x: np.abs(x[1]) < 1e-9, boundaries_only=True)
    outer = cut[np.hypot(*mesh.p[:, mesh.facets[:, cut]].mean(axis=1)) > joint]
    across = skfem.FacetBasis(mesh, basis.elem, facets=outer, intorder=5)

    @skfem.Functional
    def pull(w: Any) -> Any:
        """Stress across the cut."""
        return stress(sym_grad(w["u"]), w.x, swell)[1, 1]

    sideways = basis.nodal_dofs[0]

    def moves(radius: float) -> float:
        """How far the corner of the mesh at this radius on the cut moves outward."""
        away = np.hypot(*(basis.doflocs[:, sideways] - [[radius], [0.0]]))
        assert away.min() < 1e-12
        return float(u[sideways[away.argmin()]])

    return {
        "pressure": pull.assemble(across, u=across.interpolate(u)) / joint,
        "rim": 2 * moves(rim),
        "bore": 2 * (moves(bore) - swell * bore),  # the free swelling is no part of the fit
    }


@pytest.mark.second_way
@pytest.mark.parametrize("rings", [CUP, DEEP], ids=["cup in iron", "deep in aluminium"])
def test_two_rings_by_finite_elements(rings: Rings) -> None:
    """Pressure, growth of the hub and closing of the cup agree with finite elements to a tenth of a percent."""
    tight = 50e-6
    pressure = fits.pressure_pa(rings, tight)
    by_fe = by_finite_elements(rings, tight)

    assert pressure == pytest.approx(by_fe["pressure"], rel=1e-3)
    assert fits.rim_growth_m(rings, pressure) == pytest.approx(by_fe["rim"], rel=1e-3)
    assert -fits.bore_shrink_m(rings, pressure) == pytest.approx(by_fe["bore"], rel=1e-3)


@pytest.mark.reasoned
def test_expansion_of_a_cup_and_its_hub() -> None:
    """80 mm, 100 K warmer: an aluminium hub loses 80 * (23 - 11.7) * 1e-4 = 0.0904 mm, an iron one gains 0.0096 mm."""
    aluminium = fits.hot_interference_m(0.0, 0.080, 11.7e-6, 23e-6, 100.0, 100.0)
    iron = fits.hot_interference_m(0.0, 0.080, 11.7e-6, 10.5e-6, 100.0, 100.0)

    assert aluminium == pytest.approx(-0.0904e-3, abs=1e-12)
    assert iron == pytest.approx(0.0096e-3, abs=1e-12)


@pytest.mark.reasoned
def test_nothing_is_left_at_the_loose_temperature() -> None:
    """At the rise found, with the cup leading by some degrees, the hot interference is zero."""
    rise = fits.loose_rise_k(50e-6, 0.080, 11.7e-6, 23e-6, 8.0)

    assert fits.hot_interference_m(50e-6, 0.080, 11.7e-6, 23e-6, rise + 8.0, rise) == pytest.approx(
        0.0, abs=1e-15
    )


@pytest.mark.reasoned
def test_an_iron_hub_never_lets_go_by_even_heat() -> None:
    """Iron grows less than the cup: there is no such temperature, and the answer says so."""
    with pytest.raises(NoAnswerError, match="grows no faster"):
        fits.loose_rise_k(50e-6, 0.080, 11.7e-6, 10.5e-6)


@pytest.mark.reasoned
def test_heat_to_drop_in() -> None:
    """Warmed by the rise found, the bore is larger than the part by the clearance asked for."""
    rise = fits.fitting_rise_k(50e-6, 20e-6, 0.080, 10.5e-6)

    assert 0.080 * 10.5e-6 * rise == pytest.approx(70e-6)


@pytest.mark.reasoned
def test_a_thin_ring_on_a_rigid_core() -> None:
    """A thin hub on a very stiff solid part: hoop strain = interference / diameter, pressure = E strain 2 t / D."""
    rings = Rings(0.0, 0.100, 0.1002, 1e18, 0.0, 100e9, 0.3)
    pressure = fits.pressure_pa(rings, 50e-6)

    assert pressure == pytest.approx(100e9 * 50e-6 / 0.100 * 2 * 0.0001 / 0.100, rel=5e-3)
    assert fits.stresses(rings, pressure).outer_joint_hoop_pa == pytest.approx(50e6, rel=5e-3)


@pytest.mark.reasoned
def test_a_solid_part_is_pressed_alike_everywhere() -> None:
    """Hoop and radial stress of a solid part are minus the pressure; a pin hole in it doubles the hoop stress there."""
    solid = fits.stresses(Rings(0.0, 0.05, 0.08, 2e11, 0.3, 2e11, 0.3), 1e6)
    pierced = fits.stresses(Rings(1e-7, 0.05, 0.08, 2e11, 0.3, 2e11, 0.3), 1e6)

    assert solid.inner_bore_hoop_pa == solid.inner_joint_hoop_pa == -1e6
    assert pierced.inner_bore_hoop_pa == pytest.approx(-2e6)


@pytest.mark.reasoned
def test_stress_meets_the_pressure_at_both_walls() -> None:
    """Radial stress at bore and rim is minus the pressure there; hoop plus radial is the same all through."""
    inside = fits.ring_stress_pa(0.05, 0.08, 3e6, 1e6, 0.05)
    middle = fits.ring_stress_pa(0.05, 0.08, 3e6, 1e6, 0.06)
    outside = fits.ring_stress_pa(0.05, 0.08, 3e6, 1e6, 0.08)

    assert inside[0] == pytest.approx(-3e6)
    assert outside[0] == pytest.approx(-1e6)
    assert sum(inside) == pytest.approx(sum(middle)) == pytest.approx(sum(outside))
    with pytest.raises(NoAnswerError, match="not in the ring"):
        fits.ring_stress_pa(0.05, 0.08, 3e6, 1e6, 0.09)


@pytest.mark.reasoned
def test_equivalent_stress_of_simple_states() -> None:
    """Alone it is the stress itself; pure shear, s and -s, gives s times the root of three."""
    assert fits.von_mises_pa(-7e6, 0.0) == pytest.approx(7e6)
    assert fits.von_mises_pa(1e6, -1e6) == pytest.approx(3**0.5 * 1e6)


@pytest.mark.reasoned
def test_pressure_and_interference_undo_each_other() -> None:
    """The interference for a pressure gives that pressure; a clearance gives none, and says to call it loose."""
    assert fits.pressure_pa(CUP, fits.diametral_m(CUP, 9e6)) == pytest.approx(9e6)
    assert fits.pressure_pa(CUP, 0.0) == 0.0
    with pytest.raises(NoAnswerError, match="smaller than its bore"):
        fits.pressure_pa(CUP, -1e-6)
    with pytest.raises(NoAnswerError, match="negative"):
        fits.diametral_m(CUP, -1e6)


@pytest.mark.reasoned
@pytest.mark.parametrize("sizes", [(0.05, 0.05, 0.08), (-0.01, 0.05, 0.08), (0.01, 0.05, 0.04)])
def test_rings_that_cannot_be(sizes: tuple[float, float, float]) -> None:
    """Diameters that are not one inside the other have no answer, nor has a metal without stiffness."""
    with pytest.raises(NoAnswerError, match="one inside the other"):
        Rings(*sizes, 2e11, 0.3, 2e11, 0.3)
    with pytest.raises(NoAnswerError, match="modulus"):
        Rings(0.0, 0.05, 0.08, 2e11, 0.3, 0.0, 0.3)
    with pytest.raises(NoAnswerError, match="Poisson"):
        Rings(0.0, 0.05, 0.08, 2e11, 0.6, 2e11, 0.3)


@pytest.mark.reasoned
@pytest.mark.parametrize(
    "least, most, kind", [(0.0, 1.0, "interference"), (-1.0, 0.0, "clearance"), (-1.0, 1.0, "transition")]
)
def test_kinds_of_fit(least: float, most: float, kind: str) -> None:
    """A fit that only touches at one end counts with the rest of its range."""
    assert fits.kind_of_fit(least, most) == kind


@pytest.mark.reasoned
def test_swapped_limits() -> None:
    """A low limit over its high one is refused."""
    with pytest.raises(NoAnswerError, match="low limit"):
        fits.interference_limits_m(41e-6, 28e-6, 0.0, 21e-6)


@pytest.mark.reasoned
@given(st.floats(-100e-6, 150e-6), st.floats(0, 200e-6), st.floats(0, 200e-6))
def test_more_wear_never_presses_harder(tight: float, wear: float, more: float) -> None:
    """Pressure falls or stays as the bore wears, and is never negative."""
    before, after = (float(fits.pressure_left_pa(CUP, tight, w)) for w in (wear, wear + more))

    assert 0 <= after <= before


@pytest.mark.reasoned
def test_a_row_of_corners_at_once() -> None:
    """Arrays of sizes give what one size after the other gives, in every result."""
    joints = np.array([0.050, 0.060, 0.083])
    many = Rings(joints * 0.9, joints, joints * 1.3, 207e9, 0.3, 97e9, 0.26)
    pressure = fits.pressure_pa(many, 40e-6)
    s = fits.stresses(many, pressure)

    for i, joint in enumerate(joints):
        one = Rings(joint * 0.9, joint, joint * 1.3, 207e9, 0.3, 97e9, 0.26)
        alone = fits.stresses(one, fits.pressure_pa(one, 40e-6))
        assert np.asarray(s.outer_mises_pa)[i] == pytest.approx(alone.outer_mises_pa)
        assert np.asarray(s.inner_bore_hoop_pa)[i] == pytest.approx(alone.inner_bore_hoop_pa)


@pytest.mark.reasoned
def test_mean_raceway() -> None:
    """The stand-in lies between cone bore and cup, a fifth of the way in."""
    assert fits.mean_raceway_m(0.080, 0.040) == pytest.approx(0.072)
