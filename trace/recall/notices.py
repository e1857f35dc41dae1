"""Notices to buyers: a letter, the same as plain text, and a call sheet. Pure.

The letter has the fields 21 CFR 7.49 asks for (from memory): marked as a food recall, product, size, lot or code, reason
and hazard, stop distribution now, pass it on to those supplied, how to report stock, whom to ring.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import date

from lotwake.trace.base.units import show_mass
from lotwake.trace.recall.replies import State
from lotwake.trace.records.entries.house import READY

PRACTICE = "PRACTICE - THIS IS A DRILL, NOT A RECALL. NOTHING IS WRONG WITH THE GOODS."
FIELDS_SOURCE = "21 CFR 7.49, from memory"
NO_PHONE = "no telephone number: find one"
DONE = frozenset({State.ANSWERED})


@dataclass(frozen=True)
class Goods:
    """Packs of one run that a buyer has, ``g`` grams in all, each of ``pack`` in words. ``documents`` and days as people
    read them; ``serving``: how it is eaten."""

    product: str
    gtin: str
    pack: str
    g: int
    lot: str
    best_before: str
    packs: int
    documents: tuple[str, ...]
    sent: tuple[str, ...]
    serving: str = ""


@dataclass(frozen=True)
class Party:
    """Somebody to tell."""

    name: str
    phone: str
    email: str = ""
    address: str = ""


@dataclass(frozen=True)
class Notice:
    """What one buyer is told. ``practice``: a drill; ``hazard_class``: I, II, III or empty while nobody has decided."""

    buyer: Party
    house: Party
    code: str
    practice: bool
    reason: str
    hazard_class: str
    depth: str
    goods: tuple[Goods, ...]
    by: str
    day: str

    @property
    def packs(self) -> int:
        return sum(item.packs for item in self.goods)

    @property
    def g(self) -> int:
        return sum(item.g for item in self.goods)


def heading(notice: Notice) -> str:
    """The line a reader must not miss."""
    return PRACTICE if notice.practice else "URGENT: FOOD RECALL"


def product_line(item: Goods) -> str:
    """One product with its size, lot and what was sent."""
    return (
        f"{item.product}, packs of {item.pack}, GTIN {item.gtin}, lot {item.lot}, best before"
        f" {item.best_before}: {item.packs} packs ({show_mass(item.g)}), sent {', '.join(item.sent)} on"
        f" {', '.join(item.documents)}"
    )


def paragraphs(notice: Notice) -> list[tuple[str, str]]:
    """The letter as headed paragraphs."""
    hazard = f" Recall class {notice.hazard_class} (21 CFR 7.3(m))." if notice.hazard_class else ""
    verb, pass_on, then = _PRACTICE_WORDS if notice.practice else _RECALL_WORDS
    ring = f"{notice.house.phone or notice.house.name}, {notice.by}"
    return [
        ("What", "; ".join(product_line(item) for item in notice.goods) + "."),
        ("Why", f"{notice.reason.rstrip('.')}.{hazard}"),
        ("Do now", f"{verb} stop using, selling and passing on these packs at once, and put them where nobody takes them."),
        ("If you passed some on", f"{pass_on} This goes down to the {notice.depth} level."),
        ("Tell us", f"How many packs of each lot you have in stock, sold or passed on, sent back, or destroyed, and also"
                    f" when it is none. Ring {ring}, and say {notice.code}."),
        ("Then", then),
    ]  # fmt: skip


_RECALL_WORDS = (
    "Please",
    "Tell those you supplied in the same way, at once, and send us their names and telephone numbers.",
    "Keep the packs apart until we say whether they come back to us or are destroyed.",
)
_PRACTICE_WORDS = (
    "For this drill, please say whether you could",
    "Have their names and telephone numbers ready; do not ring them.",
    "No goods need to move.",
)


def letter_text(notice: Notice) -> str:
    """The letter as plain text for an e-mail."""
    lines = [heading(notice), "", f"From  {notice.house.name}, {notice.house.address}", f"To    {notice.buyer.name}"]
    lines += [f"Date  {notice.day}", f"No.   {notice.code}", ""]
    for title, text in paragraphs(notice):
        lines += [f"{title.upper()}: {text}", ""]
    return "\n".join([*lines, notice.by, notice.house.name, ""])


@dataclass(frozen=True)
class SubBuyer:
    """Somebody a buyer passed ``packs`` on to; the figures are what they answered, None while they have not."""

    id: int
    name: str
    phone: str
    packs: int
    reached: bool = False
    stock: int | None = None
    sold: int | None = None
    returned: int | None = None
    destroyed: int | None = None
    note: str = ""
    at: str = ""

    @property
    def told(self) -> int | None:
        """How many packs the answer speaks of; None while there is none."""
        figures = (self.stock, self.sold, self.returned, self.destroyed)
        return None if all(figure is None for figure in figures) else sum(figure or 0 for figure in figures)

    @property
    def state(self) -> State:
        if self.told is None:
            return State.TO_TELL if not self.at else State.WAITING if self.reached else State.NOT_REACHED
        return State.ANSWERED if self.told == self.packs else State.SHORT

    @property
    def said(self) -> str:
        """How far it is with them, in words."""
        if self.told is None:
            return self.state.lower()
        named = (
            ("in stock", self.stock),
            ("sold on", self.sold),
            ("sent back", self.returned),
            ("destroyed", self.destroyed),
        )
        said = [f"{figure} {words}" for words, figure in named if figure]
        return ", ".join([*said, *([f"{self.packs - self.told} not known"] if self.told < self.packs else [])])


@dataclass(frozen=True)
class Call:
    """One row of the call sheet: ``risk`` in words; ``state`` how far it is; ``subs`` those the buyer passed packs on to."""

    buyer: int
    name: str
    phone: str
    email: str
    packs: int
    g: int
    risk: str
    state: State
    asked: str
    subs: tuple[SubBuyer, ...] = ()

    @property
    def phone_or_warning(self) -> str:
        return self.phone.strip() or NO_PHONE


def eaten_as_it_is(serving: str, cook: str) -> bool:
    """Whether a product reaches the mouth without being cooked: said so, or sold without cooking instructions."""
    return serving == READY or (not serving and not cook.strip())


def risk_of(as_it_is: bool, best_before: date, today: date) -> tuple[int, str]:
    """How urgent a call is, 0 first. Order by common practice: what is eaten without cooking, then what is still in date."""
    in_date = best_before >= today
    rank = (0 if as_it_is else 1) + (0 if in_date else 2)
    how = "eaten as it is" if as_it_is else "cooked before eating"
    return rank, how if in_date else f"{how}, out of date"


def in_calling_order(calls: Iterable[tuple[int, Call]]) -> tuple[Call, ...]:
    """Those still to be asked first, then by risk, then the largest quantity."""
    done = sorted(calls, key=lambda item: (item[1].state in DONE, item[0], -item[1].packs, item[1].name))
    return tuple(call for _, call in done)


def without_phone(calls: Sequence[Call]) -> tuple[str, ...]:
    """The buyers nobody can ring."""
    return tuple(call.name for call in calls if not call.phone.strip())
