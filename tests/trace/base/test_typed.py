"""What is typed on any keyboard is found beside what was written down."""

from __future__ import annotations

import pytest

from lotwake.trace.base.typed import bare


@pytest.mark.parametrize(
    ("written", "typed"),
    [
        ("Kråkenebb Wholesale", "krakenebb wholesale"),
        ("Nøkkelvær Hotel", "NOKKELVAER HOTEL"),
        ("Ullskjær", "ullskjaer"),
        ("Niño", "nino"),
        ("Þór", "thor"),
        ("Straße", "strasse"),
        ("27.4.b", "27.4.B"),
    ],
)
def test_signs_above_letters_need_not_be_typed(written: str, typed: str) -> None:
    """A name and what a plain keyboard has for it are the same once bare."""
    assert bare(written) == bare(typed)


def test_other_letters_stay_apart() -> None:
    """Only signs above letters and case are left out: other letters, digits and signs still tell names apart."""
    assert len({bare(name) for name in ("Aurora", "Aurore", "Aurora 2", "Au-rora")}) == 4
