"""The pack for a till: EAN-13 above a line symbol with date, lot and number."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import pytest

from lotwake.labels.barcodes.dots import DOTS_203, DOTS_300, DOTS_600, PrinterDots
from lotwake.labels.checks.check import check_label
from lotwake.labels.checks.facts import pack_facts
from lotwake.labels.checks.markets import EU
from lotwake.labels.checks.on_paper import PACK_ON_PAPER, check_on_paper, measured
from lotwake.labels.errors import LabelRefused
from lotwake.labels.gs1.keys import gtin13, make_gtin14
from lotwake.labels.layout.pack_label import lay_out, pack_label_pdf
from lotwake.labels.layout.spec import LabelSpec, checked_spec
from lotwake.labels.layout.stock import ROLL_58X40, ROLL_100X60
from lotwake.labels.layout.symbols import Design
from lotwake.labels.printing.proof import pack_scans, proof

SERIALS = [9, 145]


@pytest.mark.parametrize("dots", [DOTS_203, DOTS_300, DOTS_600], ids=lambda dots: dots.name)
def test_a_till_reads_the_product_and_a_trace_the_pack(tmp_path: Path, pack_spec: LabelSpec, dots: PrinterDots) -> None:
    """Every label of the run reads back as the product's number and its own serial, and nothing on it touches."""
    spec = replace(pack_spec, pack_face_cm2=70)
    pack_label_pdf(spec, SERIALS, ROLL_100X60, dots, tmp_path / "out.pdf", design=Design.TILL)
    layout = lay_out(checked_spec(spec), 145, ROLL_100X60, dots, Design.TILL)
    scans = [pack_scans(layout, serial) for serial in SERIALS]
    assert scans[0] == (f"]E0{gtin13(spec.gtin)}", f"]C11527052510{spec.lot}\x1d210009")
    assert proof(tmp_path / "out.pdf", scans, ROLL_100X60, dots).misprints == ()
    assert check_on_paper(PACK_ON_PAPER, measured(layout.whole_ink(145), ROLL_100X60, dots)) == ()
    assert "type size" not in [finding.rule for finding in check_label(spec, EU, pack_facts(layout))]


def test_what_a_till_cannot_carry_is_refused(pack_spec: LabelSpec) -> None:
    """A pack of catch weight, whose weight EAN-13 cannot say, and a label too narrow for the line symbol."""
    weighed = replace(pack_spec, catch_weight=True, gtin=make_gtin14(pack_spec.gtin, 9))
    with pytest.raises(LabelRefused, match="cannot say what a pack of catch weight weighs"):
        lay_out(checked_spec(weighed), 145, ROLL_100X60, DOTS_203, Design.TILL)
    with pytest.raises(LabelRefused, match="mm wide"):
        lay_out(checked_spec(pack_spec), 145, ROLL_58X40, DOTS_203, Design.TILL)
