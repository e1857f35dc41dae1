"""What answers make of the packs a buyer holds: counted once, replaced by later ones, by lot only as far as was said."""

from __future__ import annotations

from collections import Counter, defaultdict
from datetime import UTC, date, datetime, timedelta

import pytest

from lotwake.trace.base.errors import CallError
from lotwake.trace.recall.classes import (
    LEVELS,
    check_level,
    draw_sample,
    next_drill_due,
    recall_class,
    sample_size,
)  # fmt: skip
from lotwake.trace.recall.draw import Candidate, draw_start
from lotwake.trace.recall.drill import Clock, Pause, clock_text, due, enough_accounted, percent
from lotwake.trace.recall.notices import (
    Call,
    Goods,
    Notice,
    Party,
    heading,
    in_calling_order,
    letter_text,
    risk_of,
    without_phone,
)  # fmt: skip
from lotwake.trace.recall.replies import Reply, Settled, State, Tally, settle

TEN = "2026-11-24T10:00:00Z"
BEGUN = datetime(2026, 11, 24, 9, tzinfo=UTC)


def settled(held: dict[int, int], *replies: Reply, came: dict[str, Counter[int]] | None = None) -> Settled:
    return settle(held, replies, defaultdict(Counter, came or {}))


def said(run: int | None = None, at: str = TEN, **figures: int) -> Reply:
    return Reply(7, run, True, at, **figures)  # type: ignore[arg-type]


@pytest.mark.parametrize(("replies", "total", "state"), [
    ((), Tally(waiting=48), State.TO_TELL),
    ((Reply(7, None, False, TEN),), Tally(waiting=48), State.NOT_REACHED),
    ((Reply(7, None, True, TEN),), Tally(waiting=48), State.WAITING),
    ((said(stock=20, sold=28),), Tally(stock=20, sold_on=28), State.ANSWERED),
    ((said(stock=0),), Tally(unaccounted=48), State.SHORT),
    ((said(stock=20, returned=8, destroyed=2),), Tally(stock=20, coming_back=8, destroyed_there=2, unaccounted=18),
     State.SHORT),
    ((said(stock=48), said(at="2026-11-24T11:00:00Z", sold=48)), Tally(sold_on=48), State.ANSWERED),
    ((said(1, stock=30),), Tally(stock=30, waiting=18), State.WAITING),
    ((said(1, stock=30), said(2, sold=18)), Tally(stock=30, sold_on=18), State.ANSWERED),
    ((said(1, stock=30), said(at="2026-11-24T11:00:00Z", sold=48)), Tally(sold_on=48), State.ANSWERED),
    ((said(stock=49),), Tally(waiting=48), State.ASK_AGAIN),
])  # fmt: skip
def test_answers_settle_the_packs(replies: tuple[Reply, ...], total: Tally, state: State) -> None:
    """Each list of answers gives one tally that sums to what the buyer holds, and one state."""
    found = settled({1: 30, 2: 18}, *replies)
    assert (found.total, found.state) == (total, state)
    assert found.total.made == 48 == sum(part.made for part in found.by_run.values())


def test_by_lot_only_as_far_as_it_was_said() -> None:
    """A mixed answer about two lots stays unsorted by lot; one state for all of them, or one lot, can be sorted."""
    assert settled({1: 30, 2: 18}, said(stock=20, sold=28)).by_run == {1: Tally(not_by_lot=30), 2: Tally(not_by_lot=18)}
    assert settled({1: 30, 2: 18}, said(sold=48)).by_run == {1: Tally(sold_on=30), 2: Tally(sold_on=18)}
    assert settled({1: 30}, said(stock=10, sold=20)).by_run == {1: Tally(stock=10, sold_on=20)}


def test_what_arrived_since_was_on_its_way() -> None:
    """Packs that came back after the answer are first those the buyer said were coming, then stock, then sold."""
    reply = said(stock=6, sold=4, returned=10)
    assert settled({1: 14}, reply, came={TEN: Counter({1: 6})}).total == Tally(stock=6, sold_on=4, coming_back=4)
    assert settled({1: 7}, reply, came={TEN: Counter({1: 13})}).total == Tally(stock=3, sold_on=4)
    assert settled({1: 2}, reply, came={TEN: Counter({1: 18})}).total == Tally(sold_on=2)


# checks.json, topics recall_effectiveness and recall_class: 21 CFR 7.42(b)(3) and 7.3(m). A: FDA Investigations Operations
# Manual 7.3.2.2 (published); B: the same, as read in the dossier; the others from memory.
@pytest.mark.parametrize(("level", "says", "consignees", "percent", "asked"), [
    ("A", "100 %", 40, None, 40), ("B", "more than 10 %, less than 100 %", 40, 50, 20), ("C", "10 %", 40, None, 4),
    ("D", "2 %", 40, None, 1), ("E", "none", 40, None, 0), ("C", "10 %", 41, None, 5), ("D", "2 %", 100, None, 2),
])  # fmt: skip
def test_check_levels(level: str, says: str, consignees: int, percent: int | None, asked: int) -> None:
    """Each level of an effectiveness check asks the share of consignees the rule names, rounded up."""
    chosen = check_level(level.lower())
    assert (chosen.name, chosen.says) == (level, says)
    assert sample_size(chosen, consignees, percent) == asked


@pytest.mark.parametrize(("name", "hazard"), [
    ("I", "reasonable probability of serious harm or death"), ("III", "harm not likely"),
])  # fmt: skip
def test_recall_classes(name: str, hazard: str) -> None:
    """The recall classes say what 21 CFR 7.3(m) says of the danger (from memory)."""
    assert recall_class(name).hazard == hazard


def test_levels_and_classes_that_are_none() -> None:
    """An unknown level or class, and a share where none or another belongs, are refused with what to write."""
    with pytest.raises(CallError, match="Use A, B"):
        check_level("F")
    with pytest.raises(CallError, match="Use I, II or III"):
        recall_class("IV")
    for percent_said in (None, 10, 100):
        with pytest.raises(CallError, match="more than 10 %"):
            sample_size(LEVELS[1], 10, percent_said)
    with pytest.raises(CallError, match="Leave the percentage out"):
        sample_size(LEVELS[0], 10, 50)


def test_samples_are_drawn_by_the_seed() -> None:
    """The same seed draws the same buyers, whatever order they come in; nobody is drawn twice; seeds differ."""
    assert draw_sample([3, 1, 2, 9, 4], 3, 7) == draw_sample([9, 4, 3, 2, 1], 3, 7)
    draws = {tuple(draw_sample(range(20), 5, seed)) for seed in range(20)}
    assert len(draws) > 15
    assert all(len(set(draw)) == 5 for draw in draws)


def test_drawn_lots_are_recent_and_widely_mixed() -> None:
    """Of 2,000 draws the recent, widely mixed lot comes most often, an old one hardly, one in no pack never."""
    lots = [
        Candidate(1, "a", "", 2, 7),
        Candidate(2, "b", "", 2, 1),
        Candidate(3, "c", "", 300, 7),
        Candidate(4, "d", "", 0, 0),
    ]
    drawn = Counter(draw_start(lots, seed).lot for seed in range(2_000))
    assert drawn[1] > 2 * drawn[2] > 0
    assert drawn[3] < 20
    assert drawn[4] == 0


# Safe Food for Canadians Regulations s.84 (read): at least once in 12 months.
@pytest.mark.parametrize(("last", "next_one"), [
    (date(2026, 11, 24), date(2027, 11, 24)), (date(2028, 2, 29), date(2029, 2, 28)), (date(2026, 1, 1), date(2027, 1, 1)),
])  # fmt: skip
def test_next_drill(last: date, next_one: date) -> None:
    """The next drill is due within 12 months of the last one, and overdue the day after."""
    assert next_drill_due(last) == next_one
    assert due(last, next_one).overdue is False
    assert due(last, next_one + timedelta(days=1)).overdue is True
    assert due(None, last).overdue is True


def test_clock_stands_while_paused() -> None:
    """Pauses do not count, wherever one looks at the clock; the goal is met to the second."""
    pauses = (Pause(BEGUN + timedelta(minutes=10), BEGUN + timedelta(minutes=40), "lunch"),)
    clock = Clock(BEGUN, BEGUN + timedelta(minutes=90), None, pauses, 60)
    assert (clock_text(clock.used), clock_text(clock.left), clock.in_time) == ("1:00:00", "0:00:00", True)
    assert clock.used_at(BEGUN + timedelta(minutes=25)) == timedelta(minutes=10)
    late = Clock(BEGUN, BEGUN + timedelta(minutes=90, seconds=1), None, pauses, 60)
    assert (late.in_time, clock_text(late.left)) == (False, "-0:00:01")
    still = Clock(BEGUN, BEGUN + timedelta(minutes=50), None, (Pause(BEGUN + timedelta(minutes=20), None, "call"),), 60)
    assert (still.paused, still.used) == (True, timedelta(minutes=20))


def test_percentages_decide_unrounded() -> None:
    """97.996 % is shown as 98.0 and is not 98 %; nothing made is all accounted for."""
    nearly = Tally(in_house=48_998, unaccounted=1_002)
    assert percent(nearly.accounted, nearly.made) == 98.0
    assert not enough_accounted(nearly, 98)
    assert enough_accounted(Tally(in_house=49, unaccounted=1), 98)
    assert enough_accounted(Tally(), 100)


def test_calls_come_by_risk_then_quantity() -> None:
    """Eaten as it is before cooked, in date before out of date, then the most packs; who answered comes last."""
    today = date(2026, 11, 24)
    ready, cooked, old = (
        risk_of(a, b, today) for a, b in ((True, today), (False, today), (True, today - timedelta(days=1)))
    )
    rows = [(ready, "small", 5, State.TO_TELL), (ready, "big", 9, State.WAITING), (cooked, "huge", 99, State.TO_TELL),
            (old, "old", 500, State.TO_TELL), (ready, "done", 999, State.ANSWERED)]  # fmt: skip
    calls = in_calling_order(
        (rank, Call(1, name, "" if name == "huge" else "+47", "", packs, packs, risk, state, ""))
        for (rank, risk), name, packs, state in rows
    )
    assert [call.name for call in calls] == ["big", "small", "huge", "old", "done"]
    assert without_phone(calls) == ("huge",)
    assert calls[2].phone_or_warning == "no telephone number: find one"


@pytest.mark.parametrize("practice", [True, False])
def test_a_letter_has_every_field(practice: bool) -> None:
    """Marked as recall or drill, product, size, lot, reason, stop now, pass on, how to report, whom to ring: 21 CFR 7.49
    (fields from memory); a drill never says that something is wrong."""
    goods = Goods(
        "Hot smoked haddock",
        "09520000000110",
        "300 g",
        7200,
        "32631300133",
        "07 Feb 2027",
        24,
        ("HL-1",),
        ("13 Nov 2026",),
    )
    house = Party("Skerry Smokehouse", "+47 00", address="Quay 1")
    letter = Notice(
        Party("Quay Deli", "+47 01"), house, "726-1", practice, "salt too low", "II", "consumer", (goods,), "Signe", "x"
    )
    text = letter_text(letter)
    for field in ("Hot smoked haddock", "300 g", "32631300133", "24 packs", "HL-1", "salt too low", "class II", "stop using",
                  "passing on", "consumer level", "in stock", "+47 00", "Signe", "726-1"):  # fmt: skip
        assert field in text
    assert heading(letter) in text
    assert ("URGENT: FOOD RECALL" in text) is not practice
    assert ("NOT A RECALL" in text) is practice
