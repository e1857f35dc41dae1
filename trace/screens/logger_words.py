"""The logger page in words: files to choose from, what is understood of one, and what is typed about it. Pure."""

from __future__ import annotations

import re
from collections.abc import Iterator, Sequence
from datetime import datetime
from zoneinfo import ZoneInfo

from lotwake.trace.actions.logger import Looked
from lotwake.trace.actions.logger_places import FileThere
from lotwake.trace.actions.logger_said import LISTS, SAYABLE, checked_word, probe_row, shape_lines
from lotwake.trace.base.errors import CallError
from lotwake.trace.process.logger_checks import Problem
from lotwake.trace.screens.command import CHOOSE, VIEW, Command
from lotwake.trace.screens.widgets import Row

SAY = Command(
    "say", "Say", "Say how the file is written, or what is wanted of it: /say unit F, /say order DMY, /say from 05:40.",
    takes="WHAT VALUE",
)  # fmt: skip
UNSAY = Command(
    "unsay", "Unsay", "Take back what was said about the file: /unsay unit; alone, all of it.", takes="WHAT"
)
INTO = Command("into", "Into", "The batch the readings belong to, by its code; or scan its card.", takes="CODE")
WITH = Command(
    "with", "With", "The instrument the readings come from, if it is not called like the logger.", takes="NAME"
)
REMEMBER = Command("remember", "Remember", "Remember how this logger writes, under this name.", takes="NAME")
BRING = Command("bring", "Bring in", "Enter all the readings that are shown on the batch, or none.")
OFFERS = (
    CHOOSE.here("Files", "Choose another file."),
    VIEW.here("View", "Change between the probes found and the first lines of the file."),
    SAY,
    UNSAY,
    INTO,
    WITH,
    REMEMBER,
    BRING,
)


def file_rows(files: Sequence[FileThere], zone: ZoneInfo) -> list[Row]:
    """Each file with a number, when it was written, its size and where it lies."""
    return [
        Row(
            str(item.path),
            (str(at), item.path.name, f"{datetime.fromtimestamp(item.modified_s, zone):%d %b %H:%M}", _size(item.size),
             str(item.path.parent)),
        )
        for at, item in enumerate(files, 1)
    ]  # fmt: skip


def _size(size: int) -> str:
    return f"{size / 1_000_000:.1f} MB" if size >= 1_000_000 else f"{-(-size // 1000)} kB"


def probe_rows(looked: Looked, zone: ZoneInfo) -> list[Row]:
    """What was read of each probe."""
    return [Row(probe.name, probe_row(probe, zone)) for probe in looked.preview.probes]


def line_rows(looked: Looked) -> list[Row]:
    """The first lines of the file as they stand."""
    return [Row(str(at), (" | ".join(fields),)) for at, fields in enumerate(looked.preview.first_rows)]


def told_lines(looked: Looked, zone: ZoneInfo) -> Iterator[str]:
    """What stops it first, then how it was understood, then what should be known."""
    yield from (f"NOT CLEAR  {problem.sentence} {hint(problem)}" for problem in looked.preview.problems)
    yield from shape_lines(looked, zone)
    yield from looked.preview.notes


def hint(problem: Problem) -> str:
    """What to type here, where the shell would take an option."""
    return in_words(problem.hint)


def in_words(text: str) -> str:
    """``Say --unit F`` as it is typed on the page: ``Type /say unit F``."""
    text = re.sub(r"\b[Ss]ay (?=--)", lambda form: "Type " if form[0][0] == "S" else "type ", text)
    text = text.replace("--zone=", "--zone ").replace("--missing=", "--missing ")
    return re.sub(r"--(remember)\b", r"/\1", re.sub(r"--(?!remember)([a-z]+(?:-[a-z]+)?)", r"/say \1", text))


def is_path(text: str) -> bool:
    """Whether a line that begins like a command is the path of a file: ``/media/stick``."""
    first = text.strip().partition(" ")[0]
    return first.startswith("/") and "/" in first[1:]


def read_said(text: str) -> tuple[str, list[str]]:
    """``unit F``, ``values 2, 3`` or ``from 05:40`` as what is said and its values; CallError for what nobody asks."""
    name, _, rest = text.strip().partition(" ")
    name = name.lower()
    if name not in SAYABLE or not rest.strip():
        raise CallError("What is said about the file?", f"Type /say, one of {', '.join(SAYABLE)}, and its value.")
    parts = [part.strip() for part in rest.split(",") if part.strip()] if name in LISTS else [rest.strip()]
    return name, [checked_word(name, part) for part in parts]
