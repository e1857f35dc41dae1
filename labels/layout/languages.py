"""The fixed words of a label in one language or two, from data files that a house can add to.

The files that come with the program say which of them were translated from memory.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field, fields
from functools import cache
from importlib import resources
from importlib.resources.abc import Traversable
from pathlib import Path
from types import MappingProxyType

from lotwake.labels.data_file import DataFile, parse_data_file, read_data_file
from lotwake.labels.errors import WrongData

BUILT_IN = ("english", "filipino", "french", "spanish")
BETWEEN = " / "
_LATER = ("started", "went_in", "process", "on_pallet", "cases", "mixed")


@dataclass(frozen=True)
class Phrases:
    """The fixed words. ``from_`` is the key ``from``; ``sentences`` may hold words in braces to be filled in."""

    language: str
    net: str
    ingredients: str
    contains: str
    best_before: str
    use_by: str
    packed: str
    lot: str
    pack_number: str
    approval: str
    produced_by: str
    count: str
    from_: str
    product_of: str
    batch: str
    tray: str
    started: str
    went_in: str
    process: str
    on_pallet: str
    cases: str
    mixed: str
    sample: str
    months: tuple[str, ...]
    sentences: Mapping[str, str] = field(hash=False)

    def sentence(self, name: str, **values: object) -> str:
        """Return a fixed sentence with its words in braces filled in.

        Raises:
            WrongData: when there is no such sentence, or a word in it has no value.
        """
        try:
            return self.sentences[name].format(**values)
        except KeyError as missing:
            raise WrongData(
                f"The {self.language} sentence {name!r} cannot be made: there is no {missing}.",
                f"Sentences are: {', '.join(self.sentences)}.",
            ) from missing


def phrases_of(name: str) -> Phrases:
    """Return the phrases of a language that comes with the program.

    Raises:
        WrongData: when there is no such language.
    """
    if name not in BUILT_IN:
        raise WrongData(
            f"There are no phrases in {name!r}.", f"Use one of {', '.join(BUILT_IN)}, or add a phrase file."
        )
    return _built_in(name)


def english() -> Phrases:
    """Return the English phrases."""
    return _built_in("english")


def load_phrases(path: Path) -> Phrases:
    """Return the phrases of a house's own file; it has the keys of the files in ``layout/words``.

    Headings of cards and pallets that it leaves out are English: files from before there were any go on working.

    Raises:
        WrongData: naming file, line and key of what is wrong or missing.
    """
    return _checked(read_data_file(path), english())


def checked_phrases(name: str, text: str) -> Phrases:
    """As ``load_phrases`` for the text of a file that is not written yet."""
    return _checked(parse_data_file(name, text), english())


def words_of(name: str) -> str:
    """Return the file of a language that comes with the program, for a house that begins its own with it."""
    return _words_file(name).read_text("utf-8")


def bilingual(first: Phrases, second: Phrases) -> Phrases:
    """Return every phrase in both languages; where they are the same it stands once."""
    both = {
        part.name: _both(getattr(first, part.name), getattr(second, part.name))
        for part in fields(Phrases)
        if part.name not in ("months", "sentences")
    }
    sentences = {
        name: f"{text} {second.sentences[name]}" for name, text in first.sentences.items() if name in second.sentences
    }
    months = tuple(_both(*pair, "/") for pair in zip(first.months, second.months, strict=True))
    return Phrases(**both, months=months, sentences=MappingProxyType(sentences))


def _both(first: str, second: str, between: str = BETWEEN) -> str:
    if first.casefold() == second.casefold():
        return first
    # One colon for both: "Ingredients / Mga sangkap:".
    shared = ":" if first.endswith(":") and second.endswith(":") else ""
    return f"{first.removesuffix(shared).rstrip() if shared else first}{between}{second}"


@cache
def _built_in(name: str) -> Phrases:
    return _checked(parse_data_file(f"{name}.toml", words_of(name)))


def _words_file(name: str) -> Traversable:
    return resources.files("lotwake.labels.layout") / "words" / f"{name}.toml"


def _checked(file: DataFile, later: Phrases | None = None) -> Phrases:
    keys = {part.name.rstrip("_"): part.name for part in fields(Phrases)}
    file.only(keys)
    defaults = {name: getattr(later, name) for name in _LATER} if later else {}
    words = {
        name: file.word(key, defaults.get(name)) for key, name in keys.items() if key not in ("months", "sentences")
    }
    months = file.values.get("months")
    if not isinstance(months, list) or len(months) != 12 or not all(isinstance(month, str) for month in months):
        file.wrong("months", "must be a list of 12 texts")
    table = file.table("sentences") or file.wrong("sentences", "is missing")
    sentences = {key: table.word(key) for key in table.values}
    return Phrases(**words, months=tuple(months), sentences=MappingProxyType(sentences))
