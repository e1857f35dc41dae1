"""What a label may claim: only what the record of every batch behind it proves."""

from __future__ import annotations

import re
from dataclasses import replace
from itertools import product

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from lotwake.trace.base.errors import CallError
from lotwake.trace.process.claims import COLD, KEEPINGS, BatchBehind, Claim, ClaimKind, claim, claims
from lotwake.trace.process.plan import read_plan, shipped_plan
from lotwake.trace.process.salt import SaltSample
from lotwake.trace.process.series import series_of_pairs
from lotwake.trace.process.verdict import BatchEvidence, judge_batch

HOT = shipped_plan("Hot smoking, simple smokehouse")
COLD_PLAN = shipped_plan("Cold smoking")
RTE, VACUUM, MAP, ROOM, DRIED = ClaimKind
HEATED = (series_of_pairs("P1", [(600 * i, 65.0) for i in range(8)]),)
WARMED = (series_of_pairs("P1", [(600 * i, 60.0) for i in range(8)]),)
SELDOM = (series_of_pairs("P1", [(3000 * i, 65.0) for i in range(4)]),)
SALTED, UNSALTED = (SaltSample(2.5, 65, "loin"),), (SaltSample(1.0, 65, "loin"),)
NOTHING = BatchEvidence(now_s=10_000)


def batch(
    evidence: BatchEvidence = NOTHING,
    plan: str | None = HOT,
    water_activity: float | None = None,
    shown: str = "B-1",
    smoking: str = "hot smoked",
) -> BatchBehind:
    """A batch with this record."""
    verdict = None if plan is None else judge_batch(read_plan(plan), evidence)
    return BatchBehind(shown, smoking, verdict, water_activity)


FULL = batch(replace(NOTHING, core=HEATED, salt=SALTED), water_activity=0.74, smoking="smoke-dried")

ALLOWED = [
    (RTE, batch(replace(NOTHING, core=HEATED)), KEEPINGS, "B-1: 62.8 C or hotter for 70 min"),
    (VACUUM, batch(replace(NOTHING, salt=SALTED)), COLD, "B-1: 3.704 % in the lowest sample loin, 3.5 % wanted"),
    (MAP, batch(replace(NOTHING, salt=SALTED)), COLD, "B-1: 3.704 %"),
    (VACUUM, batch(replace(NOTHING, salt=(SaltSample(2.2, 65),), nitrite_ppm=120)), COLD, "nitrite 120 ppm"),
    (VACUUM, batch(replace(NOTHING, salt=SALTED), COLD_PLAN), COLD, "3.704 %"),
    (ROOM, batch(water_activity=0.85), KEEPINGS, "B-1: water activity 0.85 measured"),
    (ROOM, batch(plan=None, water_activity=0.5), KEEPINGS, "water activity 0.5 measured"),
    (DRIED, batch(water_activity=0.75, smoking="smoke-dried"), KEEPINGS, "water activity 0.75 measured"),
]  # fmt: skip
REFUSED = [
    (RTE, batch(), "no core temperature record for batch B-1."),
    (RTE, batch(replace(NOTHING, core=WARMED)), "batch B-1 did not meet it: 62.8 C or hotter for 0 min unbroken"),
    (RTE, batch(plan=None), "batch B-1 was made without a scheduled process"),
    (RTE, batch(replace(NOTHING, core=HEATED), COLD_PLAN), "the scheduled process of batch B-1 has no limit for it"),
    (RTE, batch(replace(NOTHING, core=WARMED), HOT.replace("core_c = 62.8", "core_c = 60")),
     "process of batch B-1 asks for 60 C only, and the claim rests on 62.8 C"),
    (RTE, batch(replace(NOTHING, core=HEATED), HOT.replace("held_min = 30", "held_min = 5")),
     "process of batch B-1 asks for 5 min only, and the claim rests on 30 min"),
    (RTE, batch(replace(NOTHING, core=SELDOM), HOT.replace("longest_gap_min = 15", "longest_gap_min = 60")),
     "batch B-1 lets 60 min pass without a core reading, and the claim rests on 15 min at most"),
    (VACUUM, batch(), "vacuum pack refused: no salt and moisture result for batch B-1"),
    (VACUUM, batch(replace(NOTHING, salt=UNSALTED)), "batch B-1 did not meet it: 1.515 %"),
    (VACUUM, batch(replace(NOTHING, salt=SALTED), HOT.replace("percent = 3.5", "percent = 2")),
     "process of batch B-1 asks for 2 % only, and the claim rests on 3.5 %"),
    (VACUUM, batch(plan=None), "batch B-1 was made without a scheduled process"),
    (MAP, batch(), "no salt and moisture result for batch B-1"),
    (ROOM, batch(), "no measured water activity for batch B-1"),
    (ROOM, batch(replace(NOTHING, core=HEATED, salt=SALTED)), "no measured water activity for batch B-1"),
    (ROOM, batch(water_activity=0.851), "batch B-1 has a measured water activity of 0.851, 0.85 or below wanted"),
    (ROOM, batch(water_activity=float("nan")), "batch B-1 has a measured water activity of nan"),
    (DRIED, batch(smoking="smoke-dried"), "no measured water activity for batch B-1"),
    (DRIED, batch(water_activity=0.76, smoking="smoke-dried"), "0.75 or below wanted"),
    (DRIED, batch(water_activity=0.5, smoking="smoke flavoured"), "batch B-1 was smoke flavoured"),
]  # fmt: skip


@pytest.mark.parametrize(("kind", "behind", "keepings", "words"), ALLOWED)
def test_carried_claims(kind: ClaimKind, behind: BatchBehind, keepings: tuple[str, ...], words: str) -> None:
    """A claim with its evidence is carried, and says by which batch and which numbers."""
    for keeping in KEEPINGS:
        made = claim(kind, [behind], keeping)
        assert made.allowed is (keeping in keepings)
        assert made.source
        if made.allowed:
            assert words in made.why


@pytest.mark.parametrize(("kind", "behind", "words"), REFUSED)
@pytest.mark.parametrize("keeping", COLD)
def test_refused_claims(kind: ClaimKind, behind: BatchBehind, words: str, keeping: str) -> None:
    """A claim without its evidence is refused; the batch and what is missing are named."""
    made = claim(kind, [behind], keeping)
    assert not made.allowed
    assert made.why.startswith(f"{kind} refused: ")
    assert words in made.why
    assert "B-1" in made.why


@pytest.mark.parametrize("kind", [VACUUM, MAP])
def test_packs_without_air_are_kept_cold(kind: ClaimKind) -> None:
    """No salt carries a pack without air at room temperature."""
    made = claim(kind, [FULL], "room")
    assert not made.allowed
    assert "kept chilled or frozen, not at room temperature" in made.why


def test_every_batch_must_carry_it() -> None:
    """Of several batches all that lack the evidence are named, and those that carry it with their own numbers."""
    poor, other = batch(shown="B-2"), replace(FULL, shown="B-3")
    made = claim(VACUUM, [FULL, poor, batch(shown="B-4")], "frozen")
    assert not made.allowed
    assert "B-2" in made.why
    assert "B-4" in made.why
    assert "B-1" not in made.why
    both = claim(VACUUM, [FULL, other], "frozen")
    assert both.allowed
    assert "B-1: 3.704 %" in both.why
    assert "B-3: 3.704 %" in both.why


def test_no_batch_no_claim() -> None:
    """A label without a batch behind it claims nothing."""
    assert not any(made.allowed for made in claims([], "frozen"))


@pytest.mark.parametrize("keeping", ["", "warm", "Frozen"])
def test_an_unknown_keeping_is_refused(keeping: str) -> None:
    """A way of keeping that is not known is a wrong call, not a cold store."""
    with pytest.raises(CallError, match="cannot be kept"):
        claims([FULL], keeping)


def test_all_claims_at_once() -> None:
    """Each kind is answered once; with the full record all are carried in the cold."""
    made = claims([FULL], "chilled")
    assert [one.kind for one in made] == list(ClaimKind)
    assert all(one.allowed for one in made)


BEHIND = [
    batch(replace(NOTHING, core=core, salt=salt), plan, aw, f"B-{number}", smoking)
    for number, (core, salt, plan, aw, smoking) in enumerate(
        product(((), WARMED, HEATED), ((), UNSALTED, SALTED), (None, HOT, COLD_PLAN), (None, 0.7, 0.8, 0.9),
                ("hot smoked", "smoke-dried"))
    )
]  # fmt: skip


@settings(max_examples=300, deadline=None)
@given(
    behind=st.lists(st.sampled_from(BEHIND), min_size=1, max_size=3), keeping=st.sampled_from(KEEPINGS), data=st.data()
)
def test_one_more_batch_never_helps(behind: list[BatchBehind], keeping: str, data: st.DataObject) -> None:
    """A batch more behind a label never adds a claim, and a refusal always names a batch or the keeping."""
    more = claims([*behind, data.draw(st.sampled_from(BEHIND))], keeping)
    for before, after in zip(claims(behind, keeping), more, strict=True):
        assert before.allowed or not after.allowed
        if not before.allowed:
            assert any(one.shown in before.why for one in behind) or "not at room temperature" in before.why


def test_no_claim_promises_too_much() -> None:
    """No sentence or source says safe or compliant."""
    said: list[Claim] = [made for one in BEHIND for keeping in KEEPINGS for made in claims([one], keeping)]
    assert not [made for made in said if re.search(r"\b(safe|compliant)\b", f"{made.why} {made.source}", re.IGNORECASE)]
