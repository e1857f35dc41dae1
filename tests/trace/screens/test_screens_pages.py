"""Pages by keys alone and by scans alone. No page handler, no fault, no picture is assumed: only what was heard."""

from __future__ import annotations

import asyncio
from collections.abc import Awaitable, Callable, Iterable
from pathlib import Path

import pytest
from screens_demo import DemoApp, TablePage
from screens_seen import dump, send, settle
from textual import events
from textual.pilot import Pilot

from lotwake.trace.screens.capture import ScannerProfile
from lotwake.trace.screens.command import Command
from lotwake.trace.screens.result import Verdict
from lotwake.trace.screens.text import fitted, plain
from lotwake.trace.screens.widgets import Form, Ledger, LineInput
from lotwake.trace.screens.widgets.choice_field import fitting
from lotwake.trace.screens.widgets.result_strip import ResultStrip

Script = Callable[[DemoApp, Pilot[None]], Awaitable[None]]


def run(folder: Path, script: Script, profile: ScannerProfile | None = None, faults: int = 0) -> DemoApp:
    """Run a script in the demo program; nothing may go wrong unseen."""

    async def running() -> DemoApp:
        app = DemoApp(folder, profile=profile)
        async with app.run_test(size=(80, 24)) as pilot:
            await settle(app)
            await script(app, pilot)
            await settle(app)
            assert len(app.faults) == faults
            app.drafts.flush()
        return app

    return asyncio.run(running())


def result(app: DemoApp) -> tuple[Verdict, str] | None:
    """Verdict and sentence on the page that is shown."""
    shown = app.page.query_one(ResultStrip).result
    return None if shown is None else (shown.verdict, shown.sentence)


@pytest.mark.parametrize(
    ("keys", "heard"),
    [
        (["24\r"], ["count 24"]),
        (["24\n"], ["count 24"]),
        (["AAA\rBBB\r"], ["line AAA", "line BBB"]),
        (["12\r", "f8", "34\r"], ["count 12", "void", "count 34"]),
        (["/void smeared\r"], ["void smeared"]),
        (["-\r+\r"], ["void", "more"]),
        (["*\r"], ["repeat in background"]),
        (["]C1012\r"], ["scan ]C1012"]),
        (["]C1A\x1dB\r"], ["scan ]C1A\x1dB"]),
        (["12]C1A\r3\r"], ["scan ]C1A", "count 123"]),
        (["]C1CMDVOID\r]C1CMD24\r"], ["void", "count 24"]),
        (["down", "down", "\r"], ["row r2"]),
        (["f3", "]C1A\r"], ["scan ]C1A"]),
        (["f2", "]C1A\r"], ["scan ]C1A"]),
        (["f3", "void", "\r"], ["void"]),
        (["f3", "B25118", "\r"], ["line B25118"]),
        (["/find B25\r", "\r"], ["line B25"]),
        (["f9", "entry\r", "escape", "7\r"], ["count 7"]),
        (["/entry\r", "/table\r", "]C1A\r", "escape", "8\r"], ["scan ]C1A", "count 8"]),
        (["?", "escape", "9\r"], ["count 9"]),
        (["a?\r"], ["line a?"]),
    ],
    ids=repr,
)
def test_all_at_once(tmp_path: Path, keys: list[str], heard: list[str]) -> None:
    """Typed lines, keys and scans sent without a pause are done in their order, each once."""

    async def script(app: DemoApp, _pilot: Pilot[None]) -> None:
        await send(app, *keys)
        for _ in range(20):
            await asyncio.sleep(0.01)
            if app.table.heard == heard:
                break

    assert run(tmp_path, script).table.heard == heard


@pytest.mark.parametrize(
    ("keys", "verdict", "words"),
    [
        (["24\r"], Verdict.GOOD, "heard count 24"),
        (["5000\r"], Verdict.STOP, "5000 labels are more"),
        (["/nothing\r"], Verdict.CHECK, "no command /nothing"),
        (["escape"], Verdict.CHECK, "first page"),
        (["]C1A", "f8", "B\r"], Verdict.CHECK, "A scan was not used"),
        (["fault\r"], Verdict.STOP, "mistake"),
    ],
    ids=repr,
)
def test_results(tmp_path: Path, keys: list[str], verdict: Verdict, words: str) -> None:
    """Every act ends in one result: done, refused by a rule, to be put right, or a fault that is kept."""

    async def script(app: DemoApp, _pilot: Pilot[None]) -> None:
        await send(app, *keys)
        shown = result(app)
        assert shown is not None
        assert shown[0] is verdict
        assert words in shown[1]
        assert f" {verdict.value}" in dump(app)

    run(tmp_path, script, faults=int(words == "mistake"))


def test_result_stays_until_the_next_act(tmp_path: Path) -> None:
    """Typing does not take the result away; the next Enter, key or scan does."""

    async def script(app: DemoApp, _pilot: Pilot[None]) -> None:
        await send(app, "24\r", "1", "2")
        assert result(app) == (Verdict.GOOD, "heard count 24")
        await send(app, "f3")
        await send(app, "escape")
        assert result(app) is None

    run(tmp_path, script)


def test_page_that_cannot_do_what_it_offers(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """A page with a command but no method for it is found when the page is made, not when the key is pressed."""
    monkeypatch.setattr(TablePage, "OFFERS", (*TablePage.OFFERS, Command("weigh", "Weigh", "Weigh it.")))
    with pytest.raises(TypeError, match="do_weigh"):
        DemoApp(tmp_path).page_named("table")


def test_command_not_offered_here(tmp_path: Path) -> None:
    """A fixed key that means nothing on this page says so, and does nothing."""

    async def script(app: DemoApp, _pilot: Pilot[None]) -> None:
        await send(app, "/entry\r", "f8")
        assert result(app) == (Verdict.CHECK, "There is nothing to void on this page.")

    assert run(tmp_path, script).table.heard == []


@pytest.mark.parametrize("key", ["ctrl+q", "ctrl+p", "ctrl+c"])
def test_stray_control_keys_do_nothing(tmp_path: Path, key: str) -> None:
    """A stray control byte neither ends the program nor opens anything."""

    async def script(app: DemoApp, pilot: Pilot[None]) -> None:
        await pilot.press(key)
        await settle(app)
        assert app.is_running
        assert app.screen is app.table
        await send(app, "24\r")

    assert run(tmp_path, script).table.heard == ["count 24"]


def test_form_by_keys_alone(tmp_path: Path) -> None:
    """Choice by part of a name, weight with a comma, an empty field that may be empty: entered, draft gone."""

    async def script(app: DemoApp, _pilot: Pilot[None]) -> None:
        await send(app, "/entry\r", "kvit\r12,5\r\r")

    app = run(tmp_path, script)
    assert app.entry.entered == [{"boat": "KV1", "mass": 12500, "remark": None}]
    assert app.drafts.names() == []


def test_choice_by_arrows(tmp_path: Path) -> None:
    """The arrows choose from the list without typing."""

    async def script(app: DemoApp, _pilot: Pilot[None]) -> None:
        await send(app, "/entry\r", "down", "down", "\r")
        assert app.entry.query_one(Form).texts()["boat"] == "KV1"

    run(tmp_path, script)


def test_wrong_field_holds_the_cursor_and_says_why(tmp_path: Path) -> None:
    """A weight that is none is refused while typing, in words, and Enter does not go on."""

    async def script(app: DemoApp, _pilot: Pilot[None]) -> None:
        await send(app, "/entry\r", "kv\r", "12,5,3")
        assert "CHECK" in dump(app)
        await send(app, "\r", "9")
        assert app.entry.query_one(Form).texts() == {"boat": "KV1", "mass": "12,5,39", "remark": ""}

    assert run(tmp_path, script).entry.entered == []


def test_unready_form_goes_to_the_first_wrong_field(tmp_path: Path) -> None:
    """Enter in the last field of an unready form names what is missing and puts the cursor there."""

    async def script(app: DemoApp, _pilot: Pilot[None]) -> None:
        await send(app, "/entry\r", "\t\t\r")
        shown = result(app)
        assert shown == (Verdict.CHECK, "Boat is empty.")
        assert app.focused is app.entry.query_one(Form).fields[0].input

    run(tmp_path, script)


def test_draft_survives_the_program(tmp_path: Path) -> None:
    """What stood in a form is there at the next start, and the first key adds to it instead of wiping it."""

    async def first(app: DemoApp, _pilot: Pilot[None]) -> None:
        await send(app, "/entry\r", "kv\r12", "escape")

    async def second(app: DemoApp, _pilot: Pilot[None]) -> None:
        await send(app, "/entry\r")
        assert "draft" in (result(app) or (None, ""))[1]
        await send(app, "\r", ",5\r\r")

    run(tmp_path, first)
    assert run(tmp_path, second).entry.entered == [{"boat": "KV1", "mass": 12500, "remark": None}]


def test_draft_that_cannot_be_kept_is_told(tmp_path: Path) -> None:
    """When the disk refuses a draft, the page says at once that what is typed is not kept."""
    folder = tmp_path / "drafts"
    folder.write_text("a file where the folder should be")

    async def script(app: DemoApp, _pilot: Pilot[None]) -> None:
        await send(app, "/entry\r", "kv")
        app.drafts.flush()
        await settle(app)
        shown = result(app)
        assert shown is not None
        assert shown[0] is Verdict.STOP
        assert "draft of entry" in shown[1]

    run(folder, script)


@pytest.mark.parametrize(
    ("pasted", "line", "heard"),
    [
        ("]C1A\x1dB\r\n]C1C\r\n", "", ["scan ]C1A\x1dB", "scan ]C1C"]),
        ("01095\x1d21X", "01095^21X", []),
        ("two\nlines", "", []),
    ],
)
def test_paste(tmp_path: Path, pasted: str, line: str, heard: list[str]) -> None:
    """Pasted scans are scans; other text goes whole into the line with GS kept visible, or is refused."""

    async def script(app: DemoApp, _pilot: Pilot[None]) -> None:
        app.post_message(events.Paste(pasted))
        await settle(app)
        assert app.line.value == line

    assert run(tmp_path, script).table.heard == heard


def test_timing_profile(tmp_path: Path) -> None:
    """A scanner without identifier is told from typing by its speed."""

    async def script(app: DemoApp, pilot: Pilot[None]) -> None:
        await send(app, "95012345\r")
        for key in ("2", "4", "enter"):
            await pilot.press(key)
            await asyncio.sleep(0.06)

    assert run(tmp_path, script, ScannerProfile(prefixed=False)).table.heard == ["scan 95012345", "count 24"]


def test_keypad_off(tmp_path: Path) -> None:
    """A keypad with NumLock off is named."""

    async def script(app: DemoApp, pilot: Pilot[None]) -> None:
        await pilot.press("insert")
        await settle(app)
        assert result(app) == (Verdict.CHECK, "The keypad sends no digits.")

    run(tmp_path, script)


def test_keypad_operators_of_newer_terminals(tmp_path: Path) -> None:
    """Keypad keys that come as names without a character are their signs."""

    async def script(app: DemoApp, pilot: Pilot[None]) -> None:
        for key in ("add", "enter", "subtract", "enter"):
            app.post_message(events.Key(key, None))
        await settle(app)
        del pilot

    assert run(tmp_path, script).table.heard == ["more", "void"]


def test_too_small_window_keeps_what_was_typed(tmp_path: Path) -> None:
    """Under 80x24 one line says so; after that the typed text is still there and the focus too."""

    async def script(app: DemoApp, pilot: Pilot[None]) -> None:
        await send(app, "12")
        await pilot.resize_terminal(60, 20)
        await pilot.pause()
        assert "Too small: 60x20" in dump(app)
        assert "TABLE" not in dump(app)
        await pilot.resize_terminal(80, 24)
        await pilot.pause()
        assert isinstance(app.focused, LineInput)
        await send(app, "3\r")

    assert run(tmp_path, script).table.heard == ["count 123"]


def test_ledger_of_a_million_rows(tmp_path: Path) -> None:
    """A virtual ledger asks only for what is seen, and its end is reached at once."""

    class Million:
        asked = 0

        def __len__(self) -> int:
            return 1_000_000

        def window(self, first: int, count: int) -> list:  # type: ignore[type-arg]
            from lotwake.trace.screens.widgets import Row

            self.asked += count
            return [Row(str(n), ("", f"row {n}", "", "")) for n in range(first, min(first + count, len(self)))]

    async def script(app: DemoApp, pilot: Pilot[None]) -> None:
        rows, ledger = Million(), app.table.query_one(Ledger)
        ledger.show_rows(rows)
        ledger.action_step(10**9)
        await pilot.pause()
        assert ledger.selected_row is not None
        assert "> " in dump(app)
        assert "row 999999" in dump(app)
        assert rows.asked < 2000

    run(tmp_path, script)


def test_records_are_never_markup(tmp_path: Path) -> None:
    """Brackets in a record are shown, not obeyed, wherever text is shown."""

    async def script(app: DemoApp, _pilot: Pilot[None]) -> None:
        app.post_message(events.Paste("lot [b12] [/x] [red]"))
        await settle(app)
        await send(app, "\r")
        assert dump(app).count("lot [b12] [/x] [red]") == 1
        assert "lot [b12] [/x] ]C1^ end" in dump(app)
        await send(app, "f3")
        app.post_message(events.Paste("[/x] [b12]"))
        await settle(app)
        assert dump(app).count("[/x] [b12]") == 2

    run(tmp_path, script)


@pytest.mark.parametrize(
    ("text", "width", "shown"),
    [("abc", 5, "abc  "), ("abcdef", 4, "abc…"), ("a\x1bb\n", 4, "a·b·"), ("A\x1dB", 3, "A^B"), ("魚魚魚", 4, "魚 …")],
)
def test_text_fits_its_cells(text: str, width: int, shown: str) -> None:
    """Text is cut or filled to its cells, and nothing in it reaches the terminal as a command."""
    assert fitted(text, width) == shown
    assert fitted("7", 3, right=True) == "  7"
    assert plain(plain(text)) == plain(text)


@pytest.mark.parametrize(
    ("typed", "codes"), [("", ["A1", "B2", "C3"]), ("b", ["B2", "A1"]), ("herring", ["A1"]), ("x", [])]
)
def test_choices_fit_what_is_typed(typed: str, codes: Iterable[str]) -> None:
    """Every typed word must be in code or name; codes that begin so come first."""
    choices = [("A1", "herring, brined"), ("B2", "cod"), ("C3", "hake")]
    assert [code for code, _ in fitting(choices, typed)] == codes
