"""Pictures from the shell in place of a PDF, and labels that would come out twice or cannot be read."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import pytest
import zxingcpp
from PIL import Image

NOBODY = "ipp://localhost:9/ipp/print"
LOW = 'name = "low A6"\nwidth_mm = 105\nheight_mm = 148\nmargin_mm = 3.5\nbar_heights_mm = [20]\n'


def read(path: Path) -> list[str]:
    """What ZXing-C++ reads in a picture."""
    with Image.open(path) as image:
        return [code.text for code in zxingcpp.read_barcodes(image)]


KINDS = [
    (("pack", "{run}", "--count", "1"), "{run}"),
    (("reprint", "{run}/1", "--why", "smeared"), "{run}"),
    (("case", "{case}"), "{case}"),
    (("card", "{batch}"), "{batch}"),
    (("sample", "{run}"), "{run}"),
    (("sample", "{case}"), "{case}"),
    (("preview", "{run}"), "{run}"),
    (("preview", "{case}"), "{case}"),
    (("preview", "{batch}"), "{batch}"),
]


@pytest.mark.parametrize(("words", "holds"), KINDS, ids=[" ".join(words[:2]) for words, _ in KINDS])
def test_every_kind_comes_as_a_picture(stocked: Any, tmp_path: Path, words: tuple[str, ...], holds: str) -> None:
    """A file name that ends in .png gives a picture that a reader reads, of every kind of label."""
    names = {"run": stocked.run, "case": stocked.cases[0], "batch": stocked.batch}
    out = tmp_path / "label.png"
    data = stocked.house.data("label", *(word.format(**names) for word in words), "--out", str(out))
    assert data["file"] == str(out)
    assert any(holds.format(**names) in text for text in read(out))


def test_pictures_of_several_labels_are_numbered(stocked: Any, tmp_path: Path) -> None:
    """One picture for each, named in the data and in the sentence; a calibration page is a picture too."""
    out = tmp_path / "x.png"
    said = stocked.house.call("label", "pack", stocked.run, "--count", "3", "--out", str(out))
    assert f"are in {tmp_path / 'x-1.png'} to x-3.png." in said.out
    data = stocked.house.data("label", "card", stocked.batch, "--trays", "2", "--out", str(out))
    assert data["files"] == [str(tmp_path / "x-1.png"), str(tmp_path / "x-2.png")]
    page = tmp_path / "page.png"
    stocked.house.data("label", "calibrate", "--out", str(page))
    with Image.open(page) as image:
        assert image.size == (800, 480)


def test_a_preview_says_what_is_on_the_label(stocked: Any, tmp_path: Path) -> None:
    """Fields, symbols with their module in mm, the smallest x-height, and whether it prints."""
    data = stocked.house.data("label", "preview", stocked.cases[0], "--out", str(tmp_path / "x.png"))
    assert {"heading": "SSCC", "value": stocked.cases[0]} in data["fields"]
    assert [symbol["module_mm"] for symbol in data["symbols"]][:3] == [0.5, 0.5, 0.5]
    assert (data["misprints"], data["prints"], data["findings"]) == ([], True, [])
    assert data["x_height_mm"] >= 1.2


def test_what_still_waits_is_not_printed_a_second_time(stocked: Any, tmp_path: Path) -> None:
    """Packs, cases and cards whose job waits are not printed again, with a reason either, until it is sent or given up."""
    house, out = stocked.house, str(tmp_path / "x.pdf")
    (house.folder / "house.toml").write_text(f'printer = "{NOBODY}"\n')
    for words, what in (
        (("pack", stocked.run, "--count", "2"), ("reprint", f"{stocked.run}/2", "--why", "lost")),
        (("case", stocked.cases[0]), ("case", stocked.cases[0], "--why", "lost")),
        (("card", stocked.batch), ("card", stocked.batch, "--why", "lost")),
    ):
        first = house.call("label", *words, "--out", out)
        assert (first.code, "waits" in first.err) == (6, True)
        refused = house.call("label", *what, "--out", out)
        assert (refused.code, "waits for the printer (job" in refused.err) == (3, True), refused.err
    jobs = house.data("label", "jobs")
    assert [job["kind"] for job in jobs] == ["run", "case", "batch"]
    for job in jobs:
        assert house.call("label", "settle", str(job["job"]), "not").code == 0
    (house.folder / "house.toml").write_text("")
    assert house.data("label", "case", stocked.cases[0], "--out", out)["state"] == "PRINTED"
    assert house.data("label", "card", stocked.batch, "--out", out)["state"] == "PRINTED"


def test_a_case_label_that_cannot_be_read_does_not_print(stocked: Any, tmp_path: Path) -> None:
    """On a stock of the house with low bars it is refused with the rule and what to do, and nothing is entered."""
    house = stocked.house
    (house.folder / "stock").mkdir()
    (house.folder / "stock" / "low.toml").write_text(LOW)
    (house.folder / "house.toml").write_text('case_stock = "low A6"\n')
    before = house.journal_end()
    refused = house.call("label", "case", stocked.cases[0], "--out", str(tmp_path / "x.pdf"))
    assert (refused.code, "20.0 mm high, less than 31.75 mm" in refused.err) == (3, True), refused.err
    assert "bar_heights_mm in its file" in refused.err
    assert house.journal_end() == before
    seen = house.data("label", "preview", stocked.cases[0], "--out", str(tmp_path / "x.png"))
    assert ([finding["rule"] for finding in seen["findings"]], seen["prints"]) == (["bar height"], False)
    assert house.data("label", "sample", stocked.cases[0], "--out", str(tmp_path / "s.pdf"))["findings"]


def test_a_case_has_as_many_labels_as_it_has_sides(stocked: Any, tmp_path: Path) -> None:
    """--copies gives each case its label several times, proofed like the first; what cannot be is refused."""
    out = str(tmp_path / "x.png")
    data = stocked.house.data("label", "case", *stocked.cases[:2], "--copies", "2", "--out", out)
    assert (data["count"], len(data["files"])) == (4, 4)
    held = [
        next(text for text in read(Path(path)) if text.startswith("(00)") and len(text) == 22) for path in data["files"]
    ]
    assert held == [f"(00){case}" for case in stocked.cases[:2] for _ in range(2)]
    assert stocked.house.call("label", "case", stocked.cases[2], "--copies", "0", "--out", out).code == 2
