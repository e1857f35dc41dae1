"""Bring a temperature logger's file into a batch: looked at first, refused whole if any of it would be wrong.

The file's name and SHA-256 stand in the reason of every journal line it gave, so that evidence leads back to its file.
How a logger writes is remembered in ``loggers/`` in the folder of the house, one JSON file each.
"""

from __future__ import annotations

import hashlib
import os
import re
from collections.abc import Mapping
from dataclasses import dataclass
from datetime import UTC, datetime
from pathlib import Path

from lotwake.trace.actions.desk import Desk
from lotwake.trace.actions.refs import instrument_called, instrument_id, thing_of
from lotwake.trace.base.errors import CallError, MachineFailed, NotFound, Refused
from lotwake.trace.base.moments import instant_of, instant_text, show_moment
from lotwake.trace.process.logger_file import Choices, LoggerReadings, Preview, look_into, read_logger
from lotwake.trace.process.logger_shape import Remembered, Shape, Told, fits, read_remembered, remember, remembered_text
from lotwake.trace.process.logger_text import decode, lines_of
from lotwake.trace.records.entries import batches
from lotwake.trace.records.find import Kind, Thing

ACT = "bring in logger readings"
CHUNK = 1_000
"""How many readings one line of the journal covers."""
_NAME = re.compile(r"\w[\w .-]{0,39}")


@dataclass(frozen=True)
class LoggerFile:
    """A logger's file as it was read from disk: its name without folders, its bytes and their SHA-256 (hex)."""

    name: str
    data: bytes
    sha256: str


@dataclass(frozen=True)
class Looked:
    """What was understood of a file, and the name of the remembered logger it was read as (empty if none)."""

    file: LoggerFile
    logger: str
    preview: Preview


@dataclass(frozen=True)
class Brought:
    """Readings that were brought into a batch, and the name their logger is remembered by (empty if not)."""

    batch: Thing
    file: LoggerFile
    preview: Preview
    remembered: str


def open_file(path: Path) -> LoggerFile:
    """The file; NotFound when there is none, MachineFailed when it cannot be read."""
    try:
        data = path.read_bytes()
    except FileNotFoundError:
        raise NotFound(f"There is no file {path}.", "Check its name.") from None
    except OSError as error:
        raise MachineFailed(
            f"{path} cannot be read: {error.strerror}.", "Check who owns it, and the stick or disk."
        ) from None
    return LoggerFile(path.name, data, hashlib.sha256(data).hexdigest())


def look(desk: Desk, path: Path, told: Told, choices: Choices, logger: str = "") -> Looked:
    """What is understood of a file; nothing is written. ``logger`` names a remembered one; else its headings find it."""
    file = open_file(path)
    known = _known_logger(desk, file, told, logger)
    preview = look_into(file.data, told.over(known.told), choices, desk.zone)
    return Looked(file, known.name, preview)


def bring(
    desk: Desk,
    batch: str,
    path: Path,
    told: Told,
    choices: Choices,
    logger: str = "",
    remember_as: str = "",
    instrument: str = "",
) -> Brought:
    """Enter the readings of a file on a batch: all of them, or none.

    They name the ``instrument`` they come from; where that is not said, the piece of equipment called like the logger, or
    like the probe.

    Raises CallError with the first thing wrong in the file; Refused when the batch has readings of this file already, or
    a rule of the record forbids one of them. With ``remember_as``, the next file of this logger needs no question.
    """
    if remember_as:
        logger_path(desk, remember_as)
    thing = thing_of(desk.records, batch, [Kind.BATCH], "these readings")
    file = open_file(path)
    known = _known_logger(desk, file, told, logger)
    readings, preview = read_logger(file.data, told.over(known.told), choices, desk.zone)
    with desk.records.transaction():
        _must_be_new(desk, thing, file, readings)
        _enter(desk, thing, file, readings, _instruments(desk, readings, instrument, remember_as or known.name))
    if remember_as and preview.shape is not None:
        _keep(desk, remember_as, preview.shape)
    return Brought(thing, file, preview, remember_as)


def remembered_loggers(desk: Desk) -> list[Remembered]:
    """Every logger that is remembered, by name."""
    return [_read(path) for path in sorted(_folder(desk).glob("*.json"))]


def _known_logger(desk: Desk, file: LoggerFile, told: Told, name: str) -> Remembered:
    """The remembered logger of this name, or the one whose headings stand in the file, or one that tells nothing."""
    loggers = remembered_loggers(desk)
    if name:
        found = [known for known in loggers if known.name.casefold() == name.strip().casefold()]
        if not found:
            there = "; ".join(known.name for known in loggers) or "none yet"
            raise NotFound(f"No logger is remembered as {name!r}.", f"There are: {there}.")
        return found[0]
    nobody = Remembered("", (), Told())
    try:
        lines = lines_of(decode(file.data))
    except CallError:
        return nobody  # look_into says the same sentence, and to whom it belongs
    fitting = [known for known in loggers if fits(known, lines)]
    if len({known.told for known in fitting}) > 1 and told == Told():
        raise CallError(
            f"{file.name} has the headings of {' and of '.join(known.name for known in fitting)}.",
            "Say which logger it is from: --logger NAME.",
        )
    return fitting[0] if fitting else nobody


def _must_be_new(desk: Desk, batch: Thing, file: LoggerFile, readings: LoggerReadings) -> None:
    """No reading comes twice: not from the same file, whatever was told about it, and not at the same moment."""
    names = {probe.name for probe in readings.probes}
    before = desk.records.rows(
        "SELECT r.probe, MIN(j.at) FROM reading r JOIN journal j ON j.seq = r.entry"
        " WHERE r.batch = ? AND j.act = ? AND j.why LIKE ? GROUP BY r.probe",
        batch.id, ACT, f"%{file.sha256}%",
    )  # fmt: skip
    for probe, entered in before:
        if probe in names:
            when = show_moment(instant_of(entered), desk.zone)
            raise Refused(
                f"Batch {batch.shown} has the readings of {probe} from this file already, brought in {when}.",
                "Nothing to do; other probes of the file can be brought in with --only.",
            )
    sql = "SELECT probe, at FROM reading WHERE batch = ? AND kind = ?"
    there = set(desk.records.rows(sql, batch.id, readings.kind)) if readings.count else set()
    for probe in readings.probes:
        for at_s in probe.at_s if there else ():
            moment = datetime.fromtimestamp(at_s, UTC)
            if (probe.name, instant_text(moment)) in there:
                raise Refused(
                    f"Batch {batch.shown} has a {readings.kind} reading of {probe.name} at "
                    f"{show_moment(moment, desk.zone)} already.",
                    "Bring in the part before or after with --from and --to.",
                )


def _instruments(desk: Desk, readings: LoggerReadings, instrument: str, logger: str) -> dict[str, int | None]:
    """The instrument behind each probe of a file, None where nobody said."""
    if instrument:
        return dict.fromkeys((probe.name for probe in readings.probes), instrument_id(desk.records, instrument))
    return {
        probe.name: next((ref for name in (logger, probe.name) if (ref := instrument_called(desk.records, name))), None)
        for probe in readings.probes
    }


def _enter(
    desk: Desk, batch: Thing, file: LoggerFile, readings: LoggerReadings, instruments: Mapping[str, int | None]
) -> None:
    why = f"{file.name}, SHA-256 {file.sha256}"
    rows = sorted(
        (at_s, probe.name, centi_c)
        for probe in readings.probes
        for at_s, centi_c in zip(probe.at_s, probe.centi_c, strict=True)
    )
    for first in range(0, len(rows), CHUNK):
        part = [
            (datetime.fromtimestamp(at_s, UTC), name, centi_c) for at_s, name, centi_c in rows[first : first + CHUNK]
        ]
        with desk.entry(ACT, part[-1][0], why) as entry:
            for moment, name, centi_c in part:
                batches.take_reading(entry, batch.id, readings.kind, centi_c, moment, name, instruments[name])


def _folder(desk: Desk) -> Path:
    return desk.places.folder / "loggers"


def logger_path(desk: Desk, name: str) -> Path:
    """Where a logger of this name is remembered; CallError for a name that cannot be one."""
    if not _NAME.fullmatch(name.strip()):
        raise CallError(f"{name!r} cannot be the name of a logger.", "Use letters, digits and blanks, 40 at most.")
    return _folder(desk) / f"{name.strip()}.json"


def _read(path: Path) -> Remembered:
    try:
        return read_remembered(path.stem, path.read_text(encoding="utf-8"))
    except (OSError, UnicodeDecodeError) as error:
        raise MachineFailed(f"{path} cannot be read: {error}.", "Remove it, and remember the logger anew.") from None


def _keep(desk: Desk, name: str, shape: Shape) -> None:
    """Written beside and moved into place: a power cut leaves the old one or the new one."""
    path = logger_path(desk, name)
    try:
        path.parent.mkdir(exist_ok=True)
        fresh = path.with_suffix(".new")
        fresh.write_text(remembered_text(remember(name.strip(), shape)), encoding="utf-8")
        os.replace(fresh, path)
    except OSError as error:
        raise MachineFailed(
            f"The readings are in the record, but {path} cannot be written: {error.strerror}.", "Check the disk."
        ) from None
