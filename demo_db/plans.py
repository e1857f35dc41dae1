"""The scheduled processes the house has adopted: the shipped examples, changed where this house works differently.

The fish of this house rests on ice as a lot, before a batch is made of it, so no plan here has that step.
"""

from __future__ import annotations

from lotwake.trace.process.plan import shipped_plan

HOT_SMOKING, COLD_SMOKING = "Havlykt hot smoking", "Havlykt cold smoking"
FLAVOURING, FLAKES = "Havlykt smoke flavouring", "Havlykt flakes, heated again"
HOTTER_RECORD_MIN = 10
"""From its second version on, hot smoking asks for a core reading every so many minutes."""

_KILN, _COLD, _LIQUID = "Hot smoking, controlled kiln", "Cold smoking", "Liquid smoke, cooked"
_ICE_REST = '[[step]]\nname = "ice rest"\nleast_min = 1440\n\n'
_FLAKES_STEPS = """[[step]]
name = "flaking"

[[step]]
name = "heating again"
least_min = 120
most_min = 150
set_low_c = 70
set_high_c = 85

[[step]]
name = "cooling"

"""


def plans_at_opening() -> tuple[str, ...]:
    """The plans (TOML) that were adopted when the house opened its record."""
    hot = _changed(shipped_plan(_KILN), (_KILN, HOT_SMOKING), (_ICE_REST, ""))
    cold = _changed(
        shipped_plan(_COLD),
        (f'name = "{_COLD}"', f'name = "{COLD_SMOKING}"'),
        (_ICE_REST, ""),
        ('"fillet"', '"trim"'),
        ("least_min = 480\nmost_min = 1440", "least_min = 900\nmost_min = 1080"),
        ('name = "cooling"', 'name = "freezing"'),
    )
    liquid = _changed(shipped_plan(_LIQUID), (_LIQUID, FLAVOURING), (_ICE_REST, ""), ('"split and bone"', '"trim"'))
    return hot, cold, liquid, _flakes(hot)


def hot_smoking_read_closer() -> str:
    """The second version of hot smoking: no more than ten minutes between two readings of the core."""
    return _changed(plans_at_opening()[0], ("longest_gap_min = 15", f"longest_gap_min = {HOTTER_RECORD_MIN}"))


def _flakes(hot: str) -> str:
    """Flakes come from smoked batches: they are heated and cooled by the same limits, and never brined."""
    head, _, rest = hot.partition("[[step]]")
    limits = rest[rest.index("[[limit]]") : rest.rindex("[[limit]]")]
    return _changed(head, (HOT_SMOKING, FLAKES)) + _FLAKES_STEPS + limits


def _changed(text: str, *changes: tuple[str, str]) -> str:
    """The text with each old piece replaced; ValueError when the example no longer has it."""
    for old, new in changes:
        if old not in text:
            raise ValueError(f"the example has no {old!r} to change")
        text = text.replace(old, new)
    return text
