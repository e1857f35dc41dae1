"""How the label commands say what was found about a label and how it stands with a job."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import asdict
from typing import Any

from lotwake.labels.checks.check import CAUTION, Finding
from lotwake.trace.actions.label_fit import advice, in_words
from lotwake.trace.actions.label_jobs import Sent
from lotwake.trace.base.errors import ExitCode
from lotwake.trace.cli.command import Shell
from lotwake.trace.records.stock import PRINTED, WAITING


def finding_data(finding: Finding, product: str) -> dict[str, Any]:
    """A finding with what to do about it."""
    return {**asdict(finding), "advice": advice(finding, product)}


def say_findings(shell: Shell, findings: Sequence[Finding], product: str) -> None:
    """Say on stderr what a label lacks, and the caution that goes with every label."""
    for line in in_words(findings, product):
        shell.say(f"Note: {line}")
    shell.say(CAUTION)


def sent_data(sent: Sent) -> dict[str, Any]:
    """How it stands with a job."""
    return {"job": sent.job, "state": sent.state, "target": sent.target, "reason": sent.reason}


def files(sent: Sent) -> str:
    """The files of a job in words: one, or the first to the last of numbered pictures."""
    return str(sent.files[0]) if len(sent.files) == 1 else f"{sent.files[0]} to {sent.files[-1].name}"


def where(sent: Sent) -> str:
    """The end of a sentence about labels that are in a file."""
    return f", and at {sent.target}." if sent.target and sent.state == PRINTED else "."


def end_of(shell: Shell, sent: Sent) -> int:
    """The exit code of a job; what is still to do about it goes to stderr."""
    if sent.state == PRINTED:
        return ExitCode.DONE
    if sent.state == WAITING:
        shell.say(
            f"Job {sent.job} did not reach {sent.target} and waits: {sent.reason.rstrip('.')}."
            f" Send it again: lotwake label send {sent.job}, or elsewhere with --to."
        )
    else:
        shell.say(
            f"Nobody knows whether job {sent.job} came out at {sent.target}: {sent.reason.rstrip('.')}."
            f" Look there, then say lotwake label settle {sent.job} came-out, or not."
        )
    return ExitCode.MACHINE_FAILED
