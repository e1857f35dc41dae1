"""Say which folder and files hold the house.

With --json: ``{"folder", "exists", "files": {"records", "settings", "drafts", "printed", "backups"}}``, all as full paths.
"""

from __future__ import annotations

from argparse import ArgumentParser, Namespace

from lotwake.trace.cli.command import Shell
from lotwake.trace.cli.rows import aligned

NAME = "locate"
HELP = "Say which folder and files hold the house."


def arguments(_parser: ArgumentParser) -> None:
    """Nothing more to say."""


def run(_args: Namespace, shell: Shell) -> None:
    """Name the paths, whether or not a house is there."""
    places = shell.places
    files = {
        "records": places.records,
        "settings": places.settings,
        "drafts": places.drafts,
        "printed": places.printed,
        "backups": places.backups,
    }
    rows = [(name, str(path), "" if path.exists() else "not there yet") for name, path in files.items()]
    shell.give(
        {
            "folder": str(places.folder),
            "exists": places.records.exists(),
            "files": {name: str(path) for name, path in files.items()},
        },
        aligned(("house", str(places.folder), ""), rows),
    )
