"""What each market asks of a pack label of smoked fish, as data with its sources.

Only what a program can see is here; the law asks for more. Sources marked "from memory" were not read while this was
written. Local codes and a qualified person decide.
"""

from __future__ import annotations

from dataclasses import dataclass

from lotwake.labels.checks import problems as p

CXS_1 = "CXS 1-1985, from memory"
CXS_311 = "CXS 311-2013, from memory"
FIC = "Reg. (EU) 1169/2011"
CMO = "Reg. (EU) 1379/2013 Art. 35"
CFR = "21 CFR part 101"
HAZARDS = "FDA Fish and Fishery Products Hazards and Controls Guidance ch. 13, from memory"
GS1 = "GS1 General Specifications, from memory"


@dataclass(frozen=True)
class Rule:
    """One thing a market asks: how it is looked for, why it is asked, where it is written, and whether it blocks."""

    name: str
    problem: p.Problem
    why: str
    source: str
    blocks: bool = True


@dataclass(frozen=True)
class Market:
    """A market and its rules. ``dual_units`` is True where ounces stand beside grams."""

    key: str
    shown: str
    rules: tuple[Rule, ...]
    dual_units: bool = False
    us_type_sizes: bool = False


_NO_WARM_ROP = "Without air the spores of Clostridium botulinum grow unnoticed where it is warmer."
_ONE_DATE = Rule("one date", p.not_one_date, "A food has one durability date.", CXS_1)
_VARIABLE_MEASURE = Rule(
    "variable measure", p.fixed_weight_gtin, "Readers take the weight only from a GTIN that says it varies.", GS1, False
)

CODEX = Market(
    "codex",
    "Codex Alimentarius",
    (
        _ONE_DATE,
        _VARIABLE_MEASURE,
        Rule("smoked", p.not_smoked_in_name, "The name tells the true nature of the food.", CXS_311),
        Rule("ingredients", p.missing("ingredients", "list of ingredients"), "Buyers choose by it.", CXS_1),
        Rule("allergens", p.allergen_not_declared, "Some people must not eat fish.", CXS_1),
        Rule("storage", p.missing("storage", "storage instruction"), "The date holds only with it.", CXS_1),
        Rule("reduced oxygen", p.warm_reduced_oxygen, _NO_WARM_ROP, CXS_311),
        Rule("thawed", p.thawed_not_said, "Who buys it must not freeze it again unknowing.", CXS_1, blocks=False),
        Rule(
            "country", p.missing("country_of_origin", "country of origin"),
            "Its absence may mislead about where the fish was smoked.", CXS_1, blocks=False,
        ),
        Rule("use", p.missing("cook", "word on cooking or eating as it is"), "It is asked for where needed.", CXS_1, False),
    ),
)  # fmt: skip

EU = Market(
    "eu",
    "the European Union",
    (
        Rule("one date", p.not_one_date, "Best before and use by mean different things.", f"{FIC} Art. 24, from memory"),
        _VARIABLE_MEASURE,
        Rule("smoked", p.not_smoked_in_name, "The name says how the food was treated.", f"{FIC} Annex VI, from memory"),
        Rule(
            "ingredients", p.missing("ingredients", "list of ingredients"), "Buyers choose by it.",
            f"{FIC} Art. 9, from memory",
        ),
        Rule(
            "allergens", p.allergen_not_emphasised, "They stand out in the list of ingredients.",
            f"{FIC} Art. 21, from memory",
        ),
        Rule(
            "fish origin", p.missing("origin_lines", "production method, catch area and gear"),
            "The buyer learns how and where the fish was caught or farmed.", CMO,
        ),
        Rule("storage", p.missing("storage", "storage instruction"), "The date holds only with it.", f"{FIC} Art. 25"),
        Rule(
            "approval number", p.missing("approval_number", "approval number"),
            "Food of animal origin names its establishment.", "Reg. (EC) 853/2004 Annex II, from memory",
        ),
        Rule(
            "identification mark", p.missing("approval_mark", "oval identification mark on this label"),
            "It has to be on the pack before it leaves, on the label or beside it.",
            "Reg. (EC) 853/2004 Annex II, from memory", blocks=False,
        ),
        Rule("field of vision", p.apart, "Name and net weight are read together.", f"{FIC} Art. 13(5)"),
        Rule("type size", p.small_eu_type, "Particulars can be read.", f"{FIC} Art. 13(2)-(3)"),
        Rule("net figures", p.small_eu_figures, "The weight can be read.", "Directive 76/211/EEC Annex I 3.1"),
        Rule("thawed", p.thawed_not_said, "Thawed food is not frozen again.", f"{FIC} Annex VI A.2, from memory"),
        Rule("atmosphere", p.atmosphere_not_said, "It is said beside the name.", f"{FIC} Annex III, from memory"),
        Rule("reduced oxygen", p.warm_reduced_oxygen, _NO_WARM_ROP, CXS_311),
        Rule(
            "percentage", p.no_percentage, "An ingredient in the name has its percentage.",
            f"{FIC} Art. 22, from memory", blocks=False,
        ),
        Rule(
            "nutrition", p.no_nutrition,
            "Small makers that sell to consumers or local shops may be exempt.", f"{FIC} Annex V 18-19, from memory",
            blocks=False,
        ),
        Rule("face", p.face_unknown, "Type sizes go by the largest face.", f"{FIC} Art. 13(3)", blocks=False),
    ),
)  # fmt: skip

US = Market(
    "us",
    "the United States",
    (
        _ONE_DATE,
        _VARIABLE_MEASURE,
        Rule("smoked", p.not_smoked_in_name, "The statement of identity names the food.", f"{CFR}.3, from memory"),
        Rule("English", p.not_english, "All particulars stand in English.", f"{CFR}.15, from memory"),
        Rule("ingredients", p.missing("ingredients", "list of ingredients"), "Buyers choose by it.", f"{CFR}.4, from memory"),
        Rule("allergens", p.allergen_not_declared, "Some people must not eat fish.", "FALCPA 2004, from memory"),
        Rule(
            "species as allergen", p.species_not_in_allergens, "Of fish the species is named.",
            "FALCPA 2004, from memory",
        ),
        Rule("dual units", p.no_dual_units, "Net quantity stands in both systems.", f"{CFR}.7"),
        Rule("net figures", p.small_us_figures, "The weight can be read.", f"{CFR}.7, from memory"),
        Rule("type size", p.small_us_type, "Particulars can be read.", f"{CFR}.2, from memory"),
        Rule("reduced oxygen", p.no_keep_cold, _NO_WARM_ROP, HAZARDS),
        Rule("storage", p.missing("storage", "storage instruction"), "The date holds only with it.", HAZARDS, False),
        Rule("thawed", p.thawed_not_said, "Who buys it must not freeze it again unknowing.", "common practice", False),
        Rule(
            "place of the net quantity", p.always("Stick the label so that the net weight is in the lowest 30 %."),
            "It stands low on the principal display panel above 5 square inches.", f"{CFR}.7, from memory",
            blocks=False,
        ),
        Rule(
            "nutrition", p.missing("nutrition", "nutrition facts panel"), "Small businesses may be exempt.",
            f"{CFR}.9, from memory", blocks=False,
        ),
        Rule("panel", p.face_unknown, "Type sizes go by the principal display panel.", f"{CFR}.1", blocks=False),
    ),
    dual_units=True,
    us_type_sizes=True,
)  # fmt: skip

MARKETS = {market.key: market for market in (CODEX, EU, US)}
