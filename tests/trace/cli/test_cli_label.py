"""``lotwake label``: every word of it, its data, its exit code, and what is said beside."""

from __future__ import annotations

import os
from pathlib import Path
from typing import Any

import pytest
import zxingcpp
from PIL import Image

from lotwake.labels.barcodes.dots import DOTS_203
from lotwake.labels.printing.pictures import opened, picture

PRINT_KEYS = {"file", "files", "count", "job", "state", "target", "reason", "findings", "caution"}
THING_KEYS = {"kind", "code", "shown"}
NOBODY = "ipp://localhost:9/ipp/print"


def texts(image: Any) -> set[str]:
    """What ZXing-C++ reads in a picture."""
    return {code.text for code in zxingcpp.read_barcodes(image)}


def test_pack_says_what_the_market_asks(stocked: Any, tmp_path: Path) -> None:
    """A print has stable keys; what the label lacks and the caution go to stderr, the data alone to stdout."""
    house, out = stocked.house, tmp_path / "x.pdf"
    data = house.data("label", "pack", stocked.run, "--count", "3", "--out", str(out))
    assert set(data) == PRINT_KEYS | THING_KEYS | {"packs"}
    assert (data["count"], data["state"], data["target"], data["reason"]) == (3, "PRINTED", "", "")
    house.call("correct", "party", "product", "Hot smoked haddock", "cook", "", "--why", "asked for")
    said = house.call("label", "reprint", f"{stocked.run}/1", "--why", "smeared", "--out", str(out))
    assert said.code == 0
    assert said.out == f"1 labels of run {data['shown']}, packs 0001, are in {out}.\n"
    assert "Note: There is no word on cooking" in said.err
    assert "a qualified person" in said.err


def test_a_finding_has_its_advice(stocked: Any, tmp_path: Path) -> None:
    """In the data each finding names its rule, source, and what to do."""
    house = stocked.house
    house.call("correct", "party", "product", "Hot smoked haddock", "cook", "", "--why", "asked for")
    (finding,) = house.data("label", "pack", stocked.run, "--count", "1", "--out", str(tmp_path / "x.pdf"))["findings"]
    assert set(finding) == {"rule", "what", "why", "source", "blocks", "advice"}
    assert (finding["rule"], finding["blocks"]) == ("use", False)
    assert "lotwake correct party product" in finding["advice"]


def test_an_unfit_label_is_refused_until_it_is_mended(stocked: Any, tmp_path: Path) -> None:
    """The refusal names the command; done as it says, the label prints. A sample and a picture are given before."""
    house, out = stocked.house, str(tmp_path / "x.pdf")
    house.choose('market = "us"\n')
    house.call("correct", "party", "product", "Hot smoked haddock", "ingredients", "haddock, salt", "--why", "test")
    house.call("correct", "party", "product", "Hot smoked haddock", "allergens", "fish", "--why", "test")
    refused = house.call("label", "pack", stocked.run, "--count", "1", "--out", out)
    assert refused.code == 3
    assert 'lotwake correct party product "Hot smoked haddock" allergens "fish (haddock)"' in refused.err
    sample = house.data("label", "sample", stocked.run, "--out", str(tmp_path / "s.pdf"))
    assert any(finding["blocks"] for finding in sample["findings"])
    assert house.call("label", "preview", stocked.run, "--out", str(tmp_path / "p.png")).code == 0
    words = "fish (haddock)"
    assert (
        house.call("correct", "party", "product", "Hot smoked haddock", "allergens", words, "--why", "label").code == 0
    )
    assert house.call("label", "pack", stocked.run, "--count", "1", "--out", out).code == 0


def test_a_sample_is_of_no_pack(stocked: Any, tmp_path: Path) -> None:
    """A sample has no serial, and neither it nor a picture is in the record."""
    house, before = stocked.house, stocked.house.journal_end()
    data = house.data("label", "sample", stocked.run, "--out", str(tmp_path / "s.pdf"))
    assert set(data) == {"file", "findings", "caution"} | THING_KEYS
    with opened(tmp_path / "s.pdf") as document:
        (text,) = texts(picture(document, 0, DOTS_203))
        words = document[0].get_textpage().get_text_range()
    assert text.endswith(f"(10){stocked.run}")
    assert "SAMPLE" in words
    assert house.data("label", "sample", stocked.cases[0], "--out", str(tmp_path / "c.pdf"))["kind"] == "case"
    refused = house.call("label", "sample", stocked.batch, "--out", str(tmp_path / "b.pdf"))
    assert (refused.code, "a sample needs a run or case" in refused.err) == (2, True)
    assert house.journal_end() == before


@pytest.mark.parametrize(("what", "part"), [("run", "(21)0001"), ("case", "(37)12"), ("batch", "(91)")])
def test_a_picture_reads_like_the_label(stocked: Any, tmp_path: Path, what: str, part: str) -> None:
    """The picture of a label or card has a pixel for every printer dot and scans like the thing."""
    code = {"run": stocked.run, "case": stocked.cases[0], "batch": stocked.batch}[what]
    out = tmp_path / "label.png"
    data = stocked.house.data("label", "preview", code, "--out", str(out))
    assert (data["kind"], data["code"], data["file"]) == (what, code, str(out))
    with Image.open(out) as image:
        assert round(image.info["dpi"][0]) == 203
        assert any(part in text for text in texts(image))
    assert [path.name for path in tmp_path.iterdir() if path.suffix == ".png"] == ["label.png"]


def test_cards_for_trays(stocked: Any, tmp_path: Path) -> None:
    """One card for each tray, in the history of the batch; once more only with a reason."""
    house, out = stocked.house, tmp_path / "cards.pdf"
    data = house.data("label", "card", stocked.batch, "--trays", "3", "--out", str(out))
    assert set(data) == PRINT_KEYS | THING_KEYS
    assert (data["count"], data["code"]) == (3, stocked.batch)
    with opened(out) as document:
        assert [texts(picture(document, page, DOTS_203)) for page in range(3)] == [{f"(91){stocked.batch}"}] * 3
    refused = house.call("label", "card", stocked.batch, "--out", str(out))
    assert (refused.code, "has its card already" in refused.err) == (3, True)
    assert house.call("label", "card", stocked.batch, "--why", "wet", "--out", str(out)).code == 0
    acts = [line["act"] for line in house.data("find", stocked.batch)["things"][0]["history"]]
    assert acts.count("print card") == 2
    assert house.data("find", f"(91){stocked.batch}")["things"][0]["code"] == stocked.batch


def test_a_job_waits_and_is_sent(stocked: Any, tmp_path: Path) -> None:
    """With the printer away the call ends with 6 and says how to go on; the job is listed, sent elsewhere, and gone."""
    house = stocked.house
    house.choose(f'printer = "{NOBODY}"\n')
    said = house.call("label", "pack", stocked.run, "--count", "3", "--out", str(tmp_path / "x.pdf"))
    assert said.code == 6
    assert "did not reach printer" in said.err
    (job,) = house.data("label", "jobs")
    assert (job["state"], job["packs"], job["count"], job["kind"]) == ("WAITING", {"first": 1, "last": 3}, 3, "run")
    assert f"lotwake label send {job['job']}" in said.err
    assert house.call("label", "send", str(job["job"])).code == 6
    folder = tmp_path / "out"
    folder.mkdir()
    sent = house.data("label", "send", str(job["job"]), "--to", f"folder:{folder}")
    assert set(sent) == {"job", "state", "target", "reason", "again"}
    assert (sent["state"], sent["again"], len(list(folder.iterdir()))) == ("PRINTED", False, 1)
    assert house.data("label", "jobs") == []
    again = house.call("label", "send", str(job["job"]))
    assert (again.code, "settled already: PRINTED" in again.err) == (3, True)
    assert house.data("verify")["whole"] is True


def test_a_job_nobody_knows_of_asks(stocked: Any, tmp_path: Path) -> None:
    """A job that broke off at a folder somebody else empties is not sent again; the call says to look and to settle."""
    house = stocked.house
    call = ("label", "pack", stocked.run, "--count", "3", "--to", NOBODY, "--out", str(tmp_path / "x.pdf"))
    assert house.call(*call).code == 6
    job = house.data("label", "jobs")[0]["job"]
    folder = tmp_path / "out"
    folder.mkdir()
    marker = house.folder / "spool" / f"{stocked.run}-{job}.sending"
    marker.write_text(f"folder {folder}")
    os.utime(marker, (0, 0))
    said = house.call("label", "send", str(job), "--to", f"folder:{folder}")
    assert said.code == 6
    assert f"Nobody knows whether job {job} came out at folder {folder}" in said.err
    assert f"lotwake label settle {job} came-out, or not" in said.err
    assert (house.data("label", "jobs")[0]["state"], list(folder.iterdir())) == ("PENDING", [])


@pytest.mark.parametrize(("word", "state", "waiting"), [("came-out", "PRINTED", 0), ("not", "FAILED", 3)])
def test_a_person_settles_a_job(stocked: Any, tmp_path: Path, word: str, state: str, waiting: int) -> None:
    """What came out is said by hand; when nothing did, its packs wait for labels."""
    house = stocked.house
    house.call("label", "pack", stocked.run, "--count", "95", "--out", str(tmp_path / "a.pdf"))
    call = ("label", "pack", stocked.run, "--count", "3", "--to", NOBODY, "--out", str(tmp_path / "x.pdf"))
    assert house.call(*call).code == 6
    job = house.data("label", "jobs")[0]["job"]
    assert house.data("label", "settle", str(job), word) == {"job": job, "state": state, "prints": [job]}
    balance = house.data("label", "reconcile", stocked.run)
    assert (balance["unlabelled"], balance["agrees"]) == (waiting, not waiting)


def test_labels_and_packs_are_reconciled(stocked: Any, tmp_path: Path) -> None:
    """The numbers of a run, with labels spoiled and those gone from the roll; what is missing is said."""
    house = stocked.house
    house.call("label", "pack", stocked.run, "--count", "98", "--out", str(tmp_path / "a.pdf"))
    wasted = house.data("label", "waste", stocked.run, "4", "--why", "the roll jammed")
    assert (wasted["wasted"], wasted["reason"], wasted["code"]) == (4, "the roll jammed", stocked.run)
    data = house.data("label", "reconcile", stocked.run, "--used", "104")
    assert data == {
        "kind": "run", "code": stocked.run, "shown": data["shown"], "made": 100, "void": 2, "packs": 98, "first": 98,
        "waiting": 0, "unsure": 0, "twice": 0, "reprints": 0, "wasted": 4, "unlabelled": 0, "used": 102, "agrees": True,
        "counted": 104, "missing": 2,
    }  # fmt: skip
    said = house.call("label", "reconcile", stocked.run, "--used", "102").out
    assert "98 packs (100 made, 2 void)" in said
    assert "Labels and packs agree." in said
    assert "102 counted: all of them are accounted for." in said


def test_stocks_and_their_calibration_page(house: Any, tmp_path: Path) -> None:
    """The shipped stocks and the house's own are listed; each has a page to measure; a wrong file is named."""
    (house.folder / "stock").mkdir()
    file = house.folder / "stock" / "ours.toml"
    file.write_text('name = "our roll"\nwidth_mm = 90\nheight_mm = 60\nmargin_mm = 2\nbar_heights_mm = [9, 7]\n')
    seen = {stock["name"]: stock for stock in house.data("label", "stocks")}
    assert seen["our roll"] == {
        "name": "our roll", "width_mm": 90, "height_mm": 60, "labels_per_page": 1, "own": True, "chosen": False,
    }  # fmt: skip
    assert [name for name, stock in seen.items() if stock["chosen"]] == ["roll 100 x 60 mm"]
    assert seen["A4 sheet, 3 x 7 labels"]["labels_per_page"] == 21
    out = tmp_path / "page.pdf"
    assert house.data("label", "calibrate", "--stock", "our roll", "--out", str(out)) == {
        "file": str(out), "stock": "our roll", "target": "",
    }  # fmt: skip
    with opened(out) as document:
        assert "This line is 80 mm long." in document[0].get_textpage().get_text_range()
    refused = house.call("label", "calibrate", "--stock", "theirs", "--out", str(out))
    assert (refused.code, "there is no label stock 'theirs'" in refused.err) == (2, True)
    file.write_text("name = 7\n")
    wrong = house.call("label", "stocks")
    assert (wrong.code, "ours.toml" in wrong.err) == (2, True)


@pytest.mark.parametrize(
    ("words", "code", "says"),
    [
        (("send", "7"), 4, "There is no print job 7"),
        (("settle", "7", "not"), 4, "There is no print job 7"),
        (("settle", "7", "perhaps"), 2, "perhaps"),
        (("waste", "{run}", "0", "--why", "jam"), 2, "0 labels cannot be spoiled"),
        (("waste", "{run}", "2"), 2, "--why"),
        (("waste", "{batch}", "2", "--why", "jam"), 2, "needs a run"),
        (("reconcile", "{batch}"), 2, "needs a run"),
        (("card", "{run}", "--out", "x.pdf"), 2, "a card needs a batch"),
        (("pack", "{run}", "--count", "0", "--out", "x.pdf"), 2, "0 labels cannot be printed"),
        (("pack", "{run}", "--count", "1", "--to", "lpt1", "--out", "x.pdf"), 2, "'lpt1' is no printer"),
        (("preview", "{batch}", "--out", "no/x.png"), 6, "cannot be written"),
    ],
)
def test_a_call_that_cannot_be_is_one_sentence(stocked: Any, words: tuple[str, ...], code: int, says: str) -> None:
    """Each refusal has its exit code and says what is wrong; the record stays as it was."""
    before = stocked.house.journal_end()
    said = stocked.house.call("label", *(word.format(run=stocked.run, batch=stocked.batch) for word in words))
    assert (said.code, says in said.err) == (code, True)
    assert "Traceback" not in said.err
    assert stocked.house.journal_end() == before


def test_settings_of_labels_are_checked(house: Any) -> None:
    """A wrong choice in house.toml is refused with the key."""
    house.choose('market = "mars"\n')
    said = house.call("label", "stocks")
    assert (said.code, "house.toml, line 1: market = 'mars' is not known" in said.err) == (2, True)
