"""Fit to print? Each rule of each market on a label that lacks just that."""

from __future__ import annotations

from dataclasses import replace
from datetime import date
from typing import Any

import pytest

from lotwake.labels.barcodes.dots import DOTS_203
from lotwake.labels.checks.check import CAUTION, UnfitLabel, check_label, for_market, refuse_unfit
from lotwake.labels.checks.facts import LayoutFacts, pack_facts
from lotwake.labels.checks.markets import CODEX, EU, MARKETS, US, Market
from lotwake.labels.layout.languages import phrases_of
from lotwake.labels.layout.pack_label import lay_out
from lotwake.labels.layout.spec import LabelSpec, Packaging, checked_spec
from lotwake.labels.layout.stock import ROLL_70X40, ROLL_100X60

FACTS = LayoutFacts(x_height_mm=1.7, net_figure_mm=5.0, face_cm2=150, face_known=True)
WHOLE: dict[str, Any] = {
    "allergens": ("haddock", "fish"), "country_of_origin": "Norway", "nutrition": "Energy 500 kJ per 100 g",
    "dual_units": True, "approval_mark": ("NO", "X-999"),
}  # fmt: skip
ROP = Packaging.REDUCED_OXYGEN
MAP = Packaging.PROTECTIVE_ATMOSPHERE

LACKING: list[tuple[Market, dict[str, Any], str, bool]] = [
    (CODEX, {"use_by": date(2027, 1, 1)}, "one date", True),
    (CODEX, {"best_before": None}, "one date", True),
    (CODEX, {"smoking_kind": "with herbs"}, "smoked", True),
    (CODEX, {"ingredients": ""}, "ingredients", True),
    (CODEX, {"allergens": ()}, "allergens", True),
    (CODEX, {"storage": ""}, "storage", True),
    (CODEX, {"packaging": ROP, "storage": "Keep at 5 °C or colder."}, "reduced oxygen", True),
    (CODEX, {"packaging": ROP, "storage": "Keep at 5 C or colder."}, "reduced oxygen", True),
    (CODEX, {"packaging": ROP, "storage": "Keep cool."}, "reduced oxygen", True),
    (CODEX, {"sold_thawed": True}, "thawed", False),
    (CODEX, {"country_of_origin": ""}, "country", False),
    (CODEX, {"cook": ""}, "use", False),
    (CODEX, {"catch_weight": True}, "variable measure", False),
    (EU, {"use_by": date(2027, 1, 1)}, "one date", True),
    (EU, {"allergens": ("fish", "soya")}, "allergens", True),
    (EU, {"origin_lines": ()}, "fish origin", True),
    (EU, {"approval_number": ""}, "approval number", True),
    (EU, {"approval_mark": ()}, "identification mark", False),
    (EU, {"packaging": MAP}, "atmosphere", True),
    (EU, {"packaging": ROP, "storage": "Keep cool."}, "reduced oxygen", True),
    (EU, {"sold_thawed": True}, "thawed", True),
    (EU, {"ingredients": "haddock (fish), salt"}, "percentage", False),
    (EU, {"nutrition": ""}, "nutrition", False),
    (US, {"allergens": ("fish",)}, "species as allergen", True),
    (US, {"dual_units": False}, "dual units", True),
    (US, {"phrases": phrases_of("spanish")}, "English", True),
    (US, {"packaging": ROP, "storage": "At -18 °C or colder."}, "reduced oxygen", True),
    (US, {"nutrition": ""}, "nutrition", False),
]
MEASURED: list[tuple[Market, dict[str, Any], str, bool]] = [
    (EU, {"x_height_mm": 1.19}, "type size", True),
    (EU, {"net_figure_mm": 3.9}, "net figures", True),
    (EU, {"one_field": False}, "field of vision", True),
    (EU, {"face_known": False}, "face", False),
    (US, {"x_height_mm": 1.5}, "type size", True),
    (US, {"net_figure_mm": 3.1}, "net figures", True),
    (US, {"face_known": False}, "panel", False),
]


def _rules(spec: LabelSpec, market: Market, facts: LayoutFacts = FACTS) -> dict[str, bool]:
    return {finding.rule: finding.blocks for finding in check_label(spec, market, facts)}


@pytest.mark.parametrize("market", MARKETS.values(), ids=MARKETS)
def test_whole_label_is_not_held_up(pack_spec: LabelSpec, market: Market) -> None:
    """A label with all particulars has no finding but the reminder of what no program can see."""
    assert set(_rules(replace(pack_spec, **WHOLE), market)) <= {"place of the net quantity"}


@pytest.mark.parametrize(("market", "changes", "rule", "blocks"), LACKING)
def test_each_lack_is_found(
    pack_spec: LabelSpec, market: Market, changes: dict[str, Any], rule: str, blocks: bool
) -> None:
    """The rule that is broken is named, with whether it stops the printer, and no other stops it."""
    found = _rules(replace(pack_spec, **{**WHOLE, **changes}), market)
    assert found.get(rule) is blocks
    assert all(name == rule for name, stops in found.items() if stops)


@pytest.mark.parametrize(("market", "changes", "rule", "blocks"), MEASURED)
def test_each_measure_is_held(
    pack_spec: LabelSpec, market: Market, changes: dict[str, Any], rule: str, blocks: bool
) -> None:
    """Type that is too small, or a label on two faces, is found by what was measured."""
    assert _rules(replace(pack_spec, **WHOLE), market, replace(FACTS, **changes)).get(rule) is blocks


@pytest.mark.parametrize(
    ("changes", "market"),
    [
        ({"packaging": ROP, "storage": "Keep refrigerated at 3 °C or colder."}, CODEX),
        ({"packaging": ROP, "storage": "Keep frozen at \u221218 °C or colder."}, US),
        ({"sold_thawed": True, "storage": "Thawed: this product was frozen."}, EU),
        ({"sold_thawed": True, "storage": "Décongelé. À conserver à 2 °C."}, EU),
        ({"packaging": MAP, "storage": "Packaged in a protective atmosphere. Keep at 2 °C."}, EU),
    ],
)
def test_right_words_are_taken(pack_spec: LabelSpec, changes: dict[str, Any], market: Market) -> None:
    """The wording that a rule asks for is found where it stands."""
    assert not any(_rules(replace(pack_spec, **{**WHOLE, **changes}), market).values())


def test_refusal_lists_what_why_and_by_which_rule(pack_spec: LabelSpec) -> None:
    """The sentence holds all that blocks with its reason and source, and leaves out what does not."""
    findings = check_label(replace(pack_spec, ingredients="", origin_lines=()), EU, FACTS)
    with pytest.raises(UnfitLabel, match="does not print for the European Union") as caught:
        refuse_unfit(EU, findings)
    said = str(caught.value)
    assert "There is no list of ingredients. Buyers choose by it. [ingredients: Reg. (EU) 1169/2011 Art. 9" in said
    assert "1379/2013" in said
    assert "nutrition" not in said
    assert caught.value.findings == findings
    refuse_unfit(EU, [finding for finding in findings if not finding.blocks])


def test_no_text_promises_what_a_program_cannot() -> None:
    """No rule and no caution says that a label is in order; every rule says why and where it is written."""
    texts = [CAUTION, *(text for m in MARKETS.values() for r in m.rules for text in (r.name, r.why, r.source))]
    assert all(texts)
    assert not any(word in text.casefold() for text in texts for word in ("complian", "safe", "legal"))


@pytest.mark.parametrize("market", MARKETS.values(), ids=MARKETS)
def test_layout_keeps_what_its_market_asks(pack_spec: LabelSpec, market: Market) -> None:
    """A label laid out for its market passes that market's type heights, measured on what was laid out."""
    short = {**WHOLE, "nutrition": "", "cook": "", "approval_mark": ()}
    spec = checked_spec(for_market(replace(pack_spec, **short), market, ROLL_100X60))
    facts = pack_facts(lay_out(spec, 999, ROLL_100X60, DOTS_203))
    assert not {"type size", "net figures", "dual units"} & _rules(spec, market, facts).keys()
    assert facts.face_cm2 == 60


def test_small_type_is_measured_on_the_label(pack_spec: LabelSpec) -> None:
    """On a pack with a small face the smallest particular is found to be under 1.2 mm, which a large face forbids."""
    spec = replace(pack_spec, pack_face_cm2=70, cook="Heat to 70 °C.", origin_lines=("Caught in FAO 27",))
    facts = pack_facts(lay_out(checked_spec(spec), None, ROLL_70X40, DOTS_203))
    assert 0.9 <= facts.x_height_mm < 1.2
    assert "type size" not in _rules(spec, EU, facts)
    assert _rules(spec, EU, replace(facts, face_cm2=80))["type size"] is True


@pytest.mark.parametrize(
    "storage", ["Keep at -18 C or colder.", "Keep at \u221218 °C or colder.", "Keep at 0 to 3 °C."]
)
def test_a_cold_pack_without_air_is_found_cold(pack_spec: LabelSpec, storage: str) -> None:
    """A temperature is read with its degree sign and without."""
    spec = replace(pack_spec, packaging=ROP, storage=storage)
    facts = LayoutFacts(x_height_mm=1.5, net_figure_mm=5, face_cm2=70, face_known=True)
    assert "reduced oxygen" not in [finding.rule for finding in check_label(spec, CODEX, facts)]
