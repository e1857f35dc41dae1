"""The invented house lives by evidence: plans, verdicts, deviations, reviews, calibrations, and labels chosen by claims."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator
from datetime import timedelta

import pytest

from lotwake.demo_db import plans, scenario
from lotwake.demo_db.builder import Built
from lotwake.demo_db.processes import BY_SPECIES, FLAKES
from lotwake.trace.actions import judge, label_content, pack
from lotwake.trace.actions.batch_evidence import evidence_of
from lotwake.trace.actions.desk import Desk, open_desk
from lotwake.trace.actions.instruments import instruments_of
from lotwake.trace.actions.refs import thing_of
from lotwake.trace.actions.trace import trace
from lotwake.trace.actions.waiting import waiting
from lotwake.trace.actions.yields import batch_yields
from lotwake.trace.base.clock import SetClock
from lotwake.trace.base.errors import Refused
from lotwake.trace.lineage.chain import Direction
from lotwake.trace.process.basis import Verdict
from lotwake.trace.process.claims import ClaimKind
from lotwake.trace.process.instruments import Standing
from lotwake.trace.process.plan import LimitKind, read_plan
from lotwake.trace.process.steps import StepWord
from lotwake.trace.process.verdict import BatchVerdict
from lotwake.trace.process.yields import WHOLE
from lotwake.trace.records import facts
from lotwake.trace.records.find import Kind, by_code
from lotwake.trace.records.waiting import Urgency


@pytest.fixture(scope="module")
def desk(season: Built) -> Iterator[Desk]:
    """The season on the morning after, looked at by nobody in particular."""
    opened = open_desk(season.places, clock=SetClock(scenario.MORNING_AFTER))
    yield opened
    opened.close()


@pytest.fixture(scope="module")
def verdicts(desk: Desk) -> dict[str, BatchVerdict]:
    """The verdict on every batch by its code."""
    found = {}
    for ref, code in desk.records.rows("SELECT id, code FROM batch ORDER BY id"):
        verdict = judge.verdict_of(desk.records, ref, desk.now)
        assert verdict is not None, code
        found[code] = verdict
    return found


def test_one_batch_deviates_and_one_still_runs(season: Built, verdicts: dict[str, BatchVerdict]) -> None:
    """Every batch has a plan; all meet it but the one with silent thermometers and the one that is not done yet."""
    words = Counter(verdict.word for verdict in verdicts.values())
    assert words == {Verdict.MET: len(verdicts) - 2, Verdict.NOT_MET: 1, Verdict.NO_EVIDENCE: 1}
    assert verdicts[season.landmarks["held and released batch"]].word is Verdict.NOT_MET
    assert verdicts[season.landmarks["batch running at the end"]].word is Verdict.NO_EVIDENCE


def test_every_step_is_in_the_plan_and_its_window(season: Built, verdicts: dict[str, BatchVerdict]) -> None:
    """Each planned step of each finished batch was done within its window, and no step was done that is not planned."""
    running = season.landmarks["batch running at the end"]
    words = {word for code, verdict in verdicts.items() if code != running for word in _words(verdict)}
    assert words == {StepWord.IN_WINDOW}
    planned = {plan.name: {step.name for step in plan.steps} for plan in map(read_plan, plans.plans_at_opening())}
    for process in (*BY_SPECIES.values(), FLAKES):
        assert {step.name for step in process.steps} == planned[process.product.plan or ""]


def _words(verdict: BatchVerdict) -> set[StepWord]:
    return {timing.word for _, timing in verdict.timings}


def test_every_core_was_read_by_two_probes(desk: Desk, season: Built) -> None:
    """Each finished batch has core readings of two thermometers or more."""
    few = desk.records.rows(
        "SELECT b.code FROM batch b WHERE (SELECT COUNT(DISTINCT probe) FROM reading r WHERE r.batch = b.id"
        " AND r.kind = 'core') < 2"
    )
    assert few == [(season.landmarks["batch running at the end"],)]


def test_vacuum_was_packed_with_a_result_only(desk: Desk) -> None:
    """Every batch that went into a vacuum pack has two salt and moisture samples of 3.5 % water phase salt or more."""
    rows = desk.records.rows(
        "SELECT DISTINCT f.parent FROM flow f JOIN run r ON r.id = f.child JOIN product p ON p.id = r.product"
        " WHERE p.packaging = 'vacuum'"
    )
    assert len(rows) > 30
    for (batch,) in rows:
        samples = evidence_of(desk.records, batch, desk.now).salt
        assert len(samples) == 2
        assert min(100 * s.salt_percent / (s.salt_percent + s.moisture_percent) for s in samples) >= 3.5


def test_the_deviation_stays_visible_on_the_trace(season: Built, desk: Desk) -> None:
    """The batch that was released by name has cause, action and reason in the record, and says so on a trace of its packs."""
    code = season.landmarks["held and released batch"]
    batch = by_code(desk.records, code)
    ((key, cause, action),) = desk.records.rows(
        "SELECT limit_key, cause, action FROM deviation WHERE batch = ?", batch.id
    )
    assert (key, "plugs" in cause, "logger B" in action) == ("core-heat", True, True)
    by_name, note, in_spite_of = desk.records.one(
        "SELECT by_name, note, in_spite_of FROM batch_release WHERE batch = ?", batch.id
    ) or ("", "", "")
    assert (by_name, in_spite_of.split(":")[0], bool(note)) == (scenario.ADVISER, "core-heat", True)
    (run,) = desk.records.rows("SELECT r.code FROM run r JOIN flow f ON f.child = r.id WHERE f.parent = ?", batch.id)
    nodes = {node.code: node.status for node in trace(desk, run[0], Direction.BACK).nodes}
    assert nodes[code] == "RELEASED BY NAME"


def test_hot_smoking_is_in_its_second_version_since_the_deviation(desk: Desk) -> None:
    """Batches keep the version they were made under: the first up to 12 October, the second from then on."""
    rows = desk.records.rows(
        "SELECT p.version, MIN(b.started), MAX(b.started) FROM batch b JOIN scheduled_process p ON p.id = b.process"
        " WHERE p.name = ? GROUP BY p.version ORDER BY p.version",
        plans.HOT_SMOKING,
    )
    (first, _, last_of_first), (second, first_of_second, _) = rows
    assert (first, second) == (1, 2)
    assert last_of_first <= "2026-10-12T05:50:00Z" <= first_of_second
    plan = judge.adopted_named(desk.records, plans.HOT_SMOKING).plan
    (heat,) = [limit for limit in plan.limits if limit.kind is LimitKind.CORE_HEAT]
    assert heat.figures["longest_gap_min"] == plans.HOTTER_RECORD_MIN


def test_one_batch_awaits_its_salt_result(season_copy: Built) -> None:
    """The mackerel whose samples broke is released, but vacuum is refused with the missing evidence named."""
    desk = open_desk(season_copy.places, scenario.PACKER, SetClock(scenario.MORNING_AFTER))
    code = season_copy.landmarks["batch awaiting its salt result"]
    batch = thing_of(desk.records, code, [Kind.BATCH], "a test")
    assert facts.batches(desk.records, [batch.id])[batch.id].status == "RELEASED"
    with pytest.raises(Refused, match=f"Vacuum pack refused: no salt and moisture result for batch {batch.shown}"):
        pack.start_run(desk, scenario.MACKEREL.name, [(code, None)])
    desk.close()


def test_what_waits_at_the_end(season: Built, desk: Desk) -> None:
    """Reviews of a few batches (two for longer than a week), one calibration and one result stand open; no deviation does."""
    found = {urgency: [item for item in waiting(desk) if item.urgency is urgency] for urgency in Urgency}
    assert {item.code for item in found[Urgency.TO_REVIEW]} >= {
        season.landmarks[f"shared brine, batch {number}"] for number in (1, 2)
    }
    late = [item for item in found[Urgency.TO_REVIEW] if "a week is the usual limit" in item.sentence]
    assert (len(late), len(found[Urgency.TO_REVIEW])) == (2, 5)
    assert [item.code for item in found[Urgency.RESULT_AWAITED]] == [season.landmarks["batch awaiting its salt result"]]
    assert {"brine hydrometer" in item.sentence for item in found[Urgency.CALIBRATION_DUE]} == {True}
    assert "" in {item.code for item in found[Urgency.CALIBRATION_DUE]}
    assert found[Urgency.YIELD_ODD] == []
    assert [item.code for item in found[Urgency.BATCH_RUNNING]] == [season.landmarks["batch running at the end"]]
    assert found[Urgency.DEVIATION_OPEN] == []


def test_readings_name_instruments_in_order(season: Built, desk: Desk) -> None:
    """Core, air, brine strength and weights of every batch name their instrument; only the thermometers that failed, and at
    the end the hydrometer that is overdue, are in doubt."""
    unnamed = desk.records.rows(
        "SELECT DISTINCT kind FROM reading WHERE equipment IS NULL AND kind IN ('core', 'brine strength', 'weight')"
    )
    assert unnamed == []
    doubts = {
        (code, used.name): used.trust.standing
        for ref, code in desk.records.rows("SELECT id, code FROM batch")
        for used in instruments_of(desk.records, ref)
        if used.in_doubt
    }
    failed = {key: standing for key, standing in doubts.items() if key[1] != scenario.HYDROMETER}
    held = season.landmarks["held and released batch"]
    assert failed == {(held, name): Standing.FAILED for name in scenario.THERMOMETERS}
    assert set(doubts.values()) == {Standing.FAILED, Standing.OUT_OF_DATE}


def test_yields_have_a_history(desk: Desk) -> None:
    """The last batches of the season are held against those before them, step by step and as a whole, and are in line."""
    last = [
        ref for (ref,) in desk.records.rows("SELECT id FROM batch WHERE product IS NOT NULL ORDER BY id DESC LIMIT 12")
    ]
    found = [item for ref in last for item in batch_yields(desk.records, ref)]
    by_history = [item for item in found if item.finding.by_history]
    assert len(by_history) > 20
    assert {item.step.step for item in by_history} >= {"split and bone", "cooling", WHOLE}
    assert not any(item.out_of_line for item in by_history)


def test_most_records_were_reviewed_within_a_week(desk: Desk) -> None:
    """Somebody else than who released it read through nine of ten records, each within seven days (21 CFR 123.8, from
    memory)."""
    released = desk.records.value("SELECT COUNT(*) FROM batch_release")
    rows = desk.records.rows(
        "SELECT julianday(v.at) - julianday(r.at), a.who, b.who FROM review v JOIN batch_release r ON r.batch = v.batch"
        " JOIN journal a ON a.seq = v.entry JOIN journal b ON b.seq = r.entry"
    )
    assert len(rows) >= 0.9 * released
    assert max(days for days, _, _ in rows) <= timedelta(days=7).days
    assert all(reviewer != signer for _, reviewer, signer in rows)


FROZEN = "Keep frozen at -18 °C or colder. Thaw in the refrigerator. Do not refreeze."
FROZEN_WITHOUT_AIR = FROZEN.replace(
    "Thaw in the refrigerator.",
    "Important: keep frozen until used; thaw under refrigeration immediately before use.",
)


@pytest.mark.parametrize(
    ("product", "storage", "cook"),
    [
        (scenario.HADDOCK, scenario.HADDOCK.storage, "Heat through before eating."),
        (scenario.FLAKES, FROZEN, "Ready to eat."),
        (scenario.TROUT, FROZEN, "Ready to eat."),
        (scenario.HERRING, FROZEN_WITHOUT_AIR, "Cook until the core is at least 70 °C for 2 minutes."),
    ],
    ids=lambda value: getattr(value, "name", ""),
)
def test_labels_say_what_the_claims_allow(desk: Desk, product, storage: str, cook: str) -> None:  # type: ignore[no-untyped-def]
    """A product's own words stand on its label; without them, the lines for its keeping and serving do."""
    code = desk.records.value(
        "SELECT r.code FROM run r JOIN product p ON p.id = r.product WHERE p.name = ? ORDER BY r.id DESC LIMIT 1",
        product.name,
    )
    spec = label_content.pack_label_spec(desk, thing_of(desk.records, code, [Kind.RUN], "a test"))
    assert (spec.storage, spec.cook) == (storage, cook)


def test_a_case_label_says_how_to_keep_it_too(desk: Desk) -> None:
    """Where the product has no words of its own, the case label has the same storage line as its packs."""
    sscc = desk.records.value(
        "SELECT c.unit FROM content c JOIN run r ON r.id = c.run JOIN product p ON p.id = r.product WHERE p.name = ?"
        " AND c.until IS NULL GROUP BY c.unit HAVING COUNT(DISTINCT c.run) = 1 ORDER BY c.unit DESC LIMIT 1",
        scenario.HERRING.name,
    )
    spec = label_content.unit_label_spec(desk, thing_of(desk.records, f"{sscc:018d}", [Kind.CASE], "a test"))
    assert spec.storage == FROZEN_WITHOUT_AIR


def test_claims_follow_the_evidence(season: Built, desk: Desk) -> None:
    """What may be claimed for four batches of the season, as a table."""
    claimed = {
        name: {
            claim.kind
            for claim in judge.claims_for(desk, [by_code(desk.records, season.landmarks[name]).id], "frozen")
            if claim.allowed
        }
        for name in (
            "held and released batch",
            "batch awaiting its salt result",
            "batch running at the end",
            "shared brine, batch 1",
        )
    }
    assert claimed == {
        "held and released batch": {ClaimKind.VACUUM, ClaimKind.MODIFIED_ATMOSPHERE},
        "batch awaiting its salt result": {ClaimKind.READY_TO_EAT},
        "batch running at the end": set(),
        "shared brine, batch 1": {ClaimKind.READY_TO_EAT, ClaimKind.VACUUM, ClaimKind.MODIFIED_ATMOSPHERE},
    }
