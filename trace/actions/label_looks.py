"""Labels to look at, not to stick on anything: a picture of the next one, a sample with SAMPLE across, a calibration page.

None of them is entered: nothing here belongs to a pack.
"""

from __future__ import annotations

import tempfile
from dataclasses import dataclass
from pathlib import Path

from lotwake.labels.checks.check import CAUTION, Finding
from lotwake.labels.files import whole_file
from lotwake.labels.layout.calibration import calibration_pdf
from lotwake.labels.layout.card_label import card_label_pdf
from lotwake.labels.layout.case_label import case_label_pdf
from lotwake.labels.layout.pack_label import pack_label_pdf
from lotwake.labels.layout.stock import CASE_A6, Stock
from lotwake.labels.printing.pictures import png_pages
from lotwake.trace.actions.desk import Desk
from lotwake.trace.actions.label_fit import look_at
from lotwake.trace.actions.label_setting import SHIPPED, label_design, label_dots, label_stock, stocks
from lotwake.trace.actions.labels import card_stock, cards, case_label_that_fits
from lotwake.trace.actions.refs import thing_of
from lotwake.trace.records.find import Kind, Thing


@dataclass(frozen=True)
class Looked:
    """A label that was drawn: of what, into which file, and what its market asks and it lacks, also what would stop it."""

    thing: Thing
    path: Path
    findings: tuple[Finding, ...] = ()
    product: str = ""
    caution: str = CAUTION


def preview(desk: Desk, code: str, out: Path) -> Looked:
    """A picture (PNG) of the label of a run, a case or the card of a batch, with a pixel for every dot of the printer."""
    with tempfile.TemporaryDirectory() as folder:
        pdf = Path(folder) / "label.pdf"
        looked = _draw(desk, code, pdf, sample=False)
        (picture,) = png_pages(pdf, label_dots(desk), Path(folder), [1])
        with whole_file(out) as file:
            file.write(picture.read_bytes())
    return Looked(looked.thing, out, looked.findings, looked.product)


def sample(desk: Desk, code: str, out: Path) -> Looked:
    """The label of a run or a case as a PDF with SAMPLE across it, also when it is not fit to print; without a serial."""
    return _draw(desk, code, out, sample=True)


def calibrate(desk: Desk, out: Path, stock: str = "") -> Stock:
    """A page to measure with a ruler, for the house's stock or another."""
    chosen = label_stock(desk, stock)
    calibration_pdf(chosen, label_dots(desk), out)
    return chosen


@dataclass(frozen=True)
class StockSeen:
    """A label stock of the house; ``own`` when it is a file in its folder, ``chosen`` when packs are printed on it."""

    stock: Stock
    own: bool
    chosen: bool


def stocks_seen(desk: Desk) -> list[StockSeen]:
    """Every stock of the house."""
    known, chosen = stocks(desk), label_stock(desk).name
    return [StockSeen(stock, stock is not SHIPPED.get(name), name == chosen) for name, stock in known.items()]


def _draw(desk: Desk, code: str, pdf: Path, sample: bool) -> Looked:
    kinds = [Kind.RUN, Kind.CASE] if sample else [Kind.RUN, Kind.CASE, Kind.BATCH]
    thing = thing_of(desk.records, code, kinds, "a sample" if sample else "a picture of a label")
    dots = label_dots(desk)
    if thing.kind is Kind.CASE:
        case_label_pdf([case_label_that_fits(desk, thing)], CASE_A6, dots, pdf, sample=sample)
        return Looked(thing, pdf)
    if thing.kind is Kind.BATCH:
        card_label_pdf(cards(desk, thing, 0), card_stock(desk), dots, pdf)
        return Looked(thing, pdf)
    serial = None if sample else 1
    fit = look_at(desk, thing, serial)
    weights = [fit.spec.net_g] if fit.spec.catch_weight else ()
    pack_label_pdf(
        fit.spec, [serial], label_stock(desk), dots, pdf, weights_g=weights, design=label_design(desk), sample=sample
    )
    return Looked(thing, pdf, fit.findings, fit.spec.product_name)
