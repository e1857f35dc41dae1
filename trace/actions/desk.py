"""The desk somebody works at: the open record, the clock, and who is there. Every action starts from one."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from contextlib import contextmanager
from dataclasses import dataclass, replace
from datetime import date, datetime
from pathlib import Path
from typing import TYPE_CHECKING
from zoneinfo import ZoneInfo

from lotwake.trace.base.clock import Clock, SystemClock
from lotwake.trace.base.codes import tidy
from lotwake.trace.base.errors import NeedsAttention, NotFound, PinNeeded, Refused
from lotwake.trace.base.moments import day_of, zone_named
from lotwake.trace.base.places import Places
from lotwake.trace.base.settings import Settings, read_settings
from lotwake.trace.records.database import Records, create_records, open_records
from lotwake.trace.records.journal import Entry, Said, entry
from lotwake.trace.records.rights import rights_of

if TYPE_CHECKING:
    from lotwake.trace.records.entries.house import SiteFacts


@dataclass(frozen=True)
class Operator:
    """Who is at work."""

    id: int
    code: str
    initials: str
    name: str


def _cannot_ask(_operator: Operator) -> str | None:
    """Nobody can be asked for a PIN here."""
    return None


@dataclass(frozen=True)
class Desk:
    """An open house with, perhaps, somebody at work in it. ``operator`` None means looking only.

    ``ask_pin`` asks who is at work for the PIN, where that can be done at once; ``proof`` is what a right one gave.
    """

    records: Records
    clock: Clock
    places: Places
    settings: Settings
    zone: ZoneInfo
    operator: Operator | None = None
    ask_pin: Callable[[Operator], str | None] = _cannot_ask
    proof: str = ""

    @property
    def now(self) -> datetime:
        """The present minute. Times are typed to the minute, so one that is taken from the clock is no finer: what is
        typed for the same minute then does not come before it."""
        return self.clock.now().replace(second=0)

    @property
    def today(self) -> date:
        return day_of(self.now, self.zone)

    def day(self, moment: datetime) -> date:
        """The calendar day of a moment at the house."""
        return day_of(moment, self.zone)

    @contextmanager
    def entry(self, act: str, happened: datetime | None = None, why: str = "") -> Iterator[Entry]:
        """One entry by who is at work. Refused when nobody is."""
        if self.operator is None:
            raise Refused(
                "Nobody is at work, so nothing is written down.",
                "Scan your card or type /as INITIALS; in the shell: --as INITIALS, LOTWAKE_OPERATOR, or operator in"
                " house.toml.",
            )
        said = Said(act, self.operator.id, happened or self.now, self.zone.key, why, self.proof)
        with entry(self.records, self.clock, said) as making:
            yield making

    def as_lead(self, act: str) -> Desk:
        """The same desk for something only a lead does, with the PIN asked for and shown to be right if there is one.

        Raises Refused for anybody else, PinNeeded where nobody can be asked. The entry itself looks again.
        """
        if self.operator is None:
            return self
        try:
            from lotwake.trace.records.entries.people import may_lead

            may_lead(rights_of(self.records, self.operator.id), self.proof, act)
        except PinNeeded:
            pin = self.ask_pin(self.operator)
            if pin is None:
                raise
            return self.with_pin(pin)
        return self

    def with_pin(self, pin: str) -> Desk:
        """The same desk with the right PIN of who is at work; a wrong one is in the record and refused."""
        assert self.operator is not None
        from lotwake.trace.records.entries.people import prove

        return replace(self, proof=prove(self.records, self.clock, self.zone.key, self.operator.id, pin))

    def taken_by(self, who: str) -> Desk:
        """The same desk with somebody at work, by initials or operator code."""
        return replace(self, operator=operator_named(self.records, who), proof="")

    def close(self) -> None:
        """Close the record."""
        self.records.close()


def operator_named(records: Records, who: str) -> Operator:
    """The operator with these initials or this code; NotFound names those there are."""
    row = records.one(
        "SELECT id, code, initials, name FROM operator WHERE initials = ? OR code = ?", who.strip().upper(), tidy(who)
    )
    if row is None:
        known = ", ".join(name for (name,) in records.rows("SELECT initials FROM operator ORDER BY initials"))
        raise NotFound(f"Nobody here has the initials {who!r}.", f"There are: {known}.")
    return Operator(*row)


def opened(places: Places, settings: Settings) -> Records:
    """The record of the house, in its folder or on the server that its settings name."""
    if not settings.database:
        return open_records(places.records, places.backups)
    from lotwake.trace.records.server import open_on_server  # the driver takes long to load

    return open_on_server(settings.database, places.backups)


def new_records(at: Path | str) -> Records:
    """A new, empty record in this file, or on the server with this address."""
    if isinstance(at, Path):
        return create_records(at)
    from lotwake.trace.records.server import create_on_server

    return create_on_server(at)


def open_desk(places: Places, who: str | None = None, clock: Clock | None = None) -> Desk:
    """Open the house at ``places``; ``who`` are initials, or None to take those of the settings, or to look only."""
    settings = read_settings(places.settings)
    records = opened(places, settings)
    zone = records.value("SELECT zone FROM site ORDER BY id LIMIT 1")
    if zone is None:
        records.close()
        raise NeedsAttention(
            f"The set-up of the house at {places.folder} was cut short; nothing is in its record.",
            "Set it up again." if settings.database else f"Remove {places.records.name} there and set it up again.",
        )
    desk = Desk(records, clock or SystemClock(), places, settings, ZoneInfo(zone))
    name = who or settings.operator
    return desk.taken_by(name) if name else desk


def set_up_house(places: Places, site: SiteFacts, initials: str, name: str, clock: Clock | None = None) -> Desk:
    """Make a new house in an empty folder: its record, its site, its first operator and the code lists.

    Where the folder has a ``house.toml`` that names a server, the record is made there, in an empty database.
    """
    # Needed once in the life of a house, so not loaded at each start.
    from lotwake.trace.base import areas, gear, species
    from lotwake.trace.records.entries.house import add_area, add_gear, add_species, open_house

    database = read_settings(places.settings).database
    times = clock or SystemClock()
    today = day_of(times.now(), zone_named(site.zone))
    records = new_records(database or places.records)
    try:
        with entry(records, times, Said("open the house", 1, times.now(), site.zone)) as making:
            open_house(making, site, initials, name, today)
            for kind in species.SPECIES:
                care = kind.needs_histamine_care
                add_species(making, kind.code, kind.scientific, kind.english, care, species.SOURCE)
            for area in areas.MAJOR_AREAS + areas.NAMED_SMALLER_AREAS:
                add_area(making, area.code, area.name, areas.SOURCE)
            for tool in gear.GEAR:
                add_gear(making, tool.code, tool.abbreviation, tool.name, tool.eu_category, gear.SOURCE)
    except BaseException:
        records.close()
        for path in () if database else places.folder.glob(places.records.name + "*"):
            path.unlink()
        raise
    records.close()
    return open_desk(places, initials, times)
