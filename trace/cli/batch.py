"""Run a batch: start it, add to it, its steps, readings and contacts, and its release.

With --json: the batch (``kind``, ``code``, ``shown``, ``status``, ``facts``); ``contact`` gives its ``contact`` number.
What goes in is written as CODE=KG; packs taken back for rework as RUN/1-24, a material that is not weighed as its code.
"""

from __future__ import annotations

from argparse import ArgumentParser, Namespace
from pathlib import Path

from lotwake.trace.actions import judge, smoke, yields
from lotwake.trace.actions.find import find_one
from lotwake.trace.actions.instruments import usual_instrument
from lotwake.trace.actions.readings import reading_value
from lotwake.trace.base.codes import show_code, tidy
from lotwake.trace.base.units import parse_mass_g, show_mass
from lotwake.trace.cli.command import Shell
from lotwake.trace.cli.parser import Nouns, do_noun
from lotwake.trace.cli.show import give_thing
from lotwake.trace.cli.values import WHEN, add_when, moment, portion, when
from lotwake.trace.records.entries.batches import CONTACT_KINDS, READING_KINDS
from lotwake.trace.records.entries.house import SMOKING_KINDS

NAME = "batch"
HELP = "Run a batch: start it, add to it, its steps, readings and contacts, and its release."
run = do_noun


def arguments(parser: ArgumentParser) -> None:
    """One word for each thing that is done with a batch."""
    nouns = Nouns(parser)
    _start_arguments(nouns.add("start", "Begin a batch with what goes into it.", _start))
    add = nouns.add("add", "Put more fish, material or rework into a batch.", _add)
    add.add_argument("batch")
    _add_inputs(add)
    add_when(add)
    _step_arguments(nouns)
    _reading_arguments(nouns.add("reading", "Write down measurements on a batch.", _reading))
    _weigh_arguments(nouns.add("weigh", "Write down the weight of all the fish of a batch after a step.", _weigh))
    _contact_arguments(nouns.add("contact", "Say that batches met without mixing mass.", _contact))
    release = nouns.add("release", "Sign that a batch may be packed.", _release)
    release.add_argument("batch")
    release.add_argument("--note", default="", help="with --by: the reason of a qualified person")
    release.add_argument("--by", default="", metavar="NAME", help="the qualified person, where a limit was not met")
    add_when(release)
    _evidence_arguments(nouns)


def _add_inputs(parser: ArgumentParser) -> None:
    parser.add_argument(
        "--from", dest="inputs", type=portion, action="append", required=True, metavar="CODE=KG",
        help="a lot or batch with its weight, packs as RUN/1-24, an unweighed material as its code; repeat for more",
    )  # fmt: skip


def _inputs(args: Namespace) -> list[smoke.Input]:
    return [smoke.Input(item.code, item.g) for item in args.inputs]


def _start_arguments(start: ArgumentParser) -> None:
    start.add_argument("--smoking", required=True, metavar="KIND", help=", ".join(SMOKING_KINDS))
    _add_inputs(start)
    start.add_argument("--product", default="", help="the product it is meant for, by name or GTIN")
    start.add_argument("--equipment", default="", metavar="NAME", help="the smokehouse")
    start.add_argument("--process", default="", metavar="NAME", help="the scheduled process (default: the usual one)")
    start.add_argument("--note", default="")
    add_when(start)


def _start(args: Namespace, shell: Shell) -> None:
    with shell.desk() as desk:
        thing = smoke.start_batch(
            desk, args.smoking, _inputs(args), args.product, args.equipment, when(desk, args), args.note, args.process
        )
        give_thing(shell, desk, thing, "Started")


def _add(args: Namespace, shell: Shell) -> None:
    with shell.desk() as desk:
        give_thing(shell, desk, smoke.add_inputs(desk, args.batch, _inputs(args), when(desk, args)), "Added to")


def _step_arguments(nouns: Nouns) -> None:
    step = nouns.add("step", "Write down a step of a batch; without an end it is running.", _step)
    step.add_argument("batch")
    step.add_argument("name", help="such as brining, drying, smoking, cooling")
    step.add_argument("--started", metavar="TIME", help=WHEN)
    step.add_argument("--ended", metavar="TIME")
    step.add_argument("--equipment", default="", metavar="NAME")
    step.add_argument("--note", default="")
    end = nouns.add("end-step", "The running step of this name is over.", _end_step)
    end.add_argument("batch")
    end.add_argument("name")
    add_when(end)


def _step(args: Namespace, shell: Shell) -> None:
    with shell.desk() as desk:
        started = moment(desk, args.started) or desk.now
        smoke.take_step(desk, args.batch, args.name, started, moment(desk, args.ended), args.equipment, args.note)
        give_thing(shell, desk, find_one(desk.records, args.batch), f"Wrote down {args.name} of")


def _end_step(args: Namespace, shell: Shell) -> None:
    with shell.desk() as desk:
        smoke.end_step(desk, args.batch, args.name, when(desk, args) or desk.now)
        give_thing(shell, desk, find_one(desk.records, args.batch), f"Ended {args.name} of")


def _reading_arguments(reading: ArgumentParser) -> None:
    reading.add_argument("batch")
    reading.add_argument("kind", metavar="KIND", help=", ".join(READING_KINDS))
    reading.add_argument("values", nargs="+", metavar="[TIME=]VALUE", help="such as 62.8 or '05:40=62.8'")
    reading.add_argument("--probe", default="", help="which probe or sample; of a weight, the step it was taken after")
    _add_instrument(reading)
    add_when(reading)


def _reading(args: Namespace, shell: Shell) -> None:
    with shell.desk() as desk:
        usual = when(desk, args) or desk.now
        values = []
        for text in args.values:
            time, mark, value = text.rpartition("=")
            values.append(((moment(desk, time) if mark else None) or usual, reading_value(args.kind, value)))
        instrument = args.instrument or usual_instrument(desk.records, args.kind, args.probe)
        thing = smoke.take_readings(desk, args.batch, args.kind, values, args.probe, instrument)
        give_thing(shell, desk, thing, f"Wrote down {len(values)} {args.kind} reading(s) of")


def _add_instrument(parser: ArgumentParser) -> None:
    parser.add_argument(
        "--with", dest="instrument", default="", metavar="INSTRUMENT",
        help="what it was read from (default: the one called like the probe, or the only one of its kind)",
    )  # fmt: skip


def _weigh_arguments(weigh: ArgumentParser) -> None:
    weigh.add_argument("batch")
    weigh.add_argument("weight", metavar="KG", help="all the fish of the batch; a bare number is kilograms")
    weigh.add_argument("--after", default="", metavar="STEP", help="the step it came out of (default: the last begun)")
    _add_instrument(weigh)
    add_when(weigh)


def _weigh(args: Namespace, shell: Shell) -> None:
    with shell.desk() as desk:
        g = parse_mass_g(args.weight, "kg")
        scale = args.instrument or usual_instrument(desk.records, "weight")
        after, found = yields.weigh(desk, args.batch, g, args.after, when(desk, args), scale)
        thing = find_one(desk.records, args.batch)
    data = {"batch": thing.code, "after": after, "g": g, "yield_percent": None, "word": None}
    if found is not None:
        data |= {"yield_percent": round(found.finding.yield_percent, 2), "word": found.finding.word}
    said = [f"Weighed batch {thing.shown} after {after}: {show_mass(g)}."]
    shell.give(data, [*said, *([f"Yield of {found.said}."] if found else [])])


def _contact_arguments(contact: ArgumentParser) -> None:
    contact.add_argument("kind", metavar="KIND", help=", ".join(CONTACT_KINDS))
    contact.add_argument("name", help="what they shared, such as 'brine tank 2, 24 Nov'")
    contact.add_argument("batches", nargs="+", metavar="BATCH", help="in the order they met")
    add_when(contact)


def _contact(args: Namespace, shell: Shell) -> None:
    with shell.desk() as desk:
        number = smoke.note_contact(desk, args.kind, args.name, args.batches, when(desk, args))
    codes = [tidy(code) for code in args.batches]
    shell.give(
        {"contact": number, "kind": args.kind, "name": args.name, "batches": codes},
        f"Wrote down that {', '.join(map(show_code, codes))} shared a {args.kind}: {args.name}.",
    )


def _release(args: Namespace, shell: Shell) -> None:
    with shell.desk() as desk:
        thing = smoke.release_batch(desk, args.batch, when(desk, args), args.note, args.by)
        give_thing(shell, desk, thing, "Released")
        for odd in yields.out_of_line(desk.records, thing.id):
            shell.say(f"Look before packing: yield of {odd.said}.")


def _evidence_arguments(nouns: Nouns) -> None:
    act = nouns.add("act", "Write down the cause and corrective action for a limit that was not met.", _act)
    act.add_argument("batch")
    act.add_argument("limit", help="the limit's key, as `lotwake verdict` names it")
    act.add_argument("--cause", required=True)
    act.add_argument("--action", required=True, help="what was done about it")
    add_when(act)
    review = nouns.add("review", "Say that the record of a released batch was read through.", _review)
    review.add_argument("batch")
    review.add_argument("--note", default="")
    add_when(review)
    record = nouns.add("record", "Put the record of a batch on one page (PDF), fit to hand to an inspector.", _record)
    record.add_argument("batch")
    record.add_argument("--out", type=Path, required=True, metavar="FILE")


def _act(args: Namespace, shell: Shell) -> None:
    with shell.desk() as desk:
        judge.note_deviation(desk, args.batch, args.limit, args.cause, args.action, when(desk, args))
        give_thing(shell, desk, find_one(desk.records, args.batch), f"Wrote down the action for {args.limit} of")


def _review(args: Namespace, shell: Shell) -> None:
    with shell.desk() as desk:
        give_thing(shell, desk, judge.review(desk, args.batch, args.note, when(desk, args)), "Reviewed")


def _record(args: Namespace, shell: Shell) -> None:
    from lotwake.trace.actions.batch_record import write_batch_record

    with shell.desk() as desk:
        record = write_batch_record(desk, args.batch, args.out)
    data = {
        "batch": record.batch.code,
        "file": str(args.out),
        "journal_line": record.head.seq,
        "hash": record.head.hash,
    }
    shell.give(data, f"The record of batch {record.batch.shown} is in {args.out}.")
