"""Traces of random histories against an account of every single pack and a graph of networkx."""

from __future__ import annotations

import json
from collections import Counter

import networkx as nx
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from lineage_history import STEPS, History, Step
from lineage_house import SmallHouse
from lineage_oracle import edges_of, expected, fish_shares, graph, in_house, most_g, work_key

from lotwake.trace.lineage.answer import answer
from lotwake.trace.lineage.chain import Chain, Direction, Key, LinkKind
from lotwake.trace.lineage.data import chain_data
from lotwake.trace.lineage.trace import shares_of, trace
from lotwake.trace.records.find import Kind, Thing

BACK, FORWARD = Direction.BACK, Direction.FORWARD
number = st.integers(0, 10**6)
histories = st.lists(st.tuples(st.sampled_from(STEPS), number, number, number), min_size=40, max_size=110)
slow = settings(
    max_examples=30,
    deadline=None,
    suppress_health_check=[HealthCheck.function_scoped_fixture, HealthCheck.too_slow, HealthCheck.data_too_large],
)
SEASON: list[Step] = [("receive", n, 977 * n, 1) for n in range(4)]


def played(house: SmallHouse, steps: list[Step]) -> History:
    """A history of these steps, after a few lots to begin with."""
    history = History(house)
    for step in [*SEASON, *steps]:
        history.take(step)
    return history


def starts(history: History) -> list[Thing]:
    """Everything a trace can start from: all things, and a few packs of each run."""
    packs = [
        Thing(Kind.PACK, run, history.things[Kind.RUN, run].code, serial)
        for run, serials in history.made.items()
        for serial in sorted(serials)[::4]
        if history.ended.get((run, serial), ("", 0))[0] != "VOID"
    ]
    return [*history.things.values(), *packs]


def asked(history: History, start: Thing, direction: Direction, contact: bool = False) -> Chain:
    """A trace, as the program answers it."""
    return trace(history.house.desk.records, start, direction, contact)


@slow
@given(steps=histories)
def test_a_trace_is_what_the_single_packs_did(any_house: SmallHouse, steps: list[Step]) -> None:
    """From every kind of start and both ways, a trace has the nodes, links, packs and grams of the pack-by-pack account."""
    with any_house.undone():
        history = played(any_house, steps)
        for start in starts(history):
            for direction in Direction:
                chain = asked(history, start, direction)
                check_chain(history, chain, (start.kind, start.id))
                assert json.loads(json.dumps(chain_data(chain)))["problems"] == []
                assert answer(chain, any_house.desk.zone)


def check_chain(history: History, chain: Chain, start: Key) -> None:
    want = expected(history, start, chain.direction, False, chain.start.serial or 0)
    links = edges_of(chain)
    assert not chain.problems
    assert {node.key for node in chain.nodes} == want.nodes
    assert len(links) == len(chain.links)
    assert set(links) == want.links | set(want.packs)
    for edge, link in links.items():
        if start[0] is Kind.PACK and edge[2] == start:
            continue
        if edge in want.packs:
            assert link.packs == len(want.packs[edge])
            assert link.g == sum(history.net_g[run] for run, _ in want.packs[edge])
        else:
            table = history.uses if edge[0] is LinkKind.USED else history.flows
            assert link.g == table[edge[1][1], edge[2][1]]
    for node in chain.nodes:
        if node.kind in (Kind.DISPATCH, Kind.RETURN):
            into = [packs for edge, packs in want.packs.items() if edge[2] == node.key]
            assert node.packs == sum(map(len, into))
    if chain.direction is FORWARD:
        check_places(history, chain, want.reached)


def check_places(history: History, chain: Chain, reached: set[tuple[int, int]]) -> None:
    where = chain.whereabouts
    assert where is not None
    ends = Counter(history.ended[one][0] for one in reached if one in history.ended)
    assert where.void == ends.pop("VOID", 0)
    assert dict(where.ended) == ends
    assert where.with_buyers == sum(one in history.away for one in reached)
    assert where.in_house == len(in_house(history, reached))
    assert where.made == where.in_house + where.with_buyers + sum(ends.values())
    with_buyers = Counter(history.buyer[history.away[one]] for one in reached if one in history.away)
    assert {receiver.buyer: receiver.packs for receiver in chain.receivers if receiver.packs} == with_buyers
    grams = sum(history.net_g[one[0]] for one in reached if one in history.away)
    assert sum(receiver.g for receiver in chain.receivers) == grams
    if chain.start.kind is Kind.PACK:
        one = chain.start.id, chain.start.serial or 0
        state = history.ended.get(one, ("SENT" if one in history.away else "IN HOUSE", 0))[0]
        state = "RETURNED" if state == "IN HOUSE" and one in history.came_back else state
        assert next(node.status for node in chain.nodes if node.kind is Kind.PACK) == state


@slow
@given(steps=histories)
def test_forward_and_back_are_mirror_images(any_house: SmallHouse, steps: list[Step]) -> None:
    """A thing is in the forward trace of a lot, batch or run exactly if that one is in its back trace; with contact too."""
    with any_house.undone():
        history = played(any_house, steps)
        origins = [key for key in history.things if key[0] in (Kind.LOT, Kind.BATCH, Kind.RUN)]
        for contact in (False, True):
            chains = {
                (key, way): {node.key for node in asked(history, thing, way, contact).nodes}
                for key, thing in history.things.items()
                for way in Direction
            }
            for early in origins:
                for late in history.things:
                    if late[0] is not Kind.LOT:
                        assert (late in chains[early, FORWARD]) == (early in chains[late, BACK]), (early, late, contact)


@slow
@given(steps=histories)
def test_contact_is_marked_and_counted_nowhere(any_house: SmallHouse, steps: list[Step]) -> None:
    """With contact a trace reaches what met it, marked; without the marked parts it is the trace without contact."""
    with any_house.undone():
        history = played(any_house, steps)
        for start in starts(history):
            for direction in Direction:
                plain, wide = (asked(history, start, direction, contact) for contact in (False, True))
                want = expected(history, (start.kind, start.id), direction, True, start.serial or 0)
                assert {node.key for node in wide.nodes} == want.nodes
                assert tuple(node for node in wide.nodes if not node.contact) == plain.nodes
                assert tuple(link for link in wide.links if not link.contact) == plain.links
                assert all(link.contact for link in wide.links if link.kind is LinkKind.CONTACT)
                assert [origin for origin in wide.origins if not origin.contact] == list(plain.origins)
                assert all(origin.used_g == 0 and origin.share is None for origin in wide.origins if origin.contact)
                assert [one for one in wide.receivers if not one.contact] == list(plain.receivers)
                assert wide.whereabouts == plain.whereabouts


@slow
@given(steps=histories)
def test_shares_are_exact(any_house: SmallHouse, steps: list[Step]) -> None:
    """Shares of a batch or run sum to exactly 1, equal fractions followed back in a graph, and lie below the most."""
    with any_house.undone():
        history = played(any_house, steps)
        works = [key[1] for key in history.things if key[0] in (Kind.BATCH, Kind.RUN)]
        together = shares_of(any_house.desk.records, works)
        for work in works:
            found = shares_of(any_house.desk.records, [work])[work]
            assert found == together[work]
            assert {share.lot: share.mixed for share in found} == fish_shares(history, work)
            assert sum(share.mixed for share in found) == (1 if found else 0)
            for share in found:
                total = sum(g for (_, child), g in history.flows.items() if child == work)
                total += sum(g or 0 for (lot, child), g in history.uses.items()
                             if child == work and lot not in history.materials)  # fmt: skip
                assert 0 < share.mixed <= share.most <= 1
                assert share.mixed * total <= most_g(history, share.lot, work) <= share.most * total
            chain = asked(history, history.things[work_key(history, work)], BACK)
            assert chain.shares[work] == found


def test_the_histories_reach_everything(any_house: SmallHouse) -> None:
    """The random steps really make rework, pallets in pallets, opened cases, returns and goods sent again."""
    seen: Counter[str] = Counter()
    with any_house.undone():
        history = History(any_house)
        state = 12345
        for place in range(1500):
            state = (state * 1103515245 + 12345) % 2**31
            numbers = [state // 7, state // 1009, state // 31]
            history.take((STEPS[state // 64 % len(STEPS)] if place > 20 else "receive", *numbers))  # type: ignore[arg-type]
        seen.update(kind for kind, _ in history.things)
        seen.update(kind for kind, _ in history.ended.values())
        parents = Counter(parent[0] for kind, parent, _ in history.carried if kind is LinkKind.STACKED)
        assert parents[Kind.PALLET] > 3
        assert {"VOID", "DESTROYED", "SAMPLE", "REWORK", *(kind for kind in Kind if kind in seen)} <= set(seen)
        assert seen[Kind.RETURN] > 10
        assert any(sum((one, on) in history.way_out for on in history.buyer) > 1 for one in history.came_back)
        deep = nx.dag_longest_path(graph(history))
        assert sum(key[0] is Kind.RUN for key in deep) > 3
