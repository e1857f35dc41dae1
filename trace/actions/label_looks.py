"""Labels to look at, not to stick on anything: a picture of the next one, a sample with SAMPLE across, a calibration page.

None of them is entered: nothing here belongs to a pack.
"""

from __future__ import annotations

import re
import tempfile
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from pathlib import Path

from lotwake.labels.barcodes.dots import PrinterDots
from lotwake.labels.checks.check import CAUTION, Finding
from lotwake.labels.layout.calibration import calibration_pdf
from lotwake.labels.layout.case_label import case_label_pdf
from lotwake.labels.layout.pack_label import pack_label_pdf
from lotwake.labels.layout.stock import Stock
from lotwake.labels.printing.pictures import give_out
from lotwake.labels.printing.targets import Job, NotDelivered, PerhapsDelivered
from lotwake.trace.actions.desk import Desk
from lotwake.trace.actions.label_fit import look_at
from lotwake.trace.actions.label_laid import laid_unit
from lotwake.trace.actions.label_seen import LabelSeen, see_label
from lotwake.trace.actions.label_setting import (
    FILE_ONLY,
    SHIPPED,
    label_dots,
    label_stock,
    label_target,
    media_of,
    stocks,
)
from lotwake.trace.actions.refs import thing_of
from lotwake.trace.base.errors import MachineFailed
from lotwake.trace.records.find import Kind, Thing


@dataclass(frozen=True)
class Looked:
    """A sample that was drawn: of what, into which file, and what its market asks and it lacks, also what would stop it."""

    thing: Thing
    path: Path
    findings: tuple[Finding, ...] = ()
    product: str = ""
    caution: str = CAUTION


def preview(desk: Desk, code: str, out: Path) -> tuple[Thing, LabelSeen]:
    """A picture (PNG) of the label of a run, case or pallet, or of the card of a batch, a pixel for every printer dot."""
    thing, seen = see_label(desk, code)
    seen.picture.save_png(out, label_dots(desk))
    return thing, seen


def sample(desk: Desk, code: str, out: Path) -> Looked:
    """The label of a run, case or pallet with SAMPLE across it, also when it is not fit to print; without a serial.

    A PDF, or a picture where the file is a .png.
    """
    thing = thing_of(desk.records, code, [Kind.RUN, Kind.CASE, Kind.PALLET], "a sample")
    dots = label_dots(desk)
    with _drawn_into(out, dots) as pdf:
        if thing.kind is not Kind.RUN:
            laid = laid_unit(desk, thing)
            case_label_pdf([laid.spec], laid.stock, dots, pdf, sample=True)
            return Looked(thing, out, laid.findings)
        fit = look_at(desk, thing, None)
        pack_label_pdf(
            fit.spec, [None], fit.layout.stock, dots, pdf, weights_g=fit.weights_g, design=fit.design, sample=True
        )
        return Looked(thing, out, fit.findings, fit.spec.product_name)


@dataclass(frozen=True)
class Calibration:
    """A page to measure: of which stock, in which file, and where it was sent, empty for nowhere."""

    stock: Stock
    path: Path
    target: str = ""


def calibrate(desk: Desk, out: Path, stock: str = "", to: str = FILE_ONLY) -> Calibration:
    """A page to measure with a ruler, for the house's stock or another; ``to`` sends it to a printer as well.

    Raises MachineFailed when it does not arrive there; the file stays.
    """
    chosen, dots, target = label_stock(desk, stock), label_dots(desk), label_target(desk, to)
    with _drawn_into(out, dots) as pdf:
        calibration_pdf(chosen, dots, pdf)
    if target is None:
        return Calibration(chosen, out)
    try:
        target.deliver(Job(out.stem, out, media_of(chosen)))
    except (NotDelivered, PerhapsDelivered) as problem:
        raise MachineFailed(
            f"The page is in {out} and did not get to {target.shown}: {problem}.", "Print it by hand."
        ) from None
    return Calibration(chosen, out, target.shown)


def calibration_page(desk: Desk, stock: str = "") -> Calibration:
    """As ``calibrate``, into the house's folder of printed files and to its printer where there is one."""
    desk.places.printed.mkdir(parents=True, exist_ok=True)
    name = re.sub(r"[^a-z0-9]+", "-", label_stock(desk, stock).name.lower()).strip("-")
    return calibrate(desk, desk.places.printed / f"calibration-{name}.pdf", stock, desk.settings.printer or FILE_ONLY)


@contextmanager
def _drawn_into(out: Path, dots: PrinterDots) -> Iterator[Path]:
    """A PDF to be drawn; when the block ends well it is put to ``out``."""
    with tempfile.TemporaryDirectory() as folder:
        pdf = Path(folder) / "label.pdf"
        yield pdf
        give_out(pdf, out, dots)


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
