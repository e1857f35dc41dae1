"""No path of actions prints a claim without its evidence: random work in a house, and a second look at every label.

What came out of the printer is read from the PDF. Whether the record carries it is worked out here anew, in plain SQL and
fractions, from the readings as they stand at that moment; nothing of the program's own judging is used for it.
"""

from __future__ import annotations

import shutil
import tempfile
import tomllib
from collections.abc import Callable, Iterator
from contextlib import ExitStack
from datetime import UTC, datetime, timedelta
from fractions import Fraction
from itertools import pairwise
from pathlib import Path
from typing import Any

import pypdfium2
import pytest
from hypothesis import HealthCheck, Phase, settings
from hypothesis import strategies as st
from hypothesis.stateful import RuleBasedStateMachine, initialize, rule, run_state_machine_as_test

from lotwake.labels.errors import LabelError
from lotwake.labels.gs1.keys import check_digit
from lotwake.trace.actions import correct, judge, label_content, labels, pack, receive, set_up, smoke
from lotwake.trace.actions.desk import Desk, open_desk
from lotwake.trace.base.clock import SetClock
from lotwake.trace.base.errors import CallError, NotFound, Refused
from lotwake.trace.base.places import places_at
from lotwake.trace.process.plan import shipped_plan
from lotwake.trace.records.entries.house import ProductFacts
from lotwake.trace.records.find import by_code

# Limits of the outside world: 145 F and water activity are those of the FDA Hazards Guide (ch. 13; aw from memory).
AW_AT_MOST = Fraction(85, 100)
NITRITE_FROM_PPM = 100

HOT = shipped_plan("Hot smoking, simple smokehouse")
PLANS = (
    HOT,
    HOT.replace("held_min = 30", "held_min = 45").replace("longest_gap_min = 15", "longest_gap_min = 10"),
    HOT.replace("percent = 3.5", "percent = 4.0"),
    shipped_plan("Cold smoking"),
)


def _product(number: int, packaging: str, keeping: str | None, serving: str | None, **words: str) -> ProductFacts:
    name = words.pop("name", f"Haddock {number}")
    bare = f"952000000{number:03d}"
    return ProductFacts(
        f"{bare}{check_digit(bare)}", name, "hot smoked", 100, 60, "HAD", packaging, keeping=keeping, serving=serving,
        ingredients="Haddock (fish), salt, smoke.", **words,
    )  # fmt: skip


PRODUCTS = (
    _product(101, "air", "frozen", "to be cooked"),
    _product(102, "air", "frozen", "ready to eat"),
    _product(103, "vacuum", "chilled", "to be cooked"),
    _product(104, "vacuum", "frozen", "ready to eat"),
    _product(105, "modified atmosphere", "chilled", "ready to eat"),
    _product(106, "air", "room", "to be cooked"),
    _product(107, "vacuum", "room", "to be cooked"),
    _product(108, "air", "frozen", "to be cooked", cook="Ready-to-eat, straight from the pack."),
    _product(109, "air", "frozen", "to be cooked", name="Ready to eat haddock"),
)
CLAIMS = ("ready to eat", "ready-to-eat", "at 3 °c", "cool and dry")
"""Words of the labels: for packs without air "at 3 °C" stands where air packs have a higher figure."""
PICK = st.integers(0, 30)
MOSTLY = st.sampled_from([True, True, True, False])
HOT_C100 = st.sampled_from([5_500, 6_279, 6_280, 6_280, 6_400, 6_900])
GAPS_MIN = st.sampled_from([5, 10, 10, 10, 15, 20])

# ---- the second look --------------------------------------------------------------------------------------------------


def batches_behind(desk: Desk, run: int) -> list[int]:
    """Every batch any gram of a run came through."""
    seen, ahead = set(), [run]
    while ahead:
        here = ahead.pop()
        if here not in seen:
            seen.add(here)
            ahead += [row[0] for row in desk.records.rows("SELECT parent FROM flow WHERE child = ? AND g > 0", here)]
    return [work for work in sorted(seen) if desk.records.value("SELECT 1 FROM batch WHERE id = ?", work)]


def limit_of(desk: Desk, batch: int, kind: str, packaging: str = "") -> dict[str, Any] | None:
    """The limit of this kind in the plan the batch was made under."""
    text = desk.records.value(
        "SELECT p.text FROM scheduled_process p JOIN batch b ON b.process = p.id WHERE b.id = ?", batch
    )
    limits = tomllib.loads(text)["limit"] if text else []
    return next((x for x in limits if x["kind"] == kind and x.get("packaging", "") in ("", packaging)), None)


def was_hot_enough(desk: Desk, batch: int) -> bool:
    """Whether all probes together were at the limit for long enough, without a gap."""
    limit = limit_of(desk, batch, "core heat")
    probes: dict[str, list[tuple[int, int]]] = {}
    for probe, at, value in desk.records.rows(
        "SELECT probe, at, value FROM reading WHERE batch = ? AND kind = 'core' ORDER BY at", batch
    ):
        minute = int(datetime.fromisoformat(at).timestamp()) // 60
        probes.setdefault(probe, []).append((minute, value))
    if limit is None or not probes:
        return False
    level = round(limit["core_c"] * 100)
    common = [(Fraction(0), Fraction(10**12))]
    for points in probes.values():
        hot = _joined(_hot_parts(points, level, limit.get("longest_gap_min", 15)))
        common = [(max(a, c), min(b, d)) for a, b in common for c, d in hot if max(a, c) < min(b, d)]
    return any(b - a >= limit["held_min"] for a, b in common)


def _hot_parts(points: list[tuple[int, int]], level: int, gap_min: int) -> Iterator[tuple[Fraction, Fraction]]:
    """Minutes at or above a level between two readings next to each other."""
    for (t0, c0), (t1, c1) in pairwise(points):
        if t1 - t0 > gap_min or max(c0, c1) < level:
            continue
        crossing = None if c0 == c1 else t0 + Fraction((level - c0) * (t1 - t0), c1 - c0)
        start = Fraction(t0) if c0 >= level else crossing
        end = Fraction(t1) if c1 >= level else crossing
        assert start is not None
        assert end is not None
        yield start, end


def _joined(parts: Iterator[tuple[Fraction, Fraction]]) -> list[tuple[Fraction, Fraction]]:
    whole: list[tuple[Fraction, Fraction]] = []
    for start, end in parts:
        if whole and whole[-1][1] == start:
            whole[-1] = (whole[-1][0], end)
        else:
            whole.append((start, end))
    return whole


def _values(desk: Desk, batch: int, kind: str) -> dict[str, list[int]]:
    found: dict[str, list[int]] = {}
    for probe, value in desk.records.rows(
        "SELECT probe, value FROM reading WHERE batch = ? AND kind = ? ORDER BY at, id", batch, kind
    ):
        found.setdefault(probe, []).append(value)
    return found


def was_salt_enough(desk: Desk, batch: int, packaging: str) -> bool:
    """Whether the lowest water phase salt is at the limit for this packaging, unrounded."""
    limit = limit_of(desk, batch, "water phase salt", packaging)
    salt, moisture = _values(desk, batch, "salt"), _values(desk, batch, "moisture")
    found = [
        Fraction(100 * s, s + m) for name in salt for s, m in zip(salt[name], moisture.get(name, []), strict=False)
    ]
    if limit is None or not found:
        return False
    nitrite = [value for values in _values(desk, batch, "nitrite").values() for value in values]
    enough = bool(nitrite) and min(nitrite) >= NITRITE_FROM_PPM
    wanted = limit["with_nitrite_percent"] if enough else limit["percent"]
    return min(found) >= Fraction(str(wanted))


def was_dry_enough(desk: Desk, batch: int) -> bool:
    """Whether the highest measured water activity is low enough for a shelf."""
    measured = [value for values in _values(desk, batch, "water activity").values() for value in values]
    return bool(measured) and Fraction(max(measured), 10_000) <= AW_AT_MOST


def unsupported(desk: Desk, run_code: str, printed: str) -> list[str]:
    """What a label that came out claims, by its words and its packaging, and the record does not carry."""
    run = by_code(desk.records, run_code).id
    packaging, keeping = desk.records.one(
        "SELECT p.packaging, p.keeping FROM run r JOIN product p ON p.id = r.product WHERE r.id = ?", run
    ) or ("", "")
    said = " ".join(printed.casefold().replace("-", " ").split())
    found = []
    for batch in batches_behind(desk, run):
        if "ready to eat" in said and not was_hot_enough(desk, batch):
            found.append(f"ready to eat, batch {batch}")
        if packaging != "air" and not (was_salt_enough(desk, batch, packaging) and keeping in ("chilled", "frozen")):
            found.append(f"{packaging}, batch {batch}")
        if "cool and dry" in said and not was_dry_enough(desk, batch):
            found.append(f"room temperature, batch {batch}")
    return found


# ---- the random work --------------------------------------------------------------------------------------------------


class Season(RuleBasedStateMachine):
    """Somebody who tries everything; whatever the program refuses is left, whatever it prints is looked at again."""

    template: Path
    printed: set[str]
    """The claims that came out on labels, over all paths."""

    def __init__(self) -> None:
        super().__init__()
        self.open = ExitStack()
        self.folder = Path(self.open.enter_context(tempfile.TemporaryDirectory()))
        shutil.copytree(self.template, self.folder / "house")
        self.clock = SetClock(datetime(2026, 11, 24, 6, tzinfo=UTC))
        self.desk = open_desk(places_at(self.folder / "house"), "SK", self.clock)
        self.open.callback(self.desk.close)
        # Nobody relies on the disk here, so it is not waited for.
        self.open.enter_context(self.desk.records.transaction())
        for product in PRODUCTS:
            set_up.add_product(self.desk, product)
        judge.adopt(self.desk, HOT)
        self.batches: list[str] = []
        self.runs: list[str] = []
        self.labels = 0

    def teardown(self) -> None:
        self.open.close()

    def attempt(self, act: Callable[[], Any]) -> Any:
        """Do it; what it gives back, or None when it was refused."""
        self.clock.at += timedelta(minutes=1)
        try:
            return act()
        except (Refused, CallError, NotFound, LabelError):
            return None

    def batch(self, pick: int) -> str:
        if not self.batches:
            self.begin(30_000)
        return self.batches[pick % len(self.batches)]

    @initialize(salt=MOSTLY, aw=MOSTLY)
    def yesterday(self, salt: bool, aw: bool) -> None:
        """Every path begins with two batches that were packed and labelled as far as that went: one well run, of the
        other nothing was written down."""
        self.do_it_well(True, 0, True, salt, aw)
        self.begin(30_000)
        self.release(1)
        self.pack_as_everything(0)
        self.pack_as_everything(1)

    @rule(g=st.sampled_from([5_000, 30_000]), plan=st.sampled_from([None, *range(len(PLANS))]), cold=st.booleans())
    def begin(self, g: int, plan: int | None = None, cold: bool = False) -> None:
        """A landing goes into a batch, perhaps under a plan that was adopted just before."""
        if plan is not None:
            self.attempt(lambda: judge.adopt(self.desk, PLANS[plan]))
        arrival = receive.Arrival("landing", "Aurora", g, species="HAD", area="27.4.b", gear="OTB")
        lot = receive.receive(self.desk, arrival, another=True).code
        smoking = "cold smoked" if cold else "hot smoked"
        made = self.attempt(lambda: smoke.start_batch(self.desk, smoking, [smoke.Input(lot, g)]))
        self.batches += [made.code] if made else []

    @rule(
        pick=PICK,
        probes=st.sampled_from([("P1",), ("P1", "P2")]),
        points=st.lists(st.tuples(GAPS_MIN, HOT_C100), max_size=6),
    )
    def read_core(self, pick: int, probes: tuple[str, ...], points: list[tuple[int, int]]) -> None:
        self._read(self.batch(pick), probes, points)

    @rule(fresh=MOSTLY, pick=PICK, cold=MOSTLY, salt=MOSTLY, aw=st.booleans())
    def do_it_well(self, fresh: bool, pick: int, cold: bool, salt: bool, aw: bool) -> None:
        """What a well-run smokehouse writes down, from the fire to the signature, and what it sometimes leaves out."""
        if fresh or not self.batches:
            self.begin(30_000)
            pick = len(self.batches) - 1
        hot = [(10, 5_500), (10, 6_280), *[(10, 6_500)] * 5]
        cooled = [(20, 4_000), (20, 2_000), (20, 1_100), (20, 700), (20, 400)]
        self._read(self.batch(pick), ("P1", "P2"), [*hot, *(cooled if cold else [])])
        if salt:
            self.sample(pick, (280, 6_500), "S1")
        if aw:
            self.measure_water_activity(pick, 8_500)
        self.release(pick)

    def _read(self, batch: str, probes: tuple[str, ...], points: list[tuple[int, int]]) -> None:
        began, moment, values = self.clock.at, self.clock.at, []
        for gap_min, value in points:
            moment += timedelta(minutes=gap_min)
            values.append((moment, value))
        self.clock.at = moment + timedelta(minutes=25)
        if values:
            smoke.take_step(self.desk, batch, "brine", began, began + timedelta(minutes=20))
        for number, probe in enumerate(probes if values else ()):
            smoke.take_readings(self.desk, batch, "core", [(at, value - 2 * number) for at, value in values], probe)

    @rule(pick=PICK, value=st.sampled_from([100, 6_200, 6_280, 9_000]))
    def correct_a_reading(self, pick: int, value: int) -> None:
        ids = [row[0] for row in self.desk.records.rows("SELECT id FROM reading ORDER BY id")]
        if ids:
            self.attempt(lambda: correct.correct_reading(self.desk, ids[pick % len(ids)], "value", value, "misread"))

    @rule(
        pick=PICK,
        sample=st.sampled_from([(250, 6_500), (280, 6_500), (240, 6_620), (205, 6_500), (250, None)]),
        name=st.sampled_from(["S1", "S2"]),
    )
    def sample(self, pick: int, sample: tuple[int, int | None], name: str) -> None:
        for kind, value in zip(("salt", "moisture"), sample, strict=True):
            if value is not None:
                smoke.take_readings(self.desk, self.batch(pick), kind, [(self.clock.at, value)], name)

    @rule(pick=PICK, aw=st.sampled_from([8_400, 8_500, 8_501, 9_300]))
    def measure_water_activity(self, pick: int, aw: int) -> None:
        smoke.take_readings(self.desk, self.batch(pick), "water activity", [(self.clock.at, aw)])

    @rule(pick=PICK, ppm=st.sampled_from([99, 100, 150]))
    def measure_nitrite(self, pick: int, ppm: int) -> None:
        smoke.take_readings(self.desk, self.batch(pick), "nitrite", [(self.clock.at, ppm)])

    @rule(pick=PICK)
    def release(self, pick: int) -> None:
        """Sign it, in spite of whatever is not met."""
        batch = self.batch(pick)
        for limit in ("core-heat", "cooling", "brine-time", "air"):
            self.attempt(lambda limit=limit: judge.note_deviation(self.desk, batch, limit, "cause", "action"))
        self.attempt(lambda: smoke.release_batch(self.desk, batch, note="looked at", by_name="Dr. Inger Holm"))

    @rule(pick=PICK, other=PICK, well=MOSTLY)
    def blend(self, pick: int, other: int, well: bool) -> None:
        """Two batches go into a new one, which is then smoked and perhaps sampled."""
        inputs = [smoke.Input(self.batch(pick), 1_000), smoke.Input(self.batch(other), 1_000)]
        made = self.attempt(lambda: smoke.start_batch(self.desk, "hot smoked", inputs))
        if made:
            self.batches.append(made.code)
            self.do_it_well(False, len(self.batches) - 1, True, well, well)

    @rule(pick=PICK)
    def blend_more(self, pick: int) -> None:
        """Something goes into the newest batch, which may have been released and packed from already."""
        more = [smoke.Input(self.batch(pick), 500)]
        self.attempt(lambda: smoke.add_inputs(self.desk, self.batches[-1], more))

    @rule(pick=PICK, well=MOSTLY)
    def rework(self, pick: int, well: bool) -> None:
        """Packs of a run are opened again and go into a new batch."""
        if self.runs:
            self.begin(30_000)
            packs = [smoke.Input(f"{self.runs[pick % len(self.runs)]}/1-2")]
            self.attempt(lambda: smoke.add_inputs(self.desk, self.batches[-1], packs))
            self.do_it_well(False, len(self.batches) - 1, True, well, well)

    @rule(pick=PICK)
    def pack_as_everything(self, pick: int) -> None:
        """One batch, packed and labelled as each product there is, as far as that goes."""
        for product in PRODUCTS:
            parts = [(self.batch(pick), 300)]
            made = self.attempt(lambda name=product.name, parts=parts: pack.start_run(self.desk, name, parts, count=1))
            if made:
                self.runs.append(made.code)
                self.print_label(len(self.runs) - 1, False)

    @rule(pick=PICK, other=PICK)
    def fill(self, pick: int, other: int) -> None:
        """More fish goes into a run that may have been labelled already, and another label is printed."""
        if self.runs:
            self.attempt(lambda: pack.fill_run(self.desk, self.runs[pick % len(self.runs)], self.batch(other), 300))
            self.print_label(pick, False)

    @rule(pick=PICK, again=st.booleans())
    def print_label(self, pick: int, again: bool) -> None:
        if not self.runs:
            return
        run, self.labels = self.runs[pick % len(self.runs)], self.labels + 1
        out = self.folder / f"{self.labels}.pdf"
        if again:
            self.attempt(lambda: labels.reprint_labels(self.desk, f"{run}/1", "smeared", out))
        else:
            self.attempt(lambda: labels.print_labels(self.desk, run, 1, out))
        if out.exists():
            said = pypdfium2.PdfDocument(out)[0].get_textpage().get_text_range()
            assert unsupported(self.desk, run, said) == []
            self.printed.update(word for word in CLAIMS if word in " ".join(said.casefold().split()))


QUICK = settings(
    max_examples=20, stateful_step_count=20, deadline=None, derandomize=True, suppress_health_check=list(HealthCheck)
)
UNTIL_FOUND = settings(QUICK, max_examples=200, phases=[Phase.generate])


def _machine(template: Path) -> type[Season]:
    return type("Season", (Season,), {"template": template, "printed": set()})


def test_no_path_prints_a_claim_without_its_evidence(template: Path) -> None:
    """Twenty random paths of twenty actions print labels with claims, and the record carries each one."""
    machine = _machine(template)
    run_state_machine_as_test(machine, settings=QUICK)
    assert machine.printed == set(CLAIMS)


@pytest.mark.parametrize("gate", ["must_carry_claims", "_must_not_claim_in_words"])
def test_with_a_gate_left_open_the_same_work_finds_it(
    template: Path, monkeypatch: pytest.MonkeyPatch, gate: str
) -> None:
    """When labels and packing no longer ask for evidence, the same random work prints a claim that nothing supports."""
    for room in (label_content, pack):
        if hasattr(room, gate):
            monkeypatch.setattr(room, gate, lambda *_: None)
    with pytest.raises(AssertionError, match="batch"):
        run_state_machine_as_test(_machine(template), settings=UNTIL_FOUND)
