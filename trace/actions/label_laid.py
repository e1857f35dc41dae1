"""Case and pallet labels and cards, laid out on the house's stock and looked at: can they be read where they are used?"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, replace

from lotwake.labels.checks.check import CAUTION, Finding, UnfitLabel, refuse_unfit
from lotwake.labels.checks.on_paper import (
    CARD_ON_PAPER,
    CASE_ON_PAPER,
    UNIT_ON_PAPER,
    PaperRule,
    check_on_paper,
    measured,
)
from lotwake.labels.errors import LabelRefused
from lotwake.labels.layout.card_label import lay_out_card
from lotwake.labels.layout.case_label import lay_out_logistic
from lotwake.labels.layout.ink import Ink
from lotwake.labels.layout.spec import CardSpec, CaseLabelSpec, LogisticSpec, checked_spec
from lotwake.labels.layout.stock import Stock
from lotwake.trace.actions.desk import Desk
from lotwake.trace.actions.label_content import card_spec, unit_label_spec
from lotwake.trace.actions.label_fit import advice
from lotwake.trace.actions.label_setting import case_stock, label_dots
from lotwake.trace.base.errors import Refused
from lotwake.trace.records.find import Thing


@dataclass(frozen=True)
class LaidUnit:
    """The label of a case or pallet on its stock; ``findings`` is what keeps it from being read."""

    spec: LogisticSpec
    ink: Ink
    stock: Stock
    findings: tuple[Finding, ...]
    caution: str = CAUTION


@dataclass(frozen=True)
class LaidCard:
    """A batch or tray card on its stock; ``findings`` is what keeps it from being read."""

    spec: CardSpec
    ink: Ink
    stock: Stock
    findings: tuple[Finding, ...]
    caution: str = CAUTION


def laid_unit(desk: Desk, unit: Thing) -> LaidUnit:
    """The label of a case or pallet; where the fish's origin leaves the words no room, it stands on the packs only.

    Refused when it cannot be laid out.
    """
    spec, stock, dots = unit_label_spec(desk, unit), case_stock(desk), label_dots(desk)
    try:
        ink = lay_out_logistic(spec, stock, dots)
    except LabelRefused:
        if not isinstance(spec, CaseLabelSpec) or spec.origin is None:
            raise
        spec = replace(spec, origin=None)
        ink = lay_out_logistic(spec, stock, dots)
    rules = CASE_ON_PAPER if isinstance(spec, CaseLabelSpec) else UNIT_ON_PAPER
    return LaidUnit(spec, ink, stock, _found(desk, rules, ink, stock))


def laid_cards(desk: Desk, batch: Thing, trays: int = 0, stock_name: str = "") -> list[LaidCard]:
    """The one card of a batch, or one for each of so many trays. Refused when one cannot be laid out."""
    stock, dots = case_stock(desk, stock_name), label_dots(desk)
    trays_shown = [f"{tray} of {trays}" for tray in range(1, trays + 1)] or [""]
    specs = [card_spec(desk, batch, tray) for tray in trays_shown]
    inks = [lay_out_card(checked_spec(spec), stock, dots) for spec in specs]
    return [
        LaidCard(spec, ink, stock, _found(desk, CARD_ON_PAPER, ink, stock))
        for spec, ink in zip(specs, inks, strict=True)
    ]


def must_print(labels: Iterable[LaidUnit | LaidCard]) -> None:
    """Refused, with what to do, when one of them cannot be read where it is used."""
    for label in labels:
        try:
            refuse_unfit(None, label.findings)
        except UnfitLabel as unfit:
            advices = dict.fromkeys(advice(finding, "") for finding in label.findings)
            raise Refused(unfit.sentence, " ".join(filter(None, advices))) from unfit


def _found(desk: Desk, rules: tuple[PaperRule, ...], ink: Ink, stock: Stock) -> tuple[Finding, ...]:
    return check_on_paper(rules, measured(ink, stock, label_dots(desk)))
