"""What the packing page says, as plain text: the table, its rows, the label before it is printed."""

from __future__ import annotations

from collections.abc import Sequence

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
