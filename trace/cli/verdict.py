"""The verdict of a batch: every limit of its scheduled process, met, not met or without evidence, and what may be claimed.

With --json: ``batch``, ``process``, ``verdict``, ``limits`` (``key``, ``says``, ``verdict``, ``found``, ``at``, ``source``,
``caution``), ``steps`` (``name``, ``word``, ``minutes``), ``claims`` (``claim``, ``allowed``, ``why``, ``source``)
and ``yields`` (``step``, ``of``, ``in_g``, ``out_g``, ``yield_percent``, ``word``, ``low_percent``, ``high_percent``,
``batches``), ``instruments`` (``instrument``, ``kinds``, ``readings``, ``standing``, ``why``) and
``outlook`` (``about``, ``word``, ``text``): cooling as it will be, time out of the cold, ice, histamine.
The program records and computes; local codes and a qualified person decide.
"""

from __future__ import annotations

from argparse import ArgumentParser, Namespace
from datetime import UTC, datetime
from typing import Any

from lotwake.trace.actions import judge
from lotwake.trace.actions.batch_judged import judged
from lotwake.trace.actions.desk import Desk
from lotwake.trace.actions.instruments import InstrumentUsed
from lotwake.trace.actions.refs import thing_of
from lotwake.trace.actions.yields import BatchYield
from lotwake.trace.base.moments import instant_text, show_moment
from lotwake.trace.cli.command import Shell
from lotwake.trace.process.basis import CAUTION
from lotwake.trace.process.verdict import BatchVerdict, LimitFinding
from lotwake.trace.records.entries.house import KEEPINGS
from lotwake.trace.records.find import Kind

NAME = "verdict"
HELP = "Hold a batch against its scheduled process, and say what a label may claim for it."


def arguments(parser: ArgumentParser) -> None:
    """Which batch, and how its packs will be kept."""
    parser.add_argument("batch")
    parser.add_argument("--keeping", choices=KEEPINGS, default="frozen", help="how packs are kept (default: frozen)")


def run(args: Namespace, shell: Shell) -> None:
    """Judge, and say so."""
    with shell.desk() as desk:
        thing = thing_of(desk.records, args.batch, [Kind.BATCH], "a verdict")
        found = judged(desk, thing.id)
        verdict, yields, instruments = found.verdict, found.yields, found.instruments
        claims = judge.claims_for(desk, [thing.id], args.keeping, {thing.id: verdict})
        data: dict[str, Any] = {
            "batch": thing.code,
            "shown": thing.shown,
            **(_verdict(verdict) if verdict else {"process": None, "verdict": None, "limits": [], "steps": []}),
            "claims": [{"claim": c.kind, "allowed": c.allowed, "why": c.why, "source": c.source} for c in claims],
            "yields": [_yield(item) for item in yields],
            "outlook": [{"about": item.about, "word": item.word, "text": item.text} for item in found.outlook],
            "instruments": [_instrument(item) for item in instruments],
        }
        lines = [f"Batch {thing.shown}: {verdict.word if verdict else 'made without a scheduled process'}."]
        lines += _lines(desk, verdict) if verdict else []
        lines += [f"  {item.about}: {item.word}, {item.text}" for item in found.outlook]
        lines += [f"  yield {item.said}" for item in yields]
        lines += [f"  read with {item.said}" for item in instruments]
        lines += ["", f"Claims for packs kept {args.keeping}:"]
        lines += [f"  {'YES' if c.allowed else 'NO ':3}  {c.why}" for c in claims]
        shell.give(data, [*lines, "", CAUTION])


def _verdict(verdict: BatchVerdict) -> dict[str, Any]:
    return {
        "process": verdict.plan.name,
        "verdict": verdict.word,
        "limits": [
            {
                "key": item.limit.key, "says": item.limit.says, "verdict": item.verdict, "found": item.found,
                "at": None if item.at_s is None else instant_text(datetime.fromtimestamp(item.at_s, UTC)),
                "packaging": item.limit.packaging or None, "source": item.limit.source, "caution": item.limit.caution,
            }
            for item in verdict.findings
        ],
        "steps": [
            {"name": step.name, "word": timing.word, "minutes": timing.actual_min} for step, timing in verdict.timings
        ],
    }  # fmt: skip


def _yield(item: BatchYield) -> dict[str, Any]:
    step, finding = item.step, item.finding
    low, high = (None if bound is None else round(bound, 2) for bound in (finding.low_percent, finding.high_percent))
    return {
        "step": step.step, "of": step.of, "in_g": step.in_g, "out_g": step.out_g,
        "yield_percent": round(finding.yield_percent, 2), "word": finding.word, "low_percent": low, "high_percent": high,
        "batches": finding.batches,
    }  # fmt: skip


def _instrument(item: InstrumentUsed) -> dict[str, Any]:
    return {
        "instrument": item.name, "kinds": list(item.kinds), "readings": item.readings, "standing": item.trust.standing,
        "why": item.trust.why,
    }  # fmt: skip


def _lines(desk: Desk, verdict: BatchVerdict) -> list[str]:
    lines = [f"Under {verdict.plan.name}:"]
    for item in verdict.findings:
        only = "" if item.limit.packaging in item.limit.says else f" (for {item.limit.packaging} packs)"
        lines += [f"  {item.verdict:11}  {item.limit.says}{only}", f"  {'':11}  {item.found}{_when(desk, item)}"]
    lines += [
        f"  step {step.name}: {timing.word}" + ("" if timing.actual_min is None else f", {timing.actual_min:.0f} min")
        for step, timing in verdict.timings
    ]
    return lines


def _when(desk: Desk, item: LimitFinding) -> str:
    return "" if item.at_s is None else f" ({show_moment(datetime.fromtimestamp(item.at_s, UTC), desk.zone)})"
