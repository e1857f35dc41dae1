"""One call or one count, figure by figure, before it is entered. Pure: each step gives a new sheet."""

from __future__ import annotations

from dataclasses import dataclass, replace

from lotwake.trace.base.errors import CallError, Refused
from lotwake.trace.recall.notices import Notice

QUESTIONS = ("still in stock", "sold or passed on", "sent back to us", "destroyed there")
"""The four figures of an answer, in the order they are asked."""


@dataclass(frozen=True)
class CallSheet:
    """What one buyer has answered so far about ``packs`` packs: ``figures`` in the order of ``QUESTIONS``.

    ``subs``: (name, telephone, packs) of those the buyer passed some on to.
    """

    name: str
    packs: int
    figures: tuple[int, ...] = ()
    subs: tuple[tuple[str, str, int], ...] = ()

    @property
    def said(self) -> int:
        return sum(self.figures)

    @property
    def left(self) -> int:
        """Packs that no figure names yet."""
        return self.packs - self.said

    @property
    def whole(self) -> bool:
        """Whether nothing more is to be asked: every question has its figure, or every pack is named."""
        return len(self.figures) == len(QUESTIONS) or (bool(self.figures) and self.left == 0)

    @property
    def sold(self) -> int:
        return self.figures[1] if len(self.figures) > 1 else 0

    @property
    def not_named(self) -> int:
        """Packs passed on to nobody in particular so far."""
        return self.sold - sum(packs for _, _, packs in self.subs)

    @property
    def filled(self) -> tuple[int, int, int, int]:
        """All four figures; what was not asked because every pack is named is 0."""
        stock, sold, returned, destroyed = (*self.figures, 0, 0, 0, 0)[: len(QUESTIONS)]
        return stock, sold, returned, destroyed

    def with_figure(self, packs: int) -> CallSheet:
        """The next figure. Refused when all of them together speak of more packs than there are."""
        if self.whole:
            raise CallError("Every figure is in.", "Enter writes it down; - takes the last one back.")
        if packs > self.left:
            raise Refused(
                f"{self.name} has {self.packs} packs of this scope by the record; {self.said + packs} is"
                f" {packs - self.left} too many.",
                "Ask again, lot by lot; other goods and what came back already do not count here.",
            )
        return replace(self, figures=(*self.figures, packs))

    def with_sub(self, text: str) -> CallSheet:
        """``NAME, TELEPHONE, PACKS``: somebody the buyer passed packs on to; the telephone may be left out."""
        parts = [part.strip() for part in text.split(",")]
        if len(parts) not in (2, 3) or not parts[0] or not parts[-1].isdecimal():
            raise CallError(f"{text!r} does not name a sub-buyer.", "Type NAME, TELEPHONE, PACKS.")
        name, phone, packs = parts[0], parts[1] if len(parts) == 3 else "", int(parts[-1])
        if packs > self.not_named:
            raise Refused(
                f"{self.name} passed {self.sold} packs on; with {name} it would be {self.sold - self.not_named + packs}.",
                "Ask for the figures again.",
            )
        return replace(self, subs=(*self.subs, (name, phone, packs)))

    def without_last(self) -> CallSheet:
        """One step back: the last sub-buyer, else the last figure."""
        if self.subs:
            return replace(self, subs=self.subs[:-1])
        if not self.figures:
            raise CallError("Nothing is written here yet.", "Type the number of packs.")
        return replace(self, figures=self.figures[:-1])


def opening_words(notice: Notice) -> str:
    """What to say when somebody answers the telephone; the lots are read out from the list beside it."""
    who = f"This is {notice.by} of {notice.house.name}."
    products = ", ".join(dict.fromkeys(item.product for item in notice.goods))
    if notice.practice:
        return f"{who} It is a drill; nothing is wrong. Of these {notice.packs} packs of {products}: how many have you still?"
    return (
        f"{who} We recall {notice.packs} packs of {products}: {notice.reason.rstrip('.')}. Please stop using and selling"
        " them now. How many have you still, and where did the rest go?"
    )
