"""``house.toml``: what a house chooses. Read once, checked, and passed on as plain values."""

from __future__ import annotations

import tomllib
from collections.abc import Mapping
from dataclasses import dataclass, field, fields
from pathlib import Path
from typing import Any

from lotwake.trace.base.errors import CallError, MachineFailed


@dataclass(frozen=True)
class Settings:
    """The choices of a house, with their defaults.

    ``operator``: initials used by the shell when none are given. ``printer_dpi``: dots per inch of the label printer.
    ``stock``: name of the label stock in it. ``theme``: ``day`` or ``night``. ``scanner``: ``prefix`` when the scanner
    sends its symbology identifier, ``timing`` when it does not. ``separator``: what the scanner sends for GS, if it
    cannot send ASCII 29. ``database``: the server with the record (``postgresql://user@host:port/name``), or empty for the
    file in the folder of the house. ``keys``: command name to key, for those a house wants elsewhere. ``withhold``: what
    origin answers keep back (``boats, positions``); ``withhold_from``: the same for one asker, by name.
    """

    operator: str = ""
    printer_dpi: int = 203
    stock: str = "roll 100 x 60 mm"
    theme: str = "day"
    scanner: str = "prefix"
    separator: str = "\x1d"
    database: str = ""
    keys: Mapping[str, str] = field(default_factory=dict)
    withhold: str = ""
    withhold_from: Mapping[str, str] = field(default_factory=dict)


SERVER = "postgresql://"
"""How the address of a server begins."""

_KIND_WORDS = {int: "a whole number", str: "a text", dict: "a table"}
_EXAMPLES = {
    int: "digits without quotes",
    str: "it in quotes",
    dict: "its name in brackets on a line and its lines below it",
}
_TABLES = {
    "keys": ("the key for", 'help = "f1"'),
    "withhold_from": ("what is withheld from", '"Quay Deli" = "boats"'),
}
"""The settings that are tables of texts: how a line is spoken of, and an example of one."""
_ALLOWED: dict[str, tuple[Any, ...]] = {
    "printer_dpi": (203, 300, 305, 600, 610),
    "theme": ("day", "night"),
    "scanner": ("prefix", "timing"),
}


def read_settings(path: Path) -> Settings:
    """The settings in this file, or the defaults when there is none; CallError names the line or key that is wrong."""
    try:
        data = tomllib.loads(path.read_text(encoding="utf-8-sig"))  # some editors put a mark in front of the first line
    except (tomllib.TOMLDecodeError, UnicodeDecodeError) as error:
        raise CallError(
            f"{path.name} cannot be read: {error}.", "Mend the line it names; nothing was changed."
        ) from None
    except FileNotFoundError:
        return Settings()
    except OSError as error:
        raise MachineFailed(f"{path} cannot be read: {error.strerror}.", "Check who owns the file.") from None
    kinds = {item.name: dict if item.name in _TABLES else type(item.default) for item in fields(Settings)}
    for key, value in data.items():
        if key not in kinds:
            raise CallError(
                f"{path.name} has a setting {key!r} that does not exist.", f"There are: {', '.join(kinds)}."
            )
        if type(value) is not kinds[key]:
            raise CallError(
                f"{path.name}: {key} = {value!r} is not {_KIND_WORDS[kinds[key]]}.", f"Write {_EXAMPLES[kinds[key]]}."
            )
        if key in _ALLOWED and value not in _ALLOWED[key]:
            raise CallError(
                f"{path.name}: {key} = {value!r} is not known.", f"Use one of: {', '.join(map(str, _ALLOWED[key]))}."
            )
    _check_texts(path.name, data)
    return Settings(**data)


def _check_texts(name: str, data: Mapping[str, Any]) -> None:
    for table, (said, example) in _TABLES.items():
        for entry, text in data.get(table, {}).items():
            if not isinstance(text, str) or not text:
                raise CallError(f"{name}: {said} {entry}, {text!r}, is not a text.", f"Write it as {example}.")
    if data.get("database") and not data["database"].startswith(SERVER):
        raise CallError(
            f"{name}: database is no server's address.", f'Write it as database = "{SERVER}user@host/name".'
        )
    if len(data.get("separator", "-")) != 1:
        raise CallError(
            f"{name}: separator = {data['separator']!r} is not one character.", "Name the one the scanner sends for GS."
        )
