"""The scheduled process: the written plan for a product, with its steps, windows and critical limits.

A plan is a TOML file that a person can read and change. The record keeps the text of each version that was adopted, and a
batch keeps the version it was made under. The files in ``plans/`` are examples from common practice; none is a constant of
the program, and a house adopts one only by its own decision.
"""

from __future__ import annotations

import tomllib
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from enum import StrEnum
from functools import partial
from importlib import resources
from typing import Any

from lotwake.trace.base.errors import CallError, NotFound
from lotwake.trace.process.basis import CAUTION, must_lie
from lotwake.trace.process.plan_text import PlanText
from lotwake.trace.process.steps import StepWindow
from lotwake.trace.records.entries.house import PACKAGINGS, SMOKING_KINDS


class LimitKind(StrEnum):
    """What a critical limit is about, and which figures it needs."""

    CORE_HEAT = "core heat"
    COOLING = "cooling"
    WATER_PHASE_SALT = "water phase salt"
    AIR_AT_MOST = "air at most"
    RECEIVING = "receiving"
    STEP_TIME = "step time"


_FIGURES: Mapping[LimitKind, frozenset[str]] = {
    LimitKind.CORE_HEAT: frozenset({"core_c", "held_min", "longest_gap_min"}),
    LimitKind.COOLING: frozenset({"longest_gap_min"}),
    LimitKind.WATER_PHASE_SALT: frozenset({"percent", "with_nitrite_percent"}),
    LimitKind.AIR_AT_MOST: frozenset({"air_c", "longest_gap_min"}),
    LimitKind.RECEIVING: frozenset(),
    LimitKind.STEP_TIME: frozenset(),
}
_NEEDED = frozenset({"core_c", "held_min", "percent", "air_c"})
_MONTH_MIN = 43_200.0
_BOUNDS: Mapping[str, tuple[float, float, str]] = {
    "least_min": (0, _MONTH_MIN, "min"),
    "most_min": (0, _MONTH_MIN, "min"),
    "most_wait_min": (0, _MONTH_MIN, "min"),
    "set_low_c": (-40, 150, "C"),
    "set_high_c": (-40, 150, "C"),
    "core_c": (30, 100, "C"),
    "held_min": (0, 1440, "min"),
    "longest_gap_min": (0.1, 120, "min"),
    "percent": (0, 35, "%"),
    "with_nitrite_percent": (0, 35, "%"),
    "air_c": (-40, 150, "C"),
    "low_percent": (1, 200, "%"),
    "high_percent": (1, 200, "%"),
}
"""Between which values a number of a plan can lie at all; beyond them a unit or a decimal mark was mistaken."""


@dataclass(frozen=True)
class PlannedStep:
    """A step of the plan: its window in minutes and, where there is one, the air temperature it is set to (degrees C)."""

    name: str
    window: StepWindow
    set_low_c: float | None = None
    set_high_c: float | None = None
    note: str = ""


@dataclass(frozen=True)
class CriticalLimit:
    """A limit with its figures, its source and, where it protects people, a line of caution.

    ``step`` names the step a STEP_TIME or AIR_AT_MOST limit is about. ``packaging``: the limit counts only for packs of
    this kind; empty for all. ``protects_health`` holds unless the plan says otherwise; of a STEP_TIME only if it says so.
    """

    key: str
    kind: LimitKind
    says: str
    source: str
    figures: Mapping[str, float]
    protects_health: bool
    step: str = ""
    packaging: str = ""

    @property
    def caution(self) -> str:
        return CAUTION if self.protects_health else ""


@dataclass(frozen=True)
class UsualYield:
    """The yield (per cent) that is usual from the weight after ``of`` (empty: what went in) to that after ``step``."""

    step: str
    of: str
    low_percent: float
    high_percent: float
    source: str


@dataclass(frozen=True)
class ScheduledProcess:
    """One version of a plan."""

    name: str
    smoking: str
    source: str
    steps: tuple[PlannedStep, ...]
    limits: tuple[CriticalLimit, ...]
    usual_yields: tuple[UsualYield, ...] = ()

    def step_named(self, name: str) -> PlannedStep | None:
        """The planned step of this name."""
        return next((step for step in self.steps if step.name == name.strip().lower()), None)


def read_plan(text: str, file: str = "") -> ScheduledProcess:
    """The plan in a TOML text; CallError names the step or limit and the key that is wrong, with file and line."""
    try:
        data = tomllib.loads(text)
    except tomllib.TOMLDecodeError as error:
        named = f"The scheduled process in {file}" if file else "The scheduled process"
        raise CallError(f"{named} cannot be read: {error}.", "Mend the line it names.") from None
    source = PlanText(text, file)
    head = _Table("the plan", data, source)
    steps = tuple(_step(_Table(f"step {i}", row, source, "step", i)) for i, row in enumerate(head.rows("step"), 1))
    limits = tuple(_limit(_Table(f"limit {i}", row, source, "limit", i)) for i, row in enumerate(head.rows("limit"), 1))
    yields = tuple(
        _usual_yield(_Table(f"yield {i}", row, source, "yield", i)) for i, row in enumerate(head.rows("yield"), 1)
    )
    smoking = head.word("smoking", SMOKING_KINDS)
    plan = ScheduledProcess(head.text("name"), smoking, head.text("source"), steps, limits, yields)
    head.must_be_used_up()
    _must_hang_together(plan, source)
    return plan


def shipped_plans() -> dict[str, str]:
    """The example plans that come with the program: their names to their TOML texts."""
    folder = resources.files("lotwake.trace.process.plans")
    texts = [file.read_text(encoding="utf-8") for file in folder.iterdir() if file.name.endswith(".toml")]
    return dict(sorted((read_plan(text).name, text) for text in texts))


def shipped_plan(name: str) -> str:
    """The text of one example plan; NotFound names those there are."""
    plans = shipped_plans()
    for known, text in plans.items():
        if known.casefold() == name.strip().casefold():
            return text
    raise NotFound(f"There is no example process called {name!r}.", f"There are: {'; '.join(plans)}.")


class _Table:
    """A TOML table that is read key by key, so that a key nobody asked for is found.

    ``kind`` and ``number`` say which of several tables it is in the text; the head of the plan has none.
    """

    def __init__(self, where: str, data: Mapping[str, Any], source: PlanText, kind: str = "", number: int = 0) -> None:
        self.where = where
        self.left = dict(data)
        self._source, self._kind, self._number = source, kind, number

    def wrong(self, key: str, sentence: str, hint: str) -> CallError:
        """The error for a key of this table, with the place where it stands."""
        return CallError(self._source.placed(sentence, self._kind, self._number, key), hint)

    def text(self, key: str, default: str | None = None) -> str:
        value = self.left.pop(key, default)
        if not isinstance(value, str) or (default is None and not value.strip()):
            raise self.wrong(key, f"In {self.where}, {key} must be a text.", f'Write {key} = "..."')
        return value.strip()

    def number(self, key: str) -> float | None:
        value = self.left.pop(key, None)
        if value is None:
            return None
        if isinstance(value, bool) or not isinstance(value, int | float):
            raise self.wrong(key, f"In {self.where}, {key} must be a number, not {value!r}.", f"Write {key} = 30")
        try:
            return must_lie(f"In {self.where}, {key}", float(value), *_BOUNDS[key])
        except CallError as beyond:
            raise self.wrong(key, beyond.sentence, beyond.hint) from None

    def yes(self, key: str, default: bool) -> bool:
        value = self.left.pop(key, default)
        if not isinstance(value, bool):
            raise self.wrong(key, f"In {self.where}, {key} must be true or false.", f"Write {key} = true")
        return value

    def rows(self, key: str) -> list[dict[str, Any]]:
        value = self.left.pop(key, [])
        if not isinstance(value, list) or not all(isinstance(row, dict) for row in value):
            raise self.wrong(key, f"In {self.where}, {key} must be a list of tables.", f"Write [[{key}]] before each.")
        return value

    def word(self, key: str, allowed: Sequence[str], default: str | None = None) -> str:
        value = self.text(key, default)
        if value != default and value not in allowed:
            raise self.wrong(
                key, f"In {self.where}, {key} {value!r} is not known.", f"Use one of: {', '.join(allowed)}."
            )
        return value

    def must_be_used_up(self) -> None:
        if self.left:
            key = next(iter(self.left))
            raise self.wrong(key, f"In {self.where} there is {key!r}, which means nothing here.", "Take it out.")


def _step(table: _Table) -> PlannedStep:
    name = table.text("name").lower()
    table.where = f"step {name}"
    least, most, wait = table.number("least_min"), table.number("most_min"), table.number("most_wait_min")
    low, high = table.number("set_low_c"), table.number("set_high_c")
    for less, more, unit in ((least, most, "min"), (low, high, "C")):
        if less is not None and more is not None and less > more:
            key = "least_min" if unit == "min" else "set_low_c"
            said = f"In {table.where}, {less:g} to {more:g} {unit} cannot be."
            raise table.wrong(key, said, "Were the two exchanged?")
    step = PlannedStep(name, StepWindow(least, most, wait), low, high, table.text("note", ""))
    table.must_be_used_up()
    return step


def _limit(table: _Table) -> CriticalLimit:
    key = table.text("key")
    table.where = f"limit {key}"
    kind = LimitKind(table.word("kind", list(LimitKind)))
    figures = {name: value for name in sorted(_FIGURES[kind]) if (value := table.number(name)) is not None}
    missing = _NEEDED & _FIGURES[kind] - set(figures)
    if missing:
        raise table.wrong("key", f"In {table.where}, {min(missing)} is missing.", "A limit needs its figure.")
    limit = CriticalLimit(
        key, kind, table.text("says"), table.text("source"), figures,
        table.yes("protects_health", default=kind is not LimitKind.STEP_TIME),
        table.text("step", "").lower(), table.word("packaging", PACKAGINGS, ""),
    )  # fmt: skip
    table.must_be_used_up()
    return limit


def _usual_yield(table: _Table) -> UsualYield:
    low, high = table.number("low_percent"), table.number("high_percent")
    if low is None or high is None or low > high:
        raise table.wrong(
            "low_percent",
            f"In {table.where}, low_percent and high_percent must both be there, the lower first.",
            "Write low_percent = 80 and high_percent = 90",
        )
    found = UsualYield(table.text("step").lower(), table.text("of", "").lower(), low, high, table.text("source"))
    table.must_be_used_up()
    return found


def _must_hang_together(plan: ScheduledProcess, source: PlanText) -> None:
    if not plan.steps:
        raise CallError(
            source.placed(f"The plan {plan.name!r} has no step."), 'Write [[step]] and below it name = "..."'
        )
    for what, key, names in (
        ("step", "name", [step.name for step in plan.steps]),
        ("limit", "key", [item.key for item in plan.limits]),
    ):
        for number, name in enumerate(names, 1):
            if name in names[: number - 1]:
                said = source.placed(f"The {what} {name!r} stands twice in the plan.", what, number, key)
                raise CallError(said, "Give each its own name.")
    for number, usual in enumerate(plan.usual_yields, 1):
        unknown = next((name for name in (usual.step, usual.of) if name and plan.step_named(name) is None), None)
        if unknown:
            said = f"A yield is about a step {unknown!r} that the plan does not have."
            raise CallError(source.placed(said, "yield", number), "Name one.")
    for number, limit in enumerate(plan.limits, 1):
        if limit.kind in (LimitKind.STEP_TIME, LimitKind.AIR_AT_MOST):
            _must_have_step(plan, limit, partial(source.placed, kind="limit", number=number, key="step"))


def _must_have_step(plan: ScheduledProcess, limit: CriticalLimit, placed: Callable[[str], str]) -> None:
    step = plan.step_named(limit.step)
    if step is None:
        said = f"Limit {limit.key} is about a step {limit.step!r} that the plan does not have."
        raise CallError(placed(said), "Name one.")
    if limit.kind is LimitKind.STEP_TIME and step.window.least_min is None and step.window.most_min is None:
        raise CallError(
            placed(f"Limit {limit.key} is about the time of {step.name}, which has no bounds."),
            f"Give the step {step.name} a least_min or a most_min.",
        )
