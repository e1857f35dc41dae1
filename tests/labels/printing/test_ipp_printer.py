"""Jobs at a real IPP printer on the loopback address: ippeveprinter of CUPS."""

from __future__ import annotations

import time
from dataclasses import replace
from pathlib import Path

import pytest

from lotwake.labels.barcodes.dots import DOTS_203
from lotwake.labels.layout.pack_label import pack_label_pdf
from lotwake.labels.layout.spec import LabelSpec
from lotwake.labels.layout.stock import SHEET_A4_3X7
from lotwake.labels.printing.ipp import Media
from lotwake.labels.printing.spool import Spool, State
from lotwake.labels.printing.targets import Job, NotDelivered, ToPrinter

A4 = Media(210, 297)


def _sheet(pack_spec: LabelSpec, out: Path) -> Path:
    spec = replace(pack_spec, pack_face_cm2=70, cook="", origin_lines=(), producer_name="Skarvholm")
    pack_label_pdf(spec, [None] * 21, SHEET_A4_3X7, DOTS_203, out)
    return out


def _deliver_when_free(target: ToPrinter, job: Job) -> None:
    """Send past the spool; this printer prints one job at a time and refuses others meanwhile."""
    for _ in range(100):
        try:
            return target.deliver(job)
        except NotDelivered:
            time.sleep(0.1)
    pytest.fail("the printer was busy for 10 s")


def test_printer_gets_every_byte_once(pack_spec: LabelSpec, tmp_path: Path, ipp_printer: tuple[str, Path]) -> None:
    """The PDF arrives byte for byte, the printer knows the job by its name, and a retry sends nothing."""
    uri, kept = ipp_printer
    job = Job("run-7-print-1", _sheet(pack_spec, tmp_path / "sheet.pdf"), A4)
    target, spool = ToPrinter(uri, 20), Spool(tmp_path / "spool")
    assert target.has(job) is False
    assert spool.send(job, target).state is State.SENT
    assert target.has(job) is True
    assert spool.send(job, target).again
    (got,) = kept.glob("*.pdf")
    assert got.read_bytes() == job.pdf.read_bytes()


def test_break_after_sending_is_found_out_by_asking(
    pack_spec: LabelSpec, tmp_path: Path, ipp_printer: tuple[str, Path]
) -> None:
    """When the program died between sending and noting it, the next try finds the job at the printer."""
    uri, kept = ipp_printer
    job = Job("run-8-print-1", _sheet(pack_spec, tmp_path / "sheet.pdf"), A4)
    target, spool = ToPrinter(uri, 20), Spool(tmp_path / "spool", lambda: 10.0**10)
    _deliver_when_free(target, job)
    before = sorted(kept.glob("*.pdf"))
    (tmp_path / "spool").mkdir()
    (tmp_path / "spool" / f"{job.name}.sending").write_text(target.shown)
    outcome = spool.send(job, target)
    assert (outcome.state, outcome.again) == (State.SENT, True)
    assert sorted(kept.glob("*.pdf")) == before


def test_size_the_printer_does_not_have_waits(
    pack_spec: LabelSpec, tmp_path: Path, ipp_printer: tuple[str, Path]
) -> None:
    """A printer without that size of label refuses, and the job waits with what it said."""
    job = Job("run-9-print-1", _sheet(pack_spec, tmp_path / "sheet.pdf"), Media(58, 40))
    outcome = Spool(tmp_path / "spool").send(job, ToPrinter(ipp_printer[0], 20))
    assert outcome.state is State.WAITING
    assert "media" in outcome.reason
