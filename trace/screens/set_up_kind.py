"""What a kind of thing is on the set-up page."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from typing import Any

from lotwake.trace.actions.desk import Desk
from lotwake.trace.records.entries.corrections import CORRECTABLE
from lotwake.trace.screens.arrival_form import DeskOf
from lotwake.trace.screens.widgets import Field

Values = dict[str, Any]


@dataclass(frozen=True)
class Kind:
    """One kind of party or thing. ``add`` writes it down and gives the sentence; ``known`` names those there are.

    What is in the record is put right by a correction with its reason; what is in a file by ``fix``, which changes one of
    the ``parts`` of it.
    """

    name: str
    plural: str
    fields: Callable[[DeskOf], list[Field]]
    add: Callable[[Desk, Values], str]
    known: Callable[[Desk], list[str]]
    fix: Callable[[Desk, Values], str] | None = None
    parts: tuple[str, ...] = ()

    @property
    def correctable(self) -> list[str]:
        """The fields that may be put right later."""
        subject = "source" if self.name in ("boat", "farm", "dealer") else self.name
        return list(self.parts) or sorted(CORRECTABLE.get(subject, ()))
