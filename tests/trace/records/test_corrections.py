"""Nothing is deleted or overwritten: a correction names what was wrong, and both stay readable."""

from __future__ import annotations

import json
from datetime import timedelta

import pytest

from lotwake.trace.actions import correct, hold, pack, receive, smoke
from lotwake.trace.actions.desk import Desk
from lotwake.trace.base.errors import CallError, LotwakeError, Refused
from lotwake.trace.base.moments import instant_text
from lotwake.trace.records import facts
from lotwake.trace.records.entries import corrections
from lotwake.trace.records.find import by_code
from lotwake.trace.records.stock import batch_left_g, lot_left_g
from lotwake.trace.records.verify import verify

WHY = "misread the scale"


def last_line(desk: Desk) -> dict[str, object]:
    columns = ("seq", "at", "happened", "zone", "who", "act", "why", "corrects", "body")
    row = desk.records.one(f"SELECT {', '.join(columns)} FROM journal ORDER BY seq DESC LIMIT 1")
    assert row is not None
    return dict(zip(columns, row, strict=True))


def test_both_values_stay_readable(house) -> None:
    """After a correction the row says what holds; the correction, the journal and the first entry say what was."""
    desk = house.desk
    lot = house.landing(41_000)
    house.later()
    done = correct.correct(desk, lot, "weight", "39 kg", WHY)
    assert (done.was, done.now) == (41_000, 39_000)
    assert desk.records.value("SELECT g FROM lot WHERE code = ?", lot) == 39_000
    assert desk.records.one("SELECT subject, ref, field, was, now, why FROM correction") == (
        "lot", "1", "g", "41000", "39000", WHY,
    )  # fmt: skip
    line = last_line(desk)
    body = json.loads(str(line["body"]))
    assert body["set"] == [["lot", {"id": 1}, "g", 41_000, 39_000]]
    first = desk.records.value("SELECT body FROM journal WHERE seq = ?", line["corrects"])
    assert json.loads(first)["rows"]["lot"][0]["g"] == 41_000
    assert verify(desk.records).whole


def test_every_entry_says_who_and_when(house) -> None:
    """A line has who, the instant it was entered, the instant it happened, the zone and the act."""
    happened = house.ago(0.5)
    house.landing(received=happened)
    line = last_line(house.desk)
    assert line["who"] == house.desk.operator.id
    assert line["at"] == instant_text(house.clock.at)
    assert line["happened"] == instant_text(happened)
    assert line["zone"] == "Europe/Oslo"
    assert line["act"] == "receive landing"


def test_a_correction_of_a_correction_keeps_all_three(house) -> None:
    """Each correction keeps what stood before it, and the record stays whole."""
    lot = house.landing(41_000)
    for text in ("39 kg", "40 kg"):
        correct.correct(house.desk, lot, "g", text, WHY)
    assert house.desk.records.rows("SELECT was, now FROM correction ORDER BY id") == [
        ("41000", "39000"),
        ("39000", "40000"),
    ]
    assert verify(house.desk.records).whole


def test_inputs_in_parts_are_corrected_as_a_whole(house) -> None:
    """An input entered in several parts is corrected to one amount; grams never go missing or below zero meanwhile."""
    lot = house.landing(10_000)
    batch = house.batch((lot, 5_000))
    smoke.add_inputs(house.desk, batch, [smoke.Input(lot, 5_000)])
    smoke.lose(house.desk, batch, "drying", 9_000)
    for wanted in (9_500, 10_000):
        correct.correct_input(house.desk, batch, lot, wanted, WHY)
        assert batch_left_g(house.desk.records, by_code(house.desk.records, batch).id) == wanted - 9_000
        assert lot_left_g(house.desk.records, 1) == 10_000 - wanted
    with pytest.raises(Refused, match="would have given 1 kg more"):
        correct.correct_input(house.desk, batch, lot, 8_000, WHY)
    assert verify(house.desk.records).whole


def test_the_same_lot_twice_in_one_entry_adds_up(house) -> None:
    """Two tubs of one lot, or two ranges of one run, may be named in the same entry."""
    lot = house.landing(20_000)
    batch = house.batch((lot, 5_000), (lot, 7_000))
    run = house.packed_run(20)
    again = house.batch((batch, 1_000), (batch, 2_000), (f"{run}/1-3", None), (f"{run}/7-9", None))
    records = house.desk.records
    assert lot_left_g(records, 1) == 8_000
    assert batch_left_g(records, by_code(records, batch).id) == 9_000
    assert batch_left_g(records, by_code(records, again).id) == 3_000 + 6 * 300
    assert verify(records).whole


def test_a_named_loss_is_corrected(house) -> None:
    """Grams named as lost by mistake come back, to a batch and to a lot."""
    lot = house.landing(10_000)
    batch = house.batch((lot, 8_000))
    smoke.lose(house.desk, batch, "trim", 5_000)
    receive.lose_from_lot(house.desk, lot, "waste", 2_000)
    assert correct.correct_loss(house.desk, batch, "trim", 500, WHY).was == 5_000
    correct.correct_loss(house.desk, lot, "waste", 0, WHY)
    records = house.desk.records
    assert batch_left_g(records, by_code(records, batch).id) == 7_500
    assert lot_left_g(records, 1) == 2_000
    with pytest.raises(Refused, match="would have given"):
        correct.correct_loss(house.desk, batch, "trim", 8_001, WHY)
    with pytest.raises(Refused, match="never entered"):
        correct.correct_loss(house.desk, batch, "drip", 1, WHY)
    assert verify(records).whole


REFUSED: list[tuple[str, str, str, str]] = [
    ("weight", "20 kg", WHY, "would have given 10 kg more than it had"),
    ("weight", "41 kg", "", "Why it is corrected is missing"),
    ("weight", "50 kg", WHY, "says 50000 already"),
    ("received", "24 Nov 09:00", WHY, "after something was done with it"),
    ("received", "2027-01-01 05:00", WHY, "in the future"),
    ("landed-on", "2026-11-30", WHY, "in the future"),
    ("boat", "Nobody", WHY, "no boat called"),
    ("supplier", "Bag House", WHY, "A material has a supplier"),
    ("method", "by hand", WHY, "Use one of"),
    ("code", "1", WHY, "cannot be corrected"),
    ("caught-to", "2026-11-30", WHY, "in the future"),
    ("received", "2026-11-23 05:00", WHY, "out of order"),
]


@pytest.mark.parametrize(("field", "text", "why", "says"), REFUSED)
def test_a_correction_answers_to_the_rules(house, field: str, text: str, why: str, says: str) -> None:
    """A lot is not corrected into something that could not have been, and stays as it was."""
    lot = house.landing(50_000)
    house.later(0.5)
    house.batch((lot, 30_000))
    house.later(24)
    before = house.desk.records.rows("SELECT * FROM lot")
    with pytest.raises(LotwakeError) as refused:
        correct.correct(house.desk, lot, field, text, why)
    assert says in str(refused.value)
    assert house.desk.records.rows("SELECT * FROM lot") == before
    assert house.desk.records.value("SELECT COUNT(*) FROM correction") == 0


def test_a_batch_keeps_its_place_in_time(house) -> None:
    """A batch cannot be moved before its fish, nor behind what was done with it, nor into the future."""
    lot = house.landing()
    house.later(2)
    batch = house.batch((lot, 10_000))
    house.later()
    smoke.lose(house.desk, batch, "trim", 100)
    house.later()
    for text, says in (
        ("24 Nov 06:00", "begin before"),
        ("24 Nov 10:01", "after something was done"),
        ("tomorrow 05:00", "in the future"),
    ):
        with pytest.raises(Refused, match=says):
            correct.correct(house.desk, batch, "started", text, WHY)
    correct.correct(house.desk, batch, "started", "24 Nov 08:00", WHY)
    assert facts.batches(house.desk.records, [by_code(house.desk.records, batch).id])


def test_best_before_is_never_before_packing(house) -> None:
    """A day without a year reads as one that is past, and is refused instead of stored."""
    run = house.packed_run()
    with pytest.raises(CallError, match="before packing"):
        correct.correct(house.desk, run, "best-before", "24 Jan", WHY)
    correct.correct(house.desk, run, "best-before", "2027-01-24", WHY)


@pytest.mark.parametrize(
    ("kind", "name", "field", "text", "says"),
    [
        ("buyer", "Quay Deli", "phone", " ", "cannot be left empty"),
        ("buyer", "Quay Deli", "name", "Hill Kitchen", "another buyer called"),
        ("boat", "Aurora", "name", "", "cannot be left empty"),
        ("product", "Hot smoked haddock", "case-packs", "0", "cannot hold 0 packs"),
        ("product", "Hot smoked haddock", "life-days", "99999", "cannot be"),
        ("product", "Hot smoked haddock", "life-days", "two", "not a whole number"),
        ("product", "Hot smoked haddock", "packaging", "paper", "Use one of"),
        ("product", "Hot smoked haddock", "keeping", "warm", "Use one of: frozen"),
        ("product", "Hot smoked haddock", "serving", "raw", "Use one of: ready to eat"),
        ("product", "Hot smoked haddock", "net-g", "500", "cannot be corrected"),
        ("skipper", "Aurora", "name", "x", "Use one of"),
    ],
)
def test_parties_and_products_stay_in_order(house, kind: str, name: str, field: str, text: str, says: str) -> None:
    """What is known of a party or product is not corrected into something that stops the work."""
    with pytest.raises(LotwakeError) as refused:
        correct.correct_party(house.desk, kind, name, field, text, WHY)
    assert says in str(refused.value)


def test_the_house_itself_is_corrected(house) -> None:
    """An approval number that came later is entered as a correction of the house, and stays readable as one."""
    done = correct.correct_party(house.desk, "house", "Skerry Smokehouse", "approval", "NO X-999", WHY)
    assert (done.subject, done.was, done.now) == ("site", "", "NO X-999")
    with pytest.raises(LotwakeError, match="knows no site called 'Elsewhere'"):
        correct.correct_party(house.desk, "house", "Elsewhere", "approval", "NO X-999", WHY)
    assert verify(house.desk.records).whole


@pytest.mark.parametrize("now", [None, -1, "5", 1.5])
def test_grams_are_whole_and_not_below_zero(house, now: object) -> None:
    """No correction makes mass out of nothing by a negative or missing weight."""
    lot = house.landing()
    batch = house.batch((lot, 10_000))
    smoke.lose(house.desk, batch, "trim", 100)
    for table in ("loss", "lot"):
        with pytest.raises(CallError), house.desk.entry("correct") as entry:
            corrections.correct(entry, table, {"id": 1}, "g", now, WHY)  # type: ignore[arg-type]


def test_an_amount_that_comes_back_answers_to_order_and_circles(house) -> None:
    """An input corrected to none and back again is asked everything that a new one is."""
    lot = house.landing()
    a, b = house.batch((lot, 10_000)), house.batch((lot, 10_000))
    smoke.add_inputs(house.desk, b, [smoke.Input(a, 2_000)])
    correct.correct_input(house.desk, b, a, 0, WHY)
    smoke.add_inputs(house.desk, a, [smoke.Input(b, 3_000)])
    with pytest.raises(Refused, match="circle"):
        correct.correct_input(house.desk, b, a, 2_000, WHY)

    late = house.landing()
    batch = house.batch((late, 1_000))
    correct.correct_input(house.desk, batch, late, 0, WHY)
    house.later(3)
    correct.correct(house.desk, late, "received", "24 Nov 09:00", WHY)
    with pytest.raises(Refused, match=r"done with it|begin before"):
        correct.correct_input(house.desk, batch, late, 500, WHY)
    assert verify(house.desk.records).whole


def test_what_went_into_a_run_covers_its_packs(house) -> None:
    """Neither the input of a run nor that of the batch behind it is corrected below the packs that were made."""
    lot = house.landing(10_000)
    batch = house.released((lot, 9_000))
    run = house.run((batch, 9_000), count=30)
    house.batch((f"{run}/1-10", None))
    for into, out_of in ((run, batch), (batch, lot)):
        with pytest.raises(Refused, match="would have given"):
            correct.correct_input(house.desk, into, out_of, 8_999, WHY)
    with pytest.raises(CallError, match="needs a lot or batch"):
        correct.correct_input(house.desk, batch, run, 0, WHY)


def test_a_blend_covers_what_was_passed_on(house) -> None:
    """What went from batch to batch is not corrected beyond what the first had, nor below what the second gave on."""
    first, second = house.batch((house.landing(), 5_000)), house.batch()
    smoke.add_inputs(house.desk, second, [smoke.Input(first, 2_000)])
    smoke.lose(house.desk, second, "trim", 1_500)
    for g, says in ((5_001, "would have given 1 g more"), (1_499, "would have given 1 g more")):
        with pytest.raises(Refused, match=says):
            correct.correct_input(house.desk, second, first, g, WHY)
    correct.correct_input(house.desk, second, first, 5_000, WHY)


def test_a_hold_and_its_release_stay(house) -> None:
    """A released hold, its reason and who released it stay in the record."""
    lot = house.landing()
    hold.hold(house.desk, lot, "smell")
    hold.release(house.desk, lot, "Signe Kvist", "smell was the box")
    assert house.desk.records.one(
        "SELECT h.reason, r.by_name, r.reason FROM hold h JOIN hold_release r ON r.hold = h.id"
    ) == ("smell", "Signe Kvist", "smell was the box")


def test_void_packs_stay_known(house) -> None:
    """A voided serial is kept with its reason and is never given out again."""
    run = house.packed_run(10)
    pack.end_packs(house.desk, f"{run}/10", "VOID", "smeared")
    assert pack.add_packs(house.desk, run, 1).first == 11
    assert house.desk.records.one("SELECT first, last, kind, reason FROM pack_end") == (10, 10, "VOID", "smeared")


def test_readings_are_corrected_within_their_batch(house) -> None:
    """A reading is not moved before its batch, nor into the future."""
    batch = house.batch((house.landing(), 1_000))
    house.later()
    smoke.take_readings(house.desk, batch, "core", [(house.clock.at, 6_280)])
    for at in (house.ago(5), house.clock.at + timedelta(hours=1)):
        with pytest.raises(Refused):
            correct.correct_reading(house.desk, 1, "at", instant_text(at), WHY)
    assert correct.correct_reading(house.desk, 1, "value", 6_380, WHY).was == 6_280
