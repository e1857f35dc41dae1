"""Who may do what, below every front: roles, PINs, and tries at them that count at every station and after every start."""

from __future__ import annotations

import multiprocessing
from collections.abc import Callable
from dataclasses import replace
from datetime import timedelta
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from lotwake.trace.actions import correct, hold, receive, set_up, smoke
from lotwake.trace.actions.desk import Desk, open_desk
from lotwake.trace.base import pins
from lotwake.trace.base.clock import SetClock
from lotwake.trace.base.errors import CallError, PinNeeded, Refused
from lotwake.trace.base.places import places_at
from lotwake.trace.records.entries.corrections import CORRECTABLE
from lotwake.trace.records.journal import Said, entry, head
from lotwake.trace.records.rights import LEAD, LINE, READER, rights_of
from lotwake.trace.records.verify import verify

PIN, WRONG = "270418", "111222"


def people(desk: Desk) -> Desk:
    """OD on the line, RI who only reads, and LB, a second lead with a PIN."""
    set_up.add_operator(desk, "OD", "Odd Dahl", LINE)
    set_up.add_operator(desk, "RI", "Rita Innes", READER)
    set_up.add_operator(desk, "LB", "Lise Berg", LEAD)
    set_up.set_pin(desk, "LB", PIN)
    return desk


LEAD_ONLY: dict[str, Callable[[Desk, str, str], object]] = {
    "release a batch": lambda desk, _lot, batch: smoke.release_batch(desk, batch),
    "reject": lambda desk, lot, _batch: hold.hold(desk, lot, "warm", reject=True),
    "release from hold": lambda desk, lot, _batch: hold.release(desk, lot, "Signe Kvist", "tested"),
    "correct a field": lambda desk, lot, _batch: correct.correct(desk, lot, "weight", "49 kg", "misread"),
    "correct a buyer": lambda desk, *_: correct.correct_party(desk, "buyer", "Quay Deli", "phone", "+47 1", "new"),
    "correct an input": lambda desk, lot, batch: correct.correct_input(desk, batch, lot, 9_000, "misread"),
    "add somebody": lambda desk, *_: set_up.add_operator(desk, "NN", "Nina Nes"),
    "give a role": lambda desk, *_: set_up.set_role(desk, "OD", LEAD),
    "give a PIN": lambda desk, *_: set_up.set_pin(desk, "SK", "270419"),
    "take a PIN away": lambda desk, *_: set_up.set_pin(desk, "LB", None),
}


@pytest.mark.parametrize("act", LEAD_ONLY.values(), ids=LEAD_ONLY)
def test_only_a_lead_who_shows_the_pin(house, act) -> None:  # type: ignore[no-untyped-def]
    """Release, rejection, correction and set-up of people: not by the line, not by a lead without the PIN, but with it."""
    desk = people(house.desk)
    lot = house.landing(50_000)
    batch = house.batch((lot, 10_000))
    if act is LEAD_ONLY["release from hold"]:
        hold.hold(desk, lot, "salt")
    before = head(desk.records)
    with pytest.raises(Refused, match=r"OD has the role line and may not .+"):
        act(desk.taken_by("OD"), lot, batch)
    with pytest.raises(PinNeeded, match=r"The PIN of LB is needed to .+"):
        act(desk.taken_by("LB"), lot, batch)
    assert head(desk.records) == before
    act(replace(desk.taken_by("LB"), ask_pin=lambda who: {"LB": PIN}[who.initials]), lot, batch)
    assert head(desk.records).seq == before.seq + 1
    assert verify(desk.records).whole


def test_the_entries_ask_by_themselves(house) -> None:  # type: ignore[no-untyped-def]
    """With nothing asked above them, the entries refuse the same: a front that forgets it opens no way."""
    from lotwake.trace.records.entries import batches, corrections, holds
    from lotwake.trace.records.entries import people as kept

    desk = people(house.desk)
    lot = house.landing()
    ref = desk.records.value("SELECT id FROM lot WHERE code = ?", lot)
    batch = desk.records.value("SELECT id FROM batch WHERE code = ?", house.batch((lot, 1_000)))
    for who, error in (("OD", Refused), ("LB", PinNeeded)):
        at = desk.taken_by(who)
        for write in (
            lambda making: corrections.correct(making, "lot", {"id": ref}, "g", 1, "why"),
            lambda making: holds.put_on_hold(making, "REJECT", ref, None, "why", desk.now),
            lambda making: holds.release_holds(making, lot, ref, None, "Odd", "why", desk.now),
            lambda making: batches.release_batch(making, batch, desk.now, ""),
            lambda making: kept.add_operator(making, "NN", "Nina", LEAD, desk.today),
            lambda making: kept.set_role(making, 1, LINE),
            lambda making: kept.set_pin(making, 1, None),
        ):
            with pytest.raises(error), at.entry("past the front") as making:
                write(making)


def test_the_line_does_the_rest_of_the_work(house) -> None:  # type: ignore[no-untyped-def]
    """Whoever is on the line receives, smokes, loses and holds: the safe side is open to everybody who works here."""
    desk = people(house.desk).taken_by("OD")
    lot = receive.receive(desk, receive.Arrival("landing", "Aurora", 9_000, "HAD", area="27.4.b", gear="OTB")).code
    batch = smoke.start_batch(desk, "hot smoked", [smoke.Input(lot, 5_000)]).code
    smoke.lose(desk, batch, "drying", 100)
    hold.hold(desk, batch, "smells")


def test_a_reader_writes_nothing(house) -> None:  # type: ignore[no-untyped-def]
    """No entry is made by a reader, whatever it is, and neither by one who became a reader at another station."""
    desk = people(house.desk)
    odd = desk.taken_by("OD")
    set_up.set_role(desk, "OD", READER)
    for reader in (desk.taken_by("RI"), odd):
        with pytest.raises(Refused, match="looking only"), reader.entry("anything"):
            pytest.fail("a reader came as far as the entry")
        said = Said("anything", reader.operator.id, desk.now, desk.zone.key)
        with pytest.raises(Refused, match="looking only"), entry(desk.records, desk.clock, said):
            pytest.fail("a reader came as far as the journal")


def test_wrong_tries_wait_longer_and_longer(house) -> None:  # type: ignore[no-untyped-def]
    """Three are free, then 30 s, twice that each time, 15 min at most; a right one in between is not even looked at."""
    desk = people(house.desk).taken_by("LB")
    waits = []
    for _ in range(10):
        waited = 0
        while True:
            try:
                desk.with_pin(WRONG)
            except Refused:
                with pytest.raises(Refused):
                    desk.with_pin(PIN)
                waited += 15
                house.clock.at += timedelta(seconds=15)
            except CallError:
                break
        waits.append(waited)
    assert waits == [0, 0, 0, 30, 60, 120, 240, 480, 900, 900]
    assert desk.records.value("SELECT COUNT(*) FROM journal WHERE act = 'wrong PIN'") == len(waits)


@pytest.mark.parametrize(
    ("wrong", "wait_s"), [(0, 0), (2, 0), (3, 30), (4, 60), (7, 480), (8, 900), (9, 900), (4_000, 900)]
)
def test_how_long_a_try_waits(wrong: int, wait_s: int) -> None:
    """Nothing for the first ones, then doubling up to a quarter of an hour."""
    assert pins.wait_after(wrong) == timedelta(seconds=wait_s)


def test_a_right_pin_ends_the_waiting(house) -> None:  # type: ignore[no-untyped-def]
    """After the wait the right PIN works, wrong tries begin from none again, and a new PIN forgets them too."""
    desk = people(house.desk)
    lise = desk.taken_by("LB")
    for _ in range(3):
        with pytest.raises(CallError):
            lise.with_pin(WRONG)
    with pytest.raises(Refused, match=r"3 wrong PINs for LB: the next try is at .* seconds"):
        lise.with_pin(PIN)
    house.clock.at += timedelta(seconds=30)
    assert lise.with_pin(PIN).proof
    with pytest.raises(CallError, match="Try again"):
        lise.with_pin(WRONG)
    set_up.set_pin(desk, "LB", "834507")
    assert lise.with_pin("834507").proof
    assert verify(desk.records).whole


def test_a_proof_ends_with_the_pin(house) -> None:  # type: ignore[no-untyped-def]
    """Somebody who had shown the old PIN is asked again once it was changed, and so is who signs in next."""
    desk = people(house.desk)
    shown = desk.taken_by("LB").with_pin(PIN)
    assert shown.taken_by("SK").proof == ""
    set_up.set_pin(desk, "LB", "834507")
    with pytest.raises(PinNeeded):
        set_up.add_operator(shown, "NN", "Nina Nes")


def test_the_last_lead_stays(house) -> None:  # type: ignore[no-untyped-def]
    """A house is never left without anybody who can release."""
    with pytest.raises(Refused, match="SK is the only lead here"):
        set_up.set_role(house.desk, "SK", LINE)
    people(house.desk)
    set_up.set_role(house.desk, "SK", LINE)
    assert rights_of(house.desk.records, 1) is not None


@pytest.mark.parametrize("pin", ["", "123", "1234567890123", "12a4", "4444", "١٢٣٤", "12 34"])
def test_what_is_no_pin(house, pin: str) -> None:  # type: ignore[no-untyped-def]
    """Too short, too long, no digits, one digit over and over: each is refused and the old PIN stays."""
    desk = people(house.desk)
    with pytest.raises(CallError):
        set_up.set_pin(desk, "LB", pin)
    assert desk.taken_by("LB").with_pin(PIN).proof


def test_no_pin_is_written_down(house) -> None:  # type: ignore[no-untyped-def]
    """What is kept is Argon2id with a salt of its own: the digits stand nowhere, and the same PIN looks different."""
    desk = people(house.desk)
    set_up.set_pin(desk, "SK", PIN)
    kept = [pin for (pin,) in desk.records.rows("SELECT pin FROM operator WHERE pin IS NOT NULL")]
    assert len(set(kept)) == 2
    assert all(pin.startswith("$argon2id$") for pin in kept)
    lines = "".join(body for (body,) in desk.records.rows("SELECT body FROM journal"))
    assert PIN not in "".join(kept) + lines


@given(st.text(max_size=20), st.text(max_size=20))
def test_nothing_but_the_pin_fits(kept: str, typed: str) -> None:
    """A kept text that is no hash fits nothing, and whatever is typed raises nothing."""
    assert not pins.fits(kept, typed)


@pytest.mark.parametrize("typed", ["", "270418 1", "\ud800", "２７０４１８", "2704180", "\x00"])
def test_only_the_digits_fit(typed: str) -> None:
    """Other signs that look like it, more of it, and what is no text at all: none fits."""
    kept = pins.hashed(PIN)
    assert pins.fits(kept, f" {PIN}\n")
    assert not pins.fits(kept, typed)


def _try_wrong(folder: str, at: SetClock, tried: int) -> tuple[int, int]:
    desk = open_desk(places_at(Path(folder)), "LB", at)
    wrong = refused = 0
    for _ in range(tried):
        try:
            desk.with_pin(WRONG)
        except Refused:
            refused += 1
        except CallError:
            wrong += 1
    desk.close()
    return wrong, refused


def test_stations_share_the_tries(house) -> None:  # type: ignore[no-untyped-def]
    """Four processes guessing at once get three guesses together, and one that is started afterwards none."""
    people(house.desk)
    folder, at = str(house.desk.places.folder), SetClock(house.clock.at)
    house.desk.close()  # a connection is not shared with a process
    with multiprocessing.get_context("fork").Pool(4) as pool:
        tried = pool.starmap(_try_wrong, [(folder, at, 3)] * 4)
    assert sum(wrong for wrong, _ in tried) == pins.FREE_TRIES
    assert sum(refused for _, refused in tried) == 4 * 3 - pins.FREE_TRIES
    assert _try_wrong(folder, at, 1) == (0, 1)


def test_every_table_that_can_be_corrected_asks() -> None:
    """Nobody's role or PIN is reached by a correction."""
    assert "operator" not in CORRECTABLE
