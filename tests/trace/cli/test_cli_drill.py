"""A whole drill on the demo season from the shell, an origin answer in time, and the words of a recall."""

from __future__ import annotations

import json
import subprocess
import sys
from datetime import timedelta
from pathlib import Path
from typing import Any

import pytest

from lotwake.demo_db.scenario import MORNING_AFTER
from lotwake.trace.base.clock import SetClock
from lotwake.trace.cli.main import main

pytestmark = pytest.mark.on_both


class Season:
    """Calls ``lotwake`` on a copy of the demo season at a clock that goes on."""

    def __init__(self, built: Any, capture: pytest.CaptureFixture[str]) -> None:
        self.built = built
        self.clock = SetClock(MORNING_AFTER)
        self._capture = capture

    def call(self, *words: str) -> tuple[int, str, str]:
        self._capture.readouterr()
        code = main(["--at", str(self.built.places.folder), *words], self.clock)
        return code, *self._capture.readouterr()

    def data(self, *words: str) -> Any:
        code, out, err = self.call(*words, "--json")
        assert code == 0, err
        return json.loads(out)

    def later(self, minutes: float) -> None:
        self.clock.at += timedelta(minutes=minutes)


@pytest.fixture
def demo(season_copy: Any, capsys: pytest.CaptureFixture[str]) -> Season:
    return Season(season_copy, capsys)


PARTS = ("in_house", "returned", "waiting", "stock", "sold_on", "coming_back", "destroyed_there", "not_by_lot", "destroyed",
         "sampled", "reworked", "lost", "unaccounted")  # fmt: skip


def must_close(state: Any) -> None:
    """The packs by place sum to those made, in all and for each run, and buyers hold what the places say."""
    for row in (state["where"], *state["runs"]):
        assert sum(row[part] for part in PARTS) == row["made"]
    assert sum(run["made"] for run in state["runs"]) == state["where"]["made"]
    at_buyers = ("waiting", "stock", "sold_on", "coming_back", "destroyed_there", "unaccounted")
    for buyer in state["buyers"]:
        assert sum(buyer[part] for part in at_buyers) == buyer["packs"] == sum(buyer["held"].values())


def test_a_whole_drill(demo: Season, tmp_path: Path) -> None:
    """A drawn drill, from the lot that is named to the signed report, with every buyer rung; the next one is due in a year."""
    state = demo.data("drill", "draw", "--seed", "11")
    again = demo.data("drill", "status")
    assert (state["drawn"]["seed"], state["state"], again["code"]) == (11, "OPEN", state["code"])
    assert state["held"] == []
    must_close(state)
    demo.later(4)
    papers = tmp_path / "papers"
    files = demo.data("drill", "notices", "--out", str(papers))["files"]
    assert len(files) == len(state["buyers"]) + 2
    assert all(Path(path).stat().st_size for path in files)
    for number, buyer in enumerate(state["buyers"]):
        demo.later(2)
        if number == 1:
            demo.data("drill", "reply", state["code"], buyer["buyer"], "--not-reached")
            demo.data("drill", "told", state["code"], buyer["buyer"], "--how", "e-mail")
        sold = buyer["packs"] // 3
        last = demo.data(
            "drill", "reply", state["code"], buyer["buyer"], "--stock", str(buyer["packs"] - sold), "--sold", str(sold)
        )
        must_close(last)
    here = last["where"]["in_house"] + last["where"]["returned"]
    last = demo.data("drill", "count", state["code"], str(here))
    assert (last["where"]["waiting"], last["confirmed_percent"], last["gaps"]) == (0, 100.0, [])
    assert all(item["balanced"] for item in last["balance"])
    assert last["traced_back"]
    demo.later(10)
    report = tmp_path / "report.pdf"
    done = demo.data("drill", "finish", state["code"], "--action", "ring lists every month", "--out", str(report))
    assert (done["state"], done["signed"], done["enough"], done["clock"]["in_time"]) == (
        "FINISHED",
        "Signe Kvikklund",
        True,
        True,
    )
    assert done["clock"]["used_s"] == 60 * (14 + 2 * len(state["buyers"]))
    assert report.read_bytes().startswith(b"%PDF")
    listed = demo.data("drill", "list")
    assert [item["code"] for item in listed["drills"]] == [state["code"]]
    assert (listed["due"]["on"], listed["open"]) == ("2027-11-24", [])
    assert demo.data("verify")["whole"]


def test_the_report_says_it(demo: Season, tmp_path: Path) -> None:
    """The report names result, target, every buyer, the gaps and who signed."""
    pdfium = pytest.importorskip("pypdfium2")
    state = demo.data("drill", "begin", demo.built.landmarks["corrected landing"], "--goal", "0:30", "--least", "100")
    demo.later(31)
    report = tmp_path / "report.pdf"
    demo.data("drill", "finish", state["code"], "--by", "Maren Bekkeblom", "--out", str(report))
    text = " ".join("\n".join(page.get_textpage().get_text_range() for page in pdfium.PdfDocument(report)).split())
    for part in ("PRACTICE", "0:31:00", "NOT MET", "habits of private certification schemes", "Maren Bekkeblom", "BALANCED",
                 "have not answered", "Safe Food for Canadians Regulations s.84",
                 *(buyer["phone"] for buyer in state["buyers"])):  # fmt: skip
        assert part in text


def test_a_drill_goes_on_in_another_process(demo: Season) -> None:
    """What one process begun, another process goes on with, by the same code and the same clock."""
    state = demo.data("drill", "begin", demo.built.landmarks["corrected landing"])
    buyer = state["buyers"][0]
    demo.later(7)
    code = (
        "import sys; from datetime import datetime; from lotwake.trace.base.clock import SetClock;"
        "from lotwake.trace.cli.main import main; sys.exit(main(sys.argv[2:], SetClock(datetime.fromisoformat(sys.argv[1]))))"
    )
    words = [
        "--at",
        str(demo.built.places.folder),
        "drill",
        "reply",
        state["code"],
        buyer["buyer"],
        "--stock",
        "0",
        "--json",
    ]
    ran = subprocess.run(
        [sys.executable, "-c", code, demo.clock.at.isoformat(), *words], capture_output=True, text=True, check=False
    )
    assert (ran.returncode, ran.stderr) == (0, "")
    said = json.loads(ran.stdout)
    assert (said["code"], said["clock"]["used_s"]) == (state["code"], 7 * 60)
    assert next(item for item in said["buyers"] if item["buyer"] == buyer["buyer"])["unaccounted"] == buyer["packs"]


def test_an_origin_answer(demo: Season, tmp_path: Path) -> None:
    """An answer about a pack that was made of two landings names both boats and the limits met, and comes on a page."""
    run = demo.built.landmarks["run of flakes of 2026-11-09"]
    out = tmp_path / "origin.pdf"
    data = demo.data("origin", f"{run}/3", "--for", "a buyer", "--out", str(out))
    assert len(data["boats"]) >= 2
    assert (data["kind"], data["serial"]) == ("pack", 3)
    assert any(limit["verdict"] == "MET" for batch in data["done"] for limit in batch["limits"])
    assert out.read_bytes().startswith(b"%PDF")
    assert data["text"][0].startswith("You ask about pack")


def test_origin_on_other_paper(demo: Season, tmp_path: Path) -> None:
    """By its ending the file is text or JSON; settings of the house withhold, by asker too; --withhold decides."""
    run = demo.built.landmarks["run of flakes of 2026-11-09"]
    boats = demo.data("origin", run)["boats"]
    with demo.built.places.settings.open("a", encoding="utf-8") as file:
        file.write('withhold = "positions"\n[withhold_from]\n"Another Smokehouse" = "boats"\n')
    demo.data("origin", run, "--out", str(tmp_path / "a.txt"))
    assert boats[0] in (tmp_path / "a.txt").read_text(encoding="utf-8")
    data = demo.data("origin", run, "--for", "another smokehouse", "--out", str(tmp_path / "a.json"))
    assert (data["boats"], data["withheld"], data["areas"]) == ([], ["boats", "positions"], ["27"])
    assert json.loads((tmp_path / "a.json").read_text(encoding="utf-8"))["boats"] == []
    assert demo.data("origin", run, "--for", "another smokehouse", "--withhold", "nothing")["boats"] == boats
    code, _, err = demo.call("origin", run, "--out", str(tmp_path / "missing" / "a.pdf"))
    assert (code, "cannot be written" in err) == (6, True)


def test_refusals_are_sentences(demo: Season) -> None:
    """Wrong calls end with the right exit code and one sentence that says what to do."""
    lot = demo.built.landmarks["corrected landing"]
    code = demo.data("drill", "begin", lot)["code"]
    buyer = demo.data("drill", "status")["buyers"][0]["buyer"]
    rejected = demo.built.landmarks["rejected lot"]
    for words, exit_code, says in (
        (("drill", "begin"), 2, "nothing to start from"),
        (("drill", "begin", rejected), 3, "the scope is empty"),
        (("drill", "begin", lot, "--goal", "soon"), 2, "is not a goal"),
        (("drill", "reply", code, buyer, "--stock", "99999"), 3, "too many"),
        (("drill", "reply", code, buyer, "--sold", "1", "--sub", "x"), 2, "does not name a sub-buyer"),
        (("drill", "status", "726-328-999-99"), 4, "There is no drill"),
        (("drill", "check", code, "--level", "B"), 2, "more than 10 %"),
        (("recall", "begin", lot), 2, "--why"),
        (("recall", "common-source", "x"), 2, "names no pack"),
        (("recall", "list"), 0, ""),
    ):
        got, _, err = demo.call(*words)
        assert (got, says in err) == (exit_code, True), (words, err)
        assert "Traceback" not in err


def test_complaints_from_the_shell(demo: Season) -> None:
    """Complaint packs of the runs of one landing name it; the recall that begins with them holds it."""
    lot = demo.built.landmarks["corrected landing"]
    runs = demo.data("drill", "begin", lot)["runs"]
    packs = [f"{run['code']}/{serial}" for run in runs for serial in (7, 9, 11, 13)]
    found = demo.data("recall", "common-source", *packs)
    assert found["stands_out"]
    assert any(lot in factor["name"].replace("-", "") for factor in found["findings"][0]["factors"])
    state = demo.data("recall", "begin", *packs, "--complaints", "--why", "bones", "--class", "III")
    assert lot in state["held"]
    assert (state["practice"], state["hazard_class"]) == (False, "III")
    assert demo.data("find", lot)["things"][0]["holds"][-1]["reason"].endswith("bones")
