"""What is taken out of the record to be sent: every fact an export needs, read once, in one state of the record.

An export is about chosen codes (their chains, both ways) or about the days something happened on. ``Asked`` says which
lots, batches, runs, units, dispatches and returns that are; the extract holds their facts, and those of what they were
made from, so that an input can be described although it was not asked for.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from functools import cached_property
from typing import Any, NamedTuple, TypeVar
from zoneinfo import ZoneInfo

from lotwake.trace.base.ranges import Serials
from lotwake.trace.lineage.chain import Chain, Share
from lotwake.trace.lineage.trace import shares_of
from lotwake.trace.records import facts, lists
from lotwake.trace.records.database import Records
from lotwake.trace.records.entries.house import BuyerFacts, ProductFacts, SiteFacts
from lotwake.trace.records.facts import CHUNK, BatchSeen, DispatchSeen, LotSeen, ReturnSeen, RunSeen, UnitSeen
from lotwake.trace.records.find import Kind

LOOSE = 0
"""The unit of packs that were sent in none."""


@dataclass(frozen=True)
class Party:
    """Somebody the house buys from. ``ref`` is stable and names nobody else; ``mark`` and ``flag`` are of a boat."""

    ref: str
    kind: str
    name: str
    address: str
    phone: str
    mark: str = ""
    flag: str = ""
    licence: str = ""
    imo: str = ""


class Carried(NamedTuple):
    """Packs ``first`` to ``last`` of a run that went out on a dispatch, or came back on a return, in ``unit``."""

    by: int
    unit: int
    run: int
    first: int
    last: int

    @property
    def serials(self) -> Serials:
        return Serials(self.first, self.last)

    @property
    def packs(self) -> int:
        return self.serials.count


class Inside(NamedTuple):
    """Packs of a run in a case from ``since`` to ``until``; None while they still are."""

    run: int
    unit: int
    first: int
    last: int
    since: str
    until: str | None


class Stood(NamedTuple):
    """A unit on a pallet from ``since`` to ``until``; None while it still is."""

    child: int
    parent: int
    since: str
    until: str | None


class Ended(NamedTuple):
    """Packs that are no more: VOID, DESTROYED, SAMPLE, LOST or REWORK. ``undone``: the stored instant at which that was
    taken back as a mistake, empty while it stands; ``earlier``: how many ends that began with this pack came before it."""

    run: int
    first: int
    last: int
    kind: str
    reason: str
    at: str
    undone: str
    earlier: int


Item = TypeVar("Item")
OfRun = TypeVar("OfRun", Carried, Inside, Ended)


class Undone(NamedTuple):
    """One corrected field of one row: ``ref`` are the values of its key, joined by ``/``."""

    entry: int
    subject: str
    ref: str
    field: str
    was: str | None
    at: str
    why: str


@dataclass(frozen=True)
class Asked:
    """What an export is about, by the keys of the record. ``only_these_runs``: of the goods, packs of ``works`` alone."""

    lots: frozenset[int]
    works: frozenset[int]
    units: frozenset[int]
    dispatches: frozenset[int]
    returns: frozenset[int]
    only_these_runs: bool
    days: tuple[str, str] | None = None


@dataclass(frozen=True)
class Extract:
    """Facts by key. ``uses``: (lot, work, entry) to grams, None unweighed; ``flows``: (parent, child, entry) to grams;
    ``losses``: number to (work, grams); ``finished``: run to the instant of its last packs; ``shares``: run to its lots."""

    site: SiteFacts
    zone: ZoneInfo
    asked: Asked
    parties: Mapping[str, Party]
    sender_of: Mapping[int, str]
    lots: Mapping[int, LotSeen]
    batches: Mapping[int, BatchSeen]
    runs: Mapping[int, RunSeen]
    products: Mapping[int, ProductFacts]
    units: Mapping[int, UnitSeen]
    dispatches: Mapping[int, DispatchSeen]
    returns: Mapping[int, ReturnSeen]
    buyers: Mapping[int, BuyerFacts]
    species: Mapping[str, lists.SpeciesSeen]
    areas: Mapping[str, str]
    gear: Mapping[str, lists.GearSeen]
    uses: Mapping[tuple[int, int, int], int | None]
    flows: Mapping[tuple[int, int, int], int]
    losses: Mapping[int, tuple[int, int]]
    finished: Mapping[int, str]
    sent: tuple[Carried, ...]
    sent_units: tuple[tuple[int, int], ...]
    back: tuple[Carried, ...]
    back_units: tuple[tuple[int, int], ...]
    inside: tuple[Inside, ...]
    stood: tuple[Stood, ...]
    ended: tuple[Ended, ...]
    undone: tuple[Undone, ...]
    shares: Mapping[int, tuple[Share, ...]]

    def sender(self, lot: int) -> Party:
        """Whom a lot came from."""
        return self.parties[self.sender_of[lot]]

    @cached_property
    def lost_g(self) -> Mapping[int, int]:
        """By batch or run, the grams that were named as lost of it."""
        lost: dict[int, int] = {}
        for work, g in self.losses.values():
            lost[work] = lost.get(work, 0) + g
        return lost

    @cached_property
    def loose_by(self) -> tuple[Mapping[int, Sequence[Carried]], Mapping[int, Sequence[Carried]]]:
        """The packs that left, and those that came back, in no unit: by dispatch and by return."""
        sent, back = ([item for item in items if item.unit == LOOSE] for items in (self.sent, self.back))
        return _grouped((item.by, item) for item in sent), _grouped((item.by, item) for item in back)

    @cached_property
    def units_by(self) -> tuple[Mapping[int, Sequence[int]], Mapping[int, Sequence[int]]]:
        """The outermost units that left, and those that came back: by dispatch and by return."""
        return _grouped(self.sent_units), _grouped(self.back_units)

    @cached_property
    def parents_of(self) -> Mapping[int, Mapping[int, int]]:
        """By batch or run, the batches and runs that went into it and how many grams; none that were corrected to 0."""
        into: dict[int, dict[int, int]] = {}
        for (parent, child, _), g in self.flows.items():
            if g:
                into.setdefault(child, {})[parent] = into.get(child, {}).get(parent, 0) + g
        return into

    @cached_property
    def lots_into(self) -> Mapping[int, Mapping[int, int | None]]:
        """By batch or run, the lots that went into it and how many grams; None for a material nobody weighed."""
        into: dict[int, dict[int, int | None]] = {}
        for (lot, work, _), g in self.uses.items():
            if g != 0:
                before = into.setdefault(work, {}).get(lot)
                into[work][lot] = g if before is None else before + (g or 0)
        return into


def _grouped(pairs: Iterable[tuple[int, Item]]) -> dict[int, list[Item]]:
    groups: dict[int, list[Item]] = {}
    for key, item in pairs:
        groups.setdefault(key, []).append(item)
    return groups


def asked_by_chains(chains: Iterable[Chain]) -> Asked:
    """Everything in these chains that is there by mass."""
    ids: dict[Kind, set[int]] = {kind: set() for kind in Kind}
    for chain in chains:
        for node in chain.nodes:
            if not node.contact:
                ids[node.kind].add(node.id)
    return Asked(
        frozenset(ids[Kind.LOT]), frozenset(ids[Kind.BATCH] | ids[Kind.RUN]), frozenset(ids[Kind.CASE] | ids[Kind.PALLET]),
        frozenset(ids[Kind.DISPATCH]), frozenset(ids[Kind.RETURN]), only_these_runs=True,
    )  # fmt: skip


def asked_by_days(records: Records, since: str, until: str) -> Asked:
    """Everything that happened from the stored instant ``since`` to before ``until``."""

    def those(table: str, moment: str, key: str = "id") -> frozenset[int]:
        sql = f"SELECT {key} FROM {table} WHERE {moment} >= ? AND {moment} < ?"
        return frozenset(row[0] for row in records.rows(sql, since, until))

    return Asked(
        those("lot", "received"), those("batch", "started") | those("run", "packed"), those("unit", "closed", "sscc"),
        those("dispatch", "at"), those("goods_return", "at"), only_these_runs=False, days=(since, until),
    )  # fmt: skip


def extract(records: Records, zone: ZoneInfo, asked: Asked) -> Extract:
    """Read everything an export about ``asked`` needs. Call it inside a snapshot together with what chose ``asked``."""
    sent = _carried(records, _SENT, _SENT_LOOSE, asked.dispatches)
    back = _carried(records, _BACK, _BACK_LOOSE, asked.returns)
    inside = tuple(Inside(*row) for row in _some(records, _INSIDE, asked.units))
    ended = _ended(records, asked)
    if asked.only_these_runs:
        sent, back = _of_runs(sent, asked), _of_runs(back, asked)
        inside, ended = _of_runs(inside, asked), _of_runs(ended, asked)
    goods: list[Carried | Inside | Ended] = [*sent, *back, *inside, *ended]
    works = _with_upstream(records, asked.works | {item.run for item in goods})
    uses = {(lot, work, entry): g for lot, work, entry, g in _some(records, _USES, works)}
    flows = {(parent, child, entry): g for parent, child, entry, g in _some(records, _FLOWS, works)}
    runs = facts.runs(records, works)
    lots = facts.lots(records, asked.lots | {lot for lot, _, _ in uses})
    dispatches = facts.dispatches(records, asked.dispatches)
    returns = facts.returns(records, asked.returns)
    buyers = {each.buyer_id for each in dispatches.values()} | {each.buyer_id for each in returns.values()}
    return Extract(
        site=lists.site(records), zone=zone, asked=asked, parties=_parties(records),
        sender_of={lot: _party_ref(*key) for lot, *key in _some(records, _SENDERS, lots)},
        lots=lots, batches=facts.batches(records, works), runs=runs, products=_products(records, runs),
        units=facts.units(records, asked.units), dispatches=dispatches, returns=returns,
        buyers={row[0]: BuyerFacts(*row[1:]) for row in _some(records, _BUYERS, buyers)},
        species={each.code: each for each in lists.species(records)},
        areas={each.code: each.name for each in lists.areas(records)},
        gear={each.code: each for each in lists.gear(records)},
        uses=uses, flows=flows, losses={row[0]: (row[1], row[2]) for row in _some(records, _LOSSES, works)},
        finished=dict(_some(records, _FINISHED, runs)), sent=sent, back=back,
        sent_units=_outermost(records, _SENT_UNITS, asked.dispatches, asked),
        back_units=_outermost(records, _BACK_UNITS, asked.returns, asked), inside=inside,
        stood=tuple(stand for row in _some(records, _STOOD, asked.units) if _about(asked, (stand := Stood(*row)).child)),
        ended=ended, undone=_undone(records),
        shares=shares_of(records, sorted(runs)) if runs else {},
    )  # fmt: skip


_USES = "SELECT lot, work, entry, g FROM lot_use WHERE work IN ({marks}) ORDER BY work, entry, lot"
_FLOWS = "SELECT parent, child, entry, g FROM flow WHERE child IN ({marks}) ORDER BY child, entry, parent"
_PARENTS = "SELECT DISTINCT parent FROM flow WHERE child IN ({marks}) AND g > 0"
_LOSSES = "SELECT id, work, g FROM loss WHERE work IN ({marks})"
_FINISHED = "SELECT run, MAX(at) FROM pack_range WHERE run IN ({marks}) GROUP BY run"
_SENDERS = "SELECT id, source, supplier FROM lot WHERE id IN ({marks})"
_BUYERS = "SELECT id, name, phone, email, address, gln FROM buyer WHERE id IN ({marks})"
_PRODUCTS = """SELECT r.id, p.gtin, p.name, p.smoking, p.net_g, p.life_days, p.species, p.packaging, p.ingredients,
  p.allergens, p.storage, p.cook, p.case_packs FROM run r JOIN product p ON p.id = r.product WHERE r.id IN ({marks})"""
# A case is filled once and opened once, never while it is away: what was in it when the goods left came back with it.
_SENT = """SELECT l.dispatch, l.unit, c.run, c.first, c.last FROM dispatch_line l JOIN dispatch d ON d.id = l.dispatch
  JOIN content c ON c.unit = l.unit WHERE l.dispatch IN ({marks}) AND c.since <= d.at
  AND (c.until IS NULL OR c.until > d.at)"""
_SENT_LOOSE = "SELECT dispatch, 0, run, first, last FROM dispatch_packs WHERE dispatch IN ({marks})"
_BACK = """SELECT l.goods_return, l.unit, c.run, c.first, c.last FROM return_line l JOIN dispatch d ON d.id = l.dispatch
  JOIN content c ON c.unit = l.unit WHERE l.goods_return IN ({marks}) AND c.since <= d.at
  AND (c.until IS NULL OR c.until > d.at)"""
_BACK_LOOSE = "SELECT goods_return, 0, run, first, last FROM return_packs WHERE goods_return IN ({marks})"
_SENT_UNITS = "SELECT dispatch, unit FROM dispatch_line WHERE dispatch IN ({marks}) AND top = 1 ORDER BY dispatch, unit"
# Of what came back together, the units that stood on no other one of it.
_BACK_UNITS = """SELECT l.goods_return, l.unit FROM return_line l JOIN goods_return g ON g.id = l.goods_return
  WHERE l.goods_return IN ({marks}) AND NOT EXISTS (SELECT 1 FROM unit_content s JOIN return_line o
  ON o.unit = s.parent AND o.goods_return = l.goods_return WHERE s.child = l.unit AND s.since <= g.at
  AND (s.until IS NULL OR s.until > g.at)) ORDER BY l.goods_return, l.unit"""
_INSIDE = """SELECT run, unit, first, last, since, until FROM content WHERE unit IN ({marks})
  AND (until IS NULL OR until > since) ORDER BY unit, run, first"""
_STOOD = """SELECT child, parent, since, until FROM unit_content WHERE parent IN ({marks})
  AND (until IS NULL OR until > since) ORDER BY parent, since, child"""
# One that was taken back has no last serial any more; what it had is in its correction.
_ENDS = """SELECT e.run, e.first, COALESCE(e.last, CAST(c.was AS BIGINT)), e.kind, e.reason, e.at, COALESCE(c.at, ''),
  (SELECT COUNT(*) FROM pack_end o WHERE o.run = e.run AND o.first = e.first AND o.entry < e.entry)
  FROM pack_end e LEFT JOIN correction c ON e.last IS NULL AND c.subject = 'pack_end'
  AND c.ref = CAST(e.run AS TEXT) || '/' || CAST(e.first AS TEXT) || '/' || CAST(e.entry AS TEXT)"""
_ENDED = _ENDS + " WHERE e.run IN ({marks}) ORDER BY e.at, e.entry, e.run, e.first"


def _some(records: Records, sql: str, ids: Iterable[int]) -> Iterator[tuple[Any, ...]]:
    wanted = sorted(set(ids))
    for start in range(0, len(wanted), CHUNK):
        part = wanted[start : start + CHUNK]
        yield from records.rows(sql.format(marks=", ".join("?" * len(part))), *part)


def _with_upstream(records: Records, works: Iterable[int]) -> frozenset[int]:
    """The works and all they were made from; each is looked at once, so that it ends on a circle too."""
    reached, waiting = set(works), set(works)
    while waiting:
        waiting = {row[0] for row in _some(records, _PARENTS, waiting)} - reached
        reached |= waiting
    return frozenset(reached)


def _carried(records: Records, in_units: str, loose: str, ids: Iterable[int]) -> tuple[Carried, ...]:
    wanted = list(ids)
    found = {Carried(*row) for sql in (in_units, loose) for row in _some(records, sql, wanted)}
    return tuple(sorted(found))


def _ended(records: Records, asked: Asked) -> tuple[Ended, ...]:
    if asked.days is None:
        return tuple(Ended(*row) for row in _some(records, _ENDED, asked.works))
    sql = f"{_ENDS} WHERE e.at >= ? AND e.at < ? ORDER BY e.at, e.entry, e.run, e.first"
    return tuple(Ended(*row) for row in records.rows(sql, *asked.days))


def _of_runs(items: tuple[OfRun, ...], asked: Asked) -> tuple[OfRun, ...]:
    return tuple(item for item in items if item.run in asked.works)


def _about(asked: Asked, unit: int) -> bool:
    return not asked.only_these_runs or unit in asked.units


def _outermost(records: Records, sql: str, ids: Iterable[int], asked: Asked) -> tuple[tuple[int, int], ...]:
    return tuple((by, unit) for by, unit in _some(records, sql, ids) if _about(asked, unit))


def _undone(records: Records) -> tuple[Undone, ...]:
    """Every correction in the record, in order: there are few, and which of them matter depends on the rows in hand."""
    return tuple(
        Undone(*row)
        for row in records.rows("SELECT entry, subject, ref, field, was, at, why FROM correction ORDER BY id")
    )


def _parties(records: Records) -> dict[str, Party]:
    sources = records.rows("SELECT id, kind, name, address, phone, mark, flag, licence, imo FROM source")
    suppliers = records.rows("SELECT id, 'supplier', name, address, phone FROM supplier")
    found = {_party_ref(row[0], None): row[1:] for row in sources}
    found |= {_party_ref(None, row[0]): row[1:] for row in suppliers}
    return {ref: Party(ref, *row) for ref, row in found.items()}


def _party_ref(source: int | None, supplier: int | None) -> str:
    return f"source:{source}" if source is not None else f"supplier:{supplier}"


def _products(records: Records, runs: Iterable[int]) -> dict[int, ProductFacts]:
    return {row[0]: ProductFacts(*row[1:]) for row in _some(records, _PRODUCTS, runs)}
