"""The people of the house: who they are, what they may do, their PINs and the tries at them."""

from __future__ import annotations

from collections.abc import Callable
from datetime import date, datetime

from lotwake.trace.base import pins
from lotwake.trace.base.clock import Clock
from lotwake.trace.base.codes import CodeKind, make_code
from lotwake.trace.base.errors import CallError, LotwakeError, PinNeeded, Refused
from lotwake.trace.base.moments import instant_of, show_moment, zone_named
from lotwake.trace.records.database import Records
from lotwake.trace.records.entries.rules import must_say, one_of
from lotwake.trace.records.journal import Entry, Said, entry
from lotwake.trace.records.rights import LEAD, ROLES, Rights, leads, rights_of


def may_lead(rights: Rights | None, proof: str, act: str) -> None:
    """Only a lead does this, and one who has a PIN proves it. Before there is anybody, everybody may."""
    if rights is None:
        return
    if rights.role != LEAD:
        raise Refused(
            f"{rights.initials} has the role {rights.role} and may not {act}.",
            "A lead signs in and does it: by card or /as INITIALS; in the shell --as INITIALS.",
        )
    if rights.pin and proof != rights.pin:
        raise PinNeeded(
            f"The PIN of {rights.initials} is needed to {act}.",
            "Type it when asked; from a script: --pin-file FILE or LOTWAKE_PIN.",
        )


def must_lead(entry: Entry, act: str) -> None:
    """The same for who makes this entry, as the record says it at this moment."""
    may_lead(rights_of(entry.records, entry.who), entry.proof, act)


def first_operator(entry: Entry, initials: str, name: str, day: date) -> int:
    """Who opens a house is its first lead; the id is given back."""
    return _write(entry, initials, name, LEAD, day)


def add_operator(entry: Entry, initials: str, name: str, role: str, day: date) -> int:
    """Somebody who works in the house; initials are short, in capitals, and nobody else's."""
    must_lead(entry, "set up people")
    return _write(entry, initials, name, role, day)


def _write(entry: Entry, initials: str, name: str, role: str, day: date) -> int:
    short = must_say("Initials", initials).upper()
    if not (short.isalnum() and len(short) <= 4):
        raise CallError(f"The initials {initials!r} are not 1 to 4 letters or digits.", "Use something like SK.")
    one_of("The role", role, ROLES)
    if entry.records.value("SELECT 1 FROM operator WHERE initials = ?", short):
        raise Refused(f"Somebody has the initials {short} already.", "Choose others, so that entries stay apart.")
    code = make_code(CodeKind.OPERATOR, day, entry.take("operator"))
    return entry.add("operator", code=code, initials=short, name=must_say("The name", name), role=role)


def set_role(entry: Entry, operator: int, role: str) -> None:
    """What somebody may do from now on. Refused for the last lead: nobody could release anything then."""
    must_lead(entry, "set up people")
    one_of("The role", role, ROLES)
    rights = rights_of(entry.records, operator)
    assert rights is not None, "the caller looked the operator up"
    if rights.role == role:
        raise Refused(f"{rights.initials} has the role {role} already.", "Nothing to do.")
    if rights.role == LEAD and leads(entry.records) == 1:
        raise Refused(f"{rights.initials} is the only lead here.", "Make somebody else a lead first.")
    entry.change("operator", {"id": operator}, "role", role)


def set_pin(entry: Entry, operator: int, pin: str | None) -> None:
    """Give somebody a PIN, another one, or none. The tries at the old one no longer count."""
    must_lead(entry, "set up people")
    entry.change("operator", {"id": operator}, "pin", None if pin is None else pins.hashed(pins.must_be_pin(pin)))
    if _tries(entry.records, operator)[0]:
        entry.add("pin_try", operator=operator, wrong=0, at=entry.at)


def prove(records: Records, clock: Clock, zone: str, operator: int, pin: str) -> str:
    """What an entry by this operator carries once the PIN was right. CallError when it was wrong, Refused while it waits.

    One station tries at a time, and a wrong try is in the record before it is answered: it counts at every station and
    after every start.
    """
    with records.transaction():  # what is wrong is told behind it, or the try would be taken back
        answer = _tried(records, clock, zone, operator, pin)
    if isinstance(answer, LotwakeError):
        raise answer
    return answer


def _tried(records: Records, clock: Clock, zone: str, operator: int, pin: str) -> str | LotwakeError:
    rights = rights_of(records, operator)
    assert rights is not None, "somebody is at work"
    if rights.pin is None:
        return ""
    now = clock.now()
    wrong, at = _tries(records, operator)
    until = None if at is None else at + pins.wait_after(wrong)
    if until is not None and now < until:
        return Refused(
            f"{wrong} wrong PINs for {rights.initials}: the next try is at {show_moment(until, zone_named(zone))}"
            f" and {until.second} seconds.",
            "Wait for it, or let another lead sign in.",
        )

    def note(act: str, count: int) -> None:
        with entry(records, clock, Said(act, operator, now, zone)) as making:
            making.add("pin_try", operator=operator, wrong=count, at=making.at)

    return _answered(rights, pin, wrong, note)


def _answered(rights: Rights, pin: str, wrong: int, note: Callable[[str, int], None]) -> str | LotwakeError:
    assert rights.pin is not None
    if not pins.fits(rights.pin, pin):
        note("wrong PIN", wrong + 1)
        wait_s = int(pins.wait_after(wrong + 1).total_seconds())
        hint = f"The next try has to wait {wait_s} s." if wait_s else "Try again."
        return CallError(f"That is not the PIN of {rights.initials}.", hint)
    if wrong:
        note("right PIN after wrong ones", 0)
    return rights.pin


def _tries(records: Records, operator: int) -> tuple[int, datetime | None]:
    """How many wrong ones in a row, and when the last was."""
    row = records.one("SELECT wrong, at FROM pin_try WHERE operator = ? ORDER BY id DESC LIMIT 1", operator)
    return (0, None) if row is None else (row[0], instant_of(row[1]))
