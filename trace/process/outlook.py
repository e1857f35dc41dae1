"""How a batch stands while it is worked on: when it will have cooled, how long it has lain warm, what ice and which fish ask.

None of this is evidence. It tells the person at the smokehouse what comes, in time to do something about it.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass

from lotwake.trace.base.errors import CallError
from lotwake.trace.process.cooling import (
    FORECAST_BASIS,
    TWO_STAGES,
    CoolingStage,
    StageEvidence,
    forecast_cooling,
    judge_cooling,
)
from lotwake.trace.process.exposure import EXPOSURE_BASIS, judge_exposure, worst_exposure
from lotwake.trace.process.histamine import RECEIVING_BASIS
from lotwake.trace.process.ice import ICE_BASIS, ice_to_chill
from lotwake.trace.process.series import ProbeSeries
from lotwake.trace.process.verdict import BatchEvidence

_APART_S = 600.0
"""Two readings closer than this say too little about how fast fish cools."""
_AIR_IS_OLD_S = 3600.0
_ICE_FROM_C = 2.0


@dataclass(frozen=True)
class StageOutlook:
    """One stage of cooling: when it will end (``at_s``), how many minutes it will have taken, and whether that is in time."""

    stage: CoolingStage
    at_s: float
    minutes: float

    @property
    def in_time(self) -> bool:
        return self.minutes <= self.stage.most_min


@dataclass(frozen=True)
class Outlook:
    """One thing to know: what it is about, a word or number for it, the sentence, its source; ``late`` if time presses."""

    about: str
    word: str
    text: str
    source: str
    late: bool = False


def cooling_outlook(
    core: Sequence[ProbeSeries], air: Sequence[ProbeSeries], gap_min: float, stages: Sequence[CoolingStage] = TWO_STAGES
) -> tuple[StageOutlook, ...]:
    """When each stage that is not over will be, by the probe that is warmest now and the air read last; none if the fish
    does not cool, or if no air was read within the last hour."""
    if not core:
        return ()
    warmest = max(core, key=lambda probe: probe.core_c[-1])
    now_s, now_c = warmest.time_s[-1], warmest.core_c[-1]
    before = [at for at, time_s in enumerate(warmest.time_s) if now_s - time_s >= _APART_S]
    air_c = _air_last(air, now_s)
    if not before or air_c is None or not warmest.core_c[before[-1]] > now_c:
        return ()
    first_s, first_c = warmest.time_s[before[-1]], warmest.core_c[before[-1]]

    def still_min(level_c: float) -> float:
        gone_min = (now_s - first_s) / 60
        return forecast_cooling(first_c, now_c, gone_min, air_c, level_c).minutes_to_target - gone_min

    found = judge_cooling([warmest], gap_min, stages).stages
    return tuple(
        _stage_outlook(item, now_s, now_c, still_min)
        for item in found
        if not item.reached and (item.most_min is not None or now_c > item.stage.from_c)
    )


def _stage_outlook(
    found: StageEvidence, now_s: float, now_c: float, still_min: Callable[[float], float]
) -> StageOutlook:
    """A stage as it will be: the minutes that are over and those to come; of one to come, from its own start."""
    stage = found.stage
    try:
        to_come_min = still_min(stage.to_c)
        began_min = -still_min(stage.from_c) if now_c > stage.from_c else found.most_min or 0.0
    except CallError:  # in air as warm as this the lower temperature is never reached
        return StageOutlook(stage, math.inf, math.inf)
    return StageOutlook(stage, now_s + 60 * to_come_min, began_min + to_come_min)


def _air_last(air: Sequence[ProbeSeries], now_s: float) -> float | None:
    """The air read last before a moment, unless that is more than an hour ago."""
    read = [(at, c) for probe in air for at, c in zip(probe.time_s, probe.core_c, strict=True) if at <= now_s]
    last = max(read, default=None)
    return None if last is None or now_s - last[0] > _AIR_IS_OLD_S else last[1]


def outlook(evidence: BatchEvidence, fish_g: int, gap_min: float) -> Iterator[Outlook]:
    """Cooling, time out of temperature, ice and histamine, as far as each applies to this batch now."""
    core = evidence.core_warmest or evidence.core
    for item in cooling_outlook(core, evidence.air, gap_min):
        word = "IN TIME" if item.in_time else "TOO SLOW"
        when = "never in this air" if math.isinf(item.minutes) else f"after {item.minutes:.0f} min"
        text = f"{item.stage.to_c:g} C {when}, {item.stage.most_min:g} min allowed"
        yield Outlook(f"cooling to {item.stage.to_c:g}", word, text, FORECAST_BASIS.source, not item.in_time)
    if core:
        found = judge_exposure(worst_exposure(core, gap_min))
        band, warm = found.exposure.band_min, found.exposure.warm_min
        text = f"from 10 to 57.2 C, {warm:.0f} of them above 21.1 C; {found.allowed_min:g} min for raw fish"
        yield Outlook("out of cold", f"{band:.0f} min", text, EXPOSURE_BASIS.source)
    else:
        yield from _ice(evidence, fish_g)
    at_risk = [fish for fish in evidence.fish if fish.histamine]
    if at_risk:
        names = "; ".join(dict.fromkeys(fish.name for fish in at_risk))
        text = f"{names} can form histamine: keep it at 4.4 C or below until it is smoked"
        yield Outlook("histamine", "KEEP COLD", text, RECEIVING_BASIS.source)


def _ice(evidence: BatchEvidence, fish_g: int) -> Iterator[Outlook]:
    """Ice for fish that came in warmer than on ice, until its core is read in the smokehouse."""
    warm = [fish.core_c for fish in evidence.fish if fish.core_c is not None and fish.core_c > _ICE_FROM_C]
    if warm and fish_g > 0:
        need = ice_to_chill(fish_g / 1000, max(warm))
        text = f"or more brings {need.fish_kg:g} kg from {need.from_c:g} to 0 C"
        yield Outlook("ice", f"{need.ice_kg:.1f} kg", text, ICE_BASIS.source)
