"""Cut the label fonts from the variable Noto Sans, and write them beside this file.

Run once by hand when the set of characters or cuts changes; labels are made from the files, not from this script:

    pip install fonttools fontpkg-noto-sans
    python cut_fonts.py FOLDER_WITH_THE_VARIABLE_FONTS

The cuts are static, for PDF readers and printers know no variable fonts, and each has a name of its own: two files with
one PostScript name are one font to a PDF. Licence of source and cuts: SIL Open Font License 1.1, in OFL.txt.
"""

from __future__ import annotations

import sys
from pathlib import Path

from fontTools import subset
from fontTools.ttLib import TTFont
from fontTools.varLib import instancer

FAMILY = "Lotwake Label"
SOURCES = {
    "Regular": "NotoSans[wdth,wght].ttf",
    "Bold": "NotoSans[wdth,wght].ttf",
    "Italic": "NotoSans-Italic[wdth,wght].ttf",
}
WEIGHTS = {"Regular": 400, "Bold": 700, "Italic": 400}
WIDTHS = {"100": 100.0, "87": 87.5, "75": 75.0}  # per cent of the normal width
# Latin with all its extensions (Vietnamese, Filipino), Greek, Cyrillic; marks and signs that labels use. Combining marks
# are left out on purpose: nothing would place them, so text with them must be refused.
RANGES = ((0x20, 0x7E), (0xA0, 0xAC), (0xAE, 0x24F), (0x1E00, 0x1EFF), (0x370, 0x3FF), (0x400, 0x52F))
SIGNS = "‐‑‒–—―‘’‚“”„†‡•…‰′″‹›⁄₱€№™Ωℓ⅓⅔⅛←→−≈≠≤≥Ω℮"


def cut(folder: Path, style: str, width: str) -> Path:
    """Write one static cut beside this file and return its path."""
    font = TTFont(folder / SOURCES[style])
    options = subset.Options(
        layout_features=[],
        hinting=False,
        name_IDs=["*"],
        notdef_outline=True,
        drop_tables=["GPOS", "GSUB", "GDEF", "STAT"],
    )
    subsetter = subset.Subsetter(options)
    subsetter.populate(
        unicodes=[code for first, last in RANGES for code in range(first, last + 1)] + [ord(char) for char in SIGNS]
    )
    subsetter.subset(font)
    font = instancer.instantiateVariableFont(font, {"wght": WEIGHTS[style], "wdth": WIDTHS[width]})
    _rename(font, f"{style}{width}")
    font["head"].modified = font["head"].created
    font.recalcTimestamp = False
    path = Path(__file__).with_name(f"LotwakeLabel-{style}{width}.ttf")
    font.save(path)
    return path


def _rename(font: TTFont, cut_name: str) -> None:
    names = font["name"]
    licence = {name_id: names.getDebugName(name_id) for name_id in (0, 13, 14)}
    names.names = []
    texts = {
        1: f"{FAMILY} {cut_name}",
        2: "Regular",
        3: f"{FAMILY} {cut_name}; cut from Noto Sans",
        4: f"{FAMILY} {cut_name}",
        6: f"LotwakeLabel-{cut_name}",
    }
    for name_id, text in {**texts, **licence}.items():
        if text:
            names.setName(text, name_id, 3, 1, 0x409)


def main() -> None:
    """Cut every style in every width."""
    folder = Path(sys.argv[1])
    for style in SOURCES:
        for width in WIDTHS:
            path = cut(folder, style, width)
            sys.stdout.write(f"{path.name} {path.stat().st_size} bytes\n")


if __name__ == "__main__":
    main()
