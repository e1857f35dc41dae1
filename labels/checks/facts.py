"""What a laid out label measures: type heights from the font, and the face it is read on."""

from __future__ import annotations

import re
from dataclasses import dataclass
from typing import TYPE_CHECKING

from lotwake.labels.layout.faces import FIGURE_HEIGHT_PER_EM, PT_PER_MM, X_HEIGHT_PER_EM
from lotwake.labels.layout.text import PlacedText

if TYPE_CHECKING:  # the layout draws, and loads what draws; the check only reads what it measured
    from lotwake.labels.layout.pack_label import PackLayout

CM2_PER_SQ_IN = 6.4516
HRI = re.compile(r"\(\d{2,4}\)\S|\d{12,14}$")
"""What stands under a barcode: elements with their AIs in brackets, or the bare number of a product."""


@dataclass(frozen=True)
class LayoutFacts:
    """Measures of one label.

    ``x_height_mm`` is that of the smallest particular, the figures under a barcode aside; ``net_figure_mm`` the height
    of the figures of the net weight. ``face_cm2`` is the pack's largest face, or the label itself where nobody gave
    the face (``face_known`` is then False), for no face is smaller than what is stuck on it. ``one_field`` is True when
    name and net weight are seen together.
    """

    x_height_mm: float
    net_figure_mm: float
    face_cm2: float
    face_known: bool
    one_field: bool = True

    @property
    def panel_sq_in(self) -> float:
        """Area of the face in square inches."""
        return self.face_cm2 / CM2_PER_SQ_IN


def pack_facts(layout: PackLayout) -> LayoutFacts:
    """Return what the labels of a laid out run measure. Our designs keep name and net weight on one face."""
    spec, stock = layout.spec, layout.stock
    particulars = [text for text in (*layout.shared.texts, *layout.slots) if not HRI.match(text.text)]
    label_cm2 = stock.width_mm * stock.height_mm / 100
    return LayoutFacts(
        x_height_mm=min(map(_x_height_mm, particulars)),
        net_figure_mm=layout.net_figures.size_pt * FIGURE_HEIGHT_PER_EM / PT_PER_MM,
        face_cm2=spec.pack_face_cm2 or label_cm2,
        face_known=spec.pack_face_cm2 is not None,
    )


def _x_height_mm(text: PlacedText) -> float:
    return text.size_pt * X_HEIGHT_PER_EM / PT_PER_MM
