"""What time it is, passed in everywhere, so that a test or the demo season can say so."""

from __future__ import annotations

from datetime import UTC, datetime
from typing import Protocol


class Clock(Protocol):
    """Anything that knows the time."""

    def now(self) -> datetime:
        """The present instant, aware, in UTC."""


class SystemClock:
    """The computer's clock."""

    def now(self) -> datetime:
        return datetime.now(UTC).replace(microsecond=0)


class SetClock:
    """A clock that stands where it was put; for the demo season and the tests."""

    def __init__(self, at: datetime) -> None:
        self.at = at

    def now(self) -> datetime:
        return self.at.astimezone(UTC).replace(microsecond=0)
