"""Looking things up in a short list of published codes, forgiving about case and spaces."""

from __future__ import annotations

import re
from collections.abc import Callable, Iterable
from difflib import get_close_matches
from typing import Generic, TypeVar

from lotwake.trace.base.errors import NotFound

Row = TypeVar("Row")
_NEAR_MATCHES = 3
_NEAR_ENOUGH = 0.55
_WORTH_SEEKING = 4


def _plain(text: str) -> str:
    """The text as it is compared: lower case, single spaces, without brackets ("nei" and "(nei)" are one)."""
    return " ".join(re.sub(r"[()=]", " ", text).casefold().split())


class CodeTable(Generic[Row]):
    """Rows of a code list, found by any of their keys (code, name, ...).

    ``what`` names a row for people ("species"); ``keys`` gives every text a row answers to; ``show`` writes it on one
    line. A key that stands for two rows is a mistake in the table and raises ValueError when it is built.
    """

    def __init__(
        self, what: str, rows: Iterable[Row], keys: Callable[[Row], Iterable[str]], show: Callable[[Row], str]
    ) -> None:
        self.what = what
        self.rows = tuple(rows)
        self._show = show
        self._by_key: dict[str, Row] = {}
        for row in self.rows:
            for key in {_plain(key) for key in keys(row)}:
                if key in self._by_key:
                    raise ValueError(f"{key!r} names two rows of {what}")
                self._by_key[key] = row

    def get(self, text: str) -> Row | None:
        """The row, or None."""
        return self._by_key.get(_plain(text))

    def find(self, text: str) -> Row:
        """The row; NotFound with the nearest rows in the hint if no key is this text."""
        row = self.get(text)
        if row is None:
            raise NotFound(f"No {self.what} is known as {text!r}.", self._hint(text))
        return row

    def near(self, text: str) -> tuple[Row, ...]:
        """Rows with a key that holds this text, then rows with a key that looks like it."""
        plain = _plain(text)
        keys = [key for key in self._by_key if len(plain) >= _WORTH_SEEKING and plain in key]
        keys += get_close_matches(plain, self._by_key, n=3 * _NEAR_MATCHES, cutoff=_NEAR_ENOUGH)
        return tuple(dict.fromkeys(self._by_key[key] for key in keys))[:_NEAR_MATCHES]

    def _hint(self, text: str) -> str:
        near = self.near(text)
        if not near:
            return f"Look the code up in the published list of {self.what} codes."
        return "Near it: " + "; ".join(self._show(row) for row in near) + "."
