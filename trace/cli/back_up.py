"""Copy the record into one file and check the copy.

With --seal the copy is encrypted with a passphrase, which is asked for, or taken from --passphrase-file or LOTWAKE_PASSPHRASE;
nobody can open it without. A file that ends in .dump is made by pg_dump, for a house on a server.
The settings (house.toml) and printed files are not in it. With --json: ``file`` and what ``verify`` gives. The exit code is 5
when the record, and so the copy, is not whole.
"""

from __future__ import annotations

from argparse import ArgumentParser, Namespace
from pathlib import Path

from lotwake.trace.actions.back_up import back_up
from lotwake.trace.base.errors import CallError, ExitCode
from lotwake.trace.cli.command import Shell
from lotwake.trace.cli.secrets import typed_passphrase
from lotwake.trace.cli.verify import verdict_data, verdict_lines

NAME = "back-up"
HELP = "Copy the record into one file and check the copy."


def arguments(parser: ArgumentParser) -> None:
    """Where to."""
    parser.add_argument("file", type=Path)
    parser.add_argument("--seal", action="store_true", help="encrypt the copy with a passphrase")
    parser.add_argument("--passphrase-file", type=Path, metavar="FILE", help="where the passphrase stands")


def run(args: Namespace, shell: Shell) -> int:
    """Copy and check."""
    passphrase = typed_passphrase(args.passphrase_file, twice=True) if args.seal else None
    if args.seal and passphrase is None:
        raise CallError("There is nobody to type the passphrase.", "Name a file that holds it with --passphrase-file.")
    with shell.desk() as desk:
        made = back_up(desk, args.file.expanduser().absolute(), passphrase)
    shell.give(
        {"file": str(made.path), **verdict_data(made.verdict)},
        [f"Backed up{' and sealed' if args.seal else ''} into {made.path}.", *verdict_lines(made.verdict)],
    )
    return ExitCode.DONE if made.verdict.whole else ExitCode.NEEDS_ATTENTION
