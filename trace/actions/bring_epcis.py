"""Bring a supplier's EPCIS file in as bought-in lots: looked at first, then all of them written down or none."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field
from datetime import datetime
from pathlib import Path

from lotwake.trace.actions.desk import Desk
from lotwake.trace.actions.receive import Arrival, receive
from lotwake.trace.base.errors import CallError, MachineFailed, NotFound, Refused
from lotwake.trace.recall.epcis_in import Proposal, read_epcis
from lotwake.trace.records.entries.lots import BOUGHT_IN
from lotwake.trace.records.find import Thing


@dataclass(frozen=True)
class Added:
    """What a person says beside the file. ``dealer`` by name; species, area, gear and presentation fill in what the file
    leaves open; ``g`` grams by the supplier's lot code; ``only`` these lots when any are named; ``received`` None is now."""

    dealer: str = ""
    species: str = ""
    area: str = ""
    gear: str = ""
    presentation: str = ""
    g: Mapping[str, int] = field(default_factory=dict)
    only: tuple[str, ...] = ()
    received: datetime | None = None


@dataclass(frozen=True)
class Line:
    """A lot of the file: what it would be written down as, why it cannot be (``problems``), and the lot it became."""

    proposal: Proposal
    g: int | None
    species: str
    area: str
    problems: tuple[str, ...]
    thing: Thing | None


@dataclass(frozen=True)
class Brought:
    """What came of a file: its lots, the events passed over by reason, and whether the lots were kept."""

    lines: tuple[Line, ...]
    passed_over: Mapping[str, int]
    dry_run: bool
    kept: bool

    @property
    def clean(self) -> bool:
        return not any(line.problems for line in self.lines)


class _TakeBack(Exception):
    """Ends the transaction without keeping anything."""


def bring_epcis(desk: Desk, path: Path, added: Added, dry_run: bool = False) -> Brought:
    """Write down the lots of an EPCIS file, each as bought in from ``added.dealer``; for a ``dry_run`` only try.

    All or nothing: one lot that cannot be written down keeps the others out. Raises NotFound for a missing file or one
    without lots, CallError for one that is no right EPCIS, Refused when nobody is at work.
    """
    if desk.operator is None:
        raise Refused("Nobody is at work, so nothing can be brought in.", "Say who you are: --as INITIALS.")
    read = read_epcis(_content(path), path.name)
    chosen = [each for each in read.proposals if not added.only or each.name.lot in added.only]
    _must_be_there(path, chosen, added)
    lines: list[Line] = []
    try:
        with desk.records.transaction():
            lines += [_line(desk, each, added, path.name) for each in chosen]
            if dry_run or any(line.problems for line in lines):
                raise _TakeBack
    except _TakeBack:
        lines = [Line(line.proposal, line.g, line.species, line.area, line.problems, None) for line in lines]
    kept = all(line.thing is not None for line in lines)
    return Brought(tuple(lines), read.passed_over, dry_run, kept)


def _content(path: Path) -> bytes:
    try:
        return path.read_bytes()
    except FileNotFoundError:
        raise NotFound(f"There is no file {path}.", "Check its name.") from None
    except OSError as error:
        raise MachineFailed(f"{path} cannot be read: {error.strerror or error}.", "Check who owns the file.") from None


def _must_be_there(path: Path, chosen: list[Proposal], added: Added) -> None:
    known = {each.name.lot for each in chosen}
    if unknown := [lot for lot in (*added.only, *added.g) if lot not in known]:
        raise NotFound(
            f"{path.name} has no lot {unknown[0]!r} to bring in.", f"It has: {', '.join(sorted(known)) or 'none'}."
        )
    if not chosen:
        raise NotFound(
            f"{path.name} names no lot that was shipped or made.", "Ask the supplier for events with lot codes."
        )


def _line(desk: Desk, proposal: Proposal, added: Added, file: str) -> Line:
    g = added.g.get(proposal.name.lot, proposal.g)
    species, area = proposal.species or added.species, proposal.area or added.area
    problems = list(_lacking(added, g, species, proposal))
    thing: Thing | None = None
    if not problems and g is not None:
        arrival = Arrival(
            kind=BOUGHT_IN, sender=added.dealer, g=g, species=species, area=area, gear=proposal.gear or added.gear,
            presentation=added.presentation, method=proposal.method, their_code=proposal.name.lot, received=added.received,
            caught_from=proposal.caught_from, caught_to=proposal.caught_to, document=proposal.document or file,
            note=_note(proposal),
        )  # fmt: skip
        try:
            thing = receive(desk, arrival)
        except (CallError, NotFound, Refused) as wrong:
            problems.append(str(wrong))
    return Line(proposal, g, species, area, tuple(problems), thing)


def _lacking(added: Added, g: int | None, species: str, proposal: Proposal) -> Iterator[str]:
    if not added.dealer:
        yield "It is not said who it is from: --dealer NAME."
    if g is None:
        count = f" ({proposal.count:,} pieces)" if proposal.count else ""
        yield f"The file does not say what it weighs{count}: --kg {proposal.name.lot}=KG."
    if not species:
        yield "The file does not say which species it is: --species CODE."


def _note(proposal: Proposal) -> str:
    said = (("GTIN", proposal.name.gtin), ("EPCIS event", proposal.event))
    return ", ".join(f"{name} {text}" for name, text in said if text)
