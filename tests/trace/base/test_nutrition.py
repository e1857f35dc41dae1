"""What 100 g hold: read as people type it, written one way, and refused when it cannot be."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from lotwake.trace.actions.label_words import rounded_g
from lotwake.trace.base.errors import CallError
from lotwake.trace.base.nutrition import EXAMPLE, Nutrition, read_nutrition

HADDOCK = Nutrition(684, 164, 8_100, 1_900, 0, 0, 22_800, 2_400)


@pytest.mark.parametrize(
    "text",
    [
        EXAMPLE,
        "684 kJ / 164 kcal; fat 8.1 g; saturates 1.9 g; carbohydrate 0 g; sugars 0 g; protein 22.8 g; salt 2.4 g",
        "Salt 2,4 protein 22,8 sugars 0 carbohydrate 0 saturates 1,9 fat 8,1 164 KCAL 684kJ",
    ],
)
def test_one_declaration_however_it_is_typed(text: str) -> None:
    """Order, separators, decimal marks and units do not matter; it is written in the order of the Regulation."""
    assert read_nutrition(text) == HADDOCK
    assert str(read_nutrition(text)) == (
        "684 kJ, 164 kcal, fat 8.1 g, saturates 1.9 g, carbohydrate 0 g, sugars 0 g, protein 22.8 g, salt 2.4 g"
    )


@pytest.mark.parametrize(
    ("nutrients", "kj", "kcal"),
    [
        # Factors of Reg. (EU) 1169/2011 Annex XIV, from memory: fat 37 kJ and 9 kcal, carbohydrate and protein 17 and 4.
        ("fat 10, saturates 2, carbohydrate 1, sugars 1, protein 20, salt 2", 370 + 17 + 340, 90 + 4 + 80),
        ("fat 8.1, saturates 1.9, carbohydrate 0, sugars 0, protein 22.8, salt 2.4", 687, 164),
        ("fat 0, saturates 0, carbohydrate 0, sugars 0, protein 0, salt 0", 0, 0),
    ],
)
def test_energy_follows_from_the_nutrients(nutrients: str, kj: int, kcal: int) -> None:
    """An energy that nobody typed is computed with the factors of the Regulation."""
    made = read_nutrition(nutrients)
    assert (made.energy_kj, made.energy_kcal) == (kj, kcal)


@pytest.mark.parametrize(
    ("text", "says"),
    [
        ("", "does not say fat, saturates"),
        (EXAMPLE.replace(", salt 2.4", ""), "does not say salt"),
        (EXAMPLE + ", salt 1", "says salt twice"),
        (EXAMPLE.replace("salt", "sodium"), "'sodium' is no nutrient"),
        (EXAMPLE + ", !", "is no part of"),
        (EXAMPLE.replace("saturates 1.9", "saturates 9"), "more saturates than fat"),
        (EXAMPLE.replace("sugars 0", "sugars 1"), "more sugars than carbohydrate"),
        (EXAMPLE.replace("164 kcal", "684 kcal"), "684 kcal does not follow"),
        (EXAMPLE.replace("684 kJ", "164 kJ"), "164 kJ does not follow"),
        (EXAMPLE.replace("2.4", "2.40005"), "finer than a milligram"),
        ("fat 50, saturates 1, carbohydrate 30, sugars 1, protein 30, salt 1", "more than 100 g"),
    ],
)
def test_what_cannot_be_is_refused(text: str, says: str) -> None:
    """The sentence names what is missing, twice, unknown or impossible."""
    with pytest.raises(CallError) as refused:
        read_nutrition(text)
    assert says in str(refused.value)


MG = st.integers(0, 20_000)


@given(MG, MG, MG, MG, MG, MG)
def test_what_is_written_is_read_again(
    fat: int, part: int, carbohydrate: int, sugar: int, protein: int, salt: int
) -> None:
    """Every declaration reads back from the text in the record, to the milligram."""
    text = (
        f"fat {fat / 1000:.3f} saturates {min(part, fat) / 1000:.3f} carbohydrate {carbohydrate / 1000:.3f}"
        f" sugars {min(sugar, carbohydrate) / 1000:.3f} protein {protein / 1000:.3f} salt {salt / 1000:.3f}"
    )
    made = read_nutrition(text)
    assert read_nutrition(str(made)) == made
    assert (made.fat_mg, made.sugars_mg, made.salt_mg) == (fat, min(sugar, carbohydrate), salt)


@pytest.mark.parametrize(
    ("nutrient", "mg", "shown"),
    [
        # The Union's guidance on tolerances and rounding (December 2012), from memory.
        ("fat", 22_800, "23"), ("protein", 9_960, "10"), ("fat", 8_140, "8.1"), ("sugars", 500, "<0.5"), ("fat", 0, "0"),
        ("saturates", 100, "<0.1"), ("saturates", 110, "0.1"), ("saturates", 10_400, "10"),
        ("salt", 2_440, "2.4"), ("salt", 994, "0.99"), ("salt", 12, "<0.01"), ("salt", 0, "0"),
    ],
)  # fmt: skip
def test_nutrients_are_rounded_as_the_guidance_says(nutrient: str, mg: int, shown: str) -> None:
    """Whole grams from ten on, tenths below, hundredths of salt below a gram, and a word for next to nothing."""
    assert rounded_g(nutrient, mg) == shown
