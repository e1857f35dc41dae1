"""Data files of a house, in TOML: what is wrong in one is said with its file, line and key."""

from __future__ import annotations

import re
import tomllib
from collections.abc import Collection, Mapping
from dataclasses import dataclass
from pathlib import Path
from typing import Any, NoReturn

from lotwake.labels.errors import WrongData


def place_of(name: str, text: str, key: str) -> str:
    """Return ``house.toml, line 3`` for a key in the text of a TOML file, the name alone where the key is not there."""
    found = re.search(rf"^\s*\[?\s*[\"']?{re.escape(key)}\b", text, re.MULTILINE)
    return f"{name}, line {text.count(chr(10), 0, found.end()) + 1}" if found else name


@dataclass(frozen=True)
class DataFile:
    """One table of a TOML file, with what it takes to say where a value stands."""

    name: str
    text: str
    values: Mapping[str, Any]

    def wrong(self, key: str, problem: str, hint: str = "") -> NoReturn:
        """Raise WrongData that names the file, the line of the key if it is there, and the key."""
        raise WrongData(f"{place_of(self.name, self.text, key)}: {key} {problem}.", hint)

    def only(self, keys: Collection[str]) -> None:
        """Refuse a key that is not one of ``keys``."""
        for key in self.values:
            if key not in keys:
                self.wrong(key, "is not known here", f"Known are: {', '.join(sorted(keys))}.")

    def word(self, key: str, default: str | None = None) -> str:
        """Return a text that is not empty."""
        value = self.values.get(key, default)
        if not isinstance(value, str) or not value.strip():
            self.wrong(key, "must be a text between quotation marks")
        return value

    def number(self, key: str, default: float | None = None, *, above: float = 0) -> float:
        """Return a number greater than ``above``."""
        value = self.values.get(key, default)
        if isinstance(value, bool) or not isinstance(value, int | float) or not value > above:
            self.wrong(key, f"must be a number above {above:g}")
        return value

    def count(self, key: str) -> int:
        """Return a whole number above zero."""
        value = self.values.get(key)
        if isinstance(value, bool) or not isinstance(value, int) or value < 1:
            self.wrong(key, "must be a whole number, 1 or more")
        return value

    def table(self, key: str) -> DataFile | None:
        """Return a table inside this one, or None when it is not there."""
        value = self.values.get(key)
        if value is None:
            return None
        if not isinstance(value, dict):
            self.wrong(key, f"must be a table, written as [{key}]")
        return DataFile(self.name, self.text, value)


def read_data_file(path: Path) -> DataFile:
    """Return the contents of a TOML file.

    Raises:
        WrongData: when it cannot be read or is no TOML; the sentence names file and line.
    """
    try:
        return parse_data_file(path.name, path.read_text("utf-8"))
    except (OSError, UnicodeDecodeError) as error:
        raise WrongData(
            f"{path} cannot be read: {error}.", "Check the name of the file and that it is text."
        ) from error


def parse_data_file(name: str, text: str) -> DataFile:
    """As ``read_data_file`` for text that was read already."""
    try:
        return DataFile(name, text, tomllib.loads(text))
    except tomllib.TOMLDecodeError as error:
        raise WrongData(f"{name} is not right TOML: {error}.", "Correct that line.") from error
