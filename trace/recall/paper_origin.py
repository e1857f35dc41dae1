"""The origin answer on one page."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Sequence
from pathlib import Path
from typing import Any

from lotwake.trace.base.codes import show_code
from lotwake.trace.base.units import show_mass
from lotwake.trace.process.basis import CAUTION
from lotwake.trace.recall import paper
from lotwake.trace.recall.chain_picture import Box, ChainPicture
from lotwake.trace.recall.origin import Fish, Limit, Origin, day_words, share_text, withheld_words

MOST_ROWS = 6


def write_origin(answer: Origin, out: Path) -> None:
    """Write the page. MachineFailed when it cannot be written."""
    paper.write(out, f"Origin of {answer.asked_about}", [_page(answer)], answer.house, one_page=True)


def _page(answer: Origin) -> list[Any]:
    asked = f" for {answer.asker}" if answer.asker else ""
    page: list[Any] = [
        paper.title(f"Origin of {answer.asked_about}"),
        paper.line(f"{answer.house}, {day_words(answer.answered_on)}{asked}"),
        paper.gap(4),
        ChainPicture(_boxes(answer), answer.links, paper.WIDTH),
        *_goods(answer), *_fish(answer), *_done(answer), *_sent(answer),
    ]  # fmt: skip
    if answer.gaps:
        page += [paper.heading("Not known"), *(paper.line(text) for text in answer.gaps)]
    if answer.withheld:
        page += [paper.gap(), paper.small(f"Kept to ourselves: {', '.join(withheld_words(answer))}.")]
    return [*page, paper.gap(), paper.small(CAUTION)] if answer.done else page


def _boxes(answer: Origin) -> list[Box]:
    boxes = [
        Box(item.lot, f"{item.sender} {item.mark}".rstrip(), item.english, day_words(item.landed_on))
        for item in answer.fish
    ]
    boxes += [Box(item.batch, show_code(item.batch), item.smoking, day_words(item.started_on)) for item in answer.done]
    boxes += [Box(item.lot, show_code(item.lot), item.product, f"{item.packs} packs") for item in answer.goods]
    boxes += [
        Box(item.document, item.buyer, day_words(item.on), f"{item.packs} packs", last=True) for item in answer.sent
    ]
    known = {box.code for box in boxes}
    between = dict.fromkeys(code for link in answer.links for code in link if code not in known)
    return [*boxes, *(Box(code, show_code(code), "packs taken back", "for rework") for code in between)]


def _rows(rows: Sequence[tuple[str, ...]]) -> Sequence[tuple[str, ...]]:
    """The first rows, and how many more there are."""
    if len(rows) <= MOST_ROWS:
        return rows
    more = (f"and {len(rows) - MOST_ROWS + 1} more", *[""] * (len(rows[0]) - 1))
    return [*rows[: MOST_ROWS - 1], more]


def _goods(answer: Origin) -> list[Any]:
    rows = [
        (
            item.product,
            item.lot,
            item.pack,
            str(item.packs),
            day_words(item.packed_on),
            day_words(item.best_before),
        )
        for item in answer.goods
    ]
    if not rows:
        return []
    headings = ("product", "lot on the pack", ">net", ">packs", "packed", "best before")
    return [paper.heading("What it is"), paper.table(headings, _rows(rows), (34, 17, 9, 8, 12, 12))]


def _fish(answer: Origin) -> list[Any]:
    if not answer.fish:
        return [paper.heading("Where it is from"), paper.line("No fish lot is behind it in the record.")]
    headings = ("fish", "from", "landed or received", "area, gear", "their lot / our lot", ">share", ">at most")
    rows = [_fish_row(fish) for fish in answer.fish]
    return [paper.heading("Where it is from"), paper.table(headings, _rows(rows), (22, 20, 13, 24, 18, 8, 8))]


def _fish_row(fish: Fish) -> tuple[str, ...]:
    return (
        f"{fish.english} ({fish.scientific}, {fish.species})",
        f"{fish.sender} {fish.mark}".rstrip(),
        day_words(fish.landed_on),
        ", ".join(filter(None, (f"{fish.area} {fish.area_name}".strip(), fish.gear.lower()))) or fish.method,
        " / ".join(filter(None, (fish.their_code, show_code(fish.lot)))),
        share_text(fish.mixed).strip() or ("100%" if fish.mixed is not None else ""),
        "" if fish.most is None else f"{float(fish.most):.0%}",
    )


def _done(answer: Origin) -> list[Any]:
    if not answer.done:
        return []
    batches = [
        (
            show_code(item.batch),
            item.smoking,
            day_words(item.started_on),
            item.process or "none",
            "; ".join(item.steps) or "-",
        )
        for item in answer.done
    ]
    parts = [
        paper.heading("What was done to it"),
        paper.table(("batch", "smoking", "begun", "scheduled process", "steps"), _rows(batches), (14, 10, 10, 16, 50)),
    ]
    limits = _limit_rows(answer)
    if limits:
        parts += [
            paper.gap(2),
            paper.table(("critical limit", "verdict", "evidence", "source"), _rows(limits), (36, 11, 36, 22)),
        ]
    parts += [
        paper.line(f"Batch {show_code(item.batch)} was released by name in spite of {item.in_spite_of}.")
        for item in answer.done if item.in_spite_of
    ]  # fmt: skip
    return parts


def _limit_rows(answer: Origin) -> list[tuple[str, ...]]:
    """Each limit and verdict once, with the batches it holds for when it is more than one."""
    same: dict[tuple[str, str], list[Limit]] = defaultdict(list)
    for item in answer.done:
        for limit in item.limits:
            same[limit.says, limit.verdict].append(limit)
    return [
        (
            says,
            verdict,
            found[0].found if len(found) == 1 else f"{len(found)} batches; first: {found[0].found}",
            found[0].source,
        )
        for (says, verdict), found in same.items()
    ]


def _sent(answer: Origin) -> list[Any]:
    rows = [(sent.buyer, day_words(sent.on), sent.document, str(sent.packs), show_mass(sent.g)) for sent in answer.sent]
    if not rows:
        return []
    headings = ("sent to", "on", "document", ">packs", ">mass")
    return [paper.heading("Where it went"), paper.table(headings, _rows(rows), (34, 14, 20, 10, 12))]
