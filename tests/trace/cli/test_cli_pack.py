"""Ends of packs from the shell, and the way back."""

from __future__ import annotations

from typing import Any

import pytest


@pytest.mark.parametrize("kind", ["void", "destroyed", "sample", "lost"])
def test_an_end_is_taken_back(house: Any, stocked: Any, kind: str) -> None:
    """``pack undo-end`` puts packs back with a reason; once more is refused, and the record is whole."""
    packs = f"{stocked.run}/99-100"
    house.data("pack", "end", packs, kind, "--why", "wrong box")
    data = house.data("pack", "undo-end", packs, "--why", "another box")
    assert (data["code"], data["first"], data["last"]) == (stocked.run, 99, 100)
    assert house.data("find", f"{stocked.run}/99")["things"][0]["status"] == "IN HOUSE"
    again = house.call("pack", "undo-end", packs, "--why", "another box")
    assert (again.code, "did not end, so nothing is undone" in again.err) == (3, True)
    assert house.call("pack", "undo-end", packs).code == 2
    assert house.data("verify")["problems"] == []
