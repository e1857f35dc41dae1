"""A sheet of cards to scan: test codes for the scanner, a card for each command, one for each person who signs in.

All are GS1-128 with AI (91), company internal information, as the batch cards are: capitals and digits only.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from pathlib import Path

from lotwake.trace.actions.desk import Desk
from lotwake.trace.base.codes import show_code
from lotwake.trace.records import lists


@dataclass(frozen=True)
class Card:
    """``title`` in large letters, ``code`` as bars with AI (91), ``says`` what scanning it does; ``more`` (AI, value) pairs."""

    title: str
    code: str
    says: str
    more: tuple[tuple[str, str], ...] = ()


def operator_cards(desk: Desk) -> list[Card]:
    """A card for each person who may sign in."""
    return [Card(f"{who.initials} {who.name}", who.code, "Signs in.") for who in lists.operators(desk.records)]


def print_cards(desk: Desk, cards: Sequence[Card], out: Path) -> None:
    """Write the sheet to the PDF file ``out``; text or bars that do not fit are a LabelError."""
    from lotwake.labels.layout.card_label import card_label_pdf  # what draws a PDF is loaded when one is drawn
    from lotwake.labels.layout.spec import CardSpec
    from lotwake.labels.layout.stock import Grid, Stock
    from lotwake.trace.actions.label_setting import label_dots

    sheet = Stock("A4 sheet, 2 x 5 cards", 99, 55, 3, (14, 11), Grid(210, 297, 2, 5, 6, 11, 99, 55))
    specs = [
        CardSpec(card.title, card.code, show_code(card.code), details=(("Scan:", card.says),), more=card.more)
        for card in cards
    ]
    dots = label_dots(desk)
    near = replace(dots, case_x=dots.pack_x)  # scanned at arm's length, as packs are, not from a forklift
    card_label_pdf(specs, sheet, near, out)
