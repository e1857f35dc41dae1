"""Sending once: whatever breaks, a retry prints nothing twice."""

from __future__ import annotations

from dataclasses import dataclass, field, replace
from pathlib import Path

import pytest

from lotwake.labels.errors import LabelNotWritten, WrongData
from lotwake.labels.printing.ipp import Media
from lotwake.labels.printing.spool import UNDER_WAY_S, Outcome, Spool, State
from lotwake.labels.printing.targets import Job, NotDelivered, PerhapsDelivered


@dataclass
class FakeTarget:
    """A target that fails as told, counts what it printed, and may or may not know its jobs."""

    shown: str = "printer one"
    fails: list[Exception] = field(default_factory=list)
    knows: bool | None = False
    printed: list[str] = field(default_factory=list)

    def deliver(self, job: Job) -> None:
        if self.fails:
            raise self.fails.pop(0)
        self.printed.append(job.name)

    def has(self, job: Job) -> bool | None:
        return job.name in self.printed if self.knows is False else self.knows


@pytest.fixture
def job(tmp_path: Path) -> Job:
    (tmp_path / "out.pdf").write_bytes(b"%PDF")
    return Job("run-7-print-1", tmp_path / "out.pdf", Media(100, 60))


@pytest.fixture
def spool(tmp_path: Path) -> Spool:
    """A spool that looks at its markers a day after they were made."""
    return Spool(tmp_path / "spool", lambda: 10.0**10)


def _crashed(spool: Spool, job: Job, target: FakeTarget) -> None:
    """Leave behind what a power cut in the middle of sending leaves."""
    target.fails.append(PerhapsDelivered("power cut"))
    spool.send(job, target)


def test_second_send_prints_nothing(spool: Spool, job: Job) -> None:
    """A job that was sent is SENT again without reaching the printer."""
    target = FakeTarget()
    assert spool.send(job, target) == Outcome(State.SENT, job.name, "printer one")
    assert spool.send(job, target) == Outcome(State.SENT, job.name, "printer one", again=True)
    assert target.printed == [job.name]


def test_printer_away_then_back(spool: Spool, job: Job) -> None:
    """A job that certainly did not arrive waits with the reason, and goes out at the next try or elsewhere."""
    away = FakeTarget(fails=[NotDelivered("no paper"), NotDelivered("no paper")])
    for _ in range(2):
        assert spool.send(job, away) == Outcome(State.WAITING, job.name, "printer one", "no paper")
    assert spool.unsure() == []
    other = FakeTarget("printer two")
    assert spool.send(job, other).state is State.SENT
    assert (away.printed, other.printed) == ([], [job.name])


def test_job_that_arrived_before_the_break_is_not_sent_again(spool: Spool, job: Job) -> None:
    """After a break the printer is asked; when it knows the job, the job is SENT."""
    target = FakeTarget(knows=True)
    _crashed(spool, job, target)
    assert spool.unsure() == [job.name]
    assert spool.send(job, target) == Outcome(State.SENT, job.name, "printer one", again=True)
    assert target.printed == []


def test_job_that_did_not_arrive_is_sent_once(spool: Spool, job: Job) -> None:
    """After a break the printer is asked; when it does not know the job, the job goes out."""
    target = FakeTarget()
    _crashed(spool, job, target)
    assert spool.send(job, target).state is State.SENT
    assert target.printed == [job.name]


def test_nobody_knows_until_a_person_looked(spool: Spool, job: Job) -> None:
    """Where the target cannot tell, the job stays UNSURE until it is settled one way or the other."""
    target = FakeTarget(knows=None)
    _crashed(spool, job, target)
    outcome = spool.send(job, target)
    assert outcome.state is State.UNSURE
    assert "look there" in outcome.reason
    spool.settle(job.name, came_out=False)
    assert spool.send(job, target).state is State.SENT
    assert target.printed == [job.name]


def test_settled_as_printed_is_never_sent(spool: Spool, job: Job) -> None:
    """What a person saw come out is SENT for good."""
    target = FakeTarget(knows=None)
    _crashed(spool, job, target)
    spool.settle(job.name, came_out=True)
    assert spool.send(job, target).again
    assert target.printed == []


def test_unsure_job_does_not_go_to_another_printer(spool: Spool, job: Job) -> None:
    """What may lie in one printer is not sent to a second before somebody looked."""
    _crashed(spool, job, FakeTarget())
    other = FakeTarget("printer two")
    outcome = spool.send(job, other)
    assert (outcome.state, outcome.target) == (State.UNSURE, "printer one")
    assert other.printed == []


def test_job_under_way_at_another_station_is_left_alone(tmp_path: Path, job: Job) -> None:
    """A marker that was made a moment ago is not taken for a break."""
    target, spool = FakeTarget(), Spool(tmp_path / "spool")
    _crashed(spool, job, target)
    outcome = spool.send(job, target)
    assert outcome.state is State.UNSURE
    assert "under way" in outcome.reason
    assert target.printed == []
    assert UNDER_WAY_S > 2 * 30  # longer than connecting and sending may take


def test_printer_that_cannot_be_asked_leaves_it_open(spool: Spool, job: Job) -> None:
    """When the printer is away after a break the job is UNSURE, with the reason."""

    class Away(FakeTarget):
        def has(self, job: Job) -> bool | None:
            raise NotDelivered(f"cannot ask about {job.name}")

    target = Away()
    _crashed(spool, job, target)
    assert spool.send(job, target) == Outcome(State.UNSURE, job.name, "printer one", f"cannot ask about {job.name}")


@pytest.mark.parametrize("name", ["", "../x", "a/b", ".hidden", "a b", "x" * 200])
def test_name_that_is_no_file_name_is_refused(spool: Spool, job: Job, name: str) -> None:
    """A job's name cannot lead out of the spool."""
    with pytest.raises(WrongData, match="cannot name a print job"):
        spool.send(replace(job, name=name), FakeTarget())


def test_labels_that_are_gone_are_not_begun(spool: Spool, job: Job) -> None:
    """Without the PDF there is a sentence and no marker."""
    job.pdf.unlink()
    with pytest.raises(WrongData, match="is not there"):
        spool.send(job, FakeTarget())
    assert spool.unsure() == []


def test_spool_that_cannot_be_written_sends_nothing(tmp_path: Path, job: Job) -> None:
    """Without a marker nothing leaves."""
    (tmp_path / "file").write_text("in the way")
    target = FakeTarget()
    with pytest.raises(LabelNotWritten, match="cannot be written"):
        Spool(tmp_path / "file").send(job, target)
    assert target.printed == []
