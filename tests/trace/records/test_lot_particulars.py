"""How a lot came in, its fishing trip, and how much of it is under the minimum size."""

from __future__ import annotations

from typing import Any

import pytest

from lotwake.trace.actions import correct, receive
from lotwake.trace.base.errors import CallError
from lotwake.trace.records import facts
from lotwake.trace.records.facts import LotSeen
from lotwake.trace.records.verify import verify

LANDED: dict[str, Any] = {"kind": "landing", "sender": "Aurora", "g": 40_000, "species": "HAD", "area": "27.4.b"}


def seen(house: Any, ref: int) -> LotSeen:
    return facts.lots(house.desk.records, [ref])[ref]


def test_what_is_said_is_kept_and_corrected(house: Any) -> None:
    """The three particulars are as they were said, none where nobody said, and can be put right with both readable."""
    desk = house.desk
    bare = receive.receive(desk, receive.Arrival(**LANDED))
    assert (seen(house, bare.id).received_as, seen(house, bare.id).trip, seen(house, bare.id).undersize_g) == (
        "",
        "",
        None,
    )
    said = receive.Arrival(**LANDED, received_as="frozen", trip="NO-2026-0007", undersize_g=700)
    lot = receive.receive(desk, said, another=True)
    assert (seen(house, lot.id).received_as, seen(house, lot.id).trip, seen(house, lot.id).undersize_g) == (
        "frozen", "NO-2026-0007", 700,
    )  # fmt: skip
    for field, text in (("received-as", "thawed"), ("trip", "NO-2026-0008"), ("undersize", "1.2 kg")):
        correct.correct(desk, lot.code, field, text, "misread")
    now = seen(house, lot.id)
    assert (now.received_as, now.trip, now.undersize_g) == ("thawed", "NO-2026-0008", 1_200)
    assert verify(desk.records).whole


@pytest.mark.parametrize(
    ("more", "says"),
    [
        ({"received_as": "warm"}, "How it came in 'warm' is not known"),
        ({"undersize_g": 40_001}, "not a part of 40 kg"),
        ({"undersize_g": -1}, "not a part of 40 kg"),
    ],
)
def test_what_cannot_be_is_refused(house: Any, more: dict[str, Any], says: str) -> None:
    """A word that is none of the three, or more small fish than there is fish, is refused."""
    with pytest.raises(CallError) as refused:
        receive.receive(house.desk, receive.Arrival(**LANDED, **more))
    assert says in str(refused.value)


def test_a_corrected_weight_keeps_the_part_a_part(house: Any) -> None:
    """The lot cannot become lighter than its fish under the minimum size."""
    lot = receive.receive(house.desk, receive.Arrival(**LANDED, undersize_g=700))
    with pytest.raises(CallError, match="700 g under the minimum size are not a part of 500 g"):
        correct.correct(house.desk, lot.code, "weight", "500 g", "misread")
    with pytest.raises(CallError, match="not a part"):
        correct.correct(house.desk, lot.code, "undersize", "41 kg", "misread")
