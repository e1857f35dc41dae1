"""Lists of what the house has: things by time and state, and everyone it deals with."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import astuple, dataclass, fields
from itertools import islice
from typing import TypeVar

from lotwake.trace.base.typed import bare
from lotwake.trace.records.database import Records
from lotwake.trace.records.entries.house import BuyerFacts, ProductFacts, SiteFacts, SourceFacts
from lotwake.trace.records.facts import CHUNK
from lotwake.trace.records.find import Kind, Thing, thing_at
from lotwake.trace.records.rights import LEAD
from lotwake.trace.records.seen import Facts, OperatorSeen, facts_of_all, status_of

Row = TypeVar("Row")


@dataclass(frozen=True)
class Wanted:
    """What a list is for. ``since`` and ``until`` are stored instants, ``until`` not included; empty ones do not narrow.

    ``status`` is a state word; ``holding`` a text that must occur in the facts, whatever its case.
    """

    since: str = ""
    until: str = ""
    status: str = ""
    holding: str = ""


@dataclass(frozen=True)
class Listed:
    """A thing in a list, with its state and facts."""

    thing: Thing
    status: str
    facts: Facts


@dataclass(frozen=True)
class SupplierSeen:
    """Somebody materials come from."""

    name: str
    address: str
    phone: str


@dataclass(frozen=True)
class EquipmentSeen:
    """A smokehouse, tank, freezer or instrument."""

    name: str
    kind: str


@dataclass(frozen=True)
class CalibrationSeen:
    """The check of an instrument against a reference: ``result`` passed or failed, ``due_on`` an ISO day, ``who`` initials."""

    instrument: str
    kind: str
    at: str
    result: str
    found: str
    due_on: str
    who: str


@dataclass(frozen=True)
class SpeciesSeen:
    """A species by its FAO 3-alpha code; ``histamine`` 1 when it can form histamine; ``origin`` says where this is from."""

    code: str
    scientific: str
    english: str
    histamine: int
    origin: str


@dataclass(frozen=True)
class AreaSeen:
    """A catch area by its FAO code."""

    code: str
    name: str
    origin: str


@dataclass(frozen=True)
class GearSeen:
    """A gear by its ISSCFG code."""

    code: str
    abbr: str
    name: str
    eu_category: str | None
    origin: str


_IDS = {
    Kind.LOT: ("lot", "id", "received", ""),
    Kind.BATCH: ("batch", "id", "started", ""),
    Kind.RUN: ("run", "id", "packed", ""),
    Kind.CASE: ("unit", "sscc", "closed", " AND kind = 'case'"),
    Kind.PALLET: ("unit", "sscc", "closed", " AND kind = 'pallet'"),
    Kind.DISPATCH: ("dispatch", "id", "at", ""),
    Kind.RETURN: ("goods_return", "id", "at", ""),
}
LISTABLE = tuple(_IDS)
_LATEST = "9999"


def things(records: Records, kind: Kind, wanted: Wanted, most: int) -> list[Listed]:
    """Things of one kind, the newest first, at most ``most`` of them."""
    with records.snapshot():
        return list(islice(_fitting(records, kind, wanted), most))


def _fitting(records: Records, kind: Kind, wanted: Wanted) -> Iterator[Listed]:
    table, key, moment, more = _IDS[kind]
    sql = f"SELECT {key} FROM {table} WHERE {moment} >= ? AND {moment} < ?{more} ORDER BY {moment} DESC, {key} DESC"
    cursor = records.run(sql, wanted.since, wanted.until or _LATEST)
    while part := [row[0] for row in cursor.fetchmany(CHUNK)]:
        found = facts_of_all(records, kind, part)
        for ref in part:
            seen = found[ref]
            if wanted.holding and not _holds(seen, wanted.holding):
                continue
            thing = Thing(kind, ref, seen.code) if hasattr(seen, "code") else thing_at(records, kind, ref)
            status = status_of(records, thing, seen)
            if wanted.status in ("", status):
                yield Listed(thing, status, seen)


def _holds(seen: Facts, text: str) -> bool:
    return any(bare(text) in bare(value) for value in astuple(seen) if isinstance(value, str))


def site(records: Records) -> SiteFacts:
    """The house itself."""
    return _all(records, SiteFacts, "site ORDER BY id LIMIT 1")[0]


def sources(records: Records, kind: str) -> list[SourceFacts]:
    """The boats, farms or dealers, by name."""
    return _all(records, SourceFacts, "source WHERE kind = ? ORDER BY name, mark", kind)


def buyers(records: Records) -> list[BuyerFacts]:
    """The buyers, by name."""
    return _all(records, BuyerFacts, "buyer ORDER BY name")


def suppliers(records: Records) -> list[SupplierSeen]:
    """The suppliers, by name."""
    return _all(records, SupplierSeen, "supplier ORDER BY name")


def products(records: Records) -> list[ProductFacts]:
    """The products, by name."""
    return _all(records, ProductFacts, "product ORDER BY name")


def equipment(records: Records) -> list[EquipmentSeen]:
    """The equipment, by kind and name."""
    return _all(records, EquipmentSeen, "equipment ORDER BY kind, name")


def calibrations(records: Records) -> list[CalibrationSeen]:
    """The checks of all instruments, the newest first."""
    rows = records.rows(
        "SELECT e.name, e.kind, c.at, CASE WHEN c.passed = 1 THEN 'passed' ELSE 'failed' END, c.found, c.due_on,"
        " COALESCE(o.initials, '') FROM calibration c JOIN equipment e ON e.id = c.equipment JOIN journal j ON j.seq = c.entry"
        " LEFT JOIN operator o ON o.id = j.who ORDER BY c.at DESC, c.id DESC"
    )
    return [CalibrationSeen(*row) for row in rows]


def operators(records: Records) -> list[OperatorSeen]:
    """Everyone who may make entries, by initials."""
    sql = "SELECT id, code, initials, name, COALESCE(role, ?) FROM operator ORDER BY initials"
    return [OperatorSeen(*row) for row in records.rows(sql, LEAD)]


def species(records: Records) -> list[SpeciesSeen]:
    """The species the house knows, by code."""
    return _all(records, SpeciesSeen, "species ORDER BY code")


def areas(records: Records) -> list[AreaSeen]:
    """The catch areas the house knows, by code."""
    return _all(records, AreaSeen, "area ORDER BY code")


def gear(records: Records) -> list[GearSeen]:
    """The gear the house knows, by code."""
    return _all(records, GearSeen, "gear ORDER BY code")


def _all(records: Records, row_class: type[Row], source: str, *values: str) -> list[Row]:
    names = [item.name for item in fields(row_class)]  # type: ignore[arg-type]
    return [row_class(*row) for row in records.rows(f"SELECT {', '.join(names)} FROM {source}", *values)]
