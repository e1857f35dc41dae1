"""Is this label fit to print? Laid out on the house's stock, held against its market, with what to do about each finding."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, replace

from lotwake.labels.checks.check import CAUTION, Finding, UnfitLabel, check_label, for_market, refuse_unfit
from lotwake.labels.checks.facts import pack_facts
from lotwake.labels.checks.on_paper import PACK_ON_PAPER, check_on_paper, measured
from lotwake.labels.errors import LabelRefused
from lotwake.labels.layout.pack_label import PackLayout, lay_out
from lotwake.labels.layout.spec import LabelSpec, checked_spec
from lotwake.labels.layout.symbols import Design
from lotwake.trace.actions.desk import Desk
from lotwake.trace.actions.label_content import pack_label_spec
from lotwake.trace.actions.label_setting import label_design, label_dots, label_market, label_stock
from lotwake.trace.base.errors import Refused
from lotwake.trace.base.nutrition import EXAMPLE as NUTRITION_EXAMPLE
from lotwake.trace.records.find import Thing

LONGEST_SERIAL = 999_999
"""No serial has more than six digits here."""


@dataclass(frozen=True)
class Fit:
    """A pack label that was laid out and looked at; ``findings`` is what its market asks and it lacks."""

    layout: PackLayout
    findings: tuple[Finding, ...]
    design: Design = Design.AUTO
    caution: str = CAUTION

    @property
    def spec(self) -> LabelSpec:
        return self.layout.spec

    @property
    def weights_g(self) -> tuple[int, ...]:
        """The weight of one label to be looked at, where packs are weighed one by one."""
        return (self.spec.net_g,) if self.spec.catch_weight else ()

    def for_serial(self, serial: int | None) -> PackLayout:
        """The layout as a file has it whose longest serial is this one: it may take a smaller symbol."""
        of = self.layout
        return lay_out(of.spec, serial, of.stock, of.dots, self.design)


def look_at(desk: Desk, run: Thing, longest_serial: int | None = LONGEST_SERIAL, heaviest_g: int = 0) -> Fit:
    """Lay the label of a run out and hold it against the house's market. Refused when it cannot be laid out.

    ``heaviest_g`` is the weight of the heaviest pack, where packs are weighed one by one.
    """
    said = pack_label_spec(desk, run)
    try:
        return _laid_out(desk, said, longest_serial, heaviest_g)
    except LabelRefused:
        if not said.approval_mark:
            raise
        # Where the mark leaves the words no room it has to stand beside the label, which is then said.
        return _laid_out(desk, replace(said, approval_mark=()), longest_serial, heaviest_g)


def _laid_out(desk: Desk, said: LabelSpec, longest_serial: int | None, heaviest_g: int) -> Fit:
    stock, market = label_stock(desk), label_market(desk)
    spec = checked_spec(for_market(replace(said, net_g=heaviest_g or said.net_g), market, stock))
    layout = lay_out(spec, longest_serial, stock, label_dots(desk), label_design(desk))
    on_paper = measured(layout.whole_ink(longest_serial), stock, label_dots(desk))
    findings = (*check_label(spec, market, pack_facts(layout)), *check_on_paper(PACK_ON_PAPER, on_paper))
    return Fit(layout, findings, label_design(desk))


def fit_to_print(desk: Desk, run: Thing, longest_serial: int | None = LONGEST_SERIAL, heaviest_g: int = 0) -> Fit:
    """As ``look_at``. Refused, with what to add and by which command, when a finding blocks."""
    found = look_at(desk, run, longest_serial, heaviest_g)
    try:
        refuse_unfit(label_market(desk), found.findings)
    except UnfitLabel as unfit:
        product = found.spec.product_name
        advices = dict.fromkeys(advice(finding, product) for finding in found.findings if finding.blocks)
        sample = f"Or print a sample: lotwake label sample {run.shown} --out FILE."
        raise Refused(unfit.sentence, " ".join(filter(None, (*advices, sample)))) from unfit
    return found


def in_words(findings: Iterable[Finding], product: str) -> list[str]:
    """Each finding with what to do about it."""
    return [f"{finding} {advice(finding, product)}".strip() for finding in findings]


def advice(finding: Finding, product: str) -> str:
    """What a house does about a finding: the command or the setting, or nothing where only a person can tell."""
    if finding.rule in _PRODUCT:
        field, example = _PRODUCT[finding.rule]
        return f'Say it: lotwake correct party product "{product}" {field} "{example}" --why REASON.'
    return _OTHER.get(finding.rule, "")


_PRODUCT = {
    "nutrition": ("nutrition", NUTRITION_EXAMPLE),
    "smoked": ("name", "Hot smoked haddock"),
    "ingredients": ("ingredients", "haddock (fish) 97 %, salt, beech smoke"),
    "percentage": ("ingredients", "haddock (fish) 97 %, salt, beech smoke"),
    "allergens": ("ingredients", "haddock (fish) 97 %, salt, beech smoke"),
    "species as allergen": ("allergens", "fish (haddock)"),
    "storage": ("keeping", "frozen"),
    "reduced oxygen": ("storage", "Keep frozen at -18 °C or colder."),
    "atmosphere": ("storage", "Keep frozen at -18 °C or colder. Packaged in a protective atmosphere."),
    "thawed": ("storage", "Thawed: this product was frozen. Do not refreeze."),
    "use": ("serving", "to be cooked"),
}
_STOCK = "Take larger stock, or shorten the text."
_FACE = "Say it in house.toml: pack_face_cm2 = 70, the area of the pack's largest face."
_OTHER = {
    "fish origin": "Say it for each lot: lotwake correct field LOT method 'caught at sea', area 27.4.b, gear OTB.",
    "approval number": 'Say it: lotwake correct party house "NAME OF THE HOUSE" approval "NO X-999" --why REASON.',
    "country": 'Say it in house.toml: country_of_origin = "Norway".',
    "English": 'Say it in house.toml: languages = ["english"].',
    "type size": f"Take larger stock. {_FACE}",
    "net figures": f"Take larger stock. {_FACE}",
    "face": _FACE,
    "panel": _FACE,
    "on the label": _STOCK,
    "text apart": _STOCK,
    "quiet zone": _STOCK,
    "letters": _STOCK,
    "bar height": "Take stock with higher bars: bar_heights_mm in its file.",
    "module width": "Take wider stock, or a printer with finer dots.",
}
