"""The rule that lets the pooled model speak: fleets it holds for, fleets it must refuse, and the rule by itself."""

from __future__ import annotations

import numpy as np
import pytest

from made_fleet import GROUPS, made
from wheeltapper.fleet.proof import LEAST, LEAST_UNITS, foretold, judged, prove
from wheeltapper.units import MILE_M

pytestmark = pytest.mark.reasoned
THOUSAND = 1000 * MILE_M


def test_windows_hold_nine_in_ten() -> None:
    """Made-up fleets of known truth, each reading foretold by units it does not know: 87 to 93 % lie in the 90 % windows."""
    told = [
        foretold(m.paths, m.group, GROUPS, m.unit, THOUSAND)[0]
        for m in (made(500 + k, 240) for k in range(5))
    ]
    share = np.concatenate(told)

    assert len(share) > 2500
    assert 0.87 <= np.mean((share > 0.05) & (share < 0.95)) <= 0.93
    assert 0.46 <= np.mean(share > 0.5) <= 0.54


@pytest.mark.parametrize("seed", [1, 2])
def test_a_fleet_as_the_model_thinks_of_it_is_taken(seed: int) -> None:
    """It is used, and says by how much it held."""
    fleet = made(seed, 160)
    proof = prove(fleet.paths, fleet.group, GROUPS, fleet.unit, THOUSAND)

    assert proof.used
    assert proof.low < 0.9 < proof.high
    assert 0.8 < (proof.held_share or 0) < 1


@pytest.mark.parametrize("bend", [0.4, 1.0])
def test_a_fleet_that_wears_ever_faster_is_refused(bend: float) -> None:
    """Wear that speeds up with age is no line: readings come out to one side, and the rule says so."""
    fleet = made(2, 240, bend=bend)
    proof = prove(fleet.paths, fleet.group, GROUPS, fleet.unit, THOUSAND)

    assert not proof.used
    assert "one side" in proof.why or "more worn" in proof.why


def test_too_few_are_not_asked() -> None:
    """A small shop: nothing is foretold, and it says how many it takes."""
    fleet = made(1, 24)
    proof = prove(fleet.paths, fleet.group, GROUPS, fleet.unit, THOUSAND)

    assert (proof.used, proof.held, proof.held_share) == (False, None, None)
    assert str(LEAST) in proof.why


@pytest.mark.parametrize(
    "share, used",
    [
        (np.linspace(0.0025, 0.9975, 200), True),  # just as promised
        (np.linspace(0.0025, 0.9975, 80), True),  # enough to show four in five
        (np.linspace(0.0025, 0.9975, 60), False),  # 54 of 60 held: not yet shown
        (np.tile([0.4, 0.6], 200), True),  # far too wide, and so no danger
        (np.clip(np.linspace(-0.1, 1.1, 400), 0, 1), False),  # too narrow
        (np.append(np.linspace(0.06, 0.94, 360), np.full(40, 0.99)), False),  # too often more worn
        (np.linspace(0.06, 0.99, 400) ** 0.6, False),  # to one side
    ],
)
def test_the_rule(share: np.ndarray, used: bool) -> None:
    """From where readings fell in their predictions alone."""
    proof = judged(share, np.arange(len(share)) % 20)

    assert proof.used == used
    assert proof.why


def test_units_that_come_out_alike_count_less() -> None:
    """All misses on a few units: the same share held, surer of less."""
    share = np.where(np.arange(200) < 20, 0.01, 0.5)
    spread, bunched = judged(share, np.arange(200) % LEAST_UNITS), judged(share, np.arange(200) // 20)

    assert spread.held == bunched.held == 180
    assert spread.alike == 1.0
    assert bunched.alike > 10
    assert bunched.low < spread.low
    assert not bunched.used
