"""Write down a lot that came in: a landing, farmed or bought-in fish, or a material.

With --json: the lot (``kind``, ``code``, ``shown``, ``status``, ``facts``).
"""

from __future__ import annotations

from argparse import ArgumentParser, Namespace

from lotwake.trace.actions import receive
from lotwake.trace.cli.command import Shell
from lotwake.trace.cli.parser import Nouns, do_noun
from lotwake.trace.cli.show import give_thing
from lotwake.trace.cli.values import add_when, day, kg, temperature, when
from lotwake.trace.records.entries.lots import METHODS, RECEIVED_AS, UNDERSIZE_CAUTION

NAME = "receive"
HELP = "Write down a lot that came in: a landing, farmed or bought-in fish, or a material."
run = do_noun

_SENDERS = {"landing": "boat", "farmed": "farm", "bought-in": "dealer", "material": "supplier"}
_DAYS = {"landing": "landed", "farmed": "harvested", "bought-in": "delivered", "material": "delivered"}
_HELPS = {
    "landing": "Fish landed by one boat: one species, presentation, area and day.",
    "farmed": "Fish from a farm.",
    "bought-in": "Fish from a dealer, under the dealer's own lot code.",
    "material": "Salt, wood, sugar, bags.",
}


def arguments(parser: ArgumentParser) -> None:
    """One word for each kind of lot."""
    nouns = Nouns(parser)
    for kind, text in _HELPS.items():
        noun = nouns.add(kind, text, _receive)
        noun.set_defaults(
            kind=kind, species="", area="", gear="", presentation="", method="", core=None, caught_from=None,
            caught_to=None, item="", received_as="", trip="", undersize=None,
        )  # fmt: skip
        sender = _SENDERS[kind]
        noun.add_argument(f"--{sender}", dest="sender", required=True, metavar="NAME", help=f"the {sender}, by name")
        noun.add_argument("--kg", type=kg, required=True, metavar="MASS", help="weight; a bare number is kilograms")
        noun.add_argument(f"--{_DAYS[kind]}", dest="landed_on", metavar="DAY", help="the day (default: of receiving)")
        add_when(noun)
        noun.add_argument(
            "--their-code", default="", required=kind == "bought-in", metavar="CODE", help="the sender's own lot code"
        )
        if kind == "material":
            noun.add_argument("--item", required=True, help="what it is, such as salt")
        else:
            _fish_arguments(noun, kind)
        noun.add_argument("--document", default="", help="landing note, delivery note or invoice")
        noun.add_argument("--note", default="")
        noun.add_argument("--another", action="store_true", help="a second lot like one of the same day really came")


def _fish_arguments(noun: ArgumentParser, kind: str) -> None:
    noun.add_argument("--species", required=True, help="FAO code, Latin or English name")
    noun.add_argument("--area", required=kind == "landing", help="FAO catch area, such as 27.4.b")
    noun.add_argument("--gear", help="ISSCFG code, abbreviation or name")
    noun.add_argument("--presentation", help="whole, gutted, headed, ...")
    noun.add_argument("--method", metavar="HOW", help=", ".join(filter(None, METHODS)))
    noun.add_argument("--caught-from", metavar="DAY", help="first day of the catch")
    noun.add_argument("--caught-to", metavar="DAY", help="last day of the catch")
    noun.add_argument("--received-as", metavar="HOW", help=", ".join(filter(None, RECEIVED_AS)))
    if kind == "landing":
        noun.add_argument("--trip", metavar="NUMBER", help="number of the fishing trip; several with commas between")
        noun.add_argument("--undersize", type=kg, metavar="MASS", help="how much of it is under the minimum size")
    noun.add_argument("--core", type=temperature, metavar="TEMP", help="core temperature; a bare number is Celsius")


def _receive(args: Namespace, shell: Shell) -> None:
    with shell.desk() as desk:
        arrival = receive.Arrival(
            kind=args.kind,
            sender=args.sender,
            g=args.kg,
            species=args.species,
            item=args.item,
            area=args.area,
            gear=args.gear,
            presentation=args.presentation,
            method=args.method,
            their_code=args.their_code,
            received=when(desk, args),
            landed_on=day(desk, args.landed_on),
            caught_from=day(desk, args.caught_from),
            caught_to=day(desk, args.caught_to),
            core_c100=args.core,
            document=args.document,
            note=args.note,
            received_as=args.received_as,
            trip=args.trip,
            undersize_g=args.undersize,
        )
        give_thing(shell, desk, receive.receive(desk, arrival, args.another), "Received")
        if args.undersize:
            shell.say(UNDERSIZE_CAUTION)
