"""A chain grouped for people: the boats at one end, the buyers at the other, and where every pack is."""

from __future__ import annotations

from collections import Counter, defaultdict

from lotwake.trace.base.ranges import Serials, counted, merged, without
from lotwake.trace.lineage.chain import Origin, Receiver, Share, Whereabouts
from lotwake.trace.lineage.gather import Ended, Gathered
from lotwake.trace.lineage.goods import Goods
from lotwake.trace.lineage.nodes import Seen
from lotwake.trace.records.find import Kind
from lotwake.trace.records.stock import MATERIAL, VOID


def origins(found: Gathered, seen: Seen, shares: tuple[Share, ...]) -> tuple[Origin, ...]:
    """The fish lots at the beginning of a backward chain, those with most grams first."""
    used: Counter[int] = Counter()
    for (lot, work), g in found.uses.items():
        if work not in found.by_contact:
            used[lot] += g or 0
    if found.start.kind is Kind.LOT:
        used[found.start.id] += 0
    share_of = {share.lot: share for share in shares}
    made = [
        Origin(
            lot=lot.id, code=lot.code, sender=lot.sender, sender_kind=lot.sender_kind, mark=lot.mark,
            their_code=lot.their_code, species=lot.species or "", scientific=lot.scientific, english=lot.english,
            landed_on=lot.landed_on, area=lot.area or "", area_name=lot.area_name, gear=lot.gear or "",
            gear_name=lot.gear_name, method=lot.method, used_g=used[lot.id], share=share_of.get(lot.id),
            contact=lot.id not in used,
        )
        for lot in seen.lots.values() if lot.kind != MATERIAL
    ]  # fmt: skip
    return tuple(sorted(made, key=lambda origin: (origin.contact, -origin.used_g, origin.lot)))


def receivers(found: Gathered, seen: Seen, goods: Goods) -> tuple[Receiver, ...]:
    """The buyers at the end of a forward chain, those who still have most first; contact apart from mass."""
    sent: Counter[tuple[int, bool]] = Counter()
    returned: Counter[tuple[int, bool]] = Counter()
    grams: Counter[tuple[int, bool]] = Counter()
    dispatches: dict[tuple[int, bool], set[int]] = defaultdict(set)
    for (_, dispatch), contents in goods.sent.items():
        for item in contents if dispatch in seen.dispatches else ():  # a dispatch that is gone is reported as a gap
            key = (seen.dispatches[dispatch].buyer_id, item.run in found.by_contact)
            sent[key] += item.packs.count
            grams[key] += seen.g_of(item.run, item.packs)
            dispatches[key].add(dispatch)
    for (dispatch, _), contents in goods.back.items():
        for item in contents if dispatch in seen.dispatches else ():
            key = (seen.dispatches[dispatch].buyer_id, item.run in found.by_contact)
            returned[key] += item.packs.count
            grams[key] -= seen.g_of(item.run, item.packs)
    made = []
    for (buyer, contact), on in dispatches.items():
        facts = sorted((seen.dispatches[dispatch] for dispatch in on), key=lambda fact: (fact.at, fact.id))
        made.append(
            Receiver(
                buyer=facts[0].buyer, phone=facts[0].phone, documents=tuple(fact.document for fact in facts),
                days=tuple(fact.at for fact in facts), packs_sent=sent[buyer, contact],
                packs_returned=returned[buyer, contact], g=grams[buyer, contact], contact=contact,
            )
        )  # fmt: skip
    return tuple(sorted(made, key=lambda receiver: (receiver.contact, -receiver.packs, receiver.buyer)))


def whereabouts(found: Gathered, goods: Goods) -> Whereabouts:
    """Where the packs of a forward chain are now. Packs reached by contact only are not counted."""
    made: dict[int, list[Serials]] = defaultdict(list)
    for run, part in found.made:
        if run not in found.by_contact:
            made[run].append(part)
    gone: dict[int, list[Ended]] = defaultdict(list)
    for item in found.ended:
        gone[item.run].append(item)
    ended: Counter[str] = Counter()
    total = in_house = away = 0
    for run, packs in made.items():
        for item in gone[run]:
            ended[item.kind] += item.packs.count
        real = without(packs, [item.packs for item in gone[run] if item.kind == VOID])
        out = merged(goods.away[run])
        total += counted(real)
        away += counted(out)
        in_house += counted(without(real, [*(item.packs for item in gone[run]), *out]))
    voided = ended.pop(VOID, 0)
    return Whereabouts(total, in_house, away, tuple(sorted(ended.items())), voided)
