"""The pictures of the README are those the script draws, and a reader finds in them what the labels say."""

from __future__ import annotations

import subprocess
import sys
from pathlib import Path

import pytest
import zxingcpp
from PIL import Image

TESTS = Path(__file__).parents[1]
GALLERY = TESTS / "gallery"
MOST_BYTES = 60_000
MOST_DIFFERENT = 0.01  # of the pixels: another version of the renderer smooths letters in another way
ALL = "(01)09520000000011(15)270524(10)32632901409(21)0145"
READ = {
    "card": {"(91)22632900557"},
    "case": {
        "(02)09520000000011(37)24", "(15)270524(10)32632901409", "(00)095200000000000127",
        "(00)095200000000000127(02)09520000000011(15)270524(37)24(10)32632901409"
        "(7005)27.4.b(7007)261122261123(7008)HAD(7009)03.12(7010)01",
    },
    "pack": {ALL},
    "pack-qr": {"https://id.gs1.org/01/09520000000011/10/32632901409/21/0145?15=270524"},
    "pack-sample": {ALL.removesuffix("(21)0145")},
    "pack-till": {"9520000000011", "(15)270524(10)32632901409(21)0145"},
    "pack-two-languages": {ALL},
    "pack-us": {ALL},
    "pallet": {"(00)095200000000000134"},
    "small-datamatrix": {ALL},
}  # fmt: skip


@pytest.fixture(scope="module")
def drawn(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The folder into which the script drew its pictures."""
    folder = tmp_path_factory.mktemp("gallery") / "new"
    call = [sys.executable, str(TESTS / "gallery.py"), str(folder)]
    said = subprocess.run(call, capture_output=True, text=True, check=True).stdout
    assert said.count(" bytes") == len(READ)
    return folder


def test_every_picture_is_there_and_small() -> None:
    """The gallery has the pictures of the script and no others, each small enough for a README that names it."""
    readme = (TESTS.parent / "README.md").read_text(encoding="utf-8")
    assert {path.stem for path in GALLERY.iterdir()} == set(READ)
    for path in GALLERY.iterdir():
        assert path.stat().st_size < MOST_BYTES
        assert f"tests/gallery/{path.name}" in readme


@pytest.mark.parametrize("name", READ)
def test_a_picture_reads_as_the_label_says(name: str, drawn: Path) -> None:
    """ZXing-C++ finds just the symbols of the label in the committed picture, which is the one the script draws now."""
    with Image.open(GALLERY / f"{name}.png") as kept, Image.open(drawn / f"{name}.png") as new:
        grey, again = kept.convert("L"), new.convert("L")
    assert grey.size == again.size
    apart = sum(abs(a - b) > 128 for a, b in zip(grey.tobytes(), again.tobytes(), strict=True))
    assert apart <= MOST_DIFFERENT * grey.width * grey.height
    assert {code.text for code in zxingcpp.read_barcodes(grey)} == READ[name]
