"""Scheduled processes: the examples that come with the program, those the house has adopted, and adopting one.

A plan is a TOML text. Look at an example, change it to your own, adopt it: `lotwake process example "Cold smoking" > my.toml`,
then `lotwake process adopt my.toml`. Batches begun from then on are held against it; earlier ones keep their version.
With --json: ``examples`` and ``adopted`` (``name``, ``version``, ``smoking``, ``steps``, ``limits``); ``text`` for one plan.
"""

from __future__ import annotations

from argparse import ArgumentParser, Namespace
from pathlib import Path
from typing import Any

from lotwake.trace.actions import judge
from lotwake.trace.base.errors import CallError
from lotwake.trace.cli.command import Shell
from lotwake.trace.cli.parser import Nouns, do_noun
from lotwake.trace.process.plan import ScheduledProcess, read_plan, shipped_plan, shipped_plans

NAME = "process"
HELP = "Look at scheduled processes and adopt one for the house."
run = do_noun


def arguments(parser: ArgumentParser) -> None:
    """One word for each thing that is done with plans."""
    nouns = Nouns(parser)
    nouns.add("list", "List the examples and what the house has adopted.", _list)
    nouns.add("example", "Give the text of an example.", _example).add_argument("name")
    nouns.add("show", "Give the text of an adopted process.", _show).add_argument("name")
    adopt = nouns.add("adopt", "Adopt a plan, from a file or an example by its name.", _adopt)
    adopt.add_argument("plan", metavar="FILE|NAME")


def _data(plan: ScheduledProcess, version: int | None) -> dict[str, Any]:
    return {
        "name": plan.name,
        "version": version,
        "smoking": plan.smoking,
        "steps": [step.name for step in plan.steps],
        "limits": [{"key": item.key, "says": item.says, "source": item.source} for item in plan.limits],
    }


def _list(_args: Namespace, shell: Shell) -> None:
    examples = [read_plan(text) for text in shipped_plans().values()]
    with shell.desk() as desk:
        adopted = judge.adopted(desk.records)
    lines = ["Adopted by the house:"] if adopted else ["The house has adopted no scheduled process yet."]
    lines += [f"  {item.name}, version {item.version} ({item.plan.smoking})" for item in adopted]
    lines += ["Examples (common practice):", *(f"  {plan.name} ({plan.smoking})" for plan in examples)]
    data = {"examples": [_data(p, None) for p in examples], "adopted": [_data(a.plan, a.version) for a in adopted]}
    shell.give(data, lines)


def _example(args: Namespace, shell: Shell) -> None:
    text = shipped_plan(args.name)
    shell.give({"text": text}, text.rstrip())


def _show(args: Namespace, shell: Shell) -> None:
    with shell.desk() as desk:
        found = judge.adopted_named(desk.records, args.name)
    shell.give({"name": found.name, "version": found.version, "text": found.text}, found.text.rstrip())


def _adopt(args: Namespace, shell: Shell) -> None:
    path = Path(args.plan)
    try:
        own = path.exists()
        text = path.read_text(encoding="utf-8") if own else shipped_plan(args.plan)
    except (OSError, UnicodeDecodeError) as error:
        raise CallError(f"{path} cannot be read: {error}.", "Give a TOML file in UTF-8.") from None
    with shell.desk() as desk:
        made = judge.adopt(desk, text, str(path) if own else "")
    said = f"Adopted {made.name}, version {made.version}: batches begun from now on are held against it."
    shell.give(_data(made.plan, made.version), said)
