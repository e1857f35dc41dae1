"""Type heights of the US market. M = from memory of 21 CFR 101.7(i) and 101.2(c)."""

from __future__ import annotations

import pytest

from lotwake.labels.errors import WrongData
from lotwake.labels.layout.phrases import shown_dual_weight
from lotwake.labels.layout.type_sizes import us_figure_height_mm, us_x_height_mm

PANELS = [
    (5, "1/16"), (6, "1/8"), (25, "1/8"), (26, "3/16"), (100, "3/16"), (101, "1/4"), (400, "1/4"), (401, "1/2"),
]  # fmt: skip
WEIGHTS = [(300, "10.5 oz (300 g)"), (28, "0.98 oz (28 g)"), (454, "1 lb (454 g)"), (1250, "2.75 lb (1.25 kg)")]


@pytest.mark.parametrize(("panel_sq_in", "inch"), PANELS)
def test_figure_height_by_panel(panel_sq_in: float, inch: str) -> None:
    """Net quantity figures by area of the principal display panel (M)."""
    above, below = map(int, inch.split("/"))
    assert us_figure_height_mm(panel_sq_in) == pytest.approx(25.4 * above / below)


def test_small_letters_by_panel() -> None:
    """1/16 inch, and 1/32 inch under 12 square inches (M)."""
    assert us_x_height_mm(12) == pytest.approx(25.4 / 16)
    assert us_x_height_mm(11.9) == pytest.approx(25.4 / 32)


@pytest.mark.parametrize(("net_g", "shown"), WEIGHTS)
def test_ounces_are_never_rounded_up(net_g: int, shown: str) -> None:
    """One ounce is 28.349523125 g exactly; three figures, and no more than is in the pack (M)."""
    assert shown_dual_weight(net_g).replace("\xa0", " ") == shown
    number, unit = shown.split()[:2]
    grams = float(number) * (28.349523125 if unit == "oz" else 453.59237)
    assert net_g * 0.99 < grams <= net_g


def test_panel_of_nothing_is_refused() -> None:
    """There is no height for a panel without an area."""
    with pytest.raises(WrongData):
        us_figure_height_mm(0)
