"""The targets of a recall or drill, as people type them. Pure."""

from __future__ import annotations

import re

from lotwake.trace.base.errors import CallError
from lotwake.trace.recall.classes import LEAST_PERCENT

_GOAL = re.compile(r"(\d{1,3})(?::([0-5]\d))?(?:\s+(\d{1,3})\s*%?)?", re.ASCII)


def read_goal(text: str, least_percent: int = LEAST_PERCENT) -> tuple[int, int]:
    """``4:00`` or ``2:30 99 %``: minutes to be done in, and the least per cent of packs to be accounted for."""
    form = _GOAL.fullmatch(text.strip())
    if form is None:
        raise CallError(
            f"{text.strip()!r} is not a goal.", "Write hours and minutes, such as 4:00; a per cent may follow."
        )
    least = int(form[3]) if form[3] else least_percent
    if least > 100:
        raise CallError(f"{least} % cannot be accounted for.", "Give 0 to 100.")
    return int(form[1]) * 60 + int(form[2] or 0), least


def show_goal(minutes: int) -> str:
    """``4:00``."""
    return f"{minutes // 60}:{minutes % 60:02d}"
