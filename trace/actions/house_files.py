"""The files a house keeps in its folder, changed from the program: house.toml, its label stock, its phrases.

One value is changed at a time; comments, order and every other line stay as somebody wrote them. The changed text is read
and checked as at the next start before it takes the place of the file, so what is refused changes nothing.
"""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import dataclass, fields, replace
from pathlib import Path
from typing import Any

import tomlkit
from tomlkit import TOMLDocument
from tomlkit.exceptions import TOMLKitError

from lotwake.labels.files import whole_file
from lotwake.labels.layout.languages import BUILT_IN, Phrases, checked_phrases, words_of
from lotwake.labels.layout.stock import GRID_KEYS, STOCK_KEYS, Stock, checked_stock, load_stock
from lotwake.trace.actions.desk import Desk
from lotwake.trace.actions.label_setting import case_stock, label_phrases, label_stock, stocks
from lotwake.trace.base.errors import CallError
from lotwake.trace.base.settings import Settings, settings_in

SETTINGS = tuple(item.name for item in fields(Settings) if item.name not in ("keys", "withhold_from", "database"))
"""The settings that can be changed here; tables are edited in the file, and records are moved by a command of their own."""
SHEET = "sheet"
STOCK_FIELDS = (*(key for key in STOCK_KEYS if key not in ("name", SHEET)), *(f"{SHEET}.{key}" for key in GRID_KEYS))
SENTENCES = "sentences"
PHRASE_FIELDS = tuple(item.name.rstrip("_") for item in fields(Phrases) if item.name not in ("months", SENTENCES))
_YES, _NO = ("true", "yes"), ("false", "no")
_WHOLE = ("columns", "rows")
_LISTS = ("bar_heights_mm",)


@dataclass(frozen=True)
class Changed:
    """A value of a file that was changed: which file, what it says now, and what it said before, empty for nothing."""

    path: Path
    now: str
    was: str


# house.toml


def change_setting(desk: Desk, name: str, text: str) -> tuple[Desk, Changed]:
    """Change one setting of the house; the desk with the new settings is given back.

    Raises CallError or WrongData with file and line when the value cannot be, also for a stock or a phrase file that is
    not there.
    """
    if name not in SETTINGS:
        raise CallError(f"There is no setting {name!r} to change here.", f"There are: {', '.join(SETTINGS)}.")
    _must_lead(desk)
    path = desk.places.settings
    document = _document(path)
    was = _shown(document.get(name))
    document[name] = _setting_value(name, text)
    now = replace(desk, settings=settings_in(path.name, document.as_string()))
    for checked in (label_stock, case_stock, label_phrases):
        checked(now)
    _write(path, document)
    return now, Changed(path, _shown(document[name]), was)


def setting_rows(settings: Settings) -> list[tuple[str, str]]:
    """Each setting that can be changed here with what it says now."""
    return [(name, _shown(getattr(settings, name))) for name in SETTINGS]


def _setting_value(name: str, text: str) -> Any:
    kind, bare = type(getattr(Settings(), name)), text.strip()
    if kind is bool:
        if bare.lower() not in (*_YES, *_NO):
            raise CallError(f"{name} = {bare!r} is neither yes nor no.", "Write true or false.")
        return bare.lower() in _YES
    if kind is int:
        return _number(name, bare, whole=True)
    return [part.strip() for part in bare.split(",") if part.strip()] if kind is tuple else bare


# Label stock


def add_stock(desk: Desk, name: str, values: Mapping[str, str], like: str = "") -> Changed:
    """Write down a label stock of the house, a new file in its folder ``stock``; ``like`` is one it begins as.

    ``values`` are texts by the keys of the file, those of a sheet as ``sheet.columns``. Raises WrongData with file, line and
    key when something is missing or cannot be.
    """
    _must_lead(desk)
    if any(stock.name == name for stock, _ in _own(desk)):
        raise CallError(f"The house has a stock {name!r} already.", "Change it, or give this one another name.")
    document = tomlkit.document()
    document["name"] = name.strip()
    for key, value in {**(_values_of(label_stock(desk, like)) if like else {}), **values}.items():
        _put_stock(document, key, value)
    path = desk.places.stock / f"{_file_name(name)}.toml"
    return _keep_stock(path, document, name, "")


def change_stock(desk: Desk, name: str, key: str, text: str) -> Changed:
    """Change one measure of a stock; of one that comes with the program the house gets its own under the same name."""
    _must_lead(desk)
    known = stocks(desk)
    if name not in known:
        raise CallError(f"There is no label stock {name!r}.", f"There are: {', '.join(known)}.")
    file = next((file for stock, file in _own(desk) if stock.name == name), None)
    if file is None:
        was = _values_of(known[name]).get(key, "")
        made = add_stock(desk, name, {key: text}, like=name)
        return replace(made, now=text, was=was)
    document = _document(file)
    table = document.get(SHEET, {}) if key.startswith(SHEET + ".") else document
    was = _shown(table.get(key.rpartition(".")[2]))
    _put_stock(document, key, text)
    return _keep_stock(file, document, text, was)


def stock_names(desk: Desk) -> list[str]:
    """Every label stock the house can print on."""
    return list(stocks(desk))


def _own(desk: Desk) -> list[tuple[Stock, Path]]:
    return [(load_stock(path), path) for path in sorted(desk.places.stock.glob("*.toml"))]


def _keep_stock(path: Path, document: TOMLDocument, now: str, was: str) -> Changed:
    checked_stock(path.name, document.as_string())
    path.parent.mkdir(parents=True, exist_ok=True)
    _write(path, document)
    return Changed(path, now, was)


def _put_stock(document: TOMLDocument, key: str, text: str) -> None:
    if key not in STOCK_FIELDS:
        raise CallError(f"A label stock has no {key!r}.", f"There are: {', '.join(STOCK_FIELDS)}.")
    table, _, last = key.rpartition(".")
    if last in _LISTS:
        value: Any = [_number(key, part) for part in text.replace(",", " ").split()]
    else:
        value = _number(key, text, whole=last in _WHOLE)
    if table:
        document.setdefault(table, tomlkit.table())[last] = value
    else:
        document[last] = value


def _values_of(stock: Stock) -> dict[str, str]:
    values = {key: getattr(stock, key) for key in STOCK_KEYS if key not in ("name", SHEET)}
    if stock.grid is not None:
        values |= {f"{SHEET}.{key}": getattr(stock.grid, key) for key in GRID_KEYS}
    return {
        key: " ".join(map(_plain, value)) if isinstance(value, tuple) else _plain(value)
        for key, value in values.items()
    }


# Phrases


def change_phrase(desk: Desk, language: str, phrase: str, text: str) -> Changed:
    """Change one of the fixed words of labels in a phrase file of the house, such as ``words.toml`` or ``french.toml``.

    A file that is not there begins as a copy of the language of the same name, else of English. The sentences of a label
    are named ``sentences.cook``; what stands in braces in them has to stay.
    """
    _must_lead(desk)
    path = _phrase_path(desk, language)
    shipped = path.stem if path.stem in BUILT_IN else BUILT_IN[0]
    document = _document(path) if path.exists() else _parsed(path.name, words_of(shipped))
    table, _, key = phrase.rpartition(".")
    place: Any = document.get(table) if table else document
    if table not in ("", SENTENCES) or (not table and key not in PHRASE_FIELDS) or (table and key not in place):
        known = [*PHRASE_FIELDS, *(f"{SENTENCES}.{name}" for name in document.get(SENTENCES, {}))]
        raise CallError(f"There is no phrase {phrase!r}.", f"There are: {', '.join(known)}.")
    was = str(place.get(key, ""))
    place[key] = text
    before, after = (set(re.findall(r"\{(\w+)\}", one)) for one in (was, text))
    if before != after:
        braced = ", ".join(f"{{{word}}}" for word in sorted(before)) or "nothing"
        raise CallError(f"{phrase} has other words in braces than before.", f"It is filled in with {braced}.")
    checked_phrases(path.name, document.as_string())
    _write(path, document)
    return Changed(path, text, was)


def phrase_files(desk: Desk) -> list[str]:
    """The languages that come with the program and the phrase files of the house."""
    own = [name for name in desk.settings.languages if name not in BUILT_IN]
    there = [path.name for path in sorted(desk.places.folder.glob("*.toml")) if path != desk.places.settings]
    return list(dict.fromkeys([*own, *there, *BUILT_IN]))


def phrases_listed(desk: Desk, language: str) -> list[tuple[str, str]]:
    """Each phrase of a language or phrase file with its words."""
    path = _phrase_path(desk, language)
    shipped = path.stem if path.stem in BUILT_IN else BUILT_IN[0]
    words = checked_phrases(path.name, path.read_text("utf-8") if path.exists() else words_of(shipped))
    named = [(key, getattr(words, "from_" if key == "from" else key)) for key in PHRASE_FIELDS]
    return [*named, *((f"{SENTENCES}.{name}", text) for name, text in words.sentences.items())]


def _phrase_path(desk: Desk, language: str) -> Path:
    name = language if language.endswith(".toml") else f"{language}.toml"
    if not re.fullmatch(r"[A-Za-z0-9][A-Za-z0-9 ._-]*", name) or name == desk.places.settings.name:
        raise CallError(f"{language!r} cannot name a phrase file.", "Name it like words.toml or french.")
    return desk.places.folder / name


# All of them


def _must_lead(desk: Desk) -> None:
    """What the house prints with is a lead's to decide, as its people and products are."""
    desk.as_lead("change the files of the house")


def _document(path: Path) -> TOMLDocument:
    try:
        return _parsed(path.name, path.read_text(encoding="utf-8-sig"))
    except FileNotFoundError:
        return tomlkit.document()
    except UnicodeDecodeError as error:
        raise CallError(f"{path.name} cannot be read: {error}.", "Save it as UTF-8.") from error


def _parsed(name: str, text: str) -> TOMLDocument:
    try:
        return tomlkit.parse(text)
    except TOMLKitError as error:
        raise CallError(f"{name} is not right TOML: {error}.", "Mend that line first; nothing was changed.") from error


def _write(path: Path, document: TOMLDocument) -> None:
    with whole_file(path) as file:
        file.write(document.as_string().encode("utf-8"))


def _number(key: str, text: str, whole: bool = False) -> int | float:
    bare = text.strip().replace(",", ".")
    form = r"\d+" if whole else r"-?\d+(\.\d+)?"
    if not re.fullmatch(form, bare):
        raise CallError(
            f"{key} = {text.strip()!r} is not a {'whole ' if whole else ''}number.", "Write digits only, such as 24."
        )
    return int(bare) if re.fullmatch(r"-?\d+", bare) else float(bare)


def _shown(value: object) -> str:
    if value is None:
        return ""
    if isinstance(value, bool):
        return "true" if value else "false"
    return ", ".join(map(str, value)) if isinstance(value, list | tuple) else str(value)


def _plain(value: float) -> str:
    return f"{value:g}"


def _file_name(name: str) -> str:
    return re.sub(r"[^a-z0-9]+", "-", name.lower()).strip("-") or "stock"
