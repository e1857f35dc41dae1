"""The main job in plain text on the demo season: each step a sentence, the command a person would type, its answer."""

from __future__ import annotations

import shlex
from collections.abc import Iterable, Sequence
from dataclasses import asdict, dataclass, field
from datetime import datetime, timedelta
from itertools import count
from typing import Any

from lotwake.demo_db.builder import Built, build
from lotwake.demo_db.scenario import LEAD, MORNING_AFTER, SITE
from lotwake.trace.base.clock import SetClock
from lotwake.trace.base.codes import show_code
from lotwake.trace.base.errors import ExitCode, LotwakeError, NeedsAttention
from lotwake.trace.base.moments import zone_named
from lotwake.trace.base.places import Places
from lotwake.trace.cli.command import Shell
from lotwake.trace.cli.parser import Parser
from lotwake.trace.cli.registry import COMMANDS

MOST_LINES = 14
"""How much of a long answer is shown."""
WHOLE = 100
PACKS, CASE_PACKS = 144, 16


@dataclass(frozen=True)
class Step:
    """What was said, the command, and what it answered."""

    says: str
    command: str
    output: list[str]
    most: int = MOST_LINES


@dataclass(frozen=True)
class _Listening(Shell):
    """A shell that keeps the answers of the commands for the tour."""

    heard: list[tuple[Any, list[str]]] = field(default_factory=list)

    def give(self, data: Any, text: str | Iterable[str]) -> None:
        self.heard.append((data, [text] if isinstance(text, str) else list(text)))


class Tour:
    """One walk: a house, a clock that is moved by hand, and the steps so far."""

    def __init__(self, built: Built, shell: Shell) -> None:
        self.built = built
        self.shell = shell
        self.clock = SetClock(MORNING_AFTER)
        self.steps: list[Step] = []
        self._zone = zone_named(SITE.zone)
        self._listening = _Listening(built.places.folder, LEAD, False, self.clock)

    def at(self, clock_time: str) -> None:
        """It is now this time of the tour's day."""
        self.clock.at = datetime.fromisoformat(f"{MORNING_AFTER:%Y-%m-%d} {clock_time}").replace(tzinfo=self._zone)

    def do(self, says: str, *words: str, most: int = MOST_LINES) -> Any:
        """Do one command as from the shell, show at most so many lines of its answer and give back its data."""
        self._listening.heard.clear()
        code = self._run(words)
        data, lines = self._listening.heard[-1]
        self._show(Step(says, _typed(words), lines, most))
        if code != ExitCode.DONE:
            raise NeedsAttention(f"The tour stopped: `{_typed(words)}` ended with exit code {int(code)}.")
        return data

    def refused(self, says: str, *words: str) -> None:
        """Do what must be refused, and show the sentence. NeedsAttention when it is not refused."""
        try:
            self._run(words)
        except LotwakeError as error:
            self._show(Step(says, _typed(words), [f"{error} (exit code {int(error.exit_code)})"]))
        else:
            raise NeedsAttention(f"The tour stopped: `{_typed(words)}` should have been refused.")

    def _run(self, words: Sequence[str]) -> int:
        name, *rest = words
        command = next(listed for listed in COMMANDS if listed.name == name).load()
        parser = Parser(f"lotwake {name}")
        command.arguments(parser)
        return command.run(parser.parse_args(rest), self._listening) or ExitCode.DONE

    def _show(self, step: Step) -> None:
        self.steps.append(step)
        if self.shell.as_json:
            return
        more = len(step.output) - step.most
        rest = [f"({more} more lines)"] if more > 0 else []
        answer = [f"    {line}".rstrip() for line in (*step.output[: step.most], *rest)]
        self.shell.give(None, ["", f"{len(self.steps)}. {step.says}", f"  $ {step.command}", *answer])


def _typed(words: Sequence[str]) -> str:
    return shlex.join(("lotwake", *words))


def walk(places: Places, shell: Shell) -> int:
    """Build a fresh season at ``places`` and walk the main job on it; 0 when all went as it must."""
    shell.say(f"Building the demo season into {places.folder} ...")
    tour = Tour(build(places.folder, shell.say), shell)
    if not shell.as_json:
        shell.give(None, [
            f"The demo season is in {places.folder}. It is the morning of 24 November 2026; all of it is invented.",
            f"Each command below is typed with  --at {shlex.quote(str(places.folder))}  in front.",
        ])  # fmt: skip
    tour.built.places.printed.mkdir(exist_ok=True)
    tour.do("What waits this morning?", "waiting", most=WHOLE)
    lot = _land(tour)
    batch = _smoke(tour, lot)
    _prove(tour, batch)
    run = _pack(tour, batch)
    _send(tour, run)
    _answer_the_phone(tour, lot, run)
    _three_refusals(tour, lot)
    verdict = tour.do("The journal is walked: nothing was changed behind the program's back.", "verify")
    _say_goodbye(tour, verdict["whole"])
    return ExitCode.DONE


def _land(tour: Tour) -> str:
    tour.at("06:40")
    landed = tour.do(
        "Langspurv lands haddock at the quay. One lot: one boat, one species, one catch area, one day.",
        "receive", "landing", "--boat", "Langspurv", "--species", "HAD", "--kg", "96.4", "--area", "27.2.a", "--gear", "OTB",
        "--presentation", "gutted, head on", "--core", "1.2", "--caught-from", "22 Nov", "--caught-to", "23 Nov",
    )  # fmt: skip
    return str(landed["shown"])


def _smoke(tour: Tour, lot: str) -> str:
    tour.at("07:00")
    began = tour.do(
        "82 kg of it go into a batch for smokehouse 1.",
        "batch", "start", "--smoking", "hot smoked", "--product", "Hot smoked haddock", "--equipment", "smokehouse 1",
        "--from", f"{lot}=82",
    )  # fmt: skip
    batch = str(began["shown"])
    tour.at("08:05")
    tour.do("It is split and boned ...", *_step(batch, "split and bone", "07:00", "08:02", "packing table"))
    tour.do("... and heads, bones and trimmings are weighed and named.", "lose", batch, "trim", "28.5")
    tour.at("08:35")
    tour.do("The fish lay 20 minutes in brine.", *_step(batch, "brine", "08:10", "08:30", "brine tank 1"))
    tour.do(
        "It was rinsed and hung up to drain ...", *_step(batch, "rinse and drain", "08:31", "08:35", "packing table")
    )
    tour.do("... and what dripped off is named too.", "lose", batch, "drip", "0.9")
    tour.at("12:20")
    tour.do("Its surface dried ...", *_step(batch, "drying", "08:40", "09:12"))
    for air, started, ended in (("60", "09:15", "10:15"), ("70", "10:15", "11:15"), ("80", "11:15", "12:15")):
        tour.do(f"... and it smoked for an hour at {air} C.", *_step(batch, f"smoking at {air}", started, ended))
    for probe, core_c in (("P1", "60.9 62.4 63.6 64.9 66 67 67.8"), ("P2", "61.8 63.1 64.3 65.5 66.5 67.6 68.3")):
        tour.do(f"Core thermometer {probe}, every ten minutes.", *_core(batch, probe, "11:15", 10, core_c))
    return batch


def _prove(tour: Tour, batch: str) -> None:
    tour.refused("Too early: nothing shows yet how fast it cooled.", "batch", "release", batch)
    tour.at("16:20")
    for probe, core_c in (
        ("P1", "66.1 50.3 38.2 29.3 22.4 17.2 13.4 10.4 8.2 6.6 5.3 4.3"),
        ("P2", "66.6 50.8 38.8 29.9 22.8 17.6 13.8 10.7 8.4 6.8 5.4 4.3"),
    ):
        tour.do(f"Cooling, {probe}.", *_core(batch, probe, "12:25", 20, core_c))
    tour.do("The step is over.", *_step(batch, "cooling", "12:20", "16:10", "chiller"))
    tour.do("It lost water in the smoke.", "lose", batch, "drying", "8.9")
    tour.do("What does the record prove, and what may a label claim?", "verdict", batch, most=WHOLE)
    tour.do("Signe looks at it and signs: the batch may be packed.", "batch", "release", batch)
    tour.do("Once more on one page, for whoever asks.", "batch", "record", batch,
            "--out", str(tour.built.places.printed / f"batch-{batch}.pdf"))  # fmt: skip
    mackerel = show_code(tour.built.landmarks["batch awaiting its salt result"])
    tour.refused("Friday's mackerel is signed too, but its samples broke on the way: no vacuum pack without them.",
                 "pack", "start", "Hot smoked mackerel", "--from", mackerel)  # fmt: skip


def _step(batch: str, name: str, started: str, ended: str, where: str = "smokehouse 1") -> tuple[str, ...]:
    return ("batch", "step", batch, name, "--started", started, "--ended", ended, "--equipment", where)


def _core(batch: str, probe: str, first: str, every_min: int, core_c: str) -> tuple[str, ...]:
    """Readings of one probe, the first at ``first`` and the next every so many minutes."""
    began = datetime.strptime(first, "%H:%M")
    moments = (began + timedelta(minutes=every_min * number) for number in count())
    readings = (f"{moment:%H:%M}={value}" for moment, value in zip(moments, core_c.split(), strict=False))
    return ("batch", "reading", batch, "core", "--probe", probe, *readings)


def _pack(tour: Tour, batch: str) -> str:
    tour.at("16:30")
    began = tour.do("A run begins with all of the batch.", "pack", "start", "Hot smoked haddock", "--from", batch)
    run, code = str(began["shown"]), str(began["code"])
    printed = tour.built.places.printed
    tour.do(
        f"{PACKS} labels come out, each with its own serial; the packs exist from now on.",
        "label", "pack", run, "--count", str(PACKS), "--out", str(printed / f"{code}.pdf"),
    )  # fmt: skip
    tour.at("17:10")
    tour.do("One label is smeared. Its serial is void and will never be used again.",
            "pack", "end", f"{run}/31", "void", "--why", "label smeared")  # fmt: skip
    tour.do("Its pack gets the next serial.",
            "label", "pack", run, "--count", "1", "--out", str(printed / f"{code}-again.pdf"))  # fmt: skip
    tour.do("The rest of the fish is what the packs hold above their net weight.", "lose", run, "giveaway", "0.5")
    return run


def _send(tour: Tour, run: str) -> None:
    closed = tour.do(f"Cases of {CASE_PACKS}, each with its SSCC.", "case", run)["things"]
    cases = [case["code"] for case in closed]
    printed = tour.built.places.printed
    tour.do("Case labels.", "label", "case", *cases[:4], "--out", str(printed / "cases.pdf"))
    pallet = tour.do("Six cases stand on a pallet.", "pallet", *cases[:6])["code"]
    tour.at("17:30")
    tour.do("The pallet leaves to one buyer ...", "dispatch", "Kråkenebb Wholesale", pallet, "--document", "HL-T1")
    tour.do("... and two cases to another.", "dispatch", "Ullskjær Fish Counter", *cases[6:8], "--document", "HL-T2")


def _answer_the_phone(tour: Tour, lot: str, run: str) -> None:
    code = run.replace("-", "")
    tour.do(
        "A buyer holds a pack and asks what it is. The scanned code, as a person reads it below the bars:",
        "find", f"(01)09520000000110(10){code}(21)7",
    )  # fmt: skip
    tour.do("Where is it from? Back to the boat.", "trace", "back", f"{run}/7")
    tour.do(
        "And where did that landing go? Forward to the buyers, with their telephone numbers.", "trace", "forward", lot
    )


def _three_refusals(tour: Tour, lot: str) -> None:
    tour.at("17:40")
    tour.refused("More than is left cannot go into a batch.",
                 "batch", "start", "--smoking", "hot smoked", "--from", f"{lot}=20")  # fmt: skip
    mistyped = lot[:-4] + str((int(lot[-4]) + 1) % 10) + lot[-3:]
    tour.refused("A mistyped code opens no other lot.", "find", mistyped)
    held = show_code(tour.built.landmarks["held landing"])
    forward = tour.do("Yesterday a herring landing was put on hold. Where is it now?", "trace", "forward", held)
    case = next(n["code"] for n in forward["nodes"] if n["kind"] == "case" and n["status"] == "IN HOUSE")
    tour.refused("Nothing made from held fish leaves the house.", "dispatch", "Duggvika Deli", case)


def _say_goodbye(tour: Tour, whole: bool) -> None:
    places = tour.built.places
    data = {"folder": str(places.folder), "steps": [asdict(step) for step in tour.steps], "whole": whole}
    tour.shell.give(data, ["", f"That was the main job. The labels are in {places.printed}, the story in STORY.md beside it.",
                           "In a terminal, `lotwake demo` opens the program on a season like this."])  # fmt: skip
