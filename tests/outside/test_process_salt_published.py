"""Water phase salt and water activity against published and derived values."""

from __future__ import annotations

import pytest

from lotwake.trace.process.basis import Verdict
from lotwake.trace.process.salt import SaltSample, estimate_water_activity, judge_wps, osmotic_coefficient

# (salt %, moisture %, WPS %, meets 3.5, meets 3.0): derived from the formula of FDA guidance ch. 13 (from memory).
WPS = [
    (2.5, 65, 3.70, True, True),
    (1.9, 58, 3.17, False, True),
    (2.1, 62, 3.28, False, True),
    (1.8, 49, 3.54, True, True),
    (2.2, 60, 3.54, True, True),
    (2.4, 66.2, 3.4985, False, True),
]


@pytest.mark.parametrize(("salt", "moisture", "wps", "meets_35", "meets_30"), WPS)
def test_water_phase_salt(salt: float, moisture: float, wps: float, meets_35: bool, meets_30: bool) -> None:
    """The figure and both verdicts are the derived ones; 3.4985 prints as 3.50 and does not meet 3.5."""
    sample = SaltSample(salt, moisture)
    assert sample.wps_percent == pytest.approx(wps, abs=0.01)
    assert (judge_wps([sample], 3.5).verdict is Verdict.MET) is meets_35
    assert (judge_wps([sample], 3.0).verdict is Verdict.MET) is meets_30


# NaCl in water at 25 C: ICMSF 1980 (from memory).
ICMSF = [(0.88, 0.995), (1.74, 0.99), (3.43, 0.98), (6.57, 0.96), (9.38, 0.94), (11.90, 0.92), (14.18, 0.90)]
ICMSF += [(16.28, 0.88), (18.18, 0.86)]
# FDA Hazards Guide App. 4 Table A-1 pairs, published, read in a research note.
FDA_PAIRS = [(5, 0.97), (10, 0.935)]


@pytest.mark.parametrize(("percent", "aw"), ICMSF + FDA_PAIRS)
def test_water_activity_of_salt(percent: float, aw: float) -> None:
    """The estimate is within 0.001 of the table."""
    assert estimate_water_activity(percent).aw == pytest.approx(aw, abs=0.001)


def test_six_molal_salt() -> None:
    """6 mol/kg: aw 0.760, osmotic coefficient 1.271 (Robinson and Stokes 1965, worked in a meter manual, published)."""
    percent = 100 * 6 * 0.058443 / (1 + 6 * 0.058443)
    assert estimate_water_activity(percent).aw == pytest.approx(0.760, abs=0.001)
    assert osmotic_coefficient(6) == pytest.approx(1.271, abs=0.005)


def test_saturated_salt() -> None:
    """Saturated at 25 C (26.4 %): 0.753 by a published model."""
    assert estimate_water_activity(26.4).aw == pytest.approx(0.753, abs=0.001)
