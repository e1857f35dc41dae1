"""A picture in cells: each sign shows just the dots that are ink, with two greys or without colours."""

from __future__ import annotations

import unicodedata

import pytest

from lotwake.trace.screens.cells import EVERY, FINE, HALF, SIGNS, Blocks, cells_of_line


def _drawn(rows: tuple[str, ...], blocks: Blocks, colours: bool = False) -> str:
    grey = bytes(0 if dot == "#" else 255 for row in rows for dot in row)
    return "".join(cell.sign for cell in cells_of_line(grey, len(rows[0]), 0, blocks, colours))


@pytest.mark.parametrize("colours", [True, False], ids=["greys", "plain"])
@pytest.mark.parametrize(
    ("rows", "blocks", "signs"),
    [
        (("#.", "..", ".."), FINE, "\U0001fb00"),  # BLOCK SEXTANT-1
        (("..", "..", "##"), FINE, "\U0001fb2d"),  # BLOCK SEXTANT-56
        (("#.", "#.", "#."), FINE, "▌"),
        ((".#", ".#", ".#"), FINE, "▐"),
        (("##", "##", "##"), FINE, "█"),
        (("..", "..", ".."), FINE, " "),
        (("#.#.", "##.."), HALF, "█▄▀ "),
        (("#.#.", "##.."), SIGNS, ":.' "),
    ],
)
def test_signs_show_the_ink(rows: tuple[str, ...], blocks: Blocks, signs: str, colours: bool) -> None:
    """By the names of the block sextants in Unicode 13.0, U+1FB00 to U+1FB3B."""
    assert _drawn(rows, blocks, colours) == signs


def test_sextants_are_named_as_their_dots() -> None:
    """Each sextant of the set has in its Unicode name the numbers of the dots it shows, as this Python's tables have it."""
    for pattern, sign in enumerate(FINE.signs):
        if ord(sign) >= 0x1FB00:
            places = "".join(str(place + 1) for place in range(6) if pattern >> place & 1)
            assert unicodedata.name(sign) == f"BLOCK SEXTANT-{places}"
    assert [len(blocks.signs) == 2 ** (blocks.across * blocks.down) for blocks in EVERY] == [True] * 3


def test_two_greys_carry_what_a_sign_cannot() -> None:
    """Ink and paper of a cell are the means of its dark and its light dots; without colours there are none."""
    (cell,) = cells_of_line(bytes([10, 250, 30, 250, 20, 250]), 2, 0, FINE, True)
    assert (cell.sign, cell.ink, cell.paper) == ("▌", 17, 255)
    (plain,) = cells_of_line(bytes([10, 250, 30, 250, 20, 250]), 2, 0, FINE, False)
    assert (plain.sign, plain.ink, plain.paper) == ("▌", None, None)
