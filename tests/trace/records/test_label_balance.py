"""The labels of a run held against its packs at the end of the run."""

from __future__ import annotations

import pytest

from lotwake.trace.actions import label_counts, pack
from lotwake.trace.base.errors import CallError, LotwakeError
from lotwake.trace.base.ranges import Serials
from lotwake.trace.records.entries import packs
from lotwake.trace.records.find import by_code
from lotwake.trace.records.history import history_of
from lotwake.trace.records.label_balance import LabelBalance, label_balance
from lotwake.trace.records.packing import prints_of_job, recent_prints
from lotwake.trace.records.verify import verify


def _print(desk, run: int, serials: Serials, kind: str, *outcomes: str) -> int:  # type: ignore[no-untyped-def]
    with desk.entry("print labels") as entry:
        made = packs.print_labels(entry, run, serials, kind, "smeared", "x.pdf", desk.now)
    for outcome in outcomes:
        with desk.entry("labels") as entry:
            packs.label_outcome(entry, made, outcome, "", desk.now)
    return made


def test_every_label_of_a_run_is_counted(house) -> None:  # type: ignore[no-untyped-def]
    """Packs, voids, first labels, labels under way or unknown, reprints and spoiled ones each have their number."""
    desk = house.desk
    code = house.packed_run(48)
    run = by_code(desk.records, code).id
    _print(desk, run, Serials(1, 20), packs.FIRST, packs.PRINTED)
    _print(desk, run, Serials(21, 24), packs.FIRST, packs.WAITING)
    _print(desk, run, Serials(25, 30), packs.FIRST)
    _print(desk, run, Serials(31, 36), packs.FIRST, packs.FAILED)
    _print(desk, run, Serials(2, 4), packs.REPRINT, packs.PRINTED)
    _print(desk, run, Serials(5, 5), packs.REPRINT, packs.WAITING)
    pack.end_packs(desk, f"{code}/3-4", "VOID", "smeared")
    label_counts.waste_labels(desk, code, 3, "the roll jammed")
    label_counts.waste_labels(desk, code, 1, "test")
    thing, balance = label_counts.reconcile(desk, code)
    assert thing.code == code
    assert balance == LabelBalance(
        made=48, void=2, first=20, waiting=4, unsure=6, twice=0, reprints=3, wasted=4, unlabelled=18
    )
    assert (balance.packs, balance.used, balance.agrees) == (46, 27, False)
    assert verify(desk.records).whole


def test_a_run_agrees_once_every_pack_has_its_label(house) -> None:  # type: ignore[no-untyped-def]
    """A run in order agrees, also with voids, reprints and packs that have left; a second first label does not."""
    desk = house.desk
    code = house.packed_run(24)
    run = by_code(desk.records, code).id
    _print(desk, run, Serials(1, 12), packs.FIRST, packs.PRINTED)
    pack.end_packs(desk, f"{code}/13", "VOID", "never filled")
    _print(desk, run, Serials(14, 24), packs.FIRST, packs.WAITING, packs.PENDING, packs.PRINTED)
    house.send(f"{code}/1-6")
    assert label_balance(desk.records, run).agrees
    _print(desk, run, Serials(7, 8), packs.FIRST, packs.PRINTED)
    balance = label_balance(desk.records, run)
    assert (balance.twice, balance.first, balance.agrees) == (2, 25, False)


@pytest.mark.parametrize(
    ("count", "reason", "says"), [(0, "jam", "0 labels cannot be spoiled"), (2, " ", "The reason")]
)
def test_spoiled_labels_have_a_number_and_a_reason(house, count: int, reason: str, says: str) -> None:  # type: ignore[no-untyped-def]
    """No labels, or no reason, is refused."""
    with pytest.raises(LotwakeError, match=says):
        label_counts.waste_labels(house.desk, house.packed_run(12), count, reason)


def test_spoiled_labels_belong_to_a_run(house) -> None:  # type: ignore[no-untyped-def]
    """They stand in the history of the run, and are of nothing else."""
    code = house.packed_run(12)
    run = label_counts.waste_labels(house.desk, code, 2, "jam")
    last = history_of(house.desk.records, run)[-1]
    assert (last.act, last.why) == ("waste labels", "jam")
    with pytest.raises(CallError, match="spoiled labels needs a run"):
        label_counts.waste_labels(house.desk, house.landing(), 2, "jam")


def test_a_settled_print_stays_settled(house) -> None:  # type: ignore[no-untyped-def]
    """PRINTED and FAILED are for good; WAITING can become PENDING and then either."""
    desk = house.desk
    run = by_code(desk.records, house.packed_run(12)).id
    made = _print(desk, run, Serials(1, 6), packs.FIRST, packs.WAITING, packs.PENDING, packs.PRINTED)
    for state in (packs.PRINTED, packs.FAILED, packs.WAITING, packs.PENDING):
        with (
            pytest.raises(LotwakeError, match=f"Print {made} is settled already: PRINTED"),
            desk.entry("labels") as entry,
        ):
            packs.label_outcome(entry, made, state, "", desk.now)
    assert recent_prints(desk.records, 1)[0].state == "PRINTED"
    assert prints_of_job(desk.records, 99) == []
    with pytest.raises(LotwakeError, match="outcome of a print"), desk.entry("labels") as entry:
        packs.label_outcome(entry, made, "LOST", "", desk.now)
