"""The verdict on the batch page: limits, claims, chart, corrective action, release by name and review; by keys alone."""

from __future__ import annotations

import os
from pathlib import Path
from zoneinfo import ZoneInfo

import pytest
from screens_house import House, do, dump, said, scan, work
from screens_judged import judged_house
from screens_seen import cells
from test_screens_look import contrast

from lotwake.trace.actions import smoke
from lotwake.trace.actions.batch_judged import judged
from lotwake.trace.process.basis import CAUTION
from lotwake.trace.process.series import ProbeSeries
from lotwake.trace.records.find import by_code
from lotwake.trace.screens.batch_words import read_act, read_release, step_name
from lotwake.trace.screens.house_app import HouseApp
from lotwake.trace.screens.result import Verdict
from lotwake.trace.screens.verdict_rows import core_words
from lotwake.trace.screens.widgets.core_chart import thinned, unbroken

DUMPS = Path(__file__).parent / "dumps"
ACT = "/act core-heat because the probe fell out; did probe three fish by hand\r"
BY = "/release by Dr Inger Holm because probed above 65 C\r"
WALK: list[tuple[str, list[str]]] = [
    ("verdict-limits", ["{batch_scan}", "f4"]),
    ("verdict-claim", ["down", "down", "down", "down"]),
    ("verdict-chart", ["f4"]),
    ("verdict-stop", ["/release\r"]),
    ("verdict-acted", [ACT, "f4"]),
    ("verdict-released", [BY, "f4"]),
]
"""States in the order they are gone through, with what is typed to come to each from the one before."""


def value(house: House, sql: str) -> object:
    """One value of the record."""
    desk = house.desk()
    found = desk.records.value(sql)
    desk.close()
    return found


@pytest.mark.parametrize("size", [(80, 24), (120, 40)], ids=lambda size: "x".join(map(str, size)))
def test_verdict_looks_as_reviewed(house: House, size: tuple[int, int]) -> None:
    """Each state looks as it was reviewed, and every text has a contrast of 4.5:1."""
    here = judged_house(house, well=False)
    codes = {"batch": here.batch, "batch_scan": scan(here.batch)}
    changed: list[str] = []
    faint: list[tuple[str, str]] = []

    async def script(app: HouseApp) -> None:
        app.theme = "day" if size == (80, 24) else "night"
        await do(app, "/batch\r")
        for name, keys in WALK:
            await do(app, *(key.format(**codes) for key in keys))
            seen = dump(app)
            faint.extend((name, cell.text) for cell in cells(app) if contrast(cell) < 4.5)
            kept = DUMPS / f"page-{name}-{size[0]}x{size[1]}.txt"
            if os.environ.get("LOTWAKE_WRITE_DUMPS"):
                kept.write_text(seen, encoding="utf-8")
            if not kept.exists() or seen != kept.read_text(encoding="utf-8"):
                changed.append(f"{kept.name}\n{seen}")

    work(here, script, size=size)
    assert not changed, "\n".join(changed)
    assert not faint


@pytest.mark.parametrize(("well", "word"), [(True, "MET"), (False, "NO EVIDENCE")])
def test_view_shows_verdict_number_and_caution(house: House, well: bool, word: str) -> None:
    """One key shows the verdict in a word, the number that was found, and the caution."""
    here = judged_house(house, well)

    async def script(app: HouseApp) -> None:
        await do(app, "/batch\r", f"{here.batch}\r", "f4")
        seen = dump(app)
        assert f"  {word}   Hot smoking, simple smokehouse" in seen
        assert f"> {word}" in seen
        assert "62.8 C or hotter for" in seen
        assert CAUTION in seen

    work(here, script)


def test_refused_release_names_the_limit_and_the_next_step(house: House) -> None:
    """Without cause and action, and then without a name, the release stops and says what to type; nothing is signed."""
    here = judged_house(house, well=False)

    async def script(app: HouseApp) -> None:
        await do(app, "/batch\r", f"{here.batch}\r", "/release\r")
        verdict, words = said(app)
        assert verdict is Verdict.STOP
        assert "/act core-heat because CAUSE; did ACTION" in words
        await do(app, ACT)
        assert said(app)[0] is Verdict.GOOD, said(app)
        await do(app, "/release\r")
        verdict, words = said(app)
        assert verdict is Verdict.STOP
        assert "/release by NAME because REASON" in words

    work(here, script)
    assert value(house, "SELECT COUNT(*) FROM batch_release") == 0


def test_act_release_by_name_and_review_by_keys_alone(house: House) -> None:
    """Cause, action, the name and reason of the release and the review are in the record as they were typed."""
    here = judged_house(house, well=False)

    async def script(app: HouseApp) -> None:
        await do(app, "/batch\r", f"{here.batch}\r", ACT, BY)
        assert said(app)[0] is Verdict.GOOD, said(app)
        await do(app, "/review read through\r")
        assert said(app)[0] is Verdict.STOP
        assert "somebody else reads its record through" in said(app)[1]
        await do(app, "/as OD\r", "/review read through\r")
        assert said(app)[0] is Verdict.GOOD, said(app)

    work(here, script)
    assert value(house, "SELECT cause || '|' || action FROM deviation") == "the probe fell out|probe three fish by hand"
    assert value(house, "SELECT by_name || '|' || note FROM batch_release") == "Dr Inger Holm|probed above 65 C"
    assert value(house, "SELECT note FROM review") == "read through"


@pytest.mark.parametrize(
    ("line", "words"),
    [
        ("/act core-heat\r", "Type /act LIMIT because CAUSE; did ACTION"),
        ("/act warmth because cold; did nothing\r", "no open limit 'warmth'"),
        ("/release by Inger\r", "Type /release by NAME because REASON"),
        ("/review\r", "is not released yet"),
    ],
)
def test_half_a_line_is_refused_in_a_sentence(house: House, line: str, words: str) -> None:
    """What lacks a part, names no open limit or comes too early is not written down, and says why."""
    here = judged_house(house, well=False)

    async def script(app: HouseApp) -> None:
        await do(app, "/batch\r", f"{here.batch}\r", line)
        assert said(app)[0] in (Verdict.CHECK, Verdict.STOP)
        assert words in said(app)[1]

    work(here, script)
    assert value(house, "SELECT (SELECT COUNT(*) FROM deviation) + (SELECT COUNT(*) FROM review)") == 0


def test_view_without_a_plan_and_without_a_batch(house: House) -> None:
    """A batch without a plan says that nothing is judged; without a batch the key says what to do."""

    async def script(app: HouseApp) -> None:
        await do(app, "/batch\r", "f4")
        assert said(app)[0] is Verdict.CHECK
        await do(app, f"{house.batch}\r", "f4")
        assert "NO PLAN   made without a scheduled process" in dump(app)
        await do(app, "f4", "f4")
        assert "went in" in dump(app)

    work(house, script)


def test_readings_that_contradict_are_told(house: House) -> None:
    """A reading that no fish can have is said as a sentence; the page goes on."""
    here = judged_house(house, well=True)
    desk = here.desk()
    smoke.take_readings(desk, here.batch, "core", [(here.clock.at, 16_280)], "P1")
    desk.close()

    async def script(app: HouseApp) -> None:
        await do(app, "/batch\r", f"{here.batch}\r", "f4")
        assert "cannot be judged" in dump(app)
        assert "cannot be the core of fish" in dump(app)

    work(here, script)


def test_missing_before_packing(house: House) -> None:
    """What is missing names the open limit, the signature, and the packaging the salt result is awaited for."""
    here = judged_house(house, well=False)
    desk = here.desk()
    found = judged(desk, by_code(desk.records, here.batch).id)
    desk.close()
    assert found.missing[0] == "core-heat NO EVIDENCE"
    assert "the signature of release" in found.missing
    assert "evidence for vacuum pack" in found.missing
    assert "No reading 09:10 to 09:40 (P1); 09:10 to 09:40 (P2)." in core_words(found, ZoneInfo("Europe/Oslo"))


def test_chart_leaves_gaps_open_and_keeps_peaks() -> None:
    """Readings further apart than allowed are not joined, and thinning loses neither the lowest nor the highest."""
    probe = ProbeSeries("P1", [0, 600, 3000, 3600], [10, 20, 30, 40])
    assert unbroken(probe, [900] * 4) == [[(0, 10), (600, 20)], [(3000, 30), (3600, 40)]]
    long = [(float(at), 99.0 if at == 7777 else -9.0 if at == 8001 else 20.0) for at in range(100_000)]
    few = thinned(long)
    assert len(few) <= 610
    assert {(7777.0, 99.0), (8001.0, -9.0)} <= set(few)
    assert few == sorted(few)


@pytest.mark.parametrize(
    ("typed", "planned", "name"),
    [
        ("brining", ("brine", "drying"), "brine"),
        ("smoking at 70", ("smoking at 60", "smoking at 70"), "smoking at 70"),
        ("brining", (), "brining"),
        ("airing", ("brine",), "airing"),
    ],
)
def test_a_step_is_known_by_the_name_of_the_plan(typed: str, planned: tuple[str, ...], name: str) -> None:
    """A step is written down under the name the plan gives it, so that its window is judged."""
    assert step_name(typed, planned) == name


def test_act_and_release_are_read() -> None:
    """Limit, cause and action; name and reason; a note alone."""
    assert read_act("Core-heat because fire out, did smoke again") == ("core-heat", "fire out", "smoke again")
    assert read_release("by Inger Holm because hot enough") == ("Inger Holm", "hot enough")
    assert read_release("all well") == ("", "all well")
