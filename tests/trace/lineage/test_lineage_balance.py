"""The balance from the boats to the buyers: worked by hand on small histories, and whole over a season."""

from __future__ import annotations

from dataclasses import replace

import pytest

from lotwake.demo_db.builder import Built
from lotwake.trace.actions import pack, receive, set_up, ship, smoke
from lotwake.trace.actions.desk import Desk, open_desk
from lotwake.trace.actions.find import find_one
from lotwake.trace.actions.receive import Arrival
from lotwake.trace.actions.trace import trace_both
from lotwake.trace.lineage.balance import Balance, Masses, balance
from lotwake.trace.lineage.chain import Chain, Direction, Link, LinkKind, Node
from lotwake.trace.records.entries.house import BuyerFacts, ProductFacts
from lotwake.trace.records.facts import BatchSeen, LotSeen, RunSeen
from lotwake.trace.records.find import Kind, Thing


def weighed(desk: Desk, code: str) -> Balance:
    """The balance of what this code names."""
    return trace_both(desk, find_one(desk.records, code)).balance


# Two landings of 41.0 and 21.4 kg make a batch of 62.4 kg; 11.4 kg are lost; 170 packs of 300 g are made, two of them void:
# 168 packs weigh 50.4 kg and 0.6 kg is left. 14 cases of 12; 6 go to one buyer, 4 to another, 2 to a third; 24 packs stay.


@pytest.fixture
def told(house: object) -> tuple[Desk, dict[str, str]]:
    desk: Desk = house.desk  # type: ignore[attr-defined]
    for name in ("First", "Second", "Third"):
        set_up.add_buyer(desk, BuyerFacts(name, "+47 000 00 009"))
    set_up.add_product(
        desk, ProductFacts("9520000000202", "Haddock, 300 g", "hot smoked", 300, 15, "HAD", case_packs=12)
    )
    lots = [
        receive.receive(desk, Arrival("landing", boat, g, "HAD", area="27.4.b"), another=True).code
        for boat, g in (("Aurora", 41_000), ("Marit", 21_400))
    ]
    batch = smoke.start_batch(desk, "hot smoked", [smoke.Input(lots[0], 41_000), smoke.Input(lots[1], 21_400)]).code
    smoke.lose(desk, batch, "drying", 11_400)
    smoke.release_batch(desk, batch)
    run = pack.start_run(desk, "Haddock, 300 g", [(batch, None)], count=170).code
    pack.end_packs(desk, f"{run}/119-120", "VOID", "smeared")
    cases = [case.code for case in ship.case_up(desk, run)]
    ship.send(desk, "First", cases[:6])
    ship.send(desk, "Second", cases[6:10])
    ship.send(desk, "Third", cases[10:12])
    return desk, {
        "lot": lots[0],
        "batch": batch,
        "run": run,
        "case": cases[0],
        "last case": cases[-1],
        "pack": f"{run}/1",
    }


def test_a_batch_by_hand(told: tuple[Desk, dict[str, str]]) -> None:
    """62.4 kg of two boats less 11.4 lost and 0.6 left are 50.4 kg in 168 packs; 43.2 kg sold, 24 packs here."""
    desk, codes = told
    found = weighed(desk, codes["batch"])
    assert (found.boats, found.boats_g) == (2, 62_400)
    fish, goods = found.fish, found.goods
    assert (fish.batches, fish.in_g, fish.lost_g, fish.left_g) == (1, 62_400, 11_400, 600)
    assert (fish.packs, fish.packs_g, goods.void) == (168, 50_400, 2)
    assert (goods.cases, goods.cased, goods.cased_g) == (14, 168, 50_400)
    assert (goods.buyers, goods.sold, goods.sold_g, goods.in_house) == (3, 144, 43_200, 24)
    assert (fish.other_g, fish.rework_g, fish.elsewhere_g, found.gap_g, found.balanced) == (0, 0, 0, 0, True)


def test_a_lot_sees_the_other_lot_as_added(told: tuple[Desk, dict[str, str]]) -> None:
    """From one of the two landings, the other's 21.4 kg come into the batch from outside the chain."""
    desk, codes = told
    found = weighed(desk, codes["lot"])
    assert (found.boats_g, found.fish.other_g, found.fish.in_g) == (41_000, 21_400, 62_400)
    assert found.fish.packs_g == 50_400
    assert found.balanced


@pytest.mark.parametrize(("what", "here", "sold"), [("case", 12, 12), ("pack", 1, 1)])
def test_some_packs_only(told: tuple[Desk, dict[str, str]], what: str, here: int, sold: int) -> None:
    """Of a case or pack the fish is weighed whole, the goods only as far as asked."""
    desk, codes = told
    found = weighed(desk, codes[what])
    assert (found.boats_g, found.fish.packs) == (62_400, 168)
    assert (found.goods.here, found.goods.cases, found.goods.sold, found.balanced) == (here, 1, sold, True)


def test_what_goes_apart(told: tuple[Desk, dict[str, str]]) -> None:
    """Fish of a batch that was packed in another run is not in this run's packs: it went apart."""
    desk, _codes = told
    lot = receive.receive(desk, Arrival("landing", "Aurora", 10_000, "HAD", area="27.4.b"), another=True).code
    batch = smoke.start_batch(desk, "hot smoked", [smoke.Input(lot, 10_000)]).code
    smoke.release_batch(desk, batch)
    one = pack.start_run(desk, "Haddock, 300 g", [(batch, 3_000)], count=10).code
    pack.start_run(desk, "Haddock, 300 g", [(batch, 4_000)], count=10)
    fish = weighed(desk, one).fish
    assert (fish.in_g, fish.packs_g, fish.elsewhere_g, fish.left_g) == (10_000, 3_000, 4_000, 3_000)


def test_rework_is_added_once(told: tuple[Desk, dict[str, str]]) -> None:
    """Packs that go into a later batch are fish of it again, and packs of their run still."""
    desk, codes = told
    ship.open_case(desk, codes["last case"])
    later = smoke.start_batch(desk, "hot smoked", [smoke.Input(f"{codes['run']}/169-170")]).code
    found = weighed(desk, codes["batch"])
    assert (found.fish.rework_g, found.fish.in_g, found.fish.left_g) == (600, 63_000, 1_200)
    assert found.balanced
    assert weighed(desk, later).fish.rework_g == 600


def _node(kind: Kind, ref: int) -> Node:
    return Node(kind, ref, f"{kind}{ref}", "", "", "", g=0)


def test_a_gap_is_found() -> None:
    """Grams that a batch has, but that no link brings, are a gap; then the balance says that it is none."""
    lot = LotSeen(
        1, "L", "landing", "", "Aurora", "boat", "", "HAD", "", "", "", None, "", None, "", "", "", None, None, "", "",
        1000, None, "", "", 0, "USED UP",
    )  # fmt: skip
    batch = BatchSeen(2, "B", "hot smoked", "", "", "", "", 1000, 0, 0, "", None, None, "RUNNING")
    run = RunSeen(3, "R", "", "", "", "", "", "", 300, 0, 0, 0, 0, "PACKED")
    here = Thing(Kind.BATCH, 2, "B")
    nodes = (_node(Kind.LOT, 1), _node(Kind.BATCH, 2))
    back = Chain(here, Direction.BACK, False, nodes, (Link(LinkKind.USED, (Kind.LOT, 1), (Kind.BATCH, 2), g=1000),))
    forward = Chain(here, Direction.FORWARD, False, (_node(Kind.BATCH, 2),), ())
    masses = Masses({1: lot}, {2: batch}, {3: run}, {})
    assert balance(back, forward, masses).balanced
    short = replace(masses, batches={2: replace(batch, in_g=1250)})
    found = balance(back, forward, short)
    assert (found.gap_g, found.balanced) == (250, False)


def test_a_season_is_balanced(season: Built) -> None:
    """Every lot, batch and run of a season reconciles to the gram, and nothing comes out below zero."""
    desk = open_desk(season.places)
    try:
        codes = [
            code
            for table in ("lot", "batch", "run")
            for (code,) in desk.records.rows(f"SELECT code FROM {table} ORDER BY id")
        ]
        wrong = []
        for code in codes:
            found = weighed(desk, code)
            amounts = [*vars(found.fish).values(), found.boats_g, found.stored_g, found.lot_lost_g]
            if not found.balanced or min(amounts) < 0:
                wrong.append((code, found))
        assert len(codes) > 200
        assert wrong == []
    finally:
        desk.close()
