"""Figures of public rules, against the values their sources print."""

from __future__ import annotations

import pytest

from lotwake.trace.process.histamine import EU_PLAN
from lotwake.trace.process.limits import PROCESS_FIGURES, RECORD_FIGURES, Standing, published

PUBLISHED, SECOND_HAND, MEMORY = Standing.READ, Standing.COPY, Standing.FROM_MEMORY

FIGURES = [
    ("exposure_total", 2, 2, "h", PUBLISHED, "FDA Hazards Guide App. 4 Table A-2 text"),
    ("exposure_mostly_cool", 4, 4, "h", PUBLISHED, "FDA Hazards Guide App. 4"),
    ("exposure_warm_part", 2, 2, "h", PUBLISHED, "FDA Hazards Guide App. 4"),
    ("exposure_s_aureus", 3, 3, "h", PUBLISHED, "FDA Hazards Guide App. 4 Table A-2"),
    ("cold_store_label", 38, 38, "F", PUBLISHED, "Michigan R 285.569.8; Wisconsin/NY label rule"),
    (
        "hot_smoke_core_f",
        145,
        145,
        "F",
        SECOND_HAND,
        "Alaska 18 AAC 34.310, Wisconsin ATCP 70 App. A, NY 1 NYCRR 262.5",
    ),
    ("hot_smoke_held", 30, 30, "min", SECOND_HAND, "Alaska 18 AAC 34.310, Wisconsin ATCP 70 App. A, NY 1 NYCRR 262.5"),
    ("brine_start", 60, 60, "F", SECOND_HAND, "New York rule in the UC Davis compendium copy"),
    ("long_brining_temp", 38, 38, "F", SECOND_HAND, "New York rule in the UC Davis compendium copy"),
    ("cold_smoke_air", 33, 33, "C", PUBLISHED, "Torry Advisory Note 82"),
    ("hot_smoke_air", 70, 80, "C", PUBLISHED, "Torry Advisory Note 82"),
    ("kipper_loss", 14, 14, "%", SECOND_HAND, "Torry text on kippers"),
    ("smoked_salmon_loss", 16, 18, "%", SECOND_HAND, "Torry text on smoked salmon"),
    ("botulinum_growth", 3.3, 3.3, "C", SECOND_HAND, "FDA Hazards Guide App. 4 Table A-1"),
    ("smoke_dried_aw", 0.75, 0.75, "aw", MEMORY, "CXS 311-2013 2.3.2"),
    ("canada_drill", 12, 12, "months", PUBLISHED, "Safe Food for Canadians Regulations s.84(2)"),
    ("canada_drill_kept", 2, 2, "years", PUBLISHED, "Safe Food for Canadians Regulations s.84"),
    ("fsma_answer", 24, 24, "h", SECOND_HAND, "21 CFR 1.1455(c) as summarised by a law-firm note"),
    ("fsma_kept", 2, 2, "years", MEMORY, "21 CFR 1.1455(d)"),
    ("subpart_j_answer", 24, 24, "h", MEMORY, "21 CFR 1.361"),
    ("subpart_j_kept_perishable", 6, 6, "months", MEMORY, "21 CFR 1.360"),
    ("subpart_j_kept_mid", 12, 12, "months", MEMORY, "21 CFR 1.360"),
    ("subpart_j_kept_long", 24, 24, "months", MEMORY, "21 CFR 1.360"),
    ("haccp_kept_chilled", 1, 1, "years", MEMORY, "21 CFR 123.9(b)"),
    ("haccp_kept_frozen", 2, 2, "years", MEMORY, "21 CFR 123.9(b)"),
]


@pytest.mark.parametrize(("key", "low", "high", "unit", "standing", "source"), FIGURES)
def test_the_figure_is_the_published_one(
    key: str, low: float, high: float, unit: str, standing: Standing, source: str
) -> None:
    """Each figure, its unit and how sure it is are those of the source."""
    figure = published(key)
    assert (figure.low, figure.high, figure.unit) == (low, high, unit), source
    assert figure.standing is standing


def test_celsius_and_fahrenheit_of_the_hot_smoke_limit_are_one_limit() -> None:
    """62.8 C is 145 F rounded to a tenth, as the rules print it."""
    assert round((published("hot_smoke_core_f").value - 32) * 5 / 9, 1) == published("hot_smoke_core_c").value


def test_the_eu_histamine_plan_is_nine_two_hundred_two_hundred() -> None:
    """n 9, c 2, m 100, M 200 mg/kg (Reg. (EC) 2073/2005 Annex I ch. 1 row 1.26; from memory)."""
    assert (EU_PLAN.n, EU_PLAN.c, EU_PLAN.m_ppm, EU_PLAN.big_m_ppm) == (9, 2, 100, 200)


def test_every_figure_names_its_source() -> None:
    """No figure stands without a source, and no range runs backwards."""
    for figure in PROCESS_FIGURES + RECORD_FIGURES:
        assert figure.source
        assert figure.low <= figure.high
