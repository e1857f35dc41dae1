"""The words of a label on keeping and eating, chosen by product, and the promises hidden in words written by hand."""

from __future__ import annotations

from decimal import ROUND_HALF_UP, Decimal
from functools import cache

from lotwake.labels.layout.languages import BUILT_IN, Phrases, phrases_of
from lotwake.trace.base.nutrition import NUTRIENTS, Nutrition, shown_g
from lotwake.trace.records.entries.house import CHILLED, FROZEN, READY, ROOM, TO_COOK

AIR, ATMOSPHERE = "air", "modified atmosphere"
FROZEN_C = -18  # CXS 311-2013 and Reg. (EU) 853/2004 Annex III (from memory)
CHILLED_C, CHILLED_WITHOUT_AIR_C = 4, 3  # CXS 311-2013 (from memory): packs without air at 3 C or colder
COOK_C, COOK_MIN = (
    70,
    2,
)  # six decimal reductions of Listeria monocytogenes: 0.33 min each at 70 C, z 7.5 (process/lethality)


def storage_words(
    words: Phrases, keeping: str | None, packaging: str, fahrenheit: bool = False, opened_days: int = 0
) -> str:
    """How a pack is kept, where the product has no words of its own; nothing when nobody said how it is kept.

    Frozen and chilled packs also say within how many days they are used once opened, where ``opened_days`` is not 0.
    """
    sealed = packaging != AIR
    names: tuple[str, ...] = ()
    celsius = FROZEN_C
    if keeping == FROZEN:
        names = ("keep_frozen", "keep_frozen_until_used" if sealed else "thaw", "do_not_refreeze")
    elif keeping == CHILLED:
        names, celsius = ("keep_chilled",), CHILLED_WITHOUT_AIR_C if sealed else CHILLED_C
    elif keeping == ROOM:
        names = ("keep_dry",)
    shown = _temperature(celsius, fahrenheit)
    opened = [words.sentence("opened", days=opened_days)] if opened_days and keeping in (FROZEN, CHILLED) else []
    return " ".join([*(words.sentence(name, temperature=shown) for name in names), *opened])


_STEPS, _SALT_STEPS = ("1", "0.1", 10_000), ("0.1", "0.01", 1_000)
_NEXT_TO_NOTHING_MG = {"saturates": 100, "salt": 12}
"""How nutrients are rounded: the Union's guidance on tolerances for nutrient values (December 2012), from memory."""


def nutrition_words(words: Phrases, nutrition: Nutrition) -> str:
    """What 100 g hold, in the order of Reg. (EU) 1169/2011 Annex XV, on lines where a table has no room (Art. 34(2))."""
    shown = {name: rounded_g(name, getattr(nutrition, f"{name}_mg")) for name in NUTRIENTS}
    return words.sentence("nutrition", kj=nutrition.energy_kj, kcal=nutrition.energy_kcal, **shown)


def rounded_g(nutrient: str, mg: int) -> str:
    """A nutrient in grams as a label says it: ``23``, ``8.1``, ``<0.5``."""
    least = _NEXT_TO_NOTHING_MG.get(nutrient, 500)
    if 0 < mg <= least:
        return "<0.01" if nutrient == "salt" else f"<{shown_g(least)}"
    coarse, fine, coarse_from_mg = _SALT_STEPS if nutrient == "salt" else _STEPS
    step = coarse if mg >= coarse_from_mg else fine
    rounded = Decimal(mg).scaleb(-3).quantize(Decimal(step), ROUND_HALF_UP)
    return f"{rounded:f}".rstrip("0").rstrip(".") if "." in f"{rounded:f}" else f"{rounded:f}"


def cook_words(words: Phrases, serving: str | None, fahrenheit: bool = False) -> str:
    """How it is eaten, where the product has no words of its own; nothing when nobody said."""
    if serving == READY:
        return words.sentence("ready_to_eat")
    if serving == TO_COOK:
        return words.sentence("cook", temperature=_temperature(COOK_C, fahrenheit), minutes=COOK_MIN)
    return ""


def says_ready_to_eat(text: str) -> bool:
    """Whether words written by hand promise that it can be eaten as it is, in any language that comes with the program."""
    bare = _bare(text)
    return any(_bare(promise) in bare for promise in (READY, *_ready_words()))


@cache
def _ready_words() -> tuple[str, ...]:
    return tuple(phrases_of(name).sentence("ready_to_eat").rstrip(".") for name in BUILT_IN)


def _bare(text: str) -> str:
    return " ".join(text.casefold().replace("-", " ").split())


def _temperature(celsius: int, fahrenheit: bool) -> str:
    """A temperature as a label says it, ``-18 °C (0 °F)``."""
    return f"{celsius} °C ({round(celsius * 9 / 5 + 32)} °F)" if fahrenheit else f"{celsius} °C"
