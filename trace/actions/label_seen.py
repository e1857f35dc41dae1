"""A label before it is printed: the picture that comes out of the house's printer, and what can be said about it.

No picture in a terminal shows every module of a barcode, so what a reader finds on the label at the printer's own dots
stands beside it. Nothing here is entered.
"""

from __future__ import annotations

import tempfile
from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path

from lotwake.labels.checks.check import CAUTION, Finding
from lotwake.labels.checks.on_paper import OnPaper, measured
from lotwake.labels.layout.card_label import card_label_pdf
from lotwake.labels.layout.case_label import case_label_pdf
from lotwake.labels.layout.pack_label import pack_label_pdf
from lotwake.labels.layout.stock import Stock
from lotwake.labels.printing.pictures import Picture, label_picture
from lotwake.labels.printing.proof import Misprint, Scans, card_scans, case_scans, pack_scans, proof
from lotwake.trace.actions.desk import Desk
from lotwake.trace.actions.label_fields import Fields, card_fields, pack_fields, unit_fields
from lotwake.trace.actions.label_fit import Fit, in_words, look_at
from lotwake.trace.actions.label_laid import LaidCard, LaidUnit, laid_cards, laid_unit
from lotwake.trace.actions.label_setting import label_dots, label_market
from lotwake.trace.actions.refs import thing_of
from lotwake.trace.records.find import Kind, Thing


@dataclass(frozen=True)
class LabelSeen:
    """One label as it comes out of the printer.

    ``fields`` is what it says; ``on_paper`` what it measures; ``misprints`` how a reader finds it to differ from the record;
    ``findings`` what its market asks and it lacks, also what keeps it from printing. ``market`` is whose rules it was held
    against, empty for a case and a card, which only have to be readable.
    """

    stock: Stock
    printer: str
    picture: Picture
    fields: Fields
    on_paper: OnPaper
    misprints: tuple[Misprint, ...]
    findings: tuple[Finding, ...]
    market: str = ""
    product: str = ""
    caution: str = CAUTION

    @property
    def prints(self) -> bool:
        """Whether nothing found keeps it from printing."""
        return not self.misprints and not any(finding.blocks for finding in self.findings)

    def found(self) -> list[str]:
        """What was found, each with why, by which rule, and what to do about it; what keeps it from printing first."""
        in_order = sorted(self.findings, key=lambda finding: not finding.blocks)
        return [
            *(f"It does not read back: {misprint}." for misprint in self.misprints),
            *in_words(in_order, self.product),
        ]


def see_label(desk: Desk, code: str) -> tuple[Thing, LabelSeen]:
    """The label of the first pack of a run, of a case or pallet, or the card of a batch. Refused where none can be made."""
    thing = thing_of(desk.records, code, [Kind.RUN, Kind.CASE, Kind.PALLET, Kind.BATCH], "a picture of a label")
    if thing.kind in (Kind.CASE, Kind.PALLET):
        return thing, unit_seen(desk, laid_unit(desk, thing))
    if thing.kind is Kind.BATCH:
        return thing, card_seen(desk, laid_cards(desk, thing)[0])
    return thing, pack_seen(desk, look_at(desk, thing), 1)


def pack_seen(desk: Desk, fit: Fit, serial: int) -> LabelSeen:
    """A pack label that was laid out, as the pack with this serial gets it."""
    spec, stock, dots, design = fit.spec, fit.layout.stock, label_dots(desk), fit.design
    own = fit.for_serial(serial)
    picture, misprints = _drawn(
        desk, stock, pack_scans(own, serial, *fit.weights_g),
        lambda pdf: pack_label_pdf(spec, [serial], stock, dots, pdf, weights_g=fit.weights_g, design=design),
    )  # fmt: skip
    paper = measured(own.whole_ink(serial, *fit.weights_g), stock, dots)
    market = label_market(desk).shown
    return LabelSeen(
        stock, dots.name, picture, pack_fields(spec), paper, misprints, fit.findings, market, spec.product_name
    )


def unit_seen(desk: Desk, laid: LaidUnit) -> LabelSeen:
    """A case or pallet label that was laid out."""
    spec, stock, dots = laid.spec, laid.stock, label_dots(desk)
    picture, misprints = _drawn(desk, stock, case_scans(spec), lambda pdf: case_label_pdf([spec], stock, dots, pdf))
    paper = measured(laid.ink, stock, dots)
    return LabelSeen(stock, dots.name, picture, unit_fields(spec), paper, misprints, laid.findings)


def card_seen(desk: Desk, laid: LaidCard) -> LabelSeen:
    """A card that was laid out."""
    spec, stock, dots = laid.spec, laid.stock, label_dots(desk)
    picture, misprints = _drawn(desk, stock, card_scans(spec), lambda pdf: card_label_pdf([spec], stock, dots, pdf))
    paper = measured(laid.ink, stock, dots)
    return LabelSeen(stock, dots.name, picture, card_fields(spec), paper, misprints, laid.findings)


def _drawn(
    desk: Desk, stock: Stock, scans: Scans, draw: Callable[[Path], None]
) -> tuple[Picture, tuple[Misprint, ...]]:
    dots = label_dots(desk)
    with tempfile.TemporaryDirectory() as folder:
        pdf = Path(folder) / "label.pdf"
        draw(pdf)
        return label_picture(pdf, stock, dots), proof(pdf, [scans], stock, dots).misprints
