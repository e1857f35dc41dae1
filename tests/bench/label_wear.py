# ruff: noqa: T201 - the table is what the file is for
"""How many worn labels still read, against the same labels without snapping to the printer's dots.

    python tests/bench/label_wear.py [LABELS]

The same GS1-128 of a pack is printed twice, rendered at the printer's dots, worn alike and looked at by a simulated camera
of random scale: once as this program draws it (whole dots, aligned, a little inset), once as it is usually drawn (a
module of 0.264 or 0.25 mm wherever it falls). A printer has no greys: some renderers burn a dot whose centre is black,
others every dot that is touched. Both are worked out from a picture of five by five pixels a dot.

Wear: blur, noise, a faded ribbon, a heater element that is dead (one white line along the paper's way), 5 degrees of tilt,
and all of them half as hard together. Simulated, on no real printer; it ranks, it does not grade.

Exit code 1 when at 203 dpi snapped labels read less often than unsnapped ones under any wear.
"""

from __future__ import annotations

import random
import sys
import tempfile
from collections.abc import Callable
from pathlib import Path
from typing import Any

import numpy as np
import pypdfium2 as pdfium
import zxingcpp
from PIL import Image, ImageFilter
from reportlab.pdfgen.canvas import Canvas

from lotwake.labels.barcodes.bars import Bars, gs1_128
from lotwake.labels.barcodes.dots import DOTS_203, DOTS_300, DOTS_600, PrinterDots
from lotwake.labels.barcodes.drawing import bars_path, page_size_pt
from lotwake.labels.gs1.elements import Element, element_string

UNSNAPPED_MM = {DOTS_203.name: 0.264, DOTS_300.name: 0.25, DOTS_600.name: 0.25}
SNAPPED_X = {DOTS_203.name: 2, DOTS_300.name: 3, DOTS_600.name: 6}
HEIGHT_MM, MARGIN_MM = 10.0, 4.0
PIXELS_PER_MODULE = (2.2, 3.2)  # what the camera of a scanner makes of a module
FINE = 5  # pixels a dot, each way
Picture = Any


def drawn(bars: Bars, dots: PrinterDots, snapped: bool, aside: float, folder: Path) -> Picture:
    """Return the rendered symbol, (rows, FINE, columns, FINE); ``aside`` is where an unsnapped one happens to lie."""
    scale = 1.0 if snapped else UNSNAPPED_MM[dots.name] / dots.mm(bars.x_dots)
    margin, height = dots.dots_covering(MARGIN_MM), dots.dots_covering(HEIGHT_MM)
    width = int(bars.width_dots * scale) + 2 * margin + bars.quiet_left_dots
    canvas = Canvas(str(folder / "out.pdf"), pagesize=page_size_pt(width, height + 2 * margin, dots))
    if snapped:
        canvas._code.append(bars_path(bars, margin, margin, height, dots))
    else:
        for first, wide in bars.spans:
            left, bottom = dots.pt(margin + aside + first * scale), dots.pt(margin)
            canvas.rect(left, bottom, dots.pt(wide * scale), dots.pt(height), stroke=0, fill=1)
    canvas.save()
    document = pdfium.PdfDocument(folder / "out.pdf")
    fine = document[0].render(scale=FINE * dots.dpi / 72, grayscale=True).to_numpy().copy()
    document.close()
    rows, columns = fine.shape[0] // FINE, fine.shape[1] // FINE
    return fine[: rows * FINE, : columns * FINE].reshape(rows, FINE, columns, FINE)


def burnt(fine: Picture, every_dot_touched: bool) -> Picture:
    """Return the dots a printer burns, 0 or 255: those with a black centre, or every one that is touched."""
    dots = fine.min(axis=(1, 3)) if every_dot_touched else fine[:, FINE // 2, :, FINE // 2]
    return np.where(dots < 128, 0, 255).astype(np.uint8)


def blur(picture: Picture, hard: float, _rng: np.random.Generator) -> Picture:
    """Ink that spread, or a camera out of focus."""
    return np.asarray(Image.fromarray(picture).filter(ImageFilter.GaussianBlur(1.5 * hard)))


def noise(picture: Picture, hard: float, rng: np.random.Generator) -> Picture:
    """A grainy picture."""
    return np.clip(picture + rng.normal(0, 18 * hard, picture.shape), 0, 255).astype(np.uint8)


def faded(picture: Picture, hard: float, rng: np.random.Generator) -> Picture:
    """A ribbon or head that no longer makes black, in patches."""
    patches = Image.fromarray(rng.uniform(0, 255, (6, 14)).astype(np.uint8)).resize(picture.shape[::-1])
    lift = np.asarray(patches) / 255 * 0.85 * hard
    return np.clip(255 - (255 - picture) * (1 - lift), 0, 255).astype(np.uint8)


def dead_element(picture: Picture, hard: float, rng: np.random.Generator) -> Picture:
    """Heater elements that no longer burn: white lines along the way of the paper, here along the bars' length."""
    worn = picture.copy()
    for _ in range(max(1, round(3 * hard))):
        at = int(rng.integers(0, picture.shape[1]))
        worn[:, at : at + max(1, round(picture.shape[1] / 900))] = 255
    return worn


def tilted(picture: Picture, hard: float, rng: np.random.Generator) -> Picture:
    """Scanned aslant."""
    angle = 5 * hard * (1 if rng.random() < 0.5 else -1)
    turned = Image.fromarray(picture).rotate(angle, Image.Resampling.BILINEAR, expand=True, fillcolor=255)
    return np.asarray(turned)


def everything(picture: Picture, hard: float, rng: np.random.Generator) -> Picture:
    """All of it, half as hard."""
    for wear in (faded, dead_element, tilted, blur, noise):
        picture = wear(picture, hard / 2, rng)
    return picture


WEAR: dict[str, Callable[[Picture, float, np.random.Generator], Picture]] = {
    "blur": blur, "noise": noise, "faded ribbon": faded, "dead element": dead_element, "5 degrees": tilted,
    "all, half": everything,
}  # fmt: skip


def seen(picture: Picture, dots: PrinterDots, pixels_per_module: float) -> Picture:
    """Return the label as the camera has it."""
    factor = pixels_per_module / SNAPPED_X[dots.name]
    size = (round(picture.shape[1] * factor), max(8, round(picture.shape[0] * factor)))
    return np.asarray(Image.fromarray(picture).resize(size, Image.Resampling.BOX))


def reads(picture: Picture, data: str) -> bool:
    """Whether the decoder finds the symbol with the right data."""
    found = zxingcpp.read_barcodes(np.ascontiguousarray(picture), formats=zxingcpp.BarcodeFormat.Code128)
    return any(code.bytes.decode("latin-1") == data for code in found)


def rates(dots: PrinterDots, every_dot_touched: bool, labels: int, folder: Path) -> dict[str, list[int]]:
    """Return for each wear how many of the labels read, [unsnapped, snapped]."""
    counts = {name: [0, 0] for name in WEAR}
    chance = random.Random(20261125)
    for number in range(labels):
        elements = (
            Element("01", "09520000000011"),
            Element("10", f"326329{number:05d}"),
            Element("21", f"{number:04d}"),
        )
        bars = gs1_128(elements, SNAPPED_X[dots.name])
        pixels, aside = chance.uniform(*PIXELS_PER_MODULE), chance.random()
        for snapped in (False, True):
            printed = burnt(drawn(bars, dots, snapped, aside, folder), every_dot_touched)
            camera = seen(printed, dots, pixels)
            for name, wear in WEAR.items():
                worn = wear(camera, chance_of(number), np.random.default_rng(number))
                counts[name][snapped] += reads(worn, element_string(elements))
    return counts


def chance_of(number: int) -> float:
    """Return how hard the wear of one label is, the same with and without snapping: 0.6 to 1.2."""
    return 0.6 + 0.6 * random.Random(number).random()


def main(labels: int) -> int:
    """Print the table and return the exit code."""
    worse = False
    print(f"{'of ' + str(labels) + ' worn labels read':38} {'unsnapped':>9} {'snapped':>9}")
    with tempfile.TemporaryDirectory() as folder:
        for dots in (DOTS_203, DOTS_300, DOTS_600):
            for touched in (False, True):
                painted = "any dot touched" if touched else "black centre"
                for name, (unsnapped, snapped) in rates(dots, touched, labels, Path(folder)).items():
                    print(f"{dots.name}, {painted:15}, {name:12} {unsnapped:9} {snapped:9}")
                    worse |= dots is DOTS_203 and snapped < unsnapped
    return 1 if worse else 0


if __name__ == "__main__":
    sys.exit(main(int(sys.argv[1]) if len(sys.argv) > 1 else 60))
