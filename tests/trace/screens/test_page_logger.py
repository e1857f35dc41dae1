"""A logger's file is chosen, settled and brought in on its page, by keys alone; nothing unclear is ever entered."""

from __future__ import annotations

import os
from collections.abc import Sequence
from dataclasses import replace
from datetime import timedelta
from pathlib import Path

import pytest
from screens_house import House, do, dump, said, scan, work

from lotwake.trace.actions import set_up
from lotwake.trace.base.errors import CallError
from lotwake.trace.process.logger_checks import Problem
from lotwake.trace.screens.house_app import HouseApp
from lotwake.trace.screens.logger_words import hint, read_said
from lotwake.trace.screens.result import Verdict

DUMPS = Path(__file__).parent / "dumps"


def csv(house: House, values: Sequence[float], heading: str = "P1 (°C)", minutes: Sequence[int] = ()) -> list[str]:
    """Lines of a logger that began with the batch, a reading every ten minutes, in the time of the house."""
    began = house.clock.at - timedelta(hours=2) + timedelta(hours=1)
    at = minutes or [10 * number for number in range(len(values))]
    return [f"Time;{heading}", *(
        f"{began + timedelta(minutes=minute):%Y-%m-%d %H:%M:%S};{value:.1f}" for minute, value in zip(at, values, strict=True)
    )]  # fmt: skip


GOOD = (4, 10, 22, 38, 52, 61, 64, 65, 66, 66.5)


@pytest.fixture
def stick(tmp_path: Path) -> Path:
    """A folder like that of a stick."""
    folder = tmp_path / "stick"
    folder.mkdir()
    return folder


def write(path: Path, lines: Sequence[str]) -> Path:
    path.write_text("\n".join(lines) + "\n", encoding="utf-8")
    os.utime(path, (1_790_000_000, 1_790_000_000))
    return path


def readings(house: House) -> list[tuple[str, str | None, int]]:
    desk = house.desk()
    rows = desk.records.rows(
        "SELECT r.probe, e.name, COUNT(*) FROM reading r LEFT JOIN equipment e ON e.id = r.equipment GROUP BY r.probe, e.name"
    )
    desk.close()
    return [(row[0], row[1], row[2]) for row in rows]


def test_a_clear_file_is_brought_in_and_its_logger_remembered(house: House, stick: Path) -> None:
    """A folder, a number, /remember, /bring: the readings are on the batch with their instrument, and the next file of the
    logger is known again."""
    write(stick / "kiln.csv", csv(house, GOOD))
    desk = house.desk()
    set_up.add_equipment(desk, "kiln logger", "logger")
    desk.close()

    async def script(app: HouseApp) -> None:
        await do(app, "/batch\r", scan(house.batch), "/logger\r", f"{stick}\r")
        assert "kiln.csv" in dump(app)
        await do(app, "1\r")
        assert said(app)[0] is Verdict.GOOD, said(app)
        assert "10 readings" in said(app)[1]
        await do(app, "/remember kiln logger\r", "/bring\r")
        assert said(app)[0] is Verdict.GOOD, said(app)
        assert "The logger is remembered as kiln logger" in said(app)[1]
        later = [line.replace(";", ";", 1) for line in csv(house, [66.0, 65.5], minutes=[100, 105])]
        write(stick / "later.csv", later)
        await do(app, f"{stick / 'later.csv'}\r")
        assert "Read as the logger kiln logger, which is remembered." in dump(app)

    work(house, script)
    assert readings(house) == [("P1", "kiln logger", 10)]


BAD = [
    ("fahrenheit", lambda h: csv(h, [39, 60, 92, 118, 131, 142, 147, 149, 151, 151]), "/say unit F", "unit F"),
    ("fallen", lambda h: csv(h, [4, 30, 50, 62, 66, 67, 14, 12, 11, 11]), "/say fallen cut", "fallen cut"),
    ("jump", lambda h: csv(h, GOOD, minutes=[*range(0, 50, 10), *range(2000, 2050, 10)]), "/say jump keep", ""),
    ("twice", lambda h: [*csv(h, GOOD), csv(h, [3.0], minutes=[90])[1]], "", ""),
    ("text", lambda h: [*csv(h, GOOD), f"{csv(h, [0.0], minutes=[100])[1][:-3]}warm"], "", ""),
]


@pytest.mark.parametrize(("name", "lines", "hinted", "settled"), BAD, ids=[row[0] for row in BAD])
def test_a_file_in_doubt_is_told_and_nothing_is_entered(
    house: House,
    stick: Path,
    name: str,
    lines,
    hinted: str,
    settled: str,  # type: ignore[no-untyped-def]
) -> None:
    """Each doubt is one sentence with what to type; /bring enters nothing until it is settled."""
    write(stick / f"{name}.csv", lines(house))

    async def script(app: HouseApp) -> None:
        await do(app, "/batch\r", scan(house.batch), "/logger\r", f"{stick}\r", "1\r")
        verdict, words = said(app)
        assert verdict is Verdict.CHECK, said(app)
        assert hinted in words
        assert "--" not in words
        assert "NOT CLEAR" in dump(app)
        await do(app, "/bring\r")
        assert said(app)[0] is not Verdict.GOOD

    work(house, script)
    assert readings(house) == []
    if not settled:
        return

    async def settle(app: HouseApp) -> None:
        await do(app, "/batch\r", scan(house.batch), "/logger\r", f"{stick}\r", "1\r", f"/say {settled}\r")
        assert said(app)[0] is Verdict.GOOD, said(app)
        await do(app, "/bring\r")
        assert said(app)[0] is Verdict.GOOD, said(app)

    work(house, settle)
    assert readings(house)


def test_what_is_said_can_be_taken_back(house: House, stick: Path) -> None:
    """/unsay drops it and the file is read anew; a batch, a file and a folder that are not there are told."""
    write(stick / "a.csv", csv(house, GOOD))

    async def script(app: HouseApp) -> None:
        await do(app, "/logger\r", f"{stick / 'b.csv'}\r")
        assert "There is no file or folder" in said(app)[1]
        await do(app, f"{stick / 'a.csv'}\r", "/say unit F\r")
        assert "said: unit F" in dump(app)
        await do(app, "/unsay\r")
        assert "said:" not in dump(app)
        await do(app, "/bring\r")
        assert "Into which batch?" in said(app)[1]
        await do(app, f"/into {house.lot}\r")
        assert "not a batch" in said(app)[1]
        await do(app, "/say from yesterweek\r")
        assert said(app)[0] is Verdict.CHECK
        await do(app, f"{house.batch}\r", "/with Kiln 1\r")
        assert "not an instrument" in said(app)[1]

    work(house, script)


@pytest.mark.parametrize("size", [(80, 24), (120, 40)], ids=lambda size: "x".join(map(str, size)))
def test_the_page_looks_as_reviewed(house: House, stick: Path, size: tuple[int, int]) -> None:
    """A file in doubt and its first lines look as they were reviewed."""
    write(stick / "kiln.csv", csv(house, [39, 60, 92, 118, 131, 142, 147, 149, 151, 151]))
    changed: list[str] = []

    async def script(app: HouseApp) -> None:
        app.theme = "day"
        await do(app, "/batch\r", scan(house.batch), "/logger\r", f"{stick}\r")
        for name, key in (("doubt", "1\r"), ("lines", "f4")):
            await do(app, key)
            seen = dump(app)
            kept = DUMPS / f"page-logger-{name}-{size[0]}x{size[1]}.txt"
            if os.environ.get("LOTWAKE_WRITE_DUMPS"):
                kept.write_text(seen, encoding="utf-8")
            if not kept.exists() or seen != kept.read_text(encoding="utf-8"):
                changed.append(f"{kept.name}\n{seen}")

    work(replace(house), script, size=size)
    assert not changed, "\n".join(changed)


@pytest.mark.parametrize(
    ("option", "typed"),
    [
        (
            "Say --unit F, or --unit C if the fish was that warm.",
            "Type /say unit F, or /say unit C if the fish was that warm.",
        ),
        (
            "Bring in the part before or after with --from and --to.",
            "Bring in the part before or after with /say from and /say to.",
        ),
        ("Bring a file in again with --remember.", "Bring a file in again with /remember."),
        ("as in --zone +01:00.", "as in /say zone +01:00."),
    ],
)
def test_options_are_told_as_they_are_typed_here(option: str, typed: str) -> None:
    """What the shell takes as an option is told as a line of the page."""
    assert hint(Problem("", option)) == typed


def test_what_is_said_is_read() -> None:
    """Words in any case, several columns with commas, and a sentence for what nobody asks."""
    assert read_said("unit f") == ("unit", ["F"])
    assert read_said("values 2, P 3") == ("values", ["2", "P 3"])
    for wrong in ("unit", "colour red", "unit K", ""):
        with pytest.raises(CallError):
            read_said(wrong)
