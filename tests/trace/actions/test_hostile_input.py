"""Whatever comes in from outside: no crash, only sentences, and nothing written by what is wrong."""

from __future__ import annotations

import json
import re
from collections.abc import Iterator
from contextlib import contextmanager
from zoneinfo import ZoneInfo

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from lotwake.labels.errors import LabelError
from lotwake.labels.gs1.scan import read_scan
from lotwake.labels.printing.pictures import opened
from lotwake.trace.actions import origin, send_out, set_up, smoke
from lotwake.trace.actions.bring_epcis import Added, bring_epcis
from lotwake.trace.actions.bring_in.load import bring_in
from lotwake.trace.actions.find import find
from lotwake.trace.base.errors import CallError, LotwakeError
from lotwake.trace.base.settings import Settings, read_settings
from lotwake.trace.cli.main import main
from lotwake.trace.process.logger_file import Choices, read_logger
from lotwake.trace.process.logger_shape import Told
from lotwake.trace.process.plan import ScheduledProcess, read_plan, shipped_plan, shipped_plans
from lotwake.trace.recall.paper_origin import write_origin
from lotwake.trace.records.entries.house import SourceFacts
from lotwake.trace.records.journal import head

QUICK = settings(max_examples=60, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture])
GS1 = st.text("]C1d2Q3()0123456789\x1d^~ABh:/.?=&%", max_size=60)
SCANS = st.one_of(st.text(max_size=60), GS1, st.builds("]C1{}".format, GS1), st.builds("https://x.y/01/{}".format, GS1))
TOML = st.text("operator=\"'#[]{}\n .,0123456789truefalsekydabsnm\\u", max_size=80)


@contextmanager
def at_most_a_sentence(about: str = "") -> Iterator[None]:
    """What happens inside works, or fails with a sentence for people."""
    said = about or "it worked"
    try:
        yield
    except (LotwakeError, LabelError) as error:
        said = str(error)
    assert said
    assert about in said


@QUICK
@given(SCANS)
def test_any_scan(house, sent: str) -> None:
    """A scan is read into elements, text or problems, and finding it answers or says in a sentence why not."""
    assert read_scan(sent).text is not None
    with at_most_a_sentence():
        assert find(house.desk.records, sent)


@QUICK
@given(st.one_of(TOML.map(str.encode), st.binary(max_size=60)))
def test_any_settings(house, written: bytes) -> None:
    """A settings file is taken or named as wrong."""
    path = house.desk.places.folder / "tried.toml"
    path.write_bytes(written)
    with at_most_a_sentence("tried.toml"):
        assert isinstance(read_settings(path), Settings)


@QUICK
@given(st.data())
def test_any_plan(data: st.DataObject) -> None:
    """A shipped plan in which a piece is replaced by anything is taken or named as wrong."""
    plan = shipped_plan(data.draw(st.sampled_from(sorted(shipped_plans()))))
    first = data.draw(st.integers(0, len(plan)))
    last = data.draw(st.integers(first, min(len(plan), first + 40)))
    with at_most_a_sentence():
        assert isinstance(
            read_plan(plan[:first] + data.draw(st.one_of(TOML, st.text())) + plan[last:]), ScheduledProcess
        )


CELLS = st.one_of(
    st.text(max_size=12), st.sampled_from(["2026-11-02", "12.5", "HAD", "27", "Aurora", "-1", "1e9", "=1+1"])
)


@QUICK
@given(st.lists(st.lists(CELLS, max_size=8), max_size=4), st.sampled_from([",", ";", "\t"]), st.booleans())
def test_any_log_book(house, rows: list[list[str]], separator: str, raw: bool) -> None:
    """Rows of anything under the right header, or under none, write nothing unless they are all right."""
    folder = house.desk.places.folder / "book"
    folder.mkdir(exist_ok=True)
    header = "" if raw else "lot,kind,source,species,area,kg,received\n".replace(",", separator)
    text = header + "\n".join(separator.join(row) for row in rows)
    (folder / "lots.csv").write_bytes(text.encode("utf-8", "surrogatepass"))
    before = head(house.desk.records)
    kept = False
    with at_most_a_sentence():
        kept = bring_in(house.desk, folder).kept
    assert kept or head(house.desk.records) == before


JSON = st.recursive(
    st.one_of(st.none(), st.booleans(), st.integers(), st.text(max_size=8), st.just("urn:epc:id:sgtin:9520000.00002.1")),
    lambda inner: st.lists(inner, max_size=3)
    | st.dictionaries(
        st.sampled_from(["type", "epcisBody", "eventList", "epcList", "quantityList", "ilmd", "eventTime", "bizStep"]),
        inner, max_size=4,
    ),
    max_leaves=12,
)  # fmt: skip


@QUICK
@given(st.one_of(JSON.map(lambda value: json.dumps(value).encode()), st.binary(max_size=60)), st.booleans())
def test_any_epcis(house, content: bytes, wrapped: bool) -> None:
    """A supplier's file of anything brings nothing in, and says why."""
    path = house.desk.places.folder / "theirs.json"
    frame = b'{"type": "EPCISDocument", "schemaVersion": "2.0", "epcisBody": {"eventList": [%s]}}'
    path.write_bytes(frame % content if wrapped else content)
    before = head(house.desk.records)
    with at_most_a_sentence():
        bring_epcis(house.desk, path, Added(dealer="Fish Round"))
    assert head(house.desk.records) == before


HIDDEN = ["\x1b[2J", "\x1b]0;title\x07", "\x9b31m", "\x00", "\r", "\x7f", "\u202e", "\u2066", "\ud800", "\u2028"]


@pytest.mark.parametrize("hidden", HIDDEN)
def test_hidden_characters_do_not_come_in(house, hidden: str) -> None:
    """A name, a note, a reason or a correction with a hidden character is refused, and names it."""
    lot = house.landing()
    before = head(house.desk.records)
    for act in (
        lambda: set_up.add_source(house.desk, SourceFacts("boat", f"Au{hidden}rora")),
        lambda: smoke.lose(house.desk, house.desk.records.value("SELECT code FROM lot"), f"trim{hidden}", 1),
        lambda: house.desk.entry("odd", None, f"why{hidden}").__enter__(),
    ):
        with pytest.raises(LotwakeError):
            act()
    assert head(house.desk.records) == before
    with pytest.raises(CallError, match=r"hidden character|no text"):
        set_up.add_supplier(house.desk, f"Bag{hidden}s")
    assert lot


def test_hidden_characters_do_not_go_out(house, capsys) -> None:
    """What somebody put into the file behind the program's back is spelled out in the shell, as text and as JSON."""
    house.desk.records.run("UPDATE buyer SET phone = ?", "\x1b[2J\x9b31m")
    for words in (["list", "buyers"], ["list", "buyers", "--json"], ["find", "\x1b[2Jx"]):
        main(["--at", str(house.desk.places.folder), *words], house.clock)
        out, err = capsys.readouterr()
        assert not re.search("[\x1b\x9b]", out + err)


LOGGER = b"""Date;Time;Probe 1;Probe 2
24.11.2026;06:00;61,0;60,5
24.11.2026;06:01;62,9;62,1
24.11.2026;06:02;63,4;63,0
"""


@QUICK
@given(st.data())
def test_any_logger_file(data: st.DataObject) -> None:
    """A logger's file in which a piece is replaced by anything is read as it says or named as wrong, never guessed."""
    first = data.draw(st.integers(0, len(LOGGER)))
    last = data.draw(st.integers(first, min(len(LOGGER), first + 30)))
    piece = data.draw(
        st.one_of(st.binary(max_size=30), st.text("0123456789.,;:\n -eEinfNaF", max_size=20).map(str.encode))
    )
    with at_most_a_sentence():
        readings, preview = read_logger(
            LOGGER[:first] + piece + LOGGER[last:], Told(), Choices(), ZoneInfo("Europe/Oslo")
        )
        assert preview.problems == ()
        for probe in readings.probes:
            assert all(-10_000 <= value <= 100_000 for value in probe.centi_c)
            assert list(probe.at_s) == sorted(set(probe.at_s))


PAPERS = {
    "origin.pdf": lambda desk, out: write_origin(
        origin.answer_origin(desk, origin.asked_about(desk, desk.records.value("SELECT code FROM run")), "x"), out
    ),
    "plan.pdf": send_out.send_plan,
    "plan.txt": send_out.send_plan,
    "plan.md": send_out.send_plan,
    "day.txt": lambda desk, out: send_out.send_day(desk, desk.today, out),
    "day.pdf": lambda desk, out: send_out.send_day(desk, desk.today, out),
}


@pytest.mark.parametrize("name", PAPERS)
def test_hidden_characters_do_not_get_onto_paper(house, tmp_path, name: str) -> None:
    """What somebody put into the file behind the program's back steers neither a PDF reader nor a terminal."""
    house.packed_run(2)
    hidden = "Au\x1b[2J\x9b31m\x07rora"
    house.desk.records.run("UPDATE source SET name = ?", hidden)
    house.desk.records.run("UPDATE site SET name = ?", hidden)
    house.desk.records.run("UPDATE journal SET act = ?", hidden)
    house.desk.records.run("UPDATE product SET name = ?", hidden)
    out = tmp_path / name
    PAPERS[name](house.desk, out)
    if name.endswith(".pdf"):
        with opened(out) as document:
            text = "".join(page.get_textpage().get_text_range() for page in document)
        assert "rora" in text
    else:
        text = out.read_text(encoding="utf-8")
    assert not re.search("[\x00-\x08\x0b\x0c\x0e-\x1f\x7f-\x9f]", text)
