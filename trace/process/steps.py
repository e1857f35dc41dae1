"""A step's actual time against its window in the scheduled process."""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum

from lotwake.trace.base.errors import CallError


@dataclass(frozen=True)
class StepWindow:
    """How long a step may take, in minutes, and how long after the step before it may begin; None sets no bound."""

    least_min: float | None = None
    most_min: float | None = None
    most_wait_min: float | None = None

    def __post_init__(self) -> None:
        if self.least_min is not None and self.most_min is not None and self.least_min > self.most_min:
            raise CallError(
                f"A step of at least {self.least_min:g} and at most {self.most_min:g} min cannot be.",
                "Were the two exchanged?",
            )


class StepWord(StrEnum):
    """How a step stands against its window."""

    WAITING = "WAITING"
    OVERDUE = "OVERDUE"
    RUNNING = "RUNNING"
    MAY_END = "MAY END"
    RUNNING_LONG = "RUNNING LONG"
    IN_WINDOW = "IN WINDOW"
    SHORT = "SHORT"
    LONG = "LONG"


@dataclass(frozen=True)
class StepTiming:
    """Actual minutes of a step (so far, if it runs), how long it waited to begin, and how both stand."""

    word: StepWord
    actual_min: float | None
    waited_min: float | None
    began_late: bool
    left_min: float | None
    """Minutes until it may end (RUNNING) or must end (MAY END); None where nothing is left."""


def time_step(
    window: StepWindow, now_min: float, ready_min: float | None, start_min: float | None, end_min: float | None
) -> StepTiming:
    """How one step stands at ``now_min``; all times are minutes from one origin.

    ``ready_min`` is when the step before ended (None for the first). CallError when a step ends before it starts,
    starts before it was ready, or lies in the future.
    """
    _in_order(now_min, ready_min, start_min, end_min)
    begins_min = start_min if start_min is not None else now_min
    waited = None if ready_min is None else begins_min - ready_min
    late = waited is not None and window.most_wait_min is not None and waited > window.most_wait_min
    if start_min is None:
        return StepTiming(StepWord.OVERDUE if late else StepWord.WAITING, None, waited, late, None)
    if end_min is None:
        return _running(window, now_min - start_min, waited, late)
    actual = end_min - start_min
    if window.least_min is not None and actual < window.least_min:
        word = StepWord.SHORT
    elif window.most_min is not None and actual > window.most_min:
        word = StepWord.LONG
    else:
        word = StepWord.IN_WINDOW
    return StepTiming(word, actual, waited, late, None)


def _running(window: StepWindow, so_far: float, waited: float | None, late: bool) -> StepTiming:
    if window.least_min is not None and so_far < window.least_min:
        return StepTiming(StepWord.RUNNING, so_far, waited, late, window.least_min - so_far)
    if window.most_min is None:
        return StepTiming(StepWord.MAY_END, so_far, waited, late, None)
    if so_far <= window.most_min:
        return StepTiming(StepWord.MAY_END, so_far, waited, late, window.most_min - so_far)
    return StepTiming(StepWord.RUNNING_LONG, so_far, waited, late, None)


def _in_order(now_min: float, ready_min: float | None, start_min: float | None, end_min: float | None) -> None:
    if end_min is not None and start_min is None:
        raise CallError("A step that has ended must have a start.", "Enter when it started.")
    known = [moment for moment in (ready_min, start_min, end_min, now_min) if moment is not None]
    if known != sorted(known):
        raise CallError(
            "The times of this step are out of order.",
            "A step starts after the one before it and ends after its start.",
        )
