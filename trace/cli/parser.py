"""argparse, speaking in our sentences."""

from __future__ import annotations

from argparse import ArgumentParser, Namespace, RawDescriptionHelpFormatter
from collections.abc import Callable
from typing import Any, NoReturn

from lotwake.trace.base.errors import CallError
from lotwake.trace.cli.command import Shell

Do = Callable[[Namespace, Shell], "int | None"]
EVERYWHERE = (
    "With every command: --at FOLDER (which house), --as INITIALS (who is at work), --json (data on stdout), --pin-file FILE"
    " (where a lead's PIN stands; else LOTWAKE_PIN, else it is asked for)."
)


class Parser(ArgumentParser):
    """A parser that never prints its usage at somebody who mistyped a word, and guesses no shortened option."""

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        kwargs = {"allow_abbrev": False, "formatter_class": RawDescriptionHelpFormatter, "epilog": EVERYWHERE, **kwargs}
        super().__init__(*args, **kwargs)

    def error(self, message: str) -> NoReturn:
        """One sentence, and where the help is."""
        sentence = message[:1].upper() + message[1:].rstrip(".")
        raise CallError(f"{sentence}.", f"See `{self.prog} --help`.")


class Nouns:
    """The words that may follow a command, each with its help, arguments and function."""

    def __init__(self, parser: ArgumentParser) -> None:
        self._adds = parser.add_subparsers(metavar="WHAT", required=True, dest="what")

    def add(self, name: str, help_line: str, do: Do) -> ArgumentParser:
        """One more word; its arguments are added to what is given back."""
        noun = self._adds.add_parser(name, help=help_line, description=help_line)
        noun.set_defaults(do=do)
        return noun


def do_noun(args: Namespace, shell: Shell) -> int | None:
    """Do what the chosen word of a command says."""
    do: Do = args.do
    return do(args, shell)
