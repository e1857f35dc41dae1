"""Letters to buyers, one on each page, and the sheet to ring them by."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path
from typing import Any

from lotwake.trace.base.units import show_mass
from lotwake.trace.recall import paper
from lotwake.trace.recall.notices import FIELDS_SOURCE, PRACTICE, Call, Notice, heading, paragraphs
from lotwake.trace.recall.state import RecallState


def write_letters(notices: Sequence[Notice], out: Path) -> None:
    """One letter on each page. MachineFailed when they cannot be written."""
    first = notices[0]
    paper.write(
        out,
        f"Notices {first.code}",
        [_letter(notice) for notice in notices],
        f"{first.house.name}   {first.code}",
        one_page=True,
    )


def _letter(notice: Notice) -> list[Any]:
    house, buyer = notice.house, notice.buyer
    page: list[Any] = [
        paper.line(f"{house.name}, {house.address}, telephone {house.phone or '-'}"), paper.gap(8),
        paper.line(buyer.name, 11), paper.line(buyer.address or ""), paper.gap(6), paper.warning(heading(notice)), paper.gap(4),
        paper.line(f"{notice.day}   No. {notice.code}"),
    ]  # fmt: skip
    for title, text in paragraphs(notice):
        page += [paper.heading(title), paper.line(text, 10.5)]
    page += [paper.gap(4), paper.table(("lot", "", "in stock", "sold or passed on", "sent back", "destroyed"), [
        (item.lot, f"{item.product}, {item.packs} packs", "", "", "", "") for item in notice.goods
    ], (18, 34, 12, 14, 12, 12), 9)]  # fmt: skip
    return [
        *page,
        paper.gap(10),
        paper.line(notice.by),
        paper.line(house.name),
        paper.gap(4),
        paper.small(f"Fields: {FIELDS_SOURCE}."),
    ]


def write_call_sheet(state: RecallState, house: str, out: Path) -> None:
    """The buyers in the order to ring them. MachineFailed when it cannot be written."""
    name = f"Call sheet {state.case.shown}"
    page: list[Any] = [
        paper.title(name),
        paper.line(f"{house}. {state.case.began_with}. {state.case.reason}."),
        paper.gap(),
    ]
    page += [paper.warning(PRACTICE), paper.gap()] if state.practice else []
    page += [
        paper.line("Ask for each lot: in stock? sold or passed on, to whom? sent back? destroyed? Note who answers."),
        paper.gap(),
    ]  # fmt: skip
    headings = (
        "",
        "buyer",
        "telephone, e-mail",
        ">packs",
        ">mass",
        "risk",
        "state",
        "who, when, stock / sold / back / destroyed",
    )
    rows = [_row(number, call) for number, call in enumerate(state.calls, 1)]
    page.append(paper.table(headings, rows, (4, 22, 36, 10, 12, 16, 14, 32), 9))
    page += [
        paper.gap(2),
        paper.small("Order: still to be asked, then eaten as it is before cooked, then by quantity."),
    ]
    paper.write(out, name, [page], house)


def _row(number: int, call: Call) -> tuple[str, ...]:
    subs = "; ".join(f"{sub.name} {sub.phone}" for sub in call.subs)
    reach = ", ".join(filter(None, (call.phone_or_warning, call.email)))
    return (
        str(number), call.name, reach, str(call.packs), show_mass(call.g), call.risk, call.state,
        f"passed on to: {subs}" if subs else "",
    )  # fmt: skip
