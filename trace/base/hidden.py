"""Characters that are not text: they steer a terminal, turn the direction of writing round, or cannot be stored."""

from __future__ import annotations

import re

from lotwake.trace.base.errors import CallError

_HIDDEN = re.compile("[\x00-\x08\x0b-\x1f\x7f-\x9f\u2028-\u202e\u2066-\u2069\ud800-\udfff]")
"""C0 and C1 controls but tab and line end (ECMA-48), line and paragraph separators and directional formatting (Unicode
general categories Zl, Zp, Cf), and halves of surrogate pairs."""


def must_be_text(what: str, text: str) -> None:
    """CallError when there is a character in this text that nobody can see or type."""
    found = _HIDDEN.search(text)
    if found is not None:
        raise CallError(
            f"There is a hidden character (U+{ord(found[0]):04X}) in {what}: {text!r}.",
            "Type it anew, without what came along from a copy or a scanner.",
        )


def made_visible(text: str) -> str:
    """The text with each hidden character spelled out, so that it steers no terminal."""
    return _HIDDEN.sub(lambda found: found[0].encode("unicode_escape").decode("ascii"), text)
