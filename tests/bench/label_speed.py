# ruff: noqa: T201 - the table is what the file is for
"""How many labels a second, against the usual way and against a canvas written by hand, in one run of this file.

    python tests/bench/label_speed.py [LABELS]

Processor time per label, the best of three rounds each, 100 x 60 mm with about twenty pieces of text, one GS1-128 with
the pack's own serial number, one label a page:

- usual: the picture python-barcode makes (Pillow), placed with reportlab's ``drawImage``, text with ``drawString``;
- by hand: bars as rectangles on a reportlab canvas, text with ``drawString``, nothing wrapped or checked,
  streams without the ASCII form that reportlab puts around them;
- ours: ``pack_label_pdf``, the whole of it.

Exit code 1 when ours is under 80 times the usual way or 5 times the canvas by hand, a label takes over 1,000 bytes, or
memory grows with the number of labels by more than 100 bytes each.
"""

from __future__ import annotations

import sys
import tempfile
import time
import tracemalloc
from collections.abc import Callable
from dataclasses import replace
from io import BytesIO
from pathlib import Path

sys.path.insert(0, str(Path(__file__).parents[1]))

from barcode.codex import Gs1_128
from barcode.writer import ImageWriter
from label_specs import PACK
from reportlab import rl_config
from reportlab.lib.utils import ImageReader
from reportlab.pdfgen.canvas import Canvas

from lotwake.labels.barcodes.bars import gs1_128_unchecked
from lotwake.labels.barcodes.dots import DOTS_203
from lotwake.labels.gs1.elements import element_string
from lotwake.labels.layout.faces import font_name
from lotwake.labels.layout.pack_label import PackLayout, lay_out, pack_label_pdf
from lotwake.labels.layout.spec import checked_spec
from lotwake.labels.layout.stock import ROLL_100X60

LEAST_AGAINST_USUAL, LEAST_AGAINST_HAND = 80, 5
MOST_BYTES, MOST_MEMORY = 1000, 100
SPEC = replace(PACK, lot="32632901457", lot_shown="326-329-014-57")


def usual(layout: PackLayout, labels: int, out: Path) -> None:
    """The picture python-barcode makes, placed on a page with the text."""
    canvas = Canvas(str(out), pagesize=(283.46, 170.08))
    for serial in range(1, labels + 1):
        _draw_texts(canvas, layout, serial)
        picture = BytesIO()
        code = Gs1_128(element_string(layout.symbols(serial)[0], Gs1_128.FNC1_CHAR), writer=ImageWriter())
        code.write(picture, {"module_width": 0.25, "module_height": 11, "write_text": False})
        picture.seek(0)
        canvas.drawImage(ImageReader(picture), 20, 14, 250, 34)
        canvas.showPage()
    canvas.save()


def by_hand(layout: PackLayout, labels: int, out: Path) -> None:
    """Bars as rectangles and text at given places, with nothing looked up or wrapped."""
    canvas = Canvas(str(out), pagesize=(283.46, 170.08), pageCompression=1)
    for serial in range(1, labels + 1):
        _draw_texts(canvas, layout, serial)
        for first, wide in gs1_128_unchecked(layout.symbols(serial)[0], 2).spans:
            canvas.rect(20 + first * 0.354, 14, wide * 0.354, 34, stroke=0, fill=1)
        canvas.showPage()
    canvas.save()


def ours(_layout: PackLayout, labels: int, out: Path) -> None:
    """The whole of it: checks, layout, bars, file."""
    pack_label_pdf(SPEC, range(1, labels + 1), ROLL_100X60, DOTS_203, out)


def _draw_texts(canvas: Canvas, layout: PackLayout, serial: int) -> None:
    for text in (*layout.shared.texts, *layout.own_samples):
        canvas.setFont(font_name(text.style, text.width), text.size_pt)
        canvas.drawString(text.x, text.y, f"{serial:04d}" if text.slot else text.text)


def us_per_label(way: Callable[[PackLayout, int, Path], None], layout: PackLayout, labels: int, out: Path) -> float:
    """Return microseconds of processor time per label, the best of three rounds."""
    rounds = []
    for _ in range(3):
        begin = time.process_time()
        way(layout, labels, out)
        rounds.append((time.process_time() - begin) / labels * 1e6)
    return min(rounds)


def growth_bytes(layout: PackLayout, out: Path) -> float:
    """Return bytes of memory at the peak that each further label costs."""
    peaks = []
    for labels in (1000, 5000):
        tracemalloc.start()
        ours(layout, labels, out)
        peaks.append(tracemalloc.get_traced_memory()[1])
        tracemalloc.stop()
    return (peaks[1] - peaks[0]) / 4000


def main(labels: int) -> int:
    """Measure all three, print the table, and return the exit code."""
    layout = lay_out(checked_spec(SPEC), labels, ROLL_100X60, DOTS_203)
    with tempfile.TemporaryDirectory() as folder:
        out = Path(folder) / "labels.pdf"
        usual_us = us_per_label(usual, layout, max(20, labels // 100), out)
        rl_config.useA85 = 0  # whoever writes by hand knows that the ASCII form of streams takes most of the time
        by_hand_us = us_per_label(by_hand, layout, max(100, labels // 10), out)
        ours_us = us_per_label(ours, layout, labels, out)
        size = out.stat().st_size / labels
        memory = growth_bytes(layout, out)
    against_usual, against_hand = usual_us / ours_us, by_hand_us / ours_us
    for name, value in (("usual", usual_us), ("by hand", by_hand_us), ("ours", ours_us)):
        print(f"{name:10} {value:9.1f} us a label {1e6 / value:9.0f} labels/s")
    print(f"ours is {against_usual:.0f} x the usual way (goal {LEAST_AGAINST_USUAL})")
    print(f"ours is {against_hand:.1f} x the canvas by hand (goal {LEAST_AGAINST_HAND})")
    print(f"{size:.0f} bytes a label (at most {MOST_BYTES}), {memory:.0f} bytes of memory a label")
    good = against_usual >= LEAST_AGAINST_USUAL and against_hand >= LEAST_AGAINST_HAND
    return 0 if good and size <= MOST_BYTES and memory <= MOST_MEMORY else 1


if __name__ == "__main__":
    sys.exit(main(int(sys.argv[1]) if len(sys.argv) > 1 else 10_000))
