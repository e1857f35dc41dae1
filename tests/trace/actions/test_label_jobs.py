"""Jobs on their way to paper: nothing is sent that does not read, what is away waits, and nothing prints twice."""

from __future__ import annotations

import os
from collections.abc import Callable
from dataclasses import replace
from pathlib import Path
from typing import Any

import pytest

from lotwake.labels.errors import LabelNotWritten, LabelRefused
from lotwake.labels.layout.spec import LabelSpec
from lotwake.labels.printing.targets import Job, PerhapsDelivered, ToPrinter
from lotwake.trace.actions import label_jobs, labels, packing
from lotwake.trace.actions.desk import Desk
from lotwake.trace.base.errors import CallError, MachineFailed, NotFound, Refused
from lotwake.trace.base.ranges import Serials
from lotwake.trace.records.find import Thing
from lotwake.trace.records.label_balance import unlabelled
from lotwake.trace.records.packing import pending_prints, recent_prints, waiting_prints
from lotwake.trace.records.verify import verify

Choose = Callable[..., Desk]
Labelled = Callable[..., Thing]
Scans = Callable[[Path], list[str]]
NOBODY = "ipp://localhost:9/ipp/print"  # the discard port: nothing listens there


def states(desk: Desk, job: int) -> list[str]:
    """Every state a job went through."""
    return [row[0] for row in desk.records.rows("SELECT state FROM label_state WHERE print = ? ORDER BY id", job)]


def test_a_label_that_does_not_read_is_not_given_out(
    labelled: Labelled, choose: Choose, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """When the file does not read as the record says, nothing is written or sent and the print is FAILED; the packs wait."""
    desk, run = choose(printer="folder:out"), labelled()
    desk.places.folder.joinpath("out").mkdir()
    made = labels.pack_label_pdf

    def misprint(spec: LabelSpec, *rest: Any, **more: Any) -> None:
        made(replace(spec, lot="999", lot_shown="999"), *rest, **more)

    monkeypatch.setattr(labels, "pack_label_pdf", misprint)
    with pytest.raises(LabelRefused, match="do not read as the record says"):
        labels.print_labels(desk, run.code, 3, tmp_path / "x.pdf")
    assert not (tmp_path / "x.pdf").exists()
    assert list(desk.places.folder.joinpath("out").iterdir()) == []
    (seen,) = recent_prints(desk.records, 9)
    assert (seen.state, "do not read" in seen.note) == ("FAILED", True)
    assert unlabelled(desk.records, run.id) == [Serials(1, 40)]


def test_a_printer_that_is_away_leaves_the_job_waiting(labelled: Labelled, choose: Choose, tmp_path: Path) -> None:
    """The file is there, the job waits with the reason, and it can be sent elsewhere, once, and no more."""
    desk, run = choose(printer=NOBODY), labelled()
    printed = labels.print_labels(desk, run.code, 3, tmp_path / "x.pdf")
    job = printed.sent.job
    assert (printed.sent.state, "cannot be reached" in printed.sent.reason) == ("WAITING", True)
    assert [(seen.job, seen.packs, seen.state) for seen in waiting_prints(desk.records)] == [
        (job, Serials(1, 3), "WAITING")
    ]
    assert "cannot be reached" in waiting_prints(desk.records)[0].note
    assert unlabelled(desk.records, run.id) == [Serials(4, 40)]
    assert label_jobs.send_job(desk, job).state == "WAITING"
    folder = tmp_path / "watched"
    folder.mkdir()
    assert label_jobs.send_job(desk, job, f"folder:{folder}").state == "PRINTED"
    (arrived,) = folder.iterdir()
    assert arrived.read_bytes() == (tmp_path / "x.pdf").read_bytes()
    assert arrived.name == f"{run.code}-{job}.pdf"
    assert states(desk, job) == ["PENDING", "WAITING", "WAITING", "PRINTED"]
    with pytest.raises(Refused, match=f"Print job {job} is settled already: PRINTED"):
        label_jobs.send_job(desk, job)
    assert waiting_prints(desk.records) == []


def test_a_job_that_waits_can_go_into_a_file(labelled: Labelled, choose: Choose, tmp_path: Path) -> None:
    """``file:NAME.pdf`` is a place a waiting job can go; without a printer a place has to be named."""
    desk, run = choose(printer=NOBODY), labelled()
    job = labels.print_labels(desk, run.code, 1, tmp_path / "x.pdf").sent.job
    with pytest.raises(CallError, match="No printer was named"):
        label_jobs.send_job(choose(printer=""), job)
    assert label_jobs.send_job(desk, job, f"file:{tmp_path / 'y.pdf'}").state == "PRINTED"
    assert (tmp_path / "y.pdf").read_bytes() == (tmp_path / "x.pdf").read_bytes()


class Broken:
    """A printer that breaks off while it takes a job; ``arrived`` is what it says of that job afterwards."""

    shown = "printer that breaks"

    def __init__(self, arrived: bool | None) -> None:
        self.arrived = arrived
        self.tries = 0

    def deliver(self, _job: Job) -> None:
        self.tries += 1
        raise PerhapsDelivered("the line went dead")

    def has(self, _job: Job) -> bool | None:
        return self.arrived


@pytest.fixture
def broken(monkeypatch: pytest.MonkeyPatch) -> Broken:
    printer = Broken(True)
    monkeypatch.setattr(label_jobs, "label_target", lambda _desk, _said="": printer)
    return printer


def _let_time_pass(desk: Desk) -> None:
    """Markers younger than two minutes may belong to a station that is sending now."""
    for marker in desk.places.spool.glob("*.sending"):
        os.utime(marker, (0, 0))


def test_a_job_that_broke_off_is_asked_for(labelled: Labelled, choose: Choose, tmp_path: Path, broken: Broken) -> None:
    """Nobody knows what came out until the printer says that it has the job; then nothing is sent again."""
    desk, run = choose(), labelled()
    printed = labels.print_labels(desk, run.code, 3, tmp_path / "x.pdf")
    assert (printed.sent.state, printed.sent.reason) == ("PENDING", "the line went dead")
    assert [seen.note for seen in pending_prints(desk.records)] == ["the line went dead"]
    _let_time_pass(desk)
    sent = label_jobs.send_job(desk, printed.sent.job)
    assert (sent.state, sent.again, broken.tries) == ("PRINTED", True, 1)


def test_a_job_nobody_knows_of_is_settled_by_a_person(
    labelled: Labelled, choose: Choose, tmp_path: Path, broken: Broken
) -> None:
    """Where no printer can tell, nothing is sent; a person says what came out, for all packs of the job, once."""
    broken.arrived = None
    desk, run = choose(), labelled()
    job = labels.print_labels(desk, run.code, 3, tmp_path / "x.pdf").sent.job
    _let_time_pass(desk)
    assert label_jobs.send_job(desk, job).state == "PENDING"
    assert broken.tries == 1
    labels.settle_print(desk, job, came_out=True)
    assert states(desk, job)[-1] == "PRINTED"
    assert [path.suffix for path in desk.places.spool.iterdir()] == [".sent"]
    with pytest.raises(Refused, match="settled already"):
        labels.settle_print(desk, job, came_out=False)
    other = labels.print_labels(desk, run.code, 2, tmp_path / "y.pdf").sent.job
    labels.settle_print(desk, other, came_out=False)
    assert unlabelled(desk.records, run.id) == [Serials(4, 40)]
    assert verify(desk.records).whole


def test_ranges_entered_together_are_one_job(
    labelled: Labelled, choose: Choose, tmp_path: Path, broken: Broken
) -> None:
    """Packs in several ranges are one file: any of its numbers names the job, and all are settled together."""
    desk, run = choose(), labelled(10)
    packing.void_packs(desk, run, [Serials(4, 5)], "smeared")
    printed = labels.print_labels(desk, run.code, 6, tmp_path / "x.pdf")
    assert printed.packs == (Serials(1, 3), Serials(6, 8))
    first, second = pending_prints(desk.records)
    assert (first.job, second.job) == (first.id, first.id)
    assert label_jobs.settle_job(desk, second.id, came_out=True) == [first, second]
    assert pending_prints(desk.records) == []
    assert broken.tries == 1


def test_a_crash_before_the_file_is_whole_is_told(labelled: Labelled, choose: Choose, tmp_path: Path) -> None:
    """A print that was entered and never made stays PENDING; sending it says that nothing was sent and how to go on."""
    desk, run = choose(printer=NOBODY), labelled()
    with desk.entry("print labels") as entry:
        made = labels.begin_first_print(desk, entry, run, 2, lambda _parts: tmp_path / "x.pdf")
    job = made.jobs[0]
    with pytest.raises(Refused, match=f"job {job} was never made whole.*settle {job} not"):
        label_jobs.send_job(desk, job)
    label_jobs.settle_job(desk, job, came_out=False)
    assert unlabelled(desk.records, run.id) == [Serials(1, 40)]
    with pytest.raises(NotFound, match="There is no print job 99"):
        label_jobs.send_job(desk, 99)


def test_a_stop_by_hand_leaves_a_failed_print(labelled: Labelled, choose: Choose, tmp_path: Path) -> None:
    """Stopped while the file is made, nothing is left of it, the print is FAILED, and its packs wait for labels."""
    desk, run = choose(), labelled()

    def stop(done: int, _all: int) -> None:
        if done == 2:
            raise KeyboardInterrupt

    with pytest.raises(KeyboardInterrupt):
        labels.print_labels(desk, run.code, 5, tmp_path / "x.pdf", progress=stop)
    assert list(tmp_path.glob("*.pdf")) == []
    assert list(desk.places.spool.iterdir()) == []
    assert recent_prints(desk.records, 1)[0].state == "FAILED"


def test_a_file_that_cannot_be_written_fails_the_print(labelled: Labelled, choose: Choose, tmp_path: Path) -> None:
    """A folder that is not there, and a spool that cannot be, are told; the record says FAILED and why."""
    desk, run = choose(), labelled()
    with pytest.raises(LabelNotWritten, match="cannot be written"):
        labels.print_labels(desk, run.code, 1, tmp_path / "no" / "x.pdf")
    desk.places.spool.rmdir()
    desk.places.spool.write_text("in the way")
    with pytest.raises(MachineFailed, match="could not be written"):
        labels.print_labels(desk, run.code, 1, tmp_path / "x.pdf")
    assert [seen.state for seen in recent_prints(desk.records, 9)] == ["FAILED", "FAILED"]
    assert unlabelled(desk.records, run.id) == [Serials(1, 40)]


def test_a_real_printer_gets_the_run_once(
    labelled: Labelled, choose: Choose, tmp_path: Path, ipp_printer: tuple[str, Path]
) -> None:
    """A run goes to a real IPP printer byte for byte, under the name of its job."""
    uri, kept = ipp_printer
    desk = choose(printer=uri, stock="A4 sheet, 3 x 7 labels", pack_face_cm2=70)
    run = labelled(cook="", serving=None, storage="Keep at -18 °C.", ingredients="haddock (fish), salt")
    printed = labels.print_labels(desk, run.code, 21, tmp_path / "x.pdf")
    assert (printed.sent.state, printed.sent.reason) == ("PRINTED", "")
    (got,) = kept.glob("*.pdf")
    assert got.read_bytes() == (tmp_path / "x.pdf").read_bytes()
    assert ToPrinter(uri, 20).has(Job(f"{run.code}-{printed.sent.job}", got, None))  # type: ignore[arg-type]
