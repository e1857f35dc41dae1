"""Is this label fit to print for its market? What is found, by which rule, and whether it stops the printer."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

from lotwake.labels.checks.facts import CM2_PER_SQ_IN, LayoutFacts
from lotwake.labels.checks.markets import Market
from lotwake.labels.checks.problems import Checked
from lotwake.labels.errors import LabelRefused
from lotwake.labels.layout.spec import LabelSpec
from lotwake.labels.layout.stock import Stock
from lotwake.labels.layout.type_sizes import us_figure_height_mm, us_x_height_mm

CAUTION = (
    "These checks see only what a program can see; what a label must say is decided by the law of its market, local codes"
    " and a qualified person."
)


@dataclass(frozen=True)
class Finding:
    """One thing a market asks and this label lacks. ``blocks`` is True when the label does not print with it."""

    rule: str
    what: str
    why: str
    source: str
    blocks: bool

    def __str__(self) -> str:
        return f"{self.what} {self.why} [{self.rule}: {self.source}]"


class UnfitLabel(LabelRefused):
    """A label that does not print, for its market or at all; ``findings`` lists why, also those that do not block."""

    def __init__(self, market: Market | None, findings: Sequence[Finding]) -> None:
        listed = " ".join(str(finding) for finding in findings if finding.blocks)
        whom = f" for {market.shown}" if market else ""
        super().__init__(f"This label does not print{whom}. {listed}", "Complete it, or print a sample.")
        self.findings = tuple(findings)


def check_label(spec: LabelSpec, market: Market, facts: LayoutFacts) -> tuple[Finding, ...]:
    """Return everything the market asks that this label lacks, in the order of the market's rules."""
    label = Checked(spec, facts)
    return tuple(
        Finding(rule.name, what, rule.why, rule.source, rule.blocks)
        for rule in market.rules
        if (what := rule.problem(label)) is not None
    )


def refuse_unfit(market: Market | None, findings: Sequence[Finding]) -> None:
    """Raise UnfitLabel when a finding blocks; ``market`` is None for what is held against none, cases and cards."""
    if any(finding.blocks for finding in findings):
        raise UnfitLabel(market, findings)


def for_market(spec: LabelSpec, market: Market, stock: Stock) -> LabelSpec:
    """Return the spec with the units and least type heights of the market, as the layout then keeps them."""
    if not market.us_type_sizes:
        return replace(spec, dual_units=market.dual_units)
    panel_sq_in = (spec.pack_face_cm2 or stock.width_mm * stock.height_mm / 100) / CM2_PER_SQ_IN
    figure_mm, x_height_mm = us_figure_height_mm(panel_sq_in), us_x_height_mm(panel_sq_in)
    return replace(spec, dual_units=market.dual_units, net_figure_mm=figure_mm, least_x_height_mm=x_height_mm)
