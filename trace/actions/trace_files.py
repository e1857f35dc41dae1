"""Write a trace into files of the house: the data for other programs, and a text for people."""

from __future__ import annotations

import json
from collections.abc import Sequence
from dataclasses import asdict
from pathlib import Path

from lotwake.trace.actions.desk import Desk
from lotwake.trace.actions.trace import Traced
from lotwake.trace.base.errors import MachineFailed
from lotwake.trace.lineage.data import chain_data


def save_trace(desk: Desk, traced: Traced, text: Sequence[str]) -> tuple[Path, Path]:
    """Both chains, their balance and the answer as JSON, and ``text`` as it stands; the two files are given back."""
    data = {
        "back": chain_data(traced.back),
        "forward": chain_data(traced.forward),
        "balance": asdict(traced.balance),
        "balanced": traced.balance.balanced,
        "answer": list(traced.sentences),
        "also": list(traced.also),
    }
    stem = _stem(desk, traced)
    return (
        _write(stem.with_suffix(".json"), json.dumps(data, ensure_ascii=False, indent=1) + "\n"),
        _write(stem.with_suffix(".txt"), "\n".join(text) + "\n"),
    )


def save_answer(desk: Desk, traced: Traced, text: Sequence[str]) -> Path:
    """The answer as a text file."""
    stem = _stem(desk, traced)
    return _write(stem.with_name(f"{stem.name}-answer.txt"), "\n".join(text) + "\n")


def _stem(desk: Desk, traced: Traced) -> Path:
    serial = "" if traced.start.serial is None else f"-{traced.start.serial:04d}"
    contact = "-contact" if traced.back.with_contact else ""
    return desk.places.traces / f"{traced.start.code}{serial}{contact}"


def _write(path: Path, text: str) -> Path:
    try:
        path.parent.mkdir(parents=True, exist_ok=True)
        path.write_text(text, encoding="utf-8")
    except OSError as error:
        said = f"{path.name} could not be written: {error.strerror or error}."
        raise MachineFailed(said, "Make room, or look at who owns the folder.") from error
    return path
