"""Conformance and combined uncertainty against the guides of the Joint Committee for Guides in Metrology."""

from __future__ import annotations

import pytest

from wheeltapper.measure.margin import combined, conformance_share, conformance_share_least


@pytest.mark.published("jcgm-106-clause-7")
def test_breakdown_voltage() -> None:
    """JCGM 106:2012, clause 7, breakdown voltage: T_U = -5.40, y = -5.47, u = 0.05 gives p_c = 0.92.

    The printed value was recalled and recomputed; the document itself was not seen.
    """
    assert conformance_share(-5.47, 2 * 0.05, -5.40) == pytest.approx(0.92, abs=0.005)


@pytest.mark.published("jcgm-106-8.3.2")
@pytest.mark.parametrize("bands, outside", [(2.0, 0.02275), (1.6449, 0.05)])
def test_at_the_acceptance_limit(bands: float, outside: float) -> None:
    """JCGM 106:2012, 8.3.2: measured just at a limit drawn in by w = 2 u leaves 2.275 %, by 1.645 u leaves 5 %."""
    limit, u = 10.090, 0.0015
    upper = 1 - conformance_share(limit - bands * u, 2 * u, limit)
    lower = 1 - conformance_share_least(limit + bands * u, 2 * u, limit)

    assert upper == pytest.approx(outside, abs=5e-6)
    assert lower == pytest.approx(outside, abs=5e-6)


@pytest.mark.published("gum-h1")
def test_end_gauge() -> None:
    """JCGM 100:2008 (GUM), Annex H.1, end gauge of 50 mm: combined standard uncertainty 32 nm.

    Contributions in nm: the standard 25; the difference 5.8, 3.9 and 6.7; expansion 50 mm * 0.1 K * 0.58e-6 / K;
    temperature 50 mm * 11.5e-6 / K * 0.029 K.
    """
    expansion = 50e6 * 0.1 * 1e-6 / 3**0.5
    temperature = 50e6 * 11.5e-6 * 0.05 / 3**0.5

    assert combined((25, 5.8, 3.9, 6.7, expansion, temperature)) == pytest.approx(32, abs=0.5)
