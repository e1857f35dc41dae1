"""Packing: runs from released batches, void labels, samples, cases; pallets when a customer takes many."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import timedelta
from functools import partial
from random import Random

from lotwake.demo_db.arrivals import BAGS
from lotwake.demo_db.scenario import (
    FLAKES,
    HADDOCK,
    KITCHEN_HADDOCK,
    LABELS_SINCE,
    PACKER,
    PRODUCTS,
    TROUT,
    WHOLE_TROUT,
)
from lotwake.demo_db.season import Batch, Season
from lotwake.demo_db.stores import Boxed
from lotwake.trace.actions import labels, pack, ship, smoke
from lotwake.trace.base.ranges import counted
from lotwake.trace.records.entries.house import ProductFacts
from lotwake.trace.records.find import by_code
from lotwake.trace.records.stock import loose_packs

BAG_G = 7
GIVEAWAY = (12, 22)
"""Thousandths by which packs are filled above their net weight; common practice."""
ENDS_G = (3_000, 5_000)
KITCHEN_FROM_G = 45_000
WHOLE_G = 12_000
"""So much of the trout is left whole and weighed one by one, since the house prints labels that can say so."""
WHOLE_FISH_G = (310, 405)
PER_PRODUCT_MIN = 50


def pack_day(season: Season) -> None:
    """Everything released is packed, product by product; what still awaits a result waits."""
    waiting = [batch for batch in season.released if not batch.awaited]
    season.released = [batch for batch in season.released if batch.awaited]
    by_name = {product.name: product for product in PRODUCTS}
    moment = season.desk.now
    for name in dict.fromkeys(batch.product for batch in waiting):
        batches = [batch for batch in waiting if batch.product == name]
        shares = _shares(season, by_name[name], batches)
        for product, parts in shares:
            make = _run_weighed if product.catch_weight else _run
            season.diary.put(moment, partial(make, season, product, parts))
            moment += timedelta(minutes=PER_PRODUCT_MIN)


Share = tuple[ProductFacts, list[tuple[str, int]]]


def _shares(season: Season, product: ProductFacts, batches: Sequence[Batch]) -> list[Share]:
    """What goes into which product: haddock leaves broken ends for flakes, and much of it makes kitchen packs too; of
    the trout some is left whole."""
    parts = [(batch.code, batch.g) for batch in batches]
    if product is TROUT and season.today >= LABELS_SINCE:
        (code, g), *others = parts
        return [(product, [(code, g - WHOLE_G), *others]), (WHOLE_TROUT, [(code, WHOLE_G)])]
    if product is not HADDOCK:
        return [(product, parts)]
    ends = [(code, season.random.randint(*ENDS_G) // 10 * 10) for code, _ in parts]
    season.ends += ends
    parts = [(code, g - end) for (code, g), (_, end) in zip(parts, ends, strict=True)]
    if sum(g for _, g in parts) < KITCHEN_FROM_G:
        return [(product, parts)]
    kitchen = [(code, g * 4 // 10) for code, g in parts]
    retail = [(code, g - part) for (code, g), (_, part) in zip(parts, kitchen, strict=True)]
    return [(product, retail), (KITCHEN_HADDOCK, kitchen)]


def _run(season: Season, product: ProductFacts, parts: Sequence[tuple[str, int]]) -> None:
    desk = season.by(PACKER)
    whole_g = sum(g for _, g in parts)
    filled_g = whole_g - season.thousandths(whole_g, *GIVEAWAY)
    count = filled_g // product.net_g
    bags = season.materials.take(BAGS, count * BAG_G)
    run = pack.start_run(desk, product.name, list(parts), materials=list(bags))
    _make(season, run.code, count)
    if product is FLAKES:
        season.landmarks[f"run of flakes of {season.today}"] = run.code
    season.diary.put(
        season.later(25), partial(_close, season, product, run.code, count, whole_g - count * product.net_g)
    )


def _run_weighed(season: Season, product: ProductFacts, parts: Sequence[tuple[str, int]]) -> None:
    """Fish by fish onto the scale, each with its label; what is too small for a pack is eaten by those who packed."""
    desk = season.by(PACKER)
    run = pack.start_run(desk, product.name, list(parts))
    dice, left_g = Random(run.code), sum(g for _, g in parts)
    weights: list[int] = []
    while left_g >= WHOLE_FISH_G[1]:
        weights.append(dice.randint(*WHOLE_FISH_G))
        left_g -= weights[-1]
    desk.places.printed.mkdir(exist_ok=True)
    labels.print_labels(desk, run.code, 0, desk.places.printed / f"{run.code}-weighed.pdf", weights_g=weights)
    if left_g:
        smoke.lose(desk, run.code, "samples", left_g, note="too small for a pack")
    season.landmarks["weighed run"] = run.code
    season.diary.put(season.later(25), partial(_case_up, season, product, run.code))


def _make(season: Season, run: str, count: int) -> None:
    """So many packs; since the house prints its labels here, a label for each comes with it."""
    desk = season.by(PACKER)
    if season.today < LABELS_SINCE:
        pack.add_packs(desk, run, count)
        return
    folder = desk.places.printed
    folder.mkdir(exist_ok=True)
    labels.print_labels(desk, run, count, folder / f"{run}-{count}.pdf")


def _close(season: Season, product: ProductFacts, run: str, count: int, rest_g: int) -> None:
    """The end of a run: the rest named, spoilt labels voided, samples taken, the packs put into cases."""
    desk = season.by(PACKER)
    void = _spoilt(season, run, count)
    smoke.lose(desk, run, "giveaway", rest_g, note="packs filled above net weight")
    if void:
        # Nothing was ever in a voided pack: its fish is in the pack that was labelled in its place.
        _make(season, run, void)
    if season.random.random() < 0.12:
        last = count + void
        pack.end_packs(desk, f"{run}/{last - 1}-{last}", "SAMPLE", "kept for the laboratory")
    _case_up(season, product, run)


def _spoilt(season: Season, run: str, count: int) -> int:
    """Now and then a label comes out smeared or crooked; its serial is void."""
    if season.random.random() > 0.3:
        return 0
    spoilt = season.random.randint(1, 3)
    first = season.random.randint(1, count - spoilt)
    why = season.random.choice(("label smeared", "label crooked", "bag torn while labelling"))
    pack.end_packs(season.by(PACKER), f"{run}/{first}-{first + spoilt - 1}", "VOID", why)
    return spoilt


def _case_up(season: Season, product: ProductFacts, run: str) -> None:
    desk = season.by(PACKER)
    ref = by_code(desk.records, run).id
    full = counted(loose_packs(desk.records, ref)) // product.case_packs
    if full:
        for case in ship.case_up(desk, run):
            season.cold.put(Boxed(case.code, product.name))
    season.cold.loose += [(product.name, run, part) for part in loose_packs(desk.records, ref)]


def mixed_cases(season: Season) -> None:
    """Loose packs of one product that are left of several runs share a case."""
    for product in PRODUCTS:
        while season.cold.loose_packs(product.name) >= product.case_packs:
            inside = season.cold.unboxed(product.case_packs, product.name)
            case = ship.close_case(season.by(PACKER), [f"{run}/{part.first}-{part.last}" for _, run, part in inside])
            season.cold.put(Boxed(case.code, product.name))
