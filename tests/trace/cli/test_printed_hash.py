"""The journal's last hash on paper: a record that was rewritten throughout is held against it and found."""

from __future__ import annotations

import json
import sqlite3
from contextlib import closing
from pathlib import Path
from typing import Any

import pypdfium2
import pytest

from lotwake.trace.records.journal import FIRST_HASH, line_hash


def _text_of(pdf: Path) -> str:
    document = pypdfium2.PdfDocument(pdf)
    try:
        return " ".join(" ".join(page.get_textpage().get_text_range().split()) for page in document)
    finally:
        document.close()


def _rewrite(folder: Path) -> None:
    """Change a weight in row and journal alike, and give every line its new hash: the chain and the tables agree again."""
    with closing(sqlite3.connect(folder / "records.db", isolation_level=None)) as file:
        file.execute("UPDATE lot SET g = 39000 WHERE g = 41000")
        previous = FIRST_HASH
        lines = file.execute("SELECT seq, at, happened, zone, who, act, why, corrects, body FROM journal ORDER BY seq")
        for *line, body in lines.fetchall():
            forged = body.replace('"g":41000', '"g":39000')
            previous = line_hash(previous, (*line, forged))
            file.execute("UPDATE journal SET body = ?, hash = ? WHERE seq = ?", (forged, previous, line[0]))


@pytest.mark.parametrize("name", ["day.pdf", "day.txt", "day.md"])
def test_a_days_record_ends_with_the_hash(stocked: Any, tmp_path: Path, name: str) -> None:
    """The record of a day lists its entries and ends with the number and hash of the last one, whole."""
    house, out = stocked.house, tmp_path / name
    (line,) = house.data("journal", "--last", "1")
    sent = house.data("send-out", "day", "25 Nov", "--out", str(out))
    assert sent["counts"]["entries"] > 0
    text = _text_of(out) if name.endswith("pdf") else " ".join(out.read_text(encoding="utf-8").split())
    bare = text.replace(" ", "")
    assert f"Journalentry{line['entry']},hash{line['hash']}" in bare.replace("-\n", "")
    assert "lotwakeverify--printed" in bare
    assert house.call("verify", "--printed", str(line["entry"]), line["hash"]).code == 0


def test_a_day_without_entries_is_said(stocked: Any, tmp_path: Path) -> None:
    """A day on which nothing was entered writes no paper."""
    said = stocked.house.call("send-out", "day", "2 Nov", "--out", str(tmp_path / "day.pdf"))
    assert said.code == 4
    assert not (tmp_path / "day.pdf").exists()


def test_a_rewritten_journal_shows_against_paper(stocked: Any) -> None:
    """Rewritten with new hashes throughout, the record is whole by itself; against the printed hash it is not."""
    house = stocked.house
    entry, printed = house.journal_end()
    _rewrite(house.folder)
    assert json.loads(house.call("verify", "--json").out)["whole"] is True
    said = house.call("verify", "--printed", str(entry), printed[:16])
    assert said.code == 5
    assert "was rewritten" in said.out


@pytest.mark.parametrize(
    ("entry", "printed", "code"),
    [("1", "", 2), ("1", "abc", 2), ("1", "z" * 64, 2), ("x", "0" * 64, 2), ("99999", "0" * 64, 5), ("1", "0" * 64, 5)],
)
def test_what_does_not_fit_the_paper(stocked: Any, entry: str, printed: str, code: int) -> None:
    """No hash is a wrong call; a line that is gone, or another hash, is a record that needs attention."""
    assert stocked.house.call("verify", "--printed", entry, printed).code == code


def test_spaces_and_capitals_are_read_too(stocked: Any) -> None:
    """Typed from paper in groups and capitals, the hash is the same."""
    entry, printed = stocked.house.journal_end()
    typed = " ".join(printed[at : at + 8] for at in range(0, 64, 8)).upper()
    assert stocked.house.call("verify", "--printed", str(entry), typed).code == 0


def test_a_drill_report_has_the_hash(stocked: Any, tmp_path: Path) -> None:
    """The report of a drill says where the journal stood when it was made."""
    house, out = stocked.house, tmp_path / "drill.pdf"
    house.data("drill", "begin", stocked.lot)
    house.data("drill", "report", "--out", str(out))
    entry, printed = house.journal_end()
    assert f"Journalentry{entry},hash{printed}" in _text_of(out).replace(" ", "")
