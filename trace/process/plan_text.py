"""Where something stands in the text of a plan, so that whoever wrote it finds it."""

from __future__ import annotations

import re
from dataclasses import dataclass

_TABLE = re.compile(r"\s*\[\[\s*(\w+)\s*\]\]")


@dataclass(frozen=True)
class PlanText:
    """The text of a plan, and the file it came from (empty for one that comes from elsewhere)."""

    text: str
    file: str = ""

    def placed(self, sentence: str, kind: str = "", number: int = 0, key: str = "") -> str:
        """The sentence with file and line: those of a key in the ``number``-th table of this kind, or of the table."""
        line = self._line(kind, number, key)
        place = ", ".join(part for part in (self.file, f"line {line}" if line else "") if part)
        return f"{sentence.rstrip('.')} ({place})." if place else sentence

    def _line(self, kind: str, number: int, key: str) -> int:
        """The line, counted from 1; 0 where it does not stand anywhere."""
        begins, seen, table = 0, 0, ""
        for at, line in enumerate(self.text.splitlines(), 1):
            if found := _TABLE.match(line):
                table = found[1]
                seen += table == kind
                begins = at if (table, seen) == (kind, number) else begins
            inside = not table if not kind else (table, seen) == (kind, number)
            if inside and key and re.match(rf"\s*{re.escape(key)}\s*=", line):
                return at
        return begins
