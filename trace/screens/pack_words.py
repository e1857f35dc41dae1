"""What the packing page says, as plain text: the table, its rows, the label before it is printed."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date

from lotwake.labels.layout.spec import LabelSpec
from lotwake.trace.actions.desk import Desk
from lotwake.trace.actions.packing import Table, best_before
from lotwake.trace.base.codes import show_code
from lotwake.trace.base.moments import show_day
from lotwake.trace.base.units import show_mass, show_pack
from lotwake.trace.records.entries.house import ProductFacts
from lotwake.trace.records.packing import PrintSeen
from lotwake.trace.screens.said import kg, short_moment
from lotwake.trace.screens.widgets import Row

FIRST_USUAL_MOST = 99
"""A first print above this is asked for twice."""


def unusual(count: int, last: int) -> str:
    """Why a number of labels is asked for a second time; empty when it is not."""
    if last and count > 2 * last:
        return f"The last print was {last}."
    if not last and count > FIRST_USUAL_MOST:
        return "That is much for a first print."
    return ""


def unusual_weight(net_g: int, about_g: int) -> str:
    """Why the weight of one pack is asked for a second time; empty when it is not."""
    if about_g <= 2 * net_g and net_g <= 2 * about_g:
        return ""
    return f"A pack weighs about {show_mass(about_g)}."


def table_lines(desk: Desk, table: Table | None) -> list[str]:
    """What lies on the table."""
    if table is None:
        return ["Nothing lies on the table.", "", "Scan the card of a released batch,", "or choose one below."]
    lines = [f"{table.batch.shown}  {table.facts.status}  {kg(table.left_g)} kg left"]
    if table.product is None:
        return [*lines, f"{table.facts.smoking}; which product?", "", "Choose below."]
    lines.append(product_words(table.product))
    day = best_before(desk, table)
    lines.append(f"{table.product.packaging} packed   best before {show_day(day)}" if day else "")
    run = f"run {show_code(table.run.code)}  {packs(table.run.packs)}" if table.run else "a new run begins"
    waiting = f", {table.waiting} wait for labels" if table.waiting else ""
    return [*lines, f"{run}{waiting}", storage_words(table.product)]


def product_words(product: ProductFacts) -> str:
    """``Hot smoked haddock, 300 g``."""
    return f"{product.name}, {show_pack(product.net_g, bool(product.catch_weight))}"


def storage_words(product: ProductFacts) -> str:
    """What the label will say about storage."""
    return product.storage or "no storage line"


def packs(count: int) -> str:
    """``1 pack``, ``24 packs``."""
    return f"{count:,} pack{'' if count == 1 else 's'}"


def packed_line(table: Table | None) -> str:
    """``packed 168 of about 190``."""
    if table is None or table.product is None:
        return ""
    unlabelled = table.waiting
    return f"packed {table.packed - unlabelled:,} of about {table.packed - unlabelled + table.possible:,}"


def case_line(table: Table | None) -> str:
    """``case 8 of 12``: how far the open case is, with the full ones that wait."""
    if table is None or table.product is None or table.run is None:
        return ""
    full, over = divmod(table.loose, table.product.case_packs)
    waiting = f"{full} full   " if full else ""
    return f"{waiting}case {over} of {table.product.case_packs}"


def print_row(desk: Desk, seen: PrintSeen) -> Row:
    """A print: when, which serials, how many labels, its run, its state, by whom."""
    state = (
        f"{seen.state} {seen.note}".strip() if seen.state != "PRINTED" or not seen.void else f"{seen.void} of it VOID"
    )
    cells = (short_moment(desk, seen.at), str(seen.packs or ""), str(seen.count), seen.thing.shown, state, seen.who)
    return Row(f"print:{seen.id}", cells)


def product_rows(products: Sequence[ProductFacts]) -> list[Row]:
    """The products to choose from, numbered."""
    return [
        Row(product.name, (str(number), f"{product_words(product)}, {product.case_packs} in a case", product.gtin))
        for number, product in enumerate(products, 1)
    ]


def label_lines(spec: LabelSpec, symbols: Sequence[tuple[str, ...]], width: int) -> list[str]:
    """The label as text boxes, before it is printed: its fields, and what each symbol holds.

    ``symbols``: the elements of each symbol in brackets, such as ``(01)09520000000028``.
    """
    inside = width - 4
    named = [
        ("lot", spec.lot_shown),
        ("packed", _day(spec.packed_on)),
        ("best before", _day(spec.best_before)),
        ("use by", _day(spec.use_by)),
        ("ingredients", spec.ingredients),
        ("contains", ", ".join(spec.allergens)),
        ("storage", spec.storage),
        ("cook", spec.cook),
        *(("fish", line) for line in spec.origin_lines),
        ("producer", f"{spec.producer_name}, {spec.producer_address} {spec.approval_number}".strip()),
    ]
    head = f"{spec.product_name}, {spec.smoking_kind}" if spec.smoking_kind not in spec.product_name.lower() else ""
    lines = [f"{head or spec.product_name}", f"{spec.species_commercial} ({spec.species_latin})"]
    lines[0] = lines[0][: inside - 12].ljust(inside - 10) + f"{show_mass(spec.net_g):>10}"
    body = [*lines, "", *(f"{name:<12}{text}" for name, text in named if text)]
    bars = [f"||| {' '.join(elements)}" for elements in symbols]
    return _box([*body, "", *bars], inside)


def _day(day: date | None) -> str:
    return "" if day is None else show_day(day)


def _box(lines: Sequence[str], inside: int) -> list[str]:
    edge = f"+{'-' * (inside + 2)}+"
    wrapped = [part for line in lines for part in _wrapped(line, inside)]
    return [edge, *(f"| {line:<{inside}} |" for line in wrapped), edge]


def _wrapped(line: str, width: int) -> list[str]:
    """A line broken at blanks, its later parts under the text of the first."""
    indent = " " * 12
    parts, rest = [], line
    while len(rest) > width:
        at = rest.rfind(" ", 13, width + 1)
        at = at if at > 0 else width
        parts.append(rest[:at])
        rest = indent + rest[at:].strip()
    return [*parts, rest]
