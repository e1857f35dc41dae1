"""The label words after printing: jobs, send, settle, waste, reconcile."""

from __future__ import annotations

from argparse import Namespace
from dataclasses import asdict
from typing import Any

from lotwake.trace.actions import label_counts, label_jobs
from lotwake.trace.cli.command import Shell
from lotwake.trace.cli.label_said import end_of, sent_data
from lotwake.trace.cli.parser import Nouns
from lotwake.trace.cli.rows import aligned
from lotwake.trace.cli.values import add_why, whole
from lotwake.trace.records.packing import PrintSeen, open_prints

_HEADINGS = (">job", "state", "what", "packs", "why")
_CAME_OUT, _NOT = "came-out", "not"


def add_arguments(nouns: Nouns) -> None:
    """The words on jobs and counts."""
    nouns.add("jobs", "Prints that wait, or of which nobody knows what came out.", _jobs)
    send = nouns.add("send", "Send a job that waits again, here or elsewhere; nothing prints twice.", _send)
    send.add_argument("job", type=whole)
    send.add_argument("--to", default="", metavar="PRINTER", help="(default: the printer in house.toml)")
    settle = nouns.add("settle", "Say what came of a job that waits or broke off.", _settle)
    settle.add_argument("job", type=whole)
    settle.add_argument("outcome", choices=(_CAME_OUT, _NOT), metavar=f"{_CAME_OUT}|{_NOT}")
    waste = nouns.add("waste", "Say that labels were spoiled in a run and belong to no pack.", _waste)
    waste.add_argument("run")
    waste.add_argument("count", type=whole, metavar="N")
    add_why(waste)
    reconcile = nouns.add("reconcile", "Hold the labels of a run against its packs.", _reconcile)
    reconcile.add_argument("run")
    reconcile.add_argument("--used", type=whole, metavar="N", help="labels gone from the roll, as counted")


def _jobs(_args: Namespace, shell: Shell) -> None:
    with shell.desk() as desk:
        seen = open_prints(desk.records)
    shell.give([_print_data(item) for item in seen], aligned(_HEADINGS, [_print_row(item) for item in seen]))


def _print_data(item: PrintSeen) -> dict[str, Any]:
    return {
        "job": item.job,
        "print": item.id,
        "kind": str(item.thing.kind),
        "code": item.thing.code,
        "shown": item.thing.shown,
        "packs": None if item.packs is None else asdict(item.packs),
        "count": item.count,
        "state": item.state,
        "reason": item.note,
        "at": item.at,
        "who": item.who,
    }


def _print_row(item: PrintSeen) -> tuple[str, ...]:
    what = f"{item.thing.kind} {item.thing.shown}"
    return str(item.job), item.state, what, str(item.packs or ""), item.note


def _send(args: Namespace, shell: Shell) -> int:
    with shell.desk() as desk:
        sent = label_jobs.send_job(desk, args.job, args.to)
    before = " It had arrived before, so nothing was sent." if sent.again else ""
    shell.give({**sent_data(sent), "again": sent.again}, f"Job {sent.job} is {sent.state}: {sent.target}.{before}")
    return end_of(shell, sent)


def _settle(args: Namespace, shell: Shell) -> None:
    came_out = args.outcome == _CAME_OUT
    with shell.desk() as desk:
        seen = label_jobs.settle_job(desk, args.job, came_out)
    said = "came out" if came_out else "did not come out; its packs wait for labels"
    shell.give(
        {"job": seen[0].job, "state": "PRINTED" if came_out else "FAILED", "prints": [item.id for item in seen]},
        f"Job {seen[0].job} {said}.",
    )


def _waste(args: Namespace, shell: Shell) -> None:
    with shell.desk() as desk:
        run = label_counts.waste_labels(desk, args.run, args.count, args.why)
    shell.give(
        {"kind": str(run.kind), "code": run.code, "shown": run.shown, "wasted": args.count, "reason": args.why},
        f"{args.count} labels were spoiled in run {run.shown}: {args.why}.",
    )


def _reconcile(args: Namespace, shell: Shell) -> None:
    with shell.desk() as desk:
        run, balance = label_counts.reconcile(desk, args.run)
    missing = None if args.used is None else args.used - balance.used
    counted = {} if missing is None else {"counted": args.used, "missing": missing}
    lines = [
        f"Run {run.shown}: {balance.packs} packs ({balance.made} made, {balance.void} void).",
        f"Labels: {balance.first} first, {balance.reprints} again, {balance.wasted} spoiled: {balance.used} used.",
        f"Packs without a label: {balance.unlabelled}; waiting for the printer: {balance.waiting};"
        f" nobody knows: {balance.unsure}; labelled twice: {balance.twice}.",
        f"Labels and packs {'agree' if balance.agrees else 'do not agree'}.",
    ]
    if missing is not None:
        lines.append(f"{args.used} counted: {_difference(missing)}.")
    shell.give(
        {
            "kind": str(run.kind),
            "code": run.code,
            "shown": run.shown,
            **asdict(balance),
            "packs": balance.packs,
            "used": balance.used,
            "agrees": balance.agrees,
            **counted,
        },
        lines,
    )


def _difference(missing: int) -> str:
    if missing == 0:
        return "all of them are accounted for"
    return f"missing: {missing}" if missing > 0 else f"more came out than were counted: {-missing}"
