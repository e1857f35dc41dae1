"""Fish is weighed after a step on the batch page, and its yield is said."""

from __future__ import annotations

import pytest
from screens_house import House, do, dump, said, work
from screens_judged import judged_house

from lotwake.trace.screens.batch_words import Weight, read_weight
from lotwake.trace.screens.result import Verdict


def test_a_low_yield_is_pointed_out_when_it_is_weighed_and_before_packing(house: House) -> None:
    """Weights typed after two steps give a yield the plan calls LOW: the page says CHECK, and F4 says look at it."""
    here = judged_house(house, well=True)

    async def script(app):  # type: ignore[no-untyped-def]
        await do(app, "/batch\r", f"{here.batch}\r", "/step rinse and drain at 08:26 to 08:30\r")
        await do(app, "/weigh 19 after rinse and drain at 08:31\r")
        assert said(app)[0] is Verdict.GOOD, said(app)
        await do(app, "/weigh 12,4 after smoking\r")
        verdict, words = said(app)
        assert verdict is Verdict.CHECK
        assert "12.4 kg after smoking, 65.3 % of rinse and drain: LOW, usual 80 to 90 % by the plan." in words
        await do(app, "f4")
        assert "Look at: yield smoking LOW." in dump(app)

    work(here, script)


@pytest.mark.parametrize(
    ("typed", "planned", "weight"),
    [
        ("24,6", (), Weight(24_600, "", None)),
        ("24.6 kg after smok", ("smoking",), Weight(24_600, "smoking", None)),
        ("24.6 after Smoking at 70", ("smoking at 60", "smoking at 70"), Weight(24_600, "smoking at 70", None)),
    ],
)
def test_a_weight_is_read(house: House, typed: str, planned: tuple[str, ...], weight: Weight) -> None:
    """A weight alone, or with the step it was taken after, by its beginning or its whole name."""
    desk = house.desk()
    assert read_weight(desk, typed, planned) == weight
    assert read_weight(desk, f"{typed} at 05:40", planned).at is not None
    desk.close()
