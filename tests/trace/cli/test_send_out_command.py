"""`lotwake send-out` and `lotwake bring-epcis` at the shell."""

from __future__ import annotations

import json
import subprocess
import sys
from pathlib import Path
from typing import Any

import pytest

from lotwake.demo_db.builder import Built
from lotwake.trace.cli.main import main

SENT = [
    (("kde", "RUN", "--out", "kde.xlsx"), ["kde.xlsx"], "Shipping"),
    (("kde", "RUN", "--out", "kde.csv"), ["kde-gaps.csv", "kde-shipping.csv"], "Shipping"),
    (("eu", "RUN", "--out", "eu.json"), ["eu.json"], "pack lots"),
    (("eu", "--from", "today", "--out", "eu.csv"), ["eu.csv"], "pack lots"),
    (("epcis", "RUN", "--out", "events.jsonld"), ["events.jsonld"], "TransformationEvent"),
    (("epcis", "RUN", "--serials", "--out", "events.json"), ["events.json"], "TransformationEvent"),
    (("dispatch-note", "DISPATCH", "--out", "note.pdf"), ["note.pdf"], "packs"),
    (("plan", "--out", "plan.md"), ["plan.md"], "products"),
]


@pytest.fixture
def dispatched(stocked: Any) -> Any:
    """The stocked house after a case was sent."""
    dispatch = stocked.house.code("dispatch", "Quay Deli", stocked.cases[0], "--document", "D-1")
    return stocked, dispatch


def _words(dispatched: Any, tmp_path: Path, words: tuple[str, ...]) -> list[str]:
    stocked, dispatch = dispatched
    named = {"RUN": stocked.run, "DISPATCH": dispatch}
    return [str(tmp_path / word) if "." in word else named.get(word, word) for word in words]


@pytest.mark.parametrize(("words", "files", "count"), SENT, ids=[" ".join(words) for words, _, _ in SENT])
def test_each_thing_is_sent_out(
    dispatched: Any, tmp_path: Path, words: tuple[str, ...], files: list[str], count: str
) -> None:
    """Each word writes its files, and the answer names them, what is in them and what is missing."""
    data = dispatched[0].house.data("send-out", *_words(dispatched, tmp_path, words))
    assert set(files) <= {Path(file).name for file in data["files"]}
    assert all(Path(file).stat().st_size for file in data["files"])
    assert data["counts"][count] > 0
    assert set(data) == {"files", "counts", "missing", "notes"}


def test_the_answer_for_a_person(dispatched: Any, tmp_path: Path) -> None:
    """Without --json the files, the counts, what is missing and the note on enforcement are said in lines."""
    said = dispatched[0].house.call("send-out", "kde", dispatched[0].lot, "--out", str(tmp_path / "kde.xlsx"))
    assert said.code == 0
    assert f"Written: {tmp_path / 'kde.xlsx'}" in said.out
    assert "Missing in the record:" in said.out
    assert "2028-07-20" in said.out


def test_sending_out_writes_nothing_down(dispatched: Any, tmp_path: Path) -> None:
    """The record is only read: the journal ends where it did."""
    house = dispatched[0].house
    before = house.journal_end()
    house.data("send-out", "epcis", dispatched[0].run, "--out", str(tmp_path / "x.json"))
    assert house.journal_end() == before


REFUSED = [
    (("kde", "--out", "kde.xlsx"), 2, "not said what to send"),
    (("kde", "RUN", "--from", "today", "--out", "kde.xlsx"), 2, "do not go together"),
    (("kde", "32632800199", "--out", "kde.xlsx"), 2, "mistyped"),
    (("kde", "nobody", "--out", "kde.xlsx"), 4, "knows nothing called"),
    (("eu", "--from", "2020-01-01", "--to", "2020-01-02", "--out", "eu.csv"), 4, "Nothing is written down"),
    (("eu", "RUN", "--out", "eu.docx"), 2, "does not end in"),
    (("dispatch-note", "RUN", "--out", "note.pdf"), 2, "needs a dispatch"),
    (("plan", "--out", "none/plan.md"), 6, "cannot be written"),
    (("nothing", "--out", "plan.md"), 2, "nvalid choice"),
]


@pytest.mark.parametrize(("words", "code", "sentence"), REFUSED, ids=[" ".join(words) for words, _, _ in REFUSED])
def test_bad_calls_are_refused(
    dispatched: Any, tmp_path: Path, words: tuple[str, ...], code: int, sentence: str
) -> None:
    """A call that cannot be done says why in one sentence with its exit code, and leaves no file."""
    said = dispatched[0].house.call("send-out", *_words(dispatched, tmp_path, words))
    assert (said.code, said.out) == (code, "")
    assert sentence in said.err
    assert [path for path in tmp_path.iterdir() if path.name != "house"] == []


def test_no_output_says_more_than_the_record_proves(
    season: Built, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """Nothing sent out, for the season or from the shell, uses a word that promises what a record cannot."""
    calls = [("kde", "--from", "2026-11-01", "--out", "k.csv"), ("eu", "--from", "2026-11-01", "--out", "e.json"),
             ("epcis", "--from", "2026-11-01", "--out", "x.json"), ("plan", "--out", "p.txt")]  # fmt: skip
    for words in calls:
        paths = [str(tmp_path / word) if "." in word else word for word in words]
        assert main(["--at", str(season.places.folder), "send-out", *paths]) == 0
    texts = [path.read_text(encoding="utf-8-sig") for path in tmp_path.iterdir() if path.is_file()]
    for text in (*texts, capsys.readouterr().out):
        words_said = set(text.lower().replace('"', " ").replace(",", " ").replace(".", " ").split())
        assert not words_said & {"safe", "safely", "safety", "compliant", "compliance"}


@pytest.fixture
def theirs(tmp_path: Path) -> Path:
    """A supplier's file with one lot of 12 kg."""
    lot = {"epcClass": "urn:epc:class:lgtin:9520000.000002.A7", "quantity": 12, "uom": "KGM"}
    event = {
        "type": "ObjectEvent", "eventTime": "2026-11-23T06:00:00Z", "eventTimeZoneOffset": "+01:00", "action": "OBSERVE",
        "bizStep": "shipping", "quantityList": [lot],
    }  # fmt: skip
    document = {
        "@context": [], "type": "EPCISDocument", "schemaVersion": "2.0", "creationDate": "2026-11-23T06:00:00Z",
        "epcisBody": {"eventList": [event]},
    }  # fmt: skip
    path = tmp_path / "theirs.json"
    path.write_text(json.dumps(document), encoding="utf-8")
    return path


def test_a_suppliers_file_is_looked_at_and_brought_in(house: Any, theirs: Path) -> None:
    """A dry run shows the lot and keeps nothing; the same call without it writes the lot down."""
    house.call("set-up", "dealer", "Fish Round")
    words = ("bring-epcis", str(theirs), "--dealer", "Fish Round", "--species", "HAD")
    tried = house.data(*words, "--dry-run")
    assert (tried["dry_run"], tried["kept"], tried["lots"][0]["code"]) == (True, False, None)
    made = house.data(*words)
    assert made["kept"]
    assert made["lots"][0]["g"] == 12_000
    seen = house.data("find", made["lots"][0]["code"])["things"][0]["facts"]
    assert (seen["their_code"], seen["kind"], seen["g"]) == ("A7", "bought-in", 12_000)


def test_what_is_missing_is_asked_for(house: Any, theirs: Path) -> None:
    """Without a dealer and a species nothing comes in, and each is asked for by its option."""
    said = house.call("bring-epcis", str(theirs))
    assert said.code == 2
    assert "--dealer NAME" in said.out
    assert "--species CODE" in said.out
    assert "Nothing was brought in." in said.out


@pytest.mark.parametrize(
    ("words", "code", "sentence"),
    [
        (("nowhere.json",), 4, "no file"),
        (("THEIRS", "--lot", "B8"), 4, "has no lot 'B8'"),
        (("THEIRS", "--kg", "A7"), 2, "has no weight"),
    ],
)
def test_bad_files_and_options(house: Any, theirs: Path, words: tuple[str, ...], code: int, sentence: str) -> None:
    """A file that is not there, a lot that is not in it, and a weight without a number are each said in a sentence."""
    said = house.call("bring-epcis", *(str(theirs) if word == "THEIRS" else word for word in words))
    assert said.code == code
    assert sentence in said.err


def test_heavy_libraries_are_loaded_only_when_used(season: Built, tmp_path: Path) -> None:
    """Sending out JSON loads neither the spreadsheet nor the PDF library."""
    code = (
        "import sys; from lotwake.trace.cli.main import main; ended = main(sys.argv[1:]);"
        "sys.exit(ended or (3 if {'openpyxl', 'reportlab', 'textual'} & set(sys.modules) else 0))"
    )
    words = (
        "--at",
        str(season.places.folder),
        "send-out",
        "epcis",
        "--from",
        "2026-11-20",
        "--out",
        str(tmp_path / "x.json"),
    )
    ran = subprocess.run([sys.executable, "-c", code, *words], capture_output=True, text=True, check=False)
    assert ran.returncode == 0, ran.stderr
