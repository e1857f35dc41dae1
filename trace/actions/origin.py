"""Answer a buyer's question where something is from, and write down who asked and what was said."""

from __future__ import annotations

import json
from collections import defaultdict
from collections.abc import Collection, Iterator, Mapping, Sequence
from datetime import timedelta
from fractions import Fraction
from pathlib import Path

from lotwake.trace.actions.desk import Desk
from lotwake.trace.actions.find import TRACEABLE, find
from lotwake.trace.actions.judge import verdict_of
from lotwake.trace.actions.picture import PICTURES, codes_in_picture
from lotwake.trace.base.errors import CallError, MachineFailed
from lotwake.trace.base.moments import instant_of
from lotwake.trace.base.units import show_temperature
from lotwake.trace.lineage.chain import Chain, Direction, Key, LinkKind, Share
from lotwake.trace.lineage.trace import trace
from lotwake.trace.process.verdict import LimitFinding
from lotwake.trace.recall.origin import (
    Done,
    Fish,
    Goods,
    Limit,
    Origin,
    Sent,
    Withhold,
    as_data,
    in_sentences,
    read_withheld,
    weighted,
    withhold,
)
from lotwake.trace.records import facts
from lotwake.trace.records.database import Records
from lotwake.trace.records.entries.recall import keep_answer
from lotwake.trace.records.find import Kind, Thing
from lotwake.trace.records.recalls import packagings_of
from lotwake.trace.records.seen import StepSeen, readings_of, steps_of
from lotwake.trace.records.stock import MATERIAL


def asked_about(desk: Desk, text: str) -> Thing:
    """The one thing a buyer asks about: a code, GTIN and lot, a document number, a picture of a bar code.

    When several runs bear one text, the question is to be put more exactly.
    """
    path = Path(text.strip())
    texts = codes_in_picture(path) if path.suffix.lower() in PICTURES and path.is_file() else [text]
    found = list(dict.fromkeys(thing for each in texts for thing in find(desk.records, each, desk.settings.separator)))
    traceable = [thing for thing in found if thing.kind in TRACEABLE]
    if len(traceable) != 1:
        several = ", ".join(f"{thing.kind} {thing.shown}" for thing in traceable) or "nothing that goods are made of"
        raise CallError(f"{text.strip()!r} names {several}.", "Ask about one of them.")
    return traceable[0]


def withheld_from(desk: Desk, asker: str) -> frozenset[Withhold]:
    """What the house keeps to itself by its settings, from everybody and from this asker."""
    by_name = {name.casefold(): words for name, words in desk.settings.withhold_from.items()}
    return read_withheld(f"{desk.settings.withhold}, {by_name.get(asker.strip().casefold(), '')}")


def write_answer(answer: Origin, out: Path) -> Path:
    """Put an answer onto paper: text or JSON by the ending of ``out``, else one page of PDF."""
    try:
        match out.suffix.lower():
            case ".txt":
                out.write_text("\n".join(in_sentences(answer)) + "\n", encoding="utf-8")
            case ".json":
                data = {**as_data(answer), "file": str(out)}
                out.write_text(json.dumps(data, ensure_ascii=False, indent=1) + "\n", encoding="utf-8")
            case _:
                from lotwake.trace.recall.paper_origin import write_origin  # the PDF library only when there is a page

                write_origin(answer, out)
    except OSError as error:
        raise MachineFailed(f"{out} cannot be written: {error.strerror}.", "Choose another folder.") from error
    return out


def save_answer(desk: Desk, answer: Origin, ending: str) -> Path:
    """Put an answer onto paper in the house's folder: ``pdf``, ``txt`` or ``json``, named after the thing and who asks."""
    serial = "" if answer.serial is None else f"-{answer.serial:04d}"
    asker = "".join(letter if letter.isalnum() else "-" for letter in answer.asker.lower()).strip("-")
    name = "-".join(filter(None, (f"{answer.code}{serial}", asker)))
    try:
        desk.places.answers.mkdir(parents=True, exist_ok=True)
    except OSError as error:
        raise MachineFailed(
            f"{desk.places.answers} cannot be made: {error.strerror}.", "Look at who owns it."
        ) from error
    return write_answer(answer, desk.places.answers / f"{name}.{ending}")


def answer_origin(desk: Desk, thing: Thing, asker: str = "", hold_back: Collection[Withhold] = ()) -> Origin:
    """The answer about a thing. Goods sent to others are not named to an asker who is a buyer of the house."""
    with desk.records.snapshot():
        whole = _answer(desk, thing, asker)
        buyers = {name.casefold() for (name,) in desk.records.rows("SELECT name FROM buyer")}
    others = [Withhold.BUYERS] if asker.strip().casefold() in buyers else []
    return withhold(whole, {*hold_back, *others})


def record_answer(desk: Desk, thing: Thing, answer: Origin) -> int:
    """Write down that it was given: to whom, and every word."""
    with desk.entry("origin answer", why=f"asked by {answer.asker or 'somebody unnamed'}") as entry:
        return keep_answer(entry, thing, answer.asker, ", ".join(answer.withheld), "\n".join(in_sentences(answer)))


def _answer(desk: Desk, thing: Thing, asker: str) -> Origin:
    records = desk.records
    back = trace(records, thing, Direction.BACK)
    forward = trace(records, thing, Direction.FORWARD)
    goods = _goods(records, thing, back, forward)
    chains = (back, forward) if thing.kind in (Kind.LOT, Kind.BATCH) else (back,)
    packagings = {"", *packagings_of(records, goods)}
    site = records.value("SELECT name FROM site ORDER BY id LIMIT 1")
    return Origin(
        house=site, asked_about=f"{thing.kind} {thing.shown}", kind=str(thing.kind), code=thing.code, serial=thing.serial,
        asker=asker.strip(), answered_on=desk.today.isoformat(), goods=tuple(goods.values()),
        fish=tuple(_fish(records, back, goods)), done=tuple(_done(desk, chains, packagings)), sent=tuple(_sent(desk, forward)),
        gaps=tuple(dict.fromkeys((*back.problems, *forward.problems))), links=tuple(_links(records, chains, back, forward)),
    )  # fmt: skip


def _goods(records: Records, thing: Thing, back: Chain, forward: Chain) -> dict[int, Goods]:
    """The packs in question by run: those made of a lot or batch, else those in or of the thing."""
    chain = forward if thing.kind in (Kind.LOT, Kind.BATCH) else back
    packs = _packs_by_run(thing, back)
    runs = facts.runs(records, [node.id for node in chain.of_kind(Kind.RUN) if not node.contact])
    return {
        run.id: Goods(
            run.product, run.gtin, run.smoking, run.code, run.net_g, count, run.packed_on, run.best_before, g,
            run.catch_weight,
        )
        for run in runs.values()
        if not packs or run.id in packs
        for count, g in [packs.get(run.id, (run.packs, run.packs_g))]
    }  # fmt: skip


def _packs_by_run(thing: Thing, back: Chain) -> dict[int, tuple[int, int]]:
    """Of a pack, case, pallet, dispatch or return, the packs of each run in it and their grams; a run is asked about as a
    whole."""
    if thing.kind in (Kind.PACK, Kind.RUN):
        node = next(node for node in back.nodes if node.key == (thing.kind, thing.id))
        return {thing.id: (node.packs or 0, node.g or 0)}
    packs: dict[int, tuple[int, int]] = {}
    for link in back.links:
        if link.kind in (LinkKind.CASED, LinkKind.SENT) and link.parent[0] is Kind.RUN:
            count, g = packs.get(link.parent[1], (0, 0))
            packs[link.parent[1]] = (count + (link.packs or 0), g + (link.g or 0))
    return packs


def _fish(records: Records, back: Chain, goods: Mapping[int, Goods]) -> Iterator[Fish]:
    """The fish lots behind it, the largest share first."""
    shares = _shares(back, goods)
    lots = facts.lots(records, [node.id for node in back.of_kind(Kind.LOT) if not node.contact])
    fish = [lot for lot in lots.values() if lot.kind != MATERIAL]
    nothing = (Fraction(), Fraction())
    for lot in sorted(fish, key=lambda lot: (-shares.get(lot.id, nothing)[0], lot.id)):
        mixed, most = shares.get(lot.id, (None, None))
        yield Fish(
            lot=lot.code, sender=lot.sender, sender_kind=lot.sender_kind, mark=lot.mark, their_code=lot.their_code,
            species=lot.species or "", scientific=lot.scientific, english=lot.english, landed_on=lot.landed_on,
            caught_from=lot.caught_from or "", caught_to=lot.caught_to or "", area=lot.area or "", area_name=lot.area_name,
            gear=lot.gear_name, method=lot.method, mixed=mixed, most=most,
        )  # fmt: skip


def _shares(back: Chain, goods: Mapping[int, Goods]) -> dict[int, tuple[Fraction, Fraction]]:
    """For each lot, its share of the goods, and the most it could be; of a batch, its share of the batch."""
    weights = {run: item.g for run, item in goods.items() if run in back.shares}
    weights = weights or dict.fromkeys(back.shares, 1)
    by_lot: dict[int, dict[int, Share]] = defaultdict(dict)
    for work in weights:
        for share in back.shares[work]:
            by_lot[share.lot][work] = share
    nothing = Fraction()
    return {
        lot: (
            weighted([(own[work].mixed if work in own else nothing, g) for work, g in weights.items()]),
            weighted([(own[work].most if work in own else nothing, g) for work, g in weights.items()]),
        )
        for lot, own in by_lot.items()
    }


def _done(desk: Desk, chains: Sequence[Chain], packagings: Collection[str]) -> Iterator[Done]:
    """What was done in each batch, and the limits that count for the packs in question."""
    nodes = [node for chain in chains for node in chain.of_kind(Kind.BATCH) if not node.contact]
    batches = facts.batches(desk.records, [node.id for node in nodes])
    for batch in sorted(batches.values(), key=lambda batch: (batch.started, batch.id)):
        verdict = verdict_of(desk.records, batch.id, desk.now)
        yield Done(
            batch=batch.code, smoking=batch.smoking, started_on=desk.day(instant_of(batch.started)).isoformat(),
            process=batch.process, steps=tuple(_steps(desk.records, batch.id)),
            limits=() if verdict is None else tuple(
                _limit(item) for item in verdict.findings if item.limit.packaging in packagings
            ),
            in_spite_of=batch.in_spite_of or "",
        )  # fmt: skip


def _limit(item: LimitFinding) -> Limit:
    return Limit(item.limit.says, str(item.verdict), item.found, item.limit.source)


def _steps(records: Records, batch: int) -> Iterator[str]:
    """Each step with its minutes, and the hottest core that was read."""
    for step in steps_of(records, batch):
        yield f"{step.name} {_minutes(step)}".rstrip()
    cores = [reading.value for reading in readings_of(records, batch) if reading.kind == "core"]
    if cores:
        yield f"core read up to {show_temperature(max(cores))}"


def _minutes(step: StepSeen) -> str:
    if step.ended is None:
        return "(running)"
    return f"{(instant_of(step.ended) - instant_of(step.started)) // timedelta(minutes=1)} min"


def _sent(desk: Desk, forward: Chain) -> Iterator[Sent]:
    nodes = [node for node in forward.of_kind(Kind.DISPATCH) if not node.contact and node.packs]
    seen = facts.dispatches(desk.records, [node.id for node in nodes])
    for node in nodes:
        dispatch = seen[node.id]
        on = desk.day(instant_of(dispatch.at)).isoformat()
        yield Sent(dispatch.buyer, dispatch.document, on, node.packs or 0, node.g or 0)


def _links(records: Records, chains: Sequence[Chain], back: Chain, forward: Chain) -> Iterator[tuple[str, str]]:
    """The way of the fish: lots to batches to runs, and runs to the documents they left on."""
    codes = {node.key: node.code for chain in (back, forward) for node in chain.nodes}
    documents = {ref: seen.document for ref, seen in facts.dispatches(records, _dispatches(forward)).items()}
    fish = {
        lot.id
        for lot in facts.lots(records, [node.id for node in back.of_kind(Kind.LOT)]).values()
        if lot.kind != MATERIAL
    }
    for link in dict.fromkeys(link for chain in chains for link in chain.links):
        of_fish = link.parent[0] is not Kind.LOT or link.parent[1] in fish
        if link.kind in _MAKING and of_fish and not link.contact:
            yield codes[link.parent], codes[link.child]
    ways: dict[Key, set[Key]] = defaultdict(set)
    for link in forward.links:
        if link.kind in (LinkKind.CASED, LinkKind.STACKED, LinkKind.SENT) and not link.contact:
            ways[link.parent].add(link.child)
    for key in [key for key in ways if key[0] is Kind.RUN]:
        for dispatch in sorted(_ends(ways, key)):
            yield codes[key], documents[dispatch]


_MAKING = (LinkKind.USED, LinkKind.BLENDED, LinkKind.PACKED, LinkKind.REWORKED)


def _dispatches(forward: Chain) -> list[int]:
    return [node.id for node in forward.of_kind(Kind.DISPATCH)]


def _ends(ways: Mapping[Key, set[Key]], start: Key) -> set[int]:
    """The dispatches that the packs of a run left on, through cases and pallets."""
    reached, waiting = {start}, [start]
    while waiting:
        for child in ways.get(waiting.pop(), set()) - reached:
            reached.add(child)
            waiting.append(child)
    return {ref for kind, ref in reached if kind is Kind.DISPATCH}
