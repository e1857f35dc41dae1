"""Type on labels against food law, and the fonts against their own outlines."""

from __future__ import annotations

from importlib import resources

import pytest
from fontTools.pens.boundsPen import BoundsPen
from fontTools.ttLib import TTFont

from lotwake.labels.errors import WrongData
from lotwake.labels.layout.faces import FIGURE_HEIGHT_PER_EM, WIDTHS, X_HEIGHT_PER_EM, Style
from lotwake.labels.layout.type_sizes import min_figure_height_mm, min_x_height_mm

FIGURES = [(50, 2), (51, 3), (150, 3), (200, 3), (201, 4), (500, 4), (1000, 4), (1001, 6)]
FACES = [(79.9, 0.9), (80, 1.2), (300, 1.2)]
FONTS = resources.files("lotwake.labels.layout.fonts")
CUTS = [f"LotwakeLabel-{style.value}{width}" for style in Style for width in WIDTHS]
SAMPLES = {
    "Latin with accents": "ÀÉÎÕÜßçñøåæœłžşğıŠĆŽ",
    "Greek": "Καπνιστός τόνος",
    "Cyrillic": "Копчёная скумбрия їґў",
    "Vietnamese": "Cá hun khói đông lạnh, nước mắm ầ ậ ễ ỡ ự",
    "Filipino": "Tinapang bangus, ₱250, ñ Ñ",
    "signs": "°C µ × ± % − – ½ € ℮ №",
}


@pytest.mark.parametrize(("net_g", "height_mm"), FIGURES)
def test_figure_height_of_the_net_weight(net_g: int, height_mm: int) -> None:
    """Figures are as high as Directive 76/211/EEC Annex I 3.1 asks (published)."""
    assert min_figure_height_mm(net_g) == height_mm


@pytest.mark.parametrize(("face_cm2", "x_height_mm"), FACES)
def test_x_height_by_the_largest_face(face_cm2: float, x_height_mm: float) -> None:
    """x-height is as Reg. (EU) 1169/2011 Art. 13(2)-(3) asks (published)."""
    assert min_x_height_mm(face_cm2) == x_height_mm


def test_amounts_that_cannot_be_are_refused() -> None:
    """Neither a face nor a weight of nothing has a type size."""
    with pytest.raises(WrongData):
        min_x_height_mm(0)
    with pytest.raises(WrongData):
        min_figure_height_mm(0)


def _cut(name: str) -> TTFont:
    with resources.as_file(FONTS / f"{name}.ttf") as path:
        return TTFont(path)


def _top(font: TTFont, char: str) -> float:
    pen = BoundsPen(font.getGlyphSet())
    font.getGlyphSet()[font.getBestCmap()[ord(char)]].draw(pen)
    return float(pen.bounds[3]) / font["head"].unitsPerEm


@pytest.mark.parametrize("name", CUTS)
def test_heights_are_those_of_the_outlines(name: str) -> None:
    """fontTools measures at least the x-height and figure height that the sizes are worked out from."""
    font = _cut(name)
    assert _top(font, "x") >= X_HEIGHT_PER_EM
    assert _top(font, "1") >= FIGURE_HEIGHT_PER_EM
    assert font["name"].getDebugName(6) == name
    assert "fvar" not in font


def test_all_cuts_have_the_same_characters() -> None:
    """One check of a text holds for every style and width, and the wanted scripts are there."""
    maps = [set(_cut(name).getBestCmap()) for name in CUTS]
    assert all(found == maps[0] for found in maps)
    for sample in SAMPLES.values():
        assert {ord(char) for char in sample} <= maps[0]


def test_licence_goes_with_the_fonts() -> None:
    """The OFL text lies beside the cuts, and all of them together stay small."""
    assert "SIL OPEN FONT LICENSE Version 1.1" in (FONTS / "OFL.txt").read_text()
    assert sum(len((FONTS / f"{name}.ttf").read_bytes()) for name in CUTS) < 1_200_000
