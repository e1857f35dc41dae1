"""``house.toml``: what a house chooses. Read once, checked, and passed on as plain values."""

from __future__ import annotations

import re
import tomllib
from collections.abc import Callable, Mapping
from dataclasses import dataclass, field, fields
from functools import partial
from pathlib import Path
from typing import Any
from urllib.parse import parse_qsl, urlencode, urlsplit, urlunsplit

from lotwake.labels.data_file import place_of
from lotwake.trace.base.errors import CallError, MachineFailed
from lotwake.trace.base.places import Places


@dataclass(frozen=True)
class Settings:
    """The choices of a house, with their defaults.

    ``operator``: initials used by the shell when none are given. ``theme``: ``day`` or ``night``. ``scanner``: ``prefix``
    when the scanner sends its symbology identifier, ``timing`` when it does not. ``separator``: what the scanner sends for
    GS, if it cannot send ASCII 29. ``database``: the server with the record (``postgresql://user@host:port/name``), or empty
    for the file in the folder of the house. ``keys``: command name to key, for those a house wants elsewhere. ``withhold``:
    what origin answers keep back (``boats, positions``); ``withhold_from``: the same for one asker, by name.
    ``drill_goal_min``: minutes a recall or drill is to be done in, ``drill_least_percent``: packs to be accounted for in it;
    the defaults, 240 and 98, are habits of private certification schemes, not law.

    Labels. ``printer``: ``queue:NAME``, ``ipp://...`` or ``folder:PATH``; empty writes files only. ``printer_dpi``: dots per
    inch. ``stock``: name of the label stock packs are printed on, a shipped one or one of the house's folder ``stock``.
    ``case_printer``, ``case_stock``: the same for case labels and cards, where they are others. ``market``: whose rules a
    pack label is held against. ``languages``: one or two for the fixed words, each a shipped one or a TOML file in the
    house's folder. ``pack_face_cm2``: area of a pack's largest face, 0 when nobody said. ``country_of_origin``: the words
    after "Product of", by default the country of the site. ``use_by``: a use-by date instead of best before. ``design``:
    which kind of symbol a pack carries. ``identification_mark``: ``label`` when the oval of a pack for the Union is printed
    on its label, ``pack`` when it is on the pack already. ``opened_days``: within how many days a pack is used once it is
    opened, said where the product has no words of its own; 0 says nothing.
    """

    operator: str = ""
    printer_dpi: int = 203
    stock: str = "roll 100 x 60 mm"
    theme: str = "day"
    scanner: str = "prefix"
    separator: str = "\x1d"
    database: str = ""
    market: str = "codex"
    languages: tuple[str, ...] = ("english",)
    printer: str = ""
    case_printer: str = ""
    pack_face_cm2: int = 0
    country_of_origin: str = ""
    use_by: bool = False
    design: str = "auto"
    identification_mark: str = "label"
    case_stock: str = ""
    opened_days: int = 0
    keys: Mapping[str, str] = field(default_factory=dict)
    withhold: str = ""
    withhold_from: Mapping[str, str] = field(default_factory=dict)
    drill_goal_min: int = 240
    drill_least_percent: int = 98


SERVER = "postgresql://"
"""How the address of a server begins."""

LANGUAGES = ("english", "filipino", "french", "spanish")
_OWN_FILE = ".toml"
_PRINTER = re.compile(
    r"queue:[^\s/-][^\s/]*|folder:.+|ipps?://(\[[0-9a-fA-F:.]+\]|[^\s/:@\[\]]+)(:(?P<port>\d{1,5}))?(/\S*)?"
)
_LAST_PORT = 65535
_KIND_WORDS = {int: "a whole number", str: "a text", bool: "true or false", list: "a list", dict: "a table"}
_EXAMPLES = {
    int: "digits without quotes",
    str: "it in quotes",
    bool: "true or false, without quotes",
    list: 'it as ["english", "spanish"]',
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
    "market": ("codex", "eu", "us"),
    "design": ("auto", "line", "datamatrix", "qr", "till"),
    "identification_mark": ("label", "pack"),
}


def read_settings(path: Path) -> Settings:
    """The settings in this file, or the defaults when there is none; CallError names the line or key that is wrong."""
    try:
        text = path.read_text(encoding="utf-8-sig")  # some editors put a mark in front of the first line
    except UnicodeDecodeError as error:
        raise _unreadable(path.name, error) from None
    except FileNotFoundError:
        return Settings()
    except OSError as error:
        raise MachineFailed(f"{path} cannot be read: {error.strerror}.", "Check who owns the file.") from None
    return settings_in(path.name, text)


def settings_in(name: str, text: str) -> Settings:
    """As ``read_settings`` for the text of a file of this name."""
    try:
        data = tomllib.loads(text)
    except tomllib.TOMLDecodeError as error:
        raise _unreadable(name, error) from None
    at = partial(place_of, name, text)
    kinds: dict[str, type] = {item.name: type(item.default) for item in fields(Settings)}
    kinds |= {**dict.fromkeys(_TABLES, dict), "languages": list}
    for key, value in data.items():
        if key not in kinds:
            raise CallError(f"{at(key)} has a setting {key!r} that does not exist.", f"There are: {', '.join(kinds)}.")
        if type(value) is not kinds[key]:
            raise CallError(
                f"{at(key)}: {key} = {value!r} is not {_KIND_WORDS[kinds[key]]}.", f"Write {_EXAMPLES[kinds[key]]}."
            )
        if key in _ALLOWED and value not in _ALLOWED[key]:
            raise CallError(
                f"{at(key)}: {key} = {value!r} is not known.", f"Use one of: {', '.join(map(str, _ALLOWED[key]))}."
            )
    _check_texts(at, data)
    _check_targets(at, data)
    _check_labels(at, data)
    if "languages" in data:
        data["languages"] = tuple(data["languages"])
    return Settings(**data)


def holds_house(places: Places) -> bool:
    """Whether this folder is a house: its record lies in it, or its settings name the server that has it."""
    return places.records.exists() or bool(read_settings(places.settings).database)


def without_password(url: str) -> str:
    """The address of a server as it may be shown."""
    parts = urlsplit(url)
    user, found, host = parts.netloc.rpartition("@")
    shown = [pair for pair in parse_qsl(parts.query) if pair[0] != "password"]
    return urlunsplit(parts._replace(netloc=f"{user.partition(':')[0]}{found}{host}", query=urlencode(shown)))


def _unreadable(name: str, error: ValueError) -> CallError:
    return CallError(f"{name} cannot be read: {error}.", "Mend the line it names; nothing was changed.")


def is_printer(text: str) -> bool:
    """Whether a text has the form of a printer: a queue, an address, or a watched folder."""
    form = _PRINTER.fullmatch(text)
    return form is not None and int(form["port"] or 0) <= _LAST_PORT


def _check_texts(at: Callable[[str], str], data: Mapping[str, Any]) -> None:
    for table, (said, example) in _TABLES.items():
        for entry, text in data.get(table, {}).items():
            if not isinstance(text, str) or not text:
                raise CallError(f"{at(entry)}: {said} {entry}, {text!r}, is not a text.", f"Write it as {example}.")
    if data.get("database") and not data["database"].startswith(SERVER):
        raise CallError(
            f"{at('database')}: database is no server's address.", f'Write it as database = "{SERVER}user@host/name".'
        )
    if len(data.get("separator", "-")) != 1:
        raise CallError(
            f"{at('separator')}: separator = {data['separator']!r} is not one character.",
            "Name the one the scanner sends for GS.",
        )


def _check_targets(at: Callable[[str], str], data: Mapping[str, Any]) -> None:
    goal, least = data.get("drill_goal_min", 1), data.get("drill_least_percent", 0)
    if goal < 1:
        raise CallError(
            f"{at('drill_goal_min')}: drill_goal_min = {goal} cannot be met.", "Write minutes, such as 240."
        )
    if not 0 <= least <= 100:
        raise CallError(f"{at('drill_least_percent')}: drill_least_percent = {least} cannot be.", "Write 0 to 100.")


def _check_labels(at: Callable[[str], str], data: Mapping[str, Any]) -> None:
    for key in ("printer", "case_printer"):
        if data.get(key) and not is_printer(data[key]):
            raise CallError(
                f"{at(key)}: {key} = {data[key]!r} is no printer.",
                'Write "queue:NAME", "ipp://HOST/ipp/print", "folder:PATH", or "" for files only.',
            )
    if data.get("opened_days", 0) < 0:
        raise CallError(
            f"{at('opened_days')}: opened_days = {data['opened_days']} cannot be.", "Write days, such as 3, or 0."
        )
    if data.get("pack_face_cm2", 0) < 0:
        raise CallError(
            f"{at('pack_face_cm2')}: pack_face_cm2 = {data['pack_face_cm2']} cannot be.", "Write its area, such as 70."
        )
    languages = data.get("languages", LANGUAGES[:1])
    if len(languages) not in (1, 2) or len(set(map(str, languages))) < len(languages):
        raise CallError(
            f"{at('languages')}: languages = {languages!r} is not one language or two.", "Name one, or two that differ."
        )
    for language in languages:
        if not isinstance(language, str) or not (language in LANGUAGES or language.endswith(_OWN_FILE)):
            raise CallError(
                f"{at('languages')}: languages has {language!r}, which is not known.",
                f"Use one of: {', '.join(LANGUAGES)}, or a file of your own such as words{_OWN_FILE}.",
            )
