"""Say what a code is: everything it names, its state and its history.

CODE is anything the house may meet: a lot, batch, run, dispatch or return code, RUN/SERIAL, an SSCC, a document number,
a former code, a scanned GS1 string or Digital Link. With --json: ``{"query", "things": [...]}``, each thing with ``kind``,
``code``, ``shown``, ``status``, ``facts``, ``contents``, ``steps``, ``readings``, ``holds``, ``corrections``, ``history``,
``where``.
"""

from __future__ import annotations

from argparse import ArgumentParser, Namespace

from lotwake.trace.actions.find import find
from lotwake.trace.actions.look import look
from lotwake.trace.cli.command import Shell
from lotwake.trace.cli.show import seen_data, seen_lines

NAME = "find"
HELP = "Say what a code is: everything it names, its state and its history."


def arguments(parser: ArgumentParser) -> None:
    """What was typed or scanned."""
    parser.add_argument("code")


def run(args: Namespace, shell: Shell) -> None:
    """Look everything up that this names."""
    with shell.desk() as desk:
        found = [look(desk.records, thing) for thing in find(desk.records, args.code, desk.settings.separator)]
        lines = [line for seen in found for line in seen_lines(seen, desk.zone)]
    shell.give({"query": args.code, "things": [seen_data(seen) for seen in found]}, lines)
