"""Figures that public rules and handbooks print, as data: what, how much, whose, and how sure.

A scheduled process starts from these and may ask for more; none is a constant of the program. ``READ`` was read in the
named source or a copy of it; ``FROM_MEMORY`` was not, and is to be looked up before anybody relies on it.
"""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum

from lotwake.trace.base.errors import NotFound


class Standing(StrEnum):
    """How a figure came here."""

    READ = "read in the source"
    COPY = "read in a copy or summary"
    FROM_MEMORY = "from memory"


@dataclass(frozen=True)
class PublishedFigure:
    """One figure; ``low`` and ``high`` are equal for a single value."""

    key: str
    says: str
    low: float
    high: float
    unit: str
    source: str
    standing: Standing

    @property
    def value(self) -> float:
        """The single value; the upper end of a range."""
        return self.high


def _one(key: str, says: str, value: float, unit: str, source: str, standing: Standing) -> PublishedFigure:
    return PublishedFigure(key, says, value, value, unit, source, standing)


_READ, _COPY, _MEMORY = Standing
_APP_4 = "FDA Hazards Guide App. 4"
_CH_12 = "FDA Hazards Guide ch. 12"
_STATES = "Alaska 18 AAC 34.310, Wisconsin ATCP 70 App. A, New York 1 NYCRR 262.5; FDA Hazards Guide ch. 13"
_TORRY_82 = "Torry Advisory Note 82"
_SUBPART_J = "21 CFR 1.360"
_SFCR = "Safe Food for Canadians Regulations s. 84"

PROCESS_FIGURES = (
    _one("exposure_total", "above 10 C and below 57.2 C, general case", 2, "h", f"{_APP_4} Table A-2", _READ),
    _one("exposure_s_aureus", "the same if S. aureus is the only concern", 3, "h", f"{_APP_4} Table A-2", _READ),
    _one("exposure_mostly_cool", "the same if at most 2 h are above 21.1 C", 4, "h", _APP_4, _READ),
    _one("exposure_warm_part", "of these above 21.1 C", 2, "h", _APP_4, _READ),
    _one("exposure_never_warm", "the same if never above 21.1 C", 5, "h", f"{_APP_4} Table A-2", _MEMORY),
    _one("exposure_s_aureus_never_warm", "S. aureus only, never warm", 12, "h", f"{_APP_4} Table A-2", _MEMORY),
    _one("cold_store_label", "smoked fish label and storage", 38, "F", "Michigan R 285.569.8; Wisconsin/NY", _READ),
    _one("hot_smoke_core_f", "core in hot smoking", 145, "F", _STATES, _COPY),
    _one("hot_smoke_core_c", "core in hot smoking", 62.8, "C", _STATES, _COPY),
    _one("hot_smoke_held", "core held", 30, "min", _STATES, _COPY),
    _one("brine_start", "brine at the start, at most", 60, "F", "New York rule, UC Davis compendium", _COPY),
    _one("long_brining_h", "brining longer than this is done at 38 F", 4, "h", "New York rule, UC Davis", _COPY),
    _one("long_brining_temp", "brining over 4 h, at most", 38, "F", "New York rule, UC Davis compendium", _COPY),
    _one("cold_smoke_air", "air in cold smoking, at most", 33, "C", _TORRY_82, _READ),
    _one("cold_smoke_air_us", "air in cold smoking, at most", 90, "F", "FDA Hazards Guide ch. 13", _MEMORY),
    PublishedFigure("hot_smoke_air", "air in hot smoking at some stage", 70, 80, "C", _TORRY_82, _READ),
    _one("kipper_loss", "kippers, mean loss of brined drained weight", 14, "%", "Torry text on kippers", _COPY),
    PublishedFigure("smoked_salmon_loss", "salting and smoking together", 16, 18, "%", "Torry on smoked salmon", _COPY),
    _one("cooling_first", "57.2 to 21.1 C", 2, "h", f"{_CH_12}; retail Food Code", _COPY),
    _one("cooling_second", "then 21.1 to 4.4 C", 4, "h", f"{_CH_12}; retail Food Code", _COPY),
    _one("wps_reduced_oxygen", "water phase salt, reduced-oxygen pack", 3.5, "%", f"FDA ch. 13; {_TORRY_82}", _READ),
    _one("wps_with_nitrite", "the same with 100 ppm nitrite", 3.0, "%", "FDA Hazards Guide ch. 13", _MEMORY),
    _one("wps_air", "water phase salt, packed in air", 3.0, "%", "state rules: Michigan R 285.569", _READ),
    _one("botulinum_growth", "non-proteolytic C. botulinum grows from", 3.3, "C", f"{_APP_4} Table A-1", _COPY),
    _one("no_refrigeration_aw", "measured water activity, at most", 0.85, "aw", "FDA Hazards Guide", _MEMORY),
    _one("smoke_dried_aw", "smoke-dried fish, water activity", 0.75, "aw", "CXS 311-2013 2.3.2", _MEMORY),
    _one("chapter_13_probes", "fish probed when done by hand, at least", 3, "fish", "FDA ch. 13", _MEMORY),
)
RECORD_FIGURES = (
    _one("canada_drill", "recall simulation at least every", 12, "months", f"{_SFCR}(2)", _READ),
    _one("canada_drill_kept", "its record kept", 2, "years", _SFCR, _READ),
    _one("fsma_answer", "records to FDA after a request", 24, "h", "21 CFR 1.1455(c)", _COPY),
    _one("fsma_kept", "traceability records kept", 2, "years", "21 CFR 1.1455(d)", _MEMORY),
    _one("subpart_j_answer", "records available after a request", 24, "h", "21 CFR 1.361", _MEMORY),
    _one("subpart_j_kept_perishable", "spoils within 60 days: kept", 6, "months", _SUBPART_J, _MEMORY),
    _one("subpart_j_kept_mid", "keeps up to 6 months: kept", 12, "months", _SUBPART_J, _MEMORY),
    _one("subpart_j_kept_long", "keeps over 6 months: kept", 24, "months", _SUBPART_J, _MEMORY),
    _one("haccp_kept_chilled", "refrigerated products: kept", 1, "years", "21 CFR 123.9(b)", _MEMORY),
    _one("haccp_kept_frozen", "frozen or preserved products: kept", 2, "years", "21 CFR 123.9(b)", _MEMORY),
    _one("haccp_review", "monitoring records reviewed within", 7, "days", "21 CFR 123.8", _MEMORY),
)
_BY_KEY = {figure.key: figure for figure in PROCESS_FIGURES + RECORD_FIGURES}


def published(key: str) -> PublishedFigure:
    """The figure of this key; NotFound if none is kept."""
    if key not in _BY_KEY:
        raise NotFound(f"No published figure is kept as {key!r}.", "The keys are: " + ", ".join(_BY_KEY) + ".")
    return _BY_KEY[key]
