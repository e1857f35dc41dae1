"""Heat, cooling, time out of temperature, ice and yield at the bench."""

from __future__ import annotations

from argparse import Namespace
from collections.abc import Sequence
from typing import Any

from lotwake.trace.actions.reckoning.answer import Answer, Calculation, Takes, celsius, number, tidy
from lotwake.trace.actions.reckoning.readings import add_readings, probes_of
from lotwake.trace.base.errors import CallError
from lotwake.trace.base.units import parse_mass_g, show_mass
from lotwake.trace.process.cooling import CoolingEvidence, StageEvidence, forecast_cooling, judge_cooling
from lotwake.trace.process.exposure import GENERAL, ONLY_S_AUREUS, judge_exposure, worst_exposure
from lotwake.trace.process.heat import HeatEvidence, HeatLimit, judge_heat
from lotwake.trace.process.ice import CP_KCAL_PER_KG_C, UNKNOWN_MIX_CP, ice_to_chill
from lotwake.trace.process.lethality import ORGANISMS, hold_lethality, lethal_rate, minutes_for_6d
from lotwake.trace.process.series import Governing, ProbeSeries
from lotwake.trace.process.yields import judge_yield

_GAP_MIN, _COOLING_GAP_MIN = HeatLimit().longest_gap_min, 30.0


def _lethality_arguments(parser: Takes) -> None:
    parser.add_argument("--core", type=celsius, required=True, help="core temperature, C")
    parser.add_argument("--minutes", type=number, required=True, help="minutes at that temperature")
    parser.add_argument("--organism", choices=[each.key for each in ORGANISMS], default=ORGANISMS[0].key)


def _lethality(args: Namespace) -> Answer:
    organism = next(each for each in ORGANISMS if each.key == args.organism)
    found = hold_lethality(args.core, args.minutes, organism)
    needed = minutes_for_6d(args.core, organism)
    values = {
        "organism": organism.name,
        "lethal_rate": tidy(lethal_rate(args.core, organism), 3),
        "equivalent_min": tidy(found.equivalent_min, 3),
        "minutes_for_6d": tidy(needed, 1),
        "logs": tidy(found.logs, 2),
        "reference_c": organism.reference_c,
    }
    result = (
        f"{values['equivalent_min']:g} equivalent minutes at {organism.reference_c:g} C, {values['logs']:g} logs",
        f"  lethal rate {values['lethal_rate']:g}; six logs take {values['minutes_for_6d']:g} min at {args.core:g} C",
    )
    low, high = organism.table_c
    notes = (f"The published table runs from {low:g} to {high:g} C; this is the formula carried on.",)
    put_in = f"{organism.name}, core {args.core:g} C for {args.minutes:g} min"
    return Answer(values, put_in, result, organism.basis, notes if organism.outside_table(args.core) else ())


def _held_arguments(parser: Takes) -> None:
    usual = HeatLimit()
    add_readings(parser, _GAP_MIN)
    parser.add_argument("--limit", type=celsius, default=usual.core_c, help="core to reach, C (62.8)")
    parser.add_argument("--minutes", type=number, default=usual.held_min, help="minutes to hold it (30)")


def _held(args: Namespace) -> Answer:
    probes = probes_of(args)
    found = judge_heat(probes, HeatLimit(args.limit, args.minutes, args.gap_min))
    result = [f"held {found.held_min:.1f} min at or above {args.limit:g} C: {args.minutes:g} min {found.verdict}"]
    if found.deciding is not None:
        deciding = found.deciding
        result.append(
            f"  decided by {deciding.core_c:.2f} C at minute {deciding.time_s / 60:.1f}, {deciding.probe} ({deciding.why})"
        )
    if found.come_up_min is not None:
        result.append(f"  first at the limit after {found.come_up_min:.1f} min")
    result += [
        f"  {each.organism.name}: {tidy(each.equivalent_min, 3):g} equivalent min, {tidy(each.logs, 2):g} logs"
        for each in found.lethality
    ]
    put_in = _told(probes)
    return Answer(_held_values(found), put_in, tuple(result), found.basis, _gap_notes(found.line, args.gap_min))


def _told(probes: Sequence[ProbeSeries]) -> str:
    return "; ".join(f"{probe.name}: {len(probe.time_s)} readings" for probe in probes)


def _held_values(found: HeatEvidence) -> dict[str, Any]:
    deciding = found.deciding
    return {
        "verdict": found.verdict.value,
        "held_min": tidy(found.held_min, 3),
        "limit_c": found.limit.core_c,
        "limit_min": found.limit.held_min,
        "come_up_min": None if found.come_up_min is None else tidy(found.come_up_min, 3),
        "deciding": None
        if deciding is None
        else {
            "minute": tidy(deciding.time_s / 60, 3),
            "core_c": tidy(deciding.core_c, 2),
            "probe": deciding.probe,
            "why": deciding.why.value,
        },
        "lethality": {
            each.organism.key: {"equivalent_min": tidy(each.equivalent_min, 3), "logs": tidy(each.logs, 2)}
            for each in found.lethality
        },
        "gaps_min": [[tidy(start / 60, 3), tidy(end / 60, 3)] for start, end in found.line.gaps],
    }


def _gap_notes(line: Governing, gap_min: float) -> tuple[str, ...]:
    if not line.runs:
        return ("At no moment are all probes known.",)
    return tuple(
        f"No evidence from minute {start / 60:.1f} to {end / 60:.1f}: readings further apart than {gap_min:g} min."
        for start, end in line.gaps
    )


def _cooling_arguments(parser: Takes) -> None:
    add_readings(parser, _COOLING_GAP_MIN)
    parser.add_argument("--air", type=celsius, help="air of the cold room, C: adds a forecast while it still cools")


def _cooling(args: Namespace) -> Answer:
    probes = probes_of(args)
    found = judge_cooling(probes, args.gap_min)
    stages = [_stage_values(stage) for stage in found.stages]
    values: dict[str, Any] = {"verdict": found.verdict.value, "stages": stages}
    result = [f"cooling: {found.verdict}", *(_stage_line(stage) for stage in found.stages)]
    if args.air is not None:
        forecast = _forecast(found, args.air)
        values["forecast"] = forecast
        result += [f"  forecast: {each['to_c']:g} C at minute {each['minute']:g}" for each in forecast]
    put_in = _told(probes)
    return Answer(values, put_in, tuple(result), found.basis, _gap_notes(found.line, args.gap_min))


def _stage_values(found: StageEvidence) -> dict[str, Any]:
    return {
        "from_c": found.stage.from_c,
        "to_c": found.stage.to_c,
        "limit_min": found.stage.most_min,
        "minutes": None if found.most_min is None else tidy(found.most_min, 3),
        "least_min": None if found.least_min is None else tidy(found.least_min, 3),
        "reached": found.reached,
        "verdict": found.verdict.value,
        "said": found.said,
        "probe": found.probe,
    }


def _stage_line(found: StageEvidence) -> str:
    took = "" if found.most_min is None else f"{found.most_min:.1f} of {found.stage.most_min:g} min, "
    return f"  {found.stage.from_c:g} to {found.stage.to_c:g} C: {took}{found.said}, {found.probe}: {found.verdict}"


def _forecast(found: CoolingEvidence, air_c: float) -> list[dict[str, float]]:
    """When the stages still open will end, by Newton's law through the first and last point of the last run."""
    if not found.line.runs or len(found.line.runs[-1].time_s) < 2:
        raise CallError("A forecast needs two readings without a gap.", "Leave --air out, or add a reading.")
    run = found.line.runs[-1]
    span_min = (run.end_s - run.start_s) / 60
    return [
        {
            "to_c": stage.stage.to_c,
            "minute": tidy(
                run.start_s / 60
                + forecast_cooling(run.core_c[0], run.core_c[-1], span_min, air_c, stage.stage.to_c).minutes_to_target,
                1,
            ),
        }
        for stage in found.stages
        if not stage.reached
    ]


def _exposure_arguments(parser: Takes) -> None:
    add_readings(parser, _COOLING_GAP_MIN)
    parser.add_argument("--s-aureus-only", action="store_true", help="S. aureus is the only concern")


def _exposure(args: Namespace) -> Answer:
    probes = probes_of(args)
    limit = ONLY_S_AUREUS if args.s_aureus_only else GENERAL
    found = judge_exposure(worst_exposure(probes, args.gap_min), limit)
    shown = found.exposure
    values = {
        "band_min": tidy(shown.band_min, 3),
        "warm_min": tidy(shown.warm_min, 3),
        "unrecorded_min": tidy(shown.unrecorded_min, 3),
        "limit_min": found.allowed_min,
        "verdict": found.verdict.value,
    }
    result = (
        f"{shown.band_min:.1f} min between 10 and 57.2 C; limit {found.allowed_min:g} min {found.verdict}",
        f"  of these above 21.1 C {shown.warm_min:.1f} min; not recorded {shown.unrecorded_min:.1f} min",
    )
    return Answer(values, _told(probes), result, found.basis)


def _ice_arguments(parser: Takes) -> None:
    parser.add_argument("--fish-kg", type=number, required=True, help="fish, kg")
    parser.add_argument("--from", dest="from_c", type=celsius, required=True, help="fish temperature now, C")
    parser.add_argument("--to", dest="to_c", type=celsius, default=0.0, help="temperature to reach, C (0)")
    kinds = ", ".join(f"{kind} {cp:g}" for kind, cp in CP_KCAL_PER_KG_C.items())
    parser.add_argument("--cp", type=number, default=UNKNOWN_MIX_CP, help=f"kcal/(kg C): {kinds}")


def _ice(args: Namespace) -> Answer:
    need = ice_to_chill(args.fish_kg, args.from_c, args.to_c, args.cp)
    put_in = (
        f"{need.fish_kg:g} kg of fish, {need.from_c:g} to {need.to_c:g} C, cp {need.cp_kcal_per_kg_c:g} kcal/(kg C)"
    )
    return Answer({"ice_kg": tidy(need.ice_kg, 3)}, put_in, f"{need.ice_kg:.2f} kg of ice", need.basis)


def _yield_arguments(parser: Takes) -> None:
    parser.add_argument("--in", dest="in_text", required=True, metavar="MASS", help='what went in, "41 kg"')
    parser.add_argument("--out", dest="out_text", required=True, metavar="MASS", help='what came out, "33.5 kg"')
    parser.add_argument("--history", default="", metavar="PERCENT;...", help='earlier yields, "81.5;82;80.9"')
    parser.add_argument("--low", type=number, help="usual range from, %%, while there is no history")
    parser.add_argument("--high", type=number, help="usual range to, %%")


def _yield(args: Namespace) -> Answer:
    in_g, out_g = parse_mass_g(args.in_text, "kg"), parse_mass_g(args.out_text, "kg")
    if (args.low is None) != (args.high is None):
        raise CallError("A usual range needs both ends.", "Give --low and --high.")
    usual = None if args.low is None else (args.low, args.high)
    history = [number(text) for text in args.history.split(";") if text.strip()]
    found = judge_yield(in_g, out_g, history, usual)
    values = {
        "yield_percent": tidy(found.yield_percent, 2),
        "word": found.word.value,
        "low_percent": None if found.low_percent is None else tidy(found.low_percent, 2),
        "high_percent": None if found.high_percent is None else tidy(found.high_percent, 2),
        "batches": found.batches,
    }
    usual_words = "" if found.low_percent is None else f", usual {found.low_percent:.1f} to {found.high_percent:.1f} %"
    result = f"yield {found.yield_percent:.2f} %: {found.word}{usual_words}"
    put_in = f"{show_mass(in_g)} in, {show_mass(out_g)} out, {found.batches} earlier batches"
    return Answer(values, put_in, result, found.basis)


CALCULATIONS = (
    Calculation(
        "lethality", "What a time at a core temperature does to an organism.", _lethality_arguments, _lethality
    ),
    Calculation("held", "How long the coldest probe held the limit.", _held_arguments, _held),
    Calculation("cooling", "How long the slowest probe took to cool.", _cooling_arguments, _cooling),
    Calculation("exposure", "Time out of temperature, added up.", _exposure_arguments, _exposure),
    Calculation("ice", "Ice to chill fish.", _ice_arguments, _ice),
    Calculation("yield", "Yield against the product's own history.", _yield_arguments, _yield),
)
