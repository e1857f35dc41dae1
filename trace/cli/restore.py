"""Put a backup in place, unless that would lose newer entries.

What stood there before is kept in the backups folder. With --json: ``records`` (the file), ``entry`` and ``last_hash`` where
its journal ends, ``set_aside`` (a file, or null).
"""

from __future__ import annotations

from argparse import ArgumentParser, Namespace
from pathlib import Path

from lotwake.trace.actions.back_up import restore
from lotwake.trace.cli.command import Shell
from lotwake.trace.cli.secrets import typed_passphrase

NAME = "restore"
HELP = "Put a backup in place, unless that would lose newer entries."


def arguments(parser: ArgumentParser) -> None:
    """Where from."""
    parser.add_argument("file", type=Path)
    parser.add_argument(
        "--passphrase-file", type=Path, metavar="FILE", help="where the passphrase of a sealed one stands"
    )


def run(args: Namespace, shell: Shell) -> None:
    """Compare, set aside, and put in place."""
    done = restore(
        shell.places, args.file.expanduser().absolute(), shell.clock, lambda: typed_passphrase(args.passphrase_file)
    )
    aside = None if done.set_aside is None else str(done.set_aside)
    kept = f" What stood there is kept as {aside}." if aside else ""
    shell.give(
        {"records": str(done.records), "entry": done.head.seq, "last_hash": done.head.hash, "set_aside": aside},
        f"Restored {done.records} up to entry {done.head.seq}.{kept}",
    )
