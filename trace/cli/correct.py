"""Correct an entry and say why; what it said before stays readable.

With --json: ``subject``, ``code``, ``field``, ``was`` and ``now`` as they stand in the record.
"""

from __future__ import annotations

from argparse import ArgumentParser, Namespace

from lotwake.trace.actions import correct
from lotwake.trace.actions.readings import typed_reading
from lotwake.trace.base.codes import show_code
from lotwake.trace.base.units import show_mass
from lotwake.trace.cli.command import Shell
from lotwake.trace.cli.parser import Nouns, do_noun
from lotwake.trace.cli.values import add_why, kg, whole

_READING_FIELDS = ("value", "at", "probe")
NAME = "correct"
HELP = "Correct an entry and say why; what it said before stays readable."
run = do_noun

_PARTIES = ("boat", "farm", "dealer", "supplier", "buyer", "product", "house")


def arguments(parser: ArgumentParser) -> None:
    """One word for each kind of correction."""
    nouns = Nouns(parser)
    field = nouns.add(
        "field", "Correct what a lot, batch, run or dispatch says, or what a pack (RUN/24) weighs.", _field
    )
    field.add_argument("code")
    field.add_argument("field", help="such as weight, species, area, boat, received, best-before, document")
    field.add_argument("value", help="as typed at first: '39 kg', '24 Nov 05:40'")
    amount = nouns.add("input", "Correct how much of a lot or batch went into a batch or run.", _input)
    amount.add_argument("into", help="the batch or run")
    amount.add_argument("out_of", metavar="from", help="the lot or batch that went in")
    amount.add_argument("kg", type=kg, metavar="MASS", help="what it really was; 0 for none")
    party = nouns.add(
        "party", "Correct what is known of a boat, farm, dealer, supplier, buyer, product or the house.", _party
    )
    party.add_argument("kind", choices=_PARTIES, metavar="KIND", help=", ".join(_PARTIES))
    party.add_argument("name")
    party.add_argument("field", help="such as phone, address, name, storage")
    party.add_argument("value")
    reading = nouns.add("reading", "Correct a measurement; `lotwake find BATCH` shows its number.", _reading)
    reading.add_argument("number", type=whole)
    reading.add_argument("field", choices=(*_READING_FIELDS, "instrument"), metavar="value|at|probe|instrument")
    reading.add_argument("value")
    for noun in (field, amount, party, reading):
        add_why(noun)


def _field(args: Namespace, shell: Shell) -> None:
    with shell.desk() as desk:
        _give(shell, correct.correct(desk, args.code, args.field, args.value, args.why))


def _input(args: Namespace, shell: Shell) -> None:
    with shell.desk() as desk:
        _give(shell, correct.correct_input(desk, args.into, args.out_of, args.kg, args.why))


def _party(args: Namespace, shell: Shell) -> None:
    with shell.desk() as desk:
        _give(shell, correct.correct_party(desk, args.kind, args.name, args.field, args.value, args.why))


def _reading(args: Namespace, shell: Shell) -> None:
    with shell.desk() as desk:
        column = args.field if args.field in _READING_FIELDS else "equipment"
        typed = typed_reading(desk, args.number, column, args.value)
        _give(shell, correct.correct_reading(desk, args.number, column, typed, args.why))


def _give(shell: Shell, made: correct.Correction) -> None:
    was, now = (
        show_mass(value) if made.field in ("g", "net_g") and isinstance(value, int) else value
        for value in (made.was, made.now)
    )
    shell.give(vars(made), f"Corrected {made.field} of {made.subject} {show_code(made.code)}: {was} became {now}.")
