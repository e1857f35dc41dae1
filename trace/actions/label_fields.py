"""What a label says, as headings and values: for whoever reads it as text instead of looking at its picture."""

from __future__ import annotations

from datetime import date

from lotwake.labels.layout.spec import CardSpec, LabelSpec, LogisticSpec, MixedLabelSpec, food_name
from lotwake.trace.base.moments import show_day
from lotwake.trace.base.units import show_mass

Fields = tuple[tuple[str, str], ...]
"""(heading, value) pairs; what the label does not say is left out."""


def pack_fields(spec: LabelSpec) -> Fields:
    """A pack label."""
    return _said(
        ("name", food_name(spec)),
        ("net", show_mass(spec.net_g)),
        ("species", f"{spec.species_commercial} ({spec.species_latin})"),
        ("lot", spec.lot_shown),
        ("packed", _day(spec.packed_on)),
        ("best before", _day(spec.best_before)),
        ("use by", _day(spec.use_by)),
        ("ingredients", spec.ingredients),
        ("contains", ", ".join(spec.allergens)),
        ("storage", spec.storage),
        ("cook", spec.cook),
        *(("fish", line) for line in spec.origin_lines),
        ("product of", spec.country_of_origin),
        ("nutrition", spec.nutrition),
        ("producer", f"{spec.producer_name}, {spec.producer_address} {spec.approval_number}".strip()),
        ("mark", " ".join(spec.approval_mark)),
    )


def unit_fields(spec: LogisticSpec) -> Fields:
    """The label of a case or pallet."""
    if isinstance(spec, MixedLabelSpec):
        return _said(
            ("SSCC", spec.sscc), *spec.pairs, *(("holds", line) for line in spec.contents), ("storage", spec.storage),
            ("from", f"{spec.producer_name}, {spec.producer_address} {spec.approval_number}".strip()),
        )  # fmt: skip
    return _said(
        ("name", food_name(spec)),
        ("SSCC", spec.sscc),
        ("lot", spec.lot_shown),
        ("best before", _day(spec.best_before)),
        ("use by", _day(spec.use_by)),
        ("cases", str(spec.cases or "")),
        ("packs", str(spec.pack_count)),
        ("net", show_mass(spec.net_g)),
        ("storage", spec.storage),
        ("from", f"{spec.producer_name}, {spec.producer_address} {spec.approval_number}".strip()),
    )


def card_fields(spec: CardSpec) -> Fields:
    """The card of a batch or tray."""
    return _said(("title", spec.title), ("code", spec.code_shown), ("tray", spec.tray), *spec.details)


def _said(*pairs: tuple[str, str]) -> Fields:
    return tuple((heading, value) for heading, value in pairs if value)


def _day(day: date | None) -> str:
    return "" if day is None else show_day(day)
