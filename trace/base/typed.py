"""What people type beside what was written down: signs above letters are not to be had on every keyboard."""

from __future__ import annotations

import unicodedata

_NO_PARTS = str.maketrans({"ø": "o", "æ": "ae", "œ": "oe", "ð": "d", "þ": "th", "đ": "d", "ł": "l", "ı": "i"})
"""Letters that Unicode does not take apart into a letter and a sign (NFKD, Unicode Standard Annex 15; from memory)."""


def bare(text: str) -> str:
    """The text as it can be typed on any keyboard, for comparing: ``Kråkenebb`` is ``krakenebb``, ``Sjøgata`` ``sjogata``."""
    apart = unicodedata.normalize("NFKD", text.casefold())
    return "".join(sign for sign in apart if not unicodedata.combining(sign)).translate(_NO_PARTS)
