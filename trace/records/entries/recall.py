"""Origin answers as given, and recalls and drills: begin, suspect, scope, notices, replies, checks, pauses, end."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, datetime

from lotwake.trace.base.codes import CodeKind, make_code, show_code
from lotwake.trace.base.errors import CallError, Refused
from lotwake.trace.base.moments import instant_text
from lotwake.trace.base.ranges import Serials
from lotwake.trace.records.entries.holds import put_on_hold
from lotwake.trace.records.entries.rules import must_follow, must_say, one_of
from lotwake.trace.records.find import Thing
from lotwake.trace.records.journal import Entry
from lotwake.trace.records.stock import HOLD

DRILL, RECALL = "drill", "recall"
CASE_KINDS = (DRILL, RECALL)
DEPTHS = ("consumer", "retail", "wholesale")
"""How far down a recall goes (21 CFR 7.42, from memory)."""
MADE = "papers made"
"""How a notice stands that is written and not sent yet."""
CHECK_RESULTS = ("effective", "not effective", "not reached")


def keep_answer(entry: Entry, thing: Thing, asker: str, withheld: str, said: str) -> int:
    """An origin answer that was given: to whom, what was withheld, and every word of it."""
    return entry.add(
        "origin_answer", kind=str(thing.kind), ref=thing.id, serial=thing.serial, asker=asker.strip(), withheld=withheld,
        said=said, at=entry.at,
    )  # fmt: skip


@dataclass(frozen=True)
class CaseFacts:
    """A recall or drill: what it began with in words, why, and its targets. ``at``: when the lot was named."""

    kind: str
    began_with: str
    reason: str
    at: datetime
    goal_min: int
    least_percent: int
    hazard_class: str = ""
    depth: str = "retail"
    contact: bool = False
    seed: int | None = None


def begin_case(entry: Entry, facts: CaseFacts, code_day: date) -> tuple[int, str]:
    """Begin a recall or drill; its id and code are given back."""
    one_of("The kind", facts.kind, CASE_KINDS)
    one_of("The depth", facts.depth, DEPTHS)
    if facts.goal_min < 1:
        raise CallError("A goal of no time cannot be met.", "Give it in hours, such as --goal 4.")
    if not 0 <= facts.least_percent <= 100:
        raise CallError(f"{facts.least_percent} % cannot be accounted for.", "Give 0 to 100.")
    code = make_code(CodeKind.RECALL, code_day, entry.take(f"recall:{code_day:%y%j}"))
    row = {**vars(facts), "at": instant_text(facts.at), "contact": int(facts.contact)}
    row["reason"] = must_say("The reason", facts.reason)
    return entry.add("recall", code=code, **row), code


def suspect(
    entry: Entry, case: int, lot: int | None, work: int | None, packs: Serials | None, why: str, taken_out: bool = False
) -> None:
    """A lot, batch, run or packs of a run come under suspicion, or are taken out of it; each with the reason."""
    must_be_open(entry, case)
    first, last = (None, None) if packs is None else (packs.first, packs.last)
    entry.add(
        "recall_suspect", recall=case, lot=lot, work=work, first=first, last=last, taken_out=int(taken_out),
        why=must_say("The reason", why), at=entry.at,
    )  # fmt: skip


def keep_scope(entry: Entry, case: int, why: str, parts: Sequence[tuple[int, Serials, bool]], g: int) -> int:
    """The scope as it is now: (run, packs, by contact only), kept beside the earlier ones."""
    packs = sum(serials.count for _, serials, _ in parts)
    scope = entry.add("recall_scope", recall=case, why=why, packs=packs, g=g, at=entry.at)
    for run, serials, contact in parts:
        entry.add(
            "recall_scope_packs", scope=scope, run=run, first=serials.first, last=serials.last, contact=int(contact)
        )  # fmt: skip
    return scope


def hold_for(entry: Entry, case: int, lot: int | None, work: int | None) -> None:
    """A real recall holds what it suspects, and with it everything made from it that is in the house."""
    kind, code, reason = entry.records.one("SELECT kind, code, reason FROM recall WHERE id = ?", case) or ("", "", "")
    if kind != RECALL:
        raise Refused("A drill holds nothing; it only lists what is in the house.", "Begin a recall to hold it.")
    hold = put_on_hold(entry, HOLD, lot, work, f"recall {show_code(code)}: {reason}", _entered(entry))
    entry.add("recall_hold", recall=case, hold=hold)


def note_notice(entry: Entry, case: int, buyer: int, how: str, packs: int) -> int:
    """A buyer was told, or the letter to them was made."""
    must_be_open(entry, case)
    return entry.add("recall_notice", recall=case, buyer=buyer, how=must_say("How", how), packs=packs, at=entry.at)


@dataclass(frozen=True)
class ReplyFacts:
    """What a buyer answered, in packs; ``buyer`` None: a count in the house. All figures None: only the call was made."""

    buyer: int | None
    run: int | None = None
    reached: bool = True
    person: str = ""
    stock: int | None = None
    sold: int | None = None
    returned: int | None = None
    destroyed: int | None = None
    note: str = ""

    @property
    def told(self) -> int:
        return sum(figure or 0 for figure in (self.stock, self.sold, self.returned, self.destroyed))


def take_reply(entry: Entry, case: int, facts: ReplyFacts, held: int, who: str) -> int:
    """Write an answer down. ``held``: packs of the scope that the record says ``who`` has. Refused when it tells of more."""
    must_be_open(entry, case)
    _must_add_up(facts, held, who)
    return entry.add("recall_reply", recall=case, **{**vars(facts), "reached": int(facts.reached)}, at=entry.at)


def _must_add_up(facts: ReplyFacts, held: int, who: str) -> None:
    if any(figure is not None and figure < 0 for figure in (facts.stock, facts.sold, facts.returned, facts.destroyed)):
        raise CallError("A number of packs cannot be less than nothing.", "Enter 0 or more.")
    if facts.told and not facts.reached:
        raise CallError("Somebody who was not reached told nothing.", "Leave the figures or --not-reached out.")
    if facts.told > held:
        raise Refused(
            f"{who} has {held} packs of this scope by the record; {facts.told} is {facts.told - held} too many.",
            "Ask again, lot by lot; other goods and goods that came back already do not count here.",
        )


def note_sub_buyer(entry: Entry, reply: int, name: str, phone: str, packs: int) -> None:
    """Somebody a buyer passed packs on to. Refused when all of them together got more than the buyer passed on."""
    sold: int = entry.records.value("SELECT COALESCE(sold, 0) FROM recall_reply WHERE id = ?", reply)
    known: int = entry.records.value("SELECT COALESCE(SUM(packs), 0) FROM recall_sub_buyer WHERE reply = ?", reply)
    if packs < 0 or known + packs > sold:
        raise Refused(
            f"The buyer passed {sold} packs on; those named would have {known + packs}.", "Ask for the figures again."
        )
    entry.add("recall_sub_buyer", reply=reply, name=must_say("The name", name), phone=phone.strip(), packs=packs)


def take_sub_reply(entry: Entry, case: int, sub: int, facts: ReplyFacts) -> int:
    """What somebody answered that a buyer passed packs on to. Refused when it tells of more than they were passed."""
    must_be_open(entry, case)
    name, packs = entry.records.one("SELECT name, packs FROM recall_sub_buyer WHERE id = ?", sub) or ("", 0)
    _must_add_up(facts, packs, name)
    return entry.add(
        "recall_sub_reply", sub=sub, reached=int(facts.reached), stock=facts.stock, sold=facts.sold,
        returned=facts.returned, destroyed=facts.destroyed, note=facts.note, at=entry.at,
    )  # fmt: skip


def draw_check(entry: Entry, case: int, buyers: Sequence[int], level: str, seed: int) -> None:
    """The buyers an effectiveness check will ask, as they were drawn."""
    must_be_open(entry, case)
    for buyer in buyers:
        entry.add("recall_check", recall=case, buyer=buyer, level=level, seed=seed, at=entry.at)


def check_result(entry: Entry, made: int, result: str, note: str) -> int:
    """What an effectiveness check found at one buyer."""
    one_of("The result of a check", result, CHECK_RESULTS)
    return entry.add("recall_check_result", made=made, result=result, note=note, at=entry.at)


def pause(entry: Entry, case: int, why: str) -> None:
    """The clock stops, with the reason."""
    must_be_open(entry, case)
    entry.add("recall_pause", recall=case, why=must_say("The reason for the pause", why), at=entry.at)


def resume(entry: Entry, case: int) -> None:
    """The clock goes on."""
    paused = _open_pause(entry, case)
    if paused is None:
        raise Refused("The clock is running.", "Nothing to do.")
    entry.change("recall_pause", {"id": paused}, "until", entry.at)


def end_case(entry: Entry, case: int, signed: str, actions: str, found: str) -> None:
    """The end: signed by name, with what will be done about the gaps, and what was found as it stood then."""
    must_be_open(entry, case)
    began = entry.records.value("SELECT at FROM recall WHERE id = ?", case)
    must_follow(entry, "The end", entry.at, "the beginning", began)
    entry.add(
        "recall_end", recall=case, signed=must_say("Who signs", signed), actions=actions, found=found, at=entry.at
    )


def must_be_open(entry: Entry, case: int) -> None:
    """Refused once a case is finished, and while its clock is paused."""
    if entry.records.value("SELECT 1 FROM recall_end WHERE recall = ?", case):
        raise Refused("This one is finished and signed.", "Begin another.")
    if _open_pause(entry, case) is not None:
        raise Refused("The clock is paused.", "Resume first; then it counts.")


def _open_pause(entry: Entry, case: int) -> int | None:
    open_one: int | None = entry.records.value("SELECT id FROM recall_pause WHERE recall = ? AND until IS NULL", case)
    return open_one


def _entered(entry: Entry) -> datetime:
    return datetime.fromisoformat(entry.at)
