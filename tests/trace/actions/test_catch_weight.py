"""A run of catch weight on its whole way: packed, labelled, cased, sent, traced, given back and recalled, gram by gram."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

import pytest

from lotwake.trace.actions import correct, labels, origin, pack, packing, recall, ship
from lotwake.trace.actions.label_content import case_label_spec
from lotwake.trace.actions.recall_answers import Answer, take_reply
from lotwake.trace.actions.recall_notices import notices
from lotwake.trace.actions.recall_state import look_at
from lotwake.trace.actions.trace import trace_both
from lotwake.trace.base.errors import CallError, Refused
from lotwake.trace.base.ranges import Serials
from lotwake.trace.lineage.chain import Direction
from lotwake.trace.lineage.trace import trace
from lotwake.trace.recall import eu_lot, kde
from lotwake.trace.recall.board import amounts
from lotwake.trace.recall.dispatch_note import dispatch_note
from lotwake.trace.recall.extract import asked_by_chains, extract
from lotwake.trace.recall.notices import letter_text
from lotwake.trace.records.facts import runs
from lotwake.trace.records.find import by_code
from lotwake.trace.records.verify import verify

Scans = Callable[[Path], list[str]]
SIDE = "Hot smoked haddock side"
WEIGHTS = (1_100, 1_250, 1_300, 985)


def test_every_label_has_the_weight_of_its_pack(house, scans: Scans, tmp_path: Path) -> None:
    """GTIN and net weight (AI 310n, in kilograms with three decimals) are in one symbol, lot and serial in the other."""
    run, out = house.weighed_run(*WEIGHTS), tmp_path / "labels.pdf"
    printed = labels.print_labels(house.desk, run, 4, out)
    assert printed.weights_g == WEIGHTS
    weights = [f"(01)99520000000045(3103)00{g:04d}(15)270123" for g in WEIGHTS]
    assert sorted(scans(out)) == sorted([*weights, *(f"(10){run}(21)000{n}" for n in (1, 2, 3, 4))])
    again = labels.reprint_labels(house.desk, f"{run}/3", "smeared", out)
    assert again.weights_g == (1_300,)
    assert weights[2] in scans(out)


def test_the_label_goes_with_the_pack_on_the_scale(house, tmp_path: Path) -> None:
    """Weights make a pack and a label each, and leave packs that wait for theirs alone; a count labels those."""
    run = house.weighed_run(*WEIGHTS)
    more = house.released((house.landing(3_000), 3_000))
    house.later()
    pack.fill_run(house.desk, run, more, 3_000)
    made = labels.print_labels(house.desk, run, 0, tmp_path / "a.pdf", weights_g=[1_410, 1_090])
    assert (made.packs, made.weights_g) == ((Serials(5, 6),), (1_410, 1_090))
    with pytest.raises(CallError, match="weighed one by one"):
        labels.print_labels(house.desk, run, 5, tmp_path / "b.pdf")
    assert labels.print_labels(house.desk, run, 4, tmp_path / "c.pdf").packs == (Serials(1, 4),)
    with pytest.raises(Refused, match="1 g too much"):
        labels.print_labels(house.desk, run, 0, tmp_path / "d.pdf", weights_g=[501])


def test_the_case_weighs_what_is_in_it(house, scans: Scans, tmp_path: Path) -> None:
    """The case label says what its packs weigh together, in words and with GTIN and count in its DataMatrix."""
    run = house.weighed_run(*WEIGHTS)
    case = by_code(house.desk.records, house.case(f"{run}/2-3"))
    spec = case_label_spec(house.desk, case)
    assert (spec.net_g, spec.pack_count) == (2_550, 2)
    out = tmp_path / "case.pdf"
    labels.print_case_labels(house.desk, [case.code], out)
    whole = next(text for text in scans(out) if "(3103)" in text)
    for element in ("(02)99520000000045", "(3103)002550", "(37)2", f"(10){run}", f"(00){case.code}"):
        assert element in whole


def test_the_trace_balances_and_says_who_has_how_much(house) -> None:
    """Every gram is somewhere; a buyer holds what the packs sent and kept there weigh."""
    run = house.weighed_run(*WEIGHTS)
    desk = house.desk
    case = house.case(f"{run}/1-2")
    house.later()
    house.send(case, f"{run}/4", document="DN-1")
    house.later()
    ship.take_back(desk, "Quay Deli", [f"{run}/4"], "too small")
    both = trace_both(desk, by_code(desk.records, run))
    assert both.balance.balanced
    assert (both.balance.fish.packs_g, both.balance.goods.sold_g, both.balance.goods.cased_g) == (4_635, 2_350, 2_350)
    (buyer,) = both.forward.receivers
    assert (buyer.packs, buyer.g) == (2, 2_350)
    one = trace_both(desk, by_code(desk.records, f"{run}/4"))
    assert [node.g for node in one.back.nodes if node.kind == "pack"] == [985]
    answer = origin.answer_origin(desk, by_code(desk.records, case))
    assert [(item.packs, item.g, item.pack) for item in answer.goods] == [(2, 2_350, "about 1.2 kg (weighed)")]
    assert "2 packs of 2.35 kg in all" in " ".join(origin.in_sentences(answer))


def test_what_goes_out_on_paper_has_the_weights(house) -> None:
    """The dispatch note and the US and EU files say kilograms as weighed, not packs times a size."""
    run = house.weighed_run(*WEIGHTS)
    sent = house.send(f"{run}/2-4", document="DN-1")
    desk = house.desk
    thing = by_code(desk.records, sent)
    chains = [trace(desk.records, thing, way) for way in (Direction.BACK, Direction.FORWARD)]
    facts = extract(desk.records, desk.zone, asked_by_chains(chains))
    (goods,) = dispatch_note(facts, thing.id).goods
    assert (goods.packs, goods.net_g) == (3, 3_535)
    (row,) = kde.shipping(facts).records()
    assert (row["Quantity"], row["Unit"], f"{row['Net weight kg']}") == (3, "packs of about 1.2 kg (weighed)", "3.535")
    (pack_lot,) = eu_lot.pack_lots(facts, [by_code(desk.records, run).id])
    assert pack_lot.net_g == 4_635


def test_a_recall_knows_the_kilograms(house) -> None:
    """What is here, at each buyer and answered for is weighed pack by pack, as far as it follows which packs they are."""
    run = house.weighed_run(*WEIGHTS)
    desk = house.desk
    house.send(f"{run}/1", buyer="Quay Deli", document="DN-1")
    house.send(f"{run}/2-3", buyer="Hill Kitchen", document="DN-2")
    house.later()
    state = recall.begin(desk, "recall", recall.from_codes(desk, [run]), recall.Terms("salt too low"))
    assert state.total_g == 4_635
    assert {call.name: call.g for call in state.calls} == {"Quay Deli": 1_100, "Hill Kitchen": 2_550}
    assert {item.word: item.g for item in amounts(state) if item.packs} == {"WAITING": 3_650, "IN HOUSE": 985}
    assert [lot.g for lot in state.traced_back] == [4_635]
    letters = {letter.buyer.name: letter_text(letter) for letter in notices(desk, state)}
    assert "packs of about 1.2 kg (weighed)" in letters["Hill Kitchen"]
    assert "2 packs (2.55 kg)" in letters["Hill Kitchen"]
    take_reply(desk, state.case, "Hill Kitchen", Answer(stock=2))
    told = {item.word: item.g for item in amounts(look_at(desk, state.case)) if item.packs}
    assert told == {"WAITING": 1_100, "ANSWERED": 2_550, "IN HOUSE": 985}
    take_reply(desk, state.case, "Hill Kitchen", Answer(stock=1, sold=1))
    run_id = by_code(desk.records, run).id
    now = look_at(desk, state.case)
    assert now.part_g(run_id, "stock") is None  # nobody can say which of the two it is
    assert now.part_g(run_id, "in_house") == 985


def test_a_label_with_another_weight_is_found_out(house) -> None:
    """Scanned back after its weight was corrected, the old label is refused with both weights."""
    desk = house.desk
    run = house.weighed_run(*WEIGHTS)
    batch = desk.records.value("SELECT b.code FROM batch b ORDER BY b.id DESC LIMIT 1")
    table = packing.lay_out(desk, batch, SIDE)
    assert table.weighed
    label = f"]d2019952000000004531030012501527012310{run}\x1d210002"
    assert packing.read_back(desk, table, label) == "0002"
    correct.correct(desk, f"{run}/2", "weight", "1205 g", "misread")
    with pytest.raises(Refused, match=r"says 1.25 kg; by the record pack 2 weighs 1.205 kg"):
        packing.read_back(desk, packing.lay_out(desk, batch, SIDE), label)


def test_the_table_takes_weights(house) -> None:
    """Weights fill the run just as far as they need; a bare count, or more than there is, is refused with nothing entered."""
    desk = house.desk
    house.weighed_run(1_000)
    batch = house.released((house.landing(4_000), 4_000))
    for weights, packs_g, left_g in ((([1_150]), 1_150, 2_850), ([1_300, 1_200], 3_650, 350)):
        packing.pack_and_print(desk, batch, SIDE, len(weights), weights_g=weights)
        table = packing.lay_out(desk, batch, SIDE)
        assert table.run is not None
        assert (table.run.packs_g, table.run.left_g, table.left_g) == (packs_g, 0, left_g)
    for count, weights, error, says in (
        (1, [], CallError, "weight of its own"),
        (1, [351], Refused, "351 g is more than is left"),
    ):
        with pytest.raises(error, match=says):
            packing.pack_and_print(desk, batch, SIDE, count, weights_g=weights)
    seen = runs(desk.records, [table.run.id])[table.run.id]
    assert seen.packs_g == 3_650
    assert verify(desk.records).whole
