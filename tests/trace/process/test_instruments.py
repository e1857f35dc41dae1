"""How far a reading can be trusted, from the checks of its instrument before and after it."""

from __future__ import annotations

from datetime import UTC, date, datetime

import pytest

from lotwake.trace.process.instruments import Check, Standing, Trust, trust, worst

FIRST = datetime(2026, 9, 1, 6, tzinfo=UTC)


def _check(day: int, passed: bool, due: date) -> Check:
    return Check(datetime(2026, 9, day, 6, tzinfo=UTC), passed, due, "0.2 C high" if passed else "3 C low")


GOOD, FAILED, LATER = (
    _check(1, True, date(2026, 9, 15)), _check(10, False, date(2026, 9, 11)), _check(12, True, date(2026, 10, 1)),
)  # fmt: skip


@pytest.mark.parametrize(
    ("checks", "day", "standing", "why"),
    [
        ((), 5, Standing.NEVER_CHECKED, "had not been checked"),
        ((LATER,), 5, Standing.NEVER_CHECKED, "had not been checked"),
        ((GOOD,), 15, Standing.IN_ORDER, ""),
        ((GOOD,), 16, Standing.OUT_OF_DATE, "was to be checked by 15 Sep 2026"),
        ((GOOD, FAILED), 5, Standing.FAILED, "failed its next check on 10 Sep 2026: 3 C low"),
        ((GOOD, FAILED), 11, Standing.FAILED, "failed its check of 10 Sep 2026: 3 C low"),
        ((GOOD, FAILED, LATER), 5, Standing.FAILED, "failed its next check"),
        ((GOOD, FAILED, LATER), 20, Standing.IN_ORDER, ""),
    ],
)
def test_a_reading_is_trusted_by_the_check_before_and_the_check_after(
    checks: tuple[Check, ...], day: int, standing: Standing, why: str
) -> None:
    """No check, one out of date, one that failed before the reading, and one that failed after it are told apart."""
    found = trust(checks, datetime(2026, 9, day, 12, tzinfo=UTC), date(2026, 9, day))
    assert found.standing is standing
    assert found.why.startswith(why)
    assert bool(found.why) == (standing is not Standing.IN_ORDER)


def test_the_worst_counts() -> None:
    """Of several readings the one that can be trusted least says how the instrument stood."""
    assert worst([Trust(Standing.IN_ORDER), Trust(Standing.FAILED, "a"), Trust(Standing.OUT_OF_DATE, "b")]).why == "a"
