"""Pack released batches: start a run, fill it, add packs, end packs and undo that.

With --json: the run (``kind``, ``code``, ``shown``, ``status``, ``facts``); ``add``, ``end`` and ``undo-end`` also say
which packs: ``first`` and ``last`` serial.
"""

from __future__ import annotations

from argparse import ArgumentParser, Namespace

from lotwake.trace.actions import pack
from lotwake.trace.actions.desk import Desk
from lotwake.trace.actions.find import find_one
from lotwake.trace.base.ranges import Serials
from lotwake.trace.cli.command import Shell
from lotwake.trace.cli.parser import Nouns, do_noun
from lotwake.trace.cli.show import give_thing, thing_data
from lotwake.trace.cli.values import add_weights, add_when, add_why, day, portion, when, whole
from lotwake.trace.records.find import Thing
from lotwake.trace.records.seen import facts_of, status_of

NAME = "pack"
HELP = "Pack released batches: start a run, fill it, add packs, end packs, undo an end."
run = do_noun

_ENDS = ("void", "destroyed", "sample", "lost")


def arguments(parser: ArgumentParser) -> None:
    """One word for each thing that is done at the packing table."""
    nouns = Nouns(parser)
    start = nouns.add("start", "Begin a run of one product from released batches.", _start)
    start.add_argument("product", help="by name or GTIN")
    start.add_argument(
        "--from", dest="batches", type=portion, action="append", required=True, metavar="BATCH[=KG]",
        help="a released batch, with a weight or with all that is left; repeat for more",
    )  # fmt: skip
    start.add_argument(
        "--with",
        dest="materials",
        type=portion,
        action="append",
        default=[],
        metavar="LOT[=KG]",
        help="bags, wads, ...",
    )
    start.add_argument("--count", type=whole, default=0, metavar="N", help="packs made at once")
    add_weights(start)
    start.add_argument("--best-before", metavar="DAY", help="(default: packing day and the product's life)")
    add_when(start)
    fill = nouns.add("fill", "Put more of a released batch into a run.", _fill)
    fill.add_argument("run")
    fill.add_argument("batch", type=portion, metavar="BATCH[=KG]")
    add_when(fill)
    add = nouns.add("add", "Make more packs of a run.", _add)
    add.add_argument("run")
    add.add_argument("count", type=whole, metavar="N", nargs="?", default=0)
    add_weights(add)
    add_when(add)
    end = nouns.add("end", "Say that packs are void (never packs), destroyed, a sample, or lost.", _end)
    end.add_argument("packs", metavar="RUN/1-24")
    end.add_argument("kind", choices=_ENDS, metavar="|".join(_ENDS))
    add_why(end)
    add_when(end)
    undo = nouns.add("undo-end", "Say that packs did not end: they are packs in the house again.", _undo_end)
    undo.add_argument("packs", metavar="RUN/1-24")
    add_why(undo)


def _start(args: Namespace, shell: Shell) -> None:
    with shell.desk() as desk:
        thing = pack.start_run(
            desk,
            args.product,
            [(item.code, item.g) for item in args.batches],
            args.count,
            when(desk, args),
            day(desk, args.best_before),
            [(item.code, item.g) for item in args.materials],
            args.weights,
        )
        give_thing(shell, desk, thing, "Started")


def _fill(args: Namespace, shell: Shell) -> None:
    with shell.desk() as desk:
        thing = pack.fill_run(desk, args.run, args.batch.code, args.batch.g, when(desk, args))
        give_thing(shell, desk, thing, "Filled")


def _add(args: Namespace, shell: Shell) -> None:
    with shell.desk() as desk:
        serials = pack.add_packs(desk, args.run, args.count, when(desk, args), args.weights)
        _give_packs(shell, desk, find_one(desk.records, args.run), serials, "made")


def _end(args: Namespace, shell: Shell) -> None:
    with shell.desk() as desk:
        thing, serials = pack.end_packs(desk, args.packs, args.kind.upper(), args.why, when(desk, args))
        _give_packs(shell, desk, thing, serials, args.kind.upper())


def _undo_end(args: Namespace, shell: Shell) -> None:
    with shell.desk() as desk:
        thing, serials, kinds = pack.undo_end(desk, args.packs, args.why)
        _give_packs(shell, desk, thing, serials, f"in the house again, not {' or '.join(kinds)}")


def _give_packs(shell: Shell, desk: Desk, thing: Thing, serials: Serials, word: str) -> None:
    facts = facts_of(desk.records, thing)
    data = thing_data(thing, status_of(desk.records, thing, facts), facts)
    shell.give(
        {**data, "first": serials.first, "last": serials.last}, f"Packs {serials} of run {thing.shown} are {word}."
    )
