"""Say which folder and files hold the house.

With --json: ``{"folder", "exists", "database", "files": {"records", "settings", "drafts", "printed", "backups"}}``, paths in
full; ``records`` is null where the record is on the server that ``database`` names, else ``database`` is null.
"""

from __future__ import annotations

from argparse import ArgumentParser, Namespace

from lotwake.trace.base.settings import holds_house, read_settings, without_password
from lotwake.trace.cli.command import Shell
from lotwake.trace.cli.rows import aligned

NAME = "locate"
HELP = "Say which folder and files hold the house."


def arguments(_parser: ArgumentParser) -> None:
    """Nothing more to say."""


def run(_args: Namespace, shell: Shell) -> None:
    """Name the paths, whether or not a house is there."""
    places = shell.places
    database = read_settings(places.settings).database
    files = {
        **({} if database else {"records": places.records}),
        "settings": places.settings,
        "drafts": places.drafts,
        "printed": places.printed,
        "backups": places.backups,
    }
    rows = [(name, str(path), "" if path.exists() else "not there yet") for name, path in files.items()]
    if database:
        rows.insert(0, ("records", without_password(database), "on a server"))
    shell.give(
        {
            "folder": str(places.folder),
            "exists": holds_house(places),
            "database": without_password(database) if database else None,
            "files": {"records": None, **{name: str(path) for name, path in files.items()}},
        },
        aligned(("house", str(places.folder), ""), rows),
    )
