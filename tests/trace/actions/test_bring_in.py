"""Bringing in an old log book: every row by the rules of the record, all or nothing, every bad row named."""

from __future__ import annotations

import csv
from collections.abc import Iterator, Mapping
from datetime import UTC, datetime
from io import StringIO
from pathlib import Path

import pytest

from lotwake.trace.actions import ship
from lotwake.trace.actions.bring_in import load
from lotwake.trace.actions.bring_in.describe import as_data, as_text
from lotwake.trace.actions.bring_in.load import Outcome, bring_in
from lotwake.trace.actions.bring_in.sheets import SHEETS, Sheet
from lotwake.trace.actions.desk import Desk, set_up_house
from lotwake.trace.actions.find import find_one
from lotwake.trace.base.clock import SetClock
from lotwake.trace.base.errors import MachineFailed, NotFound, Refused
from lotwake.trace.base.places import places_at
from lotwake.trace.records import facts
from lotwake.trace.records.entries.house import SiteFacts
from lotwake.trace.records.find import Kind
from lotwake.trace.records.journal import head
from lotwake.trace.records.verify import verify

NOW = datetime(2026, 12, 1, 12, tzinfo=UTC)
SITE = SiteFacts("Skerry Smokehouse", "Quay 1", "NO", "9520000", "Europe/Oslo")

BOOK: Mapping[str, str] = {
    "sources.csv": "kind,name,mark\nboat,Aurora,N-12-X\nboat,Havørn,N-7-X\n",
    "suppliers.csv": "name\nBag House\n",
    "buyers.csv": "name,phone\nQuay Deli,+47 00 00 00 00\nFjord Kitchen,+47 00 00 00 01\n",
    "equipment.csv": "name,kind\nKiln 1,smokehouse\n",
    "products.csv": "gtin,name,smoking,net_g,life_days,species\n9520000000028,Haddock 300 g,hot smoked,300,60,HAD\n",
    "lots.csv": (
        "lot,kind,sender,received,kg,species,item,area,note\n"
        'H-1,landing,Aurora,2026-11-02 05:40,41.5,HAD,,27.4.b,"two\nlines"\n'
        "H-2,landing,N-7-X,2026-11-02 06:10,20,HAD,,27.4.b,\n"
        "S-1,material,Bag House,2026-11-01,5,,bags,,\n"
    ),
    "batches.csv": (
        "batch,smoking,started,equipment,released\n"
        "B-1,hot smoked,2026-11-02 08:00,Kiln 1,2026-11-02 16:00\n"
        "B-2,hot smoked,2026-11-04 08:00,Kiln 1,\n"
    ),
    "batch_inputs.csv": "batch,input,kg\nB-1,H-1,40\nB-1,H-2,10\nB-2,H-2,8\nB-2,B-1,4\nB-2,R-1/97-100,\n",
    "steps.csv": "batch,step,started,ended\nB-1,smoking,2026-11-02 11:00,2026-11-02 13:00\n",
    "readings.csv": "batch,kind,at,value,probe\nB-1,core,2026-11-02 12:30,63.5,1\nB-1,salt,2026-11-02 15:00,2.5,\n",
    "losses.csv": "of,kind,kg,at\nB-1,drying,10,2026-11-02 15:30\n",
    "runs.csv": (
        "run,product,packed,packs,batch,kg\nR-1,9520000000028,2026-11-02 18:00,100,B-1,\n"
        "R-2,Haddock 300 g,2026-11-04 18:00,40,B-2,12\n"
    ),
    "run_inputs.csv": "run,input,g\nR-1,S-1,200\n",
    "cases.csv": (
        "case,sscc,run,first,last,closed\nC-1,,R-1,1,12,2026-11-02 19:00\nC-1,,R-1,13,24,2026-11-02 19:00\n"
        "C-2,095200000000000011,R-1,25,36,2026-11-02 19:30\nC-3,,R-2,1,12,2026-11-04 19:00\n"
    ),
    "pallets.csv": "pallet,unit,built\nP-1,C-1,2026-11-03 06:00\nP-1,C-2,2026-11-03 06:00\n",
    "dispatches.csv": (
        "document,buyer,at,unit,run,first,last\nDN-1,Quay Deli,2026-11-03 07:00,P-1,,,\n"
        "DN-1,Quay Deli,2026-11-03 07:00,,R-1,37,40\nDN-2,Fjord Kitchen,2026-11-05 07:00,C-3,,,\n"
    ),
    "returns.csv": "document,buyer,at,reason,unit\nRN-1,Quay Deli,2026-11-06 09:00,wrong size,C-1\n",
    "holds.csv": (
        "of,kind,at,reason,released_at,released_by,release_reason\n"
        "H-1,HOLD,2026-11-02 06:00,waiting for the test,2026-11-02 07:30,Signe Kvist,test was clear\n"
    ),
}


@pytest.fixture
def desk(tmp_path: Path) -> Iterator[Desk]:
    opened = set_up_house(places_at(tmp_path / "house"), SITE, "SK", "Signe Kvist", SetClock(NOW))
    yield opened
    opened.close()


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    return write(tmp_path / "book", BOOK)


def write(folder: Path, files: Mapping[str, str]) -> Path:
    folder.mkdir(exist_ok=True)
    for name, text in files.items():
        (folder / name).write_bytes(text.encode())
    return folder


def said(outcome: Outcome) -> list[str]:
    return [f"{problem.file} {problem.line}: {problem.reason}" for problem in outcome.problems]


def test_a_good_book_comes_in_whole(desk: Desk, folder: Path) -> None:
    """Every row is kept, the record verifies, and each thing is found by its old code with the right balance."""
    outcome = bring_in(desk, folder)
    assert said(outcome) == []
    assert outcome.kept
    assert outcome.counts == {name: len(list(csv.reader(StringIO(text)))) - 1 for name, text in BOOK.items()}
    assert verify(desk.records).problems == ()

    landing = facts.lots(desk.records, [find_one(desk.records, "H-1").id]).popitem()[1]
    assert (landing.sender, landing.g, landing.left_g, landing.note) == ("Aurora", 41_500, 1_500, "two lines")
    assert landing.received == "2026-11-02T04:40:00Z"
    first = facts.batches(desk.records, [find_one(desk.records, "B-1").id]).popitem()[1]
    assert (first.in_g, first.lost_g, first.passed_on_g, first.left_g) == (50_000, 10_000, 34_000, 6_000)
    assert first.released == "2026-11-02T15:00:00Z"
    second = facts.batches(desk.records, [find_one(desk.records, "B-2").id]).popitem()[1]
    assert (second.in_g, second.released) == (8_000 + 4_000 + 4 * 300, "2026-11-04T17:00:00Z")
    run = facts.runs(desk.records, [find_one(desk.records, "R-1").id]).popitem()[1]
    assert (run.packs, run.in_g, run.best_before, run.left_g) == (100, 30_000, "2027-01-01", 0)


def test_things_keep_the_codes_they_had(desk: Desk, folder: Path) -> None:
    """A case keeps its SSCC, a dispatch its document, and packs are found by the old code of their run."""
    bring_in(desk, folder)
    assert find_one(desk.records, "095200000000000011") == find_one(desk.records, "C-2")
    assert find_one(desk.records, "DN-1").kind is Kind.DISPATCH
    pack = find_one(desk.records, "R-1/30")
    assert (pack.kind, pack.serial) == (Kind.PACK, 30)
    pallet, back = find_one(desk.records, "P-1"), find_one(desk.records, "C-1")
    states = facts.units(desk.records, [pallet.id, back.id])
    assert (states[pallet.id].status, states[back.id].status) == ("SENT", "RETURNED")


def test_new_cases_pass_over_an_sscc_that_was_brought_in(desk: Desk, folder: Path) -> None:
    """The next case gets an SSCC that no case of the old book bears, though the counter had come to it."""
    bring_in(desk, write(folder, {"cases.csv": "sscc,run,first,last,closed\n" + "".join(
        f"{sscc},R-1,{n},{n},2026-11-02 19:00\n" for n, sscc in enumerate(
            ("095200000000000011", "095200000000000028", "095200000000000035"), 1)
    ), "pallets.csv": "pallet,unit,built\n", "dispatches.csv": "document,buyer,at\n",
        "returns.csv": "document,buyer,at,reason\n"}))  # fmt: skip
    fresh = {ship.close_case(desk, [f"R-1/{serial}"]).code for serial in (11, 12, 13)}
    old = {"095200000000000011", "095200000000000028", "095200000000000035"}
    assert len(fresh) == 3
    assert not fresh & old
    assert verify(desk.records).whole


def test_the_examples_of_the_table_are_a_book(desk: Desk, tmp_path: Path) -> None:
    """The described columns, filled with their own examples, come in as they stand."""
    book = tmp_path / "examples"
    book.mkdir()
    for sheet in SHEETS:
        with (book / sheet.file).open("w", encoding="utf-8", newline="") as stream:
            rows = csv.writer(stream, delimiter=";")
            rows.writerow([column.name for column in sheet.columns])
            rows.writerow([column.example for column in sheet.columns])
    outcome = bring_in(desk, book)
    assert said(outcome) == []
    assert outcome.kept
    assert verify(desk.records).whole


def test_a_dry_run_leaves_nothing(desk: Desk, folder: Path) -> None:
    """A dry run counts the rows, finds nothing wrong, and the journal and every table stand as before."""
    before = everything(desk)
    outcome = bring_in(desk, folder, dry_run=True)
    assert (outcome.clean, outcome.kept, outcome.dry_run) == (True, False, True)
    assert outcome.counts["cases.csv"] == 4
    assert everything(desk) == before


def everything(desk: Desk) -> list[object]:
    tables = [*desk.records.columns, "journal", "counter"]
    return [head(desk.records), *(desk.records.rows(f"SELECT * FROM {table} ORDER BY 1, 2") for table in tables)]


BAD_ROWS = [
    pytest.param("sources.csv", "ship,Aurora II,\n", 4, "kind of source 'ship' is not known", id="unknown kind"),
    pytest.param("buyers.csv", "No Phone,\n", 4, "column phone is empty", id="empty needed field"),
    pytest.param("products.csv", "9520000000029,X,hot smoked,300,60,HAD\n", 3, "check digit of GTIN", id="GTIN"),
    pytest.param("products.csv", "9520000000035,X,hot smoked,300,0,HAD\n", 3, "life of 0 days", id="no life"),
    pytest.param("lots.csv", "H-3,landing,Auroro,2026-11-02,5,HAD,,27,\n", 6, "no boat called 'Auroro'", id="boat"),
    pytest.param("lots.csv", "H-3,landing,Aurora,2026-11-02,5,HAD,,27,\n", 0, "", id="a good one"),
    pytest.param("lots.csv", "H-3,landing,Aurora,2026-12-24,5,HAD,,27,\n", 6, "is in the future", id="future"),
    pytest.param("lots.csv", "H-3,landing,Aurora,24 Nov,5,HAD,,27,\n", 6, "'24 Nov' is not a time", id="vague day"),
    pytest.param("lots.csv", "H-3,landing,Aurora,2026-02-30,5,HAD,,27,\n", 6, "no day '2026-02-30'", id="no such day"),
    pytest.param("lots.csv", "H-3,landing,Aurora,2026-11-02,5x,HAD,,27,\n", 6, "'x' is not a unit", id="number"),
    pytest.param("lots.csv", 'H-3,landing,Aurora,2026-11-02,"1,234",HAD,,27,\n', 6, "could mean", id="thousands"),
    pytest.param("lots.csv", "H-3,landing,Aurora,2026-11-02,-5,HAD,,27,\n", 6, "cannot be", id="negative"),
    pytest.param("lots.csv", "H-3,landing,Aurora,2026-11-02,,HAD,,27,\n", 6, "weight is missing", id="no weight"),
    pytest.param("lots.csv", "H-3,landing,Aurora,2026-11-02,5,HAX,,27,\n", 6, "No species is known", id="species"),
    pytest.param("lots.csv", "H-1,landing,Aurora,2026-11-09,5,HAD,,27,\n", 6, "is in line 2 already", id="code twice"),
    pytest.param(
        "lots.csv", "H-3,landing,Aurora,2026-11-02 07:00,5,HAD,,27.4.b,\n", 6, "written down already", id="twice"
    ),
    pytest.param("lots.csv", "H-3,landing,Aurora,2026-11-02,5,HAD,,27\n", 6, "8 fields and the header 9", id="short"),
    pytest.param("lots.csv", "H-3,landing,Aurora,2026-11-02,5,HAD,,27,,\n", 6, "10 fields and the header 9", id="long"),
    pytest.param("lots.csv", "H-3,landing,Au\0rora,2026-11-02,5,HAD,,27,\n", 6, "control character (0x00)", id="NUL"),
    pytest.param("lots.csv", "H-3,landing,A\x1brora,2026-11-02,5,HAD,,27,\n", 6, "character (0x1B)", id="escape"),
    pytest.param("lots.csv", 'H-3,landing,"Au"rora,2026-11-02,5,HAD,,27,\n', 6, "quote stands inside", id="quote"),
    pytest.param("lots.csv", 'H-3,landing,"Aurora,2026-11-02,5,HAD,,27,\n', 6, "never closed", id="open quote"),
    pytest.param("batch_inputs.csv", "B-2,H-2,3\n", 7, "Lot H-2 has 2 kg left; 3 kg is 1 kg too much", id="mass"),
    pytest.param("batch_inputs.csv", "B-2,H-9,3\n", 7, "no lot or batch called H-9", id="unknown lot"),
    pytest.param("batch_inputs.csv", "B-9,H-2,3\n", 7, "no batch called B-9 in these files", id="unknown batch"),
    pytest.param(
        "batch_inputs.csv",
        "B-1,B-2,3\n",
        7,
        "The batch B-2 is not there before 04 Nov 2026 08:00 (batches.csv line 3)",
        id="from the future",
    ),
    pytest.param("batch_inputs.csv", "B-2,R-1/41-44,\n", 0, "", id="loose packs"),
    pytest.param("batch_inputs.csv", "B-2,R-1/25-26,\n", 7, "are in a case", id="packs in a case"),
    pytest.param("readings.csv", "B-1,core,2026-11-02 12:30,635,1\n", 4, "decimal mark left out", id="hot core"),
    pytest.param("readings.csv", "B-1,salt,2026-11-02 12:30,101,\n", 4, "between 0 and 100", id="salt"),
    pytest.param(
        "readings.csv",
        "B-1,core,2026-11-02 07:30,63,1\n",
        4,
        "B-1 is not there before 02 Nov 2026 08:00",
        id="too early",
    ),
    pytest.param("losses.csv", "B-1,drying,7,2026-11-04 15:00\n", 3, "is 1 kg too much", id="loss"),
    pytest.param("runs.csv", "R-3,No such,2026-11-04 18:00,4,B-2,\n", 4, "no product called", id="product"),
    pytest.param("runs.csv", "R-3,Haddock 300 g,2026-11-04 18:00,10,B-2,1\n", 4, "3 kg is 2 kg too much", id="packs"),
    pytest.param("runs.csv", "R-3,Haddock 300 g,2026-11-02 10:00,1,B-1,\n", 4, "is not released", id="not released"),
    pytest.param("cases.csv", "C-9,095200000000000012,R-1,41,52,2026-11-03\n", 6, "check digit of SSCC", id="SSCC"),
    pytest.param("cases.csv", "C-9,095200000000000011,R-1,41,52,2026-11-03\n", 6, "on another case", id="SSCC twice"),
    pytest.param("cases.csv", "C-9,,R-1,36,40,2026-11-02 20:00\n", 6, "are in a case", id="packs twice"),
    pytest.param("cases.csv", "C-9,,R-1,9999999999,1,2026-11-03\n", 6, "is not a whole number", id="huge serial"),
    pytest.param("cases.csv", "C-1,,R-1,41,42,2026-11-03\n", 6, "another time here than in line 2", id="case twice"),
    pytest.param("dispatches.csv", "DN-3,Nobody,2026-11-05,C-9,,,\n", 5, "no buyer called 'Nobody'", id="buyer"),
    pytest.param("dispatches.csv", "DN-3,Quay Deli,2026-11-05,,,,\n", 5, "either a unit or loose packs", id="no goods"),
    pytest.param("dispatches.csv", "DN-3,Quay Deli,2026-11-05,C-2,,,\n", 5, "stands on a pallet", id="on a pallet"),
    pytest.param(
        "dispatches.csv", "DN-2,Quay Deli,2026-11-05 07:00,,R-1,41,42\n", 4, "differ in buyer", id="two buyers"
    ),
    pytest.param("returns.csv", "RN-2,Fjord Kitchen,2026-11-06 10:00,stale,C-2\n", 3, "sent to Quay Deli", id="whose"),
    pytest.param("holds.csv", "H-2,WAIT,2026-11-02 07:00,smell,,,\n", 3, "kind of hold 'WAIT' is not", id="hold kind"),
]


@pytest.mark.parametrize(("file", "row", "line", "reason"), BAD_ROWS)
def test_each_bad_row_is_named(desk: Desk, folder: Path, file: str, row: str, line: int, reason: str) -> None:
    """One bad row at the end of a good file is the only one reported, with its line and why, and nothing is kept."""
    before = head(desk.records)
    outcome = bring_in(desk, write(folder, {file: BOOK[file] + row}))
    if not line:
        assert said(outcome) == []
        return
    assert [(problem.file, problem.line) for problem in outcome.problems] == [(file, line)], said(outcome)
    assert reason in outcome.problems[0].reason
    assert not outcome.kept
    assert head(desk.records) == before


BROKEN_FILES = [
    pytest.param("buyers.csv", b"", 1, "The file is empty", id="empty file"),
    pytest.param("buyers.csv", b"\xef\xbb\xbf\r\n", 1, "The file is empty", id="only a mark and a line end"),
    pytest.param("buyers.csv", b"name\nQuay Deli\n", 1, "The header lacks phone", id="missing column"),
    pytest.param("buyers.csv", b"name,phone,mial\nA,1,b\n", 1, "no column 'mial' in buyers.csv. Did you mean email?",
                 id="unknown column"),
    pytest.param("buyers.csv", b'name,"phone\nA,1\n', 1, "quotes in the header are wrong", id="quote in the header"),
    pytest.param("buyers.csv", b"name,phone,name\nA,1,B\n", 1, "name stands in the header 2 times", id="column twice"),
    pytest.param("buyers.csv", b"name,phone\nK\xf8benhavn Deli,1\n", 2, "byte 0xF8 behind 'K' is not UTF-8", id="Latin 1"),
    pytest.param("buyers.csv", "name,phone\nA,1\n".encode("utf-16"), 1, "byte 0xFF behind the start of a field is not",
                 id="UTF-16"),
    pytest.param("buyers.csv", b'name,phone\nA,1\n"two\nlines",2\nB\n', 5, "1 fields and the header 2", id="later line"),
    pytest.param("buyer.csv", b"name,phone\nA,1\n", 1, "Did you mean buyers.csv?", id="file name"),
    pytest.param("BUYERS.csv", b"name,phone\nA,1\n", 1, "There is a file BUYERS.csv too", id="two of one name"),
]  # fmt: skip


@pytest.mark.parametrize(("file", "data", "line", "reason"), BROKEN_FILES)
def test_each_broken_file_is_named(desk: Desk, folder: Path, file: str, data: bytes, line: int, reason: str) -> None:
    """A file that cannot be read as it stands is reported with the line and what to do, and nothing is kept."""
    (folder / file).write_bytes(data)
    before = head(desk.records)
    outcome = bring_in(desk, folder)
    broken = [problem for problem in outcome.problems if problem.file.lower().startswith("buyer")]
    assert [problem.line for problem in broken] == [line], said(outcome)
    assert reason in broken[0].reason
    assert not outcome.kept
    assert head(desk.records) == before


def test_rows_that_wait_for_a_bad_row_are_one_line_for_each_file(desk: Desk, folder: Path) -> None:
    """A lot that cannot be read is named once; what is built on it is counted, not judged, and other faults still show."""
    lots = BOOK["lots.csv"].replace("41.5", "heavy").replace("2026-11-02 06:10", "2026-13-02")
    buyers = BOOK["buyers.csv"] + "No Phone,\n"
    outcome = bring_in(desk, write(folder, {"lots.csv": lots, "buyers.csv": buyers}))
    found = {(problem.file, problem.line): problem.reason for problem in outcome.problems}
    wrong = {place for place, reason in found.items() if not reason.startswith("It waits")}
    assert wrong == {("buyers.csv", 4), ("lots.csv", 2), ("lots.csv", 4)}
    assert found["batch_inputs.csv", 2] == "It waits for lots.csv line 2, which is wrong."
    assert found["batch_inputs.csv", 3] == (
        "It waits for lots.csv line 4, which is wrong (and so do 3 more rows of this file)."
    )
    assert "and so do" in found["cases.csv", 2]


def test_one_run_names_everything_that_is_wrong(desk: Desk, folder: Path) -> None:
    """Bad rows in several files are reported together, in the order of files and lines."""
    files = {
        "suppliers.csv": "name,adress\nBag House,Quay 2\n",
        "lots.csv": BOOK["lots.csv"].replace("H-2,landing,N-7-X", "H-2,landing,N-8-X"),
        "readings.csv": BOOK["readings.csv"].replace("63.5", "6O"),
        "holds.csv": BOOK["holds.csv"] + "H-1,REJECT,2026-11-30,,,,\n",
    }
    outcome = bring_in(desk, write(folder, files))
    wrong = [(problem.file, problem.line) for problem in outcome.problems if "It waits" not in problem.reason]
    assert wrong == [("suppliers.csv", 1), ("lots.csv", 4), ("readings.csv", 2), ("holds.csv", 3)]


def test_very_many_bad_rows_are_counted(desk: Desk, folder: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """Beyond the first problems only their number is kept."""
    monkeypatch.setattr("lotwake.trace.actions.bring_in.problems.MOST_PROBLEMS", 10)
    rows = "".join(f"Buyer {n},\n" for n in range(25))
    outcome = bring_in(desk, write(folder, {"buyers.csv": BOOK["buyers.csv"] + rows}))
    assert (len(outcome.problems), outcome.more) == (10, 15)


@pytest.mark.parametrize("separator", [",", ";", "\t"])
@pytest.mark.parametrize("mark", [b"", b"\xef\xbb\xbf"], ids=["plain", "with mark"])
@pytest.mark.parametrize("line_end", ["\n", "\r\n"], ids=["LF", "CRLF"])
def test_spreadsheets_write_csv_in_several_ways(
    desk: Desk, tmp_path: Path, separator: str, mark: bytes, line_end: str
) -> None:
    """Comma, semicolon and tab, a byte order mark, both line ends and decimal commas give the same record."""
    book = tmp_path / "book"
    book.mkdir()
    for name, text in BOOK.items():
        out = StringIO()
        writer = csv.writer(out, delimiter=separator, lineterminator=line_end)
        for number, row in enumerate(csv.reader(StringIO(text))):
            decimals = [cell.replace(".", ",") if cell.replace(".", "").isdigit() else cell for cell in row]
            writer.writerow([cell.upper().replace("_", " ") for cell in row] if number == 0 else decimals)
        (book / name.upper()).write_bytes(mark + out.getvalue().encode())
    outcome = bring_in(desk, book)
    assert said(outcome) == []
    assert facts.lots(desk.records, [find_one(desk.records, "H-1").id]).popitem()[1].g == 41_500


def test_codes_that_mean_two_things_need_their_kind(desk: Desk, folder: Path) -> None:
    """A lot and a batch may share an old code; an input then says which it is, or is refused."""
    lots = BOOK["lots.csv"].replace("H-2,", "B-1,")
    inputs = "batch,input,kg\nB-1,H-1,40\nB-1,B-1,10\nB-2,B-1,8\nB-2,B-1,4\nB-2,R-1/97-100,\n"
    outcome = bring_in(desk, write(folder, {"lots.csv": lots, "batch_inputs.csv": inputs}))
    assert "B-1 is a lot and a batch" in " ".join(said(outcome)) or "B-1 is a batch and a lot" in " ".join(
        said(outcome)
    )
    inputs = (
        "batch,input,input_kind,kg\nB-1,H-1,,40\nB-1,B-1,lot,10\nB-2,B-1,lot,8\nB-2,B-1,batch,4\nB-2,R-1/97-100,,\n"
    )
    losses = "of,of_kind,kind,kg,at\nB-1,batch,drying,10,2026-11-02 15:30\n"
    outcome = bring_in(desk, write(folder, {"batch_inputs.csv": inputs, "losses.csv": losses}))
    assert said(outcome) == []


def test_holds_bind_while_they_stood(desk: Desk, folder: Path) -> None:
    """The book is lived through again in the order of its times: a batch begun while its lot was held is refused."""
    holds = BOOK["holds.csv"].replace("2026-11-02 07:30", "2026-11-02 08:30")
    outcome = bring_in(desk, write(folder, {"holds.csv": holds}))
    assert "batch_inputs.csv 2: H-1 is on hold: waiting for the test." in " ".join(said(outcome))


def test_times_count_to_the_second_in_the_zone_of_the_house(desk: Desk, folder: Path) -> None:
    """A time with its own offset is taken as it is; one second in the future is refused, the present is not."""
    late = BOOK["holds.csv"] + "H-2,HOLD,2026-12-01T12:00:01Z,smell,,,\n"
    outcome = bring_in(desk, write(folder, {"holds.csv": late}))
    assert [problem.line for problem in outcome.problems] == [3]
    assert bring_in(desk, write(folder, {"holds.csv": late.replace("00:01Z", "00:00Z")})).kept


def test_a_second_folder_builds_on_the_first(desk: Desk, folder: Path, tmp_path: Path) -> None:
    """Things of an earlier bringing in are named by their old codes; the same book twice is refused."""
    assert bring_in(desk, folder).kept
    more = write(
        tmp_path / "more",
        {
            "batches.csv": "batch,smoking,started\nB-3,hot smoked,2026-11-20 08:00\n",
            "batch_inputs.csv": "batch,input,g\nB-3,H-1,1500\n",
            "dispatches.csv": "document,buyer,at,run,first,last\nDN-9,Quay Deli,2026-11-20 09:00,R-1,41,60\n",
        },
    )
    assert said(bring_in(desk, more)) == []
    again = bring_in(desk, folder)
    assert not again.kept
    assert any("B-1 was brought in before" in line for line in said(again))
    assert verify(desk.records).whole


def test_what_cannot_begin_is_refused(desk: Desk, folder: Path, tmp_path: Path) -> None:
    """Nobody at work, no such folder, and a folder without CSV files are each refused in a sentence."""
    with pytest.raises(NotFound, match="There is no folder"):
        bring_in(desk, tmp_path / "nowhere")
    (tmp_path / "bare").mkdir()
    with pytest.raises(NotFound, match="no CSV files"):
        bring_in(desk, tmp_path / "bare")
    looking = Desk(desk.records, desk.clock, desk.places, desk.settings, desk.zone)
    with pytest.raises(Refused, match="Nobody is at work"):
        bring_in(looking, folder)


def test_a_full_disk_keeps_nothing(desk: Desk, folder: Path) -> None:
    """When the database cannot grow, one sentence says so, no row is blamed, and the record is as it was and whole."""
    before = everything(desk)
    pages = desk.records.value("PRAGMA page_count")
    desk.records.run(f"PRAGMA max_page_count = {pages}")
    rows = "".join(f"B-1,core,2026-11-02 12:{n // 60:02d}:{n % 60:02d},63.5,1\n" for n in range(3_000))
    with pytest.raises(MachineFailed, match="disk is full"):
        bring_in(desk, write(folder, {"readings.csv": BOOK["readings.csv"] + rows}))
    desk.records.run("PRAGMA max_page_count = 1000000")
    assert everything(desk) == before
    assert bring_in(desk, write(folder, BOOK)).kept
    assert verify(desk.records).whole


def test_a_chunk_is_one_line_of_the_journal(desk: Desk, folder: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """Many rows share a journal line, each line is chained, and progress is told to the end."""
    monkeypatch.setattr(load, "CHUNK", 10)
    told: list[tuple[str, int, int]] = []
    before = head(desk.records).seq
    outcome = bring_in(desk, folder, progress=lambda *said: told.append(said))
    assert outcome.kept
    assert head(desk.records).seq - before == len(told)
    assert told[-1][0] == "entering"
    assert told[-1][1] == told[-1][2]
    assert verify(desk.records).whole


def test_every_column_is_described() -> None:
    """The printed format names every file and column of the table, with its meaning."""
    text = "\n".join(as_text())
    for sheet in SHEETS:
        assert_described(sheet, text)
    assert [item["file"] for item in as_data()] == [sheet.file for sheet in SHEETS]


def assert_described(sheet: Sheet, text: str) -> None:
    part = text.split(f"\n{sheet.file}: {sheet.what}\n")[1].split("\n\n")[0]
    lines = part.splitlines()
    assert len(lines) == len(sheet.columns)
    for line, column in zip(lines, sheet.columns, strict=True):
        assert line.split()[0] == column.name
        assert column.meaning in line
        assert ("needed" in line.split(column.meaning)[0]) is column.needed
