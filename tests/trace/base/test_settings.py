"""``house.toml``: read once, and what is wrong in it is named."""

from __future__ import annotations

from dataclasses import fields
from pathlib import Path

import pytest

from lotwake.labels.checks.markets import MARKETS
from lotwake.labels.layout.languages import BUILT_IN
from lotwake.labels.layout.symbols import Design
from lotwake.trace.actions.label_setting import PROFILES
from lotwake.trace.base import settings
from lotwake.trace.base.errors import CallError, LotwakeError, MachineFailed
from lotwake.trace.base.settings import Settings, read_settings


def written(folder: Path, text: str | bytes) -> Path:
    path = folder / "house.toml"
    path.write_bytes(text if isinstance(text, bytes) else text.encode())
    return path


def test_without_a_file_the_defaults_hold(tmp_path: Path) -> None:
    """A house that chose nothing has the defaults, and so has an empty file."""
    assert read_settings(tmp_path / "house.toml") == Settings()
    assert read_settings(written(tmp_path, "")) == Settings()


def test_choices_are_read(tmp_path: Path) -> None:
    """What a house wrote is what it gets, also from an editor that puts a byte order mark in front."""
    text = 'operator = "SK"\nprinter_dpi = 300\ntheme = "night"\nseparator = "~"\n[keys]\nhelp = "f1"\n'
    wanted = Settings(operator="SK", printer_dpi=300, theme="night", separator="~", keys={"help": "f1"})
    assert read_settings(written(tmp_path, text)) == wanted
    assert read_settings(written(tmp_path, b"\xef\xbb\xbf" + text.encode())) == wanted


def test_label_choices_are_read(tmp_path: Path) -> None:
    """What a house chose for its labels is what it gets; languages may be shipped ones or files of its own."""
    text = (
        'market = "eu"\nlanguages = ["english", "words.toml"]\nprinter = "ipp://[::1]:631/ipp/print"\n'
        'case_printer = "queue:cases"\npack_face_cm2 = 70\ncountry_of_origin = "Norway"\nuse_by = true\ndesign = "qr"\n'
    )
    assert read_settings(written(tmp_path, text)) == Settings(
        market="eu", languages=("english", "words.toml"), printer="ipp://[::1]:631/ipp/print", case_printer="queue:cases",
        pack_face_cm2=70, country_of_origin="Norway", use_by=True, design="qr",
    )  # fmt: skip


def test_targets_of_a_drill(tmp_path: Path) -> None:
    """The targets of a drill are a house's own; what cannot be met or counted is refused."""
    found = read_settings(written(tmp_path, "drill_goal_min = 120\ndrill_least_percent = 100\n"))
    assert (found.drill_goal_min, found.drill_least_percent) == (120, 100)
    for text in ("drill_goal_min = 0\n", "drill_least_percent = 101\n", "drill_least_percent = -1\n"):
        with pytest.raises(CallError, match=r"house\.toml, line 1: drill_"):
            read_settings(written(tmp_path, text))


def test_the_readme_shows_every_label_setting(tmp_path: Path) -> None:
    """The settings in the README's part on labels are all those of labels, and can be read as they stand there."""
    part = Path(__file__).parents[3].joinpath("README.md").read_text(encoding="utf-8").split("## Labels")[1]
    shown = part.split("```")[1]
    chosen = read_settings(written(tmp_path, shown))
    assert chosen.languages == ("english", "filipino")
    elsewhere = {"operator", "theme", "scanner", "separator", "keys", "database", "withhold", "withhold_from"}
    elsewhere |= {"drill_goal_min", "drill_least_percent"}
    assert {line.split(" =")[0] for line in shown.strip().splitlines()} == {
        item.name for item in fields(Settings)
    } - elsewhere


def test_languages_are_those_that_come_with_the_program() -> None:
    """The languages, markets and designs a house may choose are those the labels have."""
    allowed = settings._ALLOWED
    assert settings.LANGUAGES == BUILT_IN
    assert allowed["market"] == tuple(MARKETS)
    assert allowed["design"] == tuple(design.name.lower() for design in Design)
    assert allowed["printer_dpi"] == tuple(PROFILES)


@pytest.mark.parametrize(
    ("text", "says"),
    [
        ("operator = SK", "cannot be read"),
        ("operator = 'SK'\noperator = 'EO'", "cannot be read"),
        (b"operator = '\xff'", "cannot be read"),
        ("colour = 'red'", "'colour' that does not exist"),
        ("operator = 7", "operator = 7 is not a text"),
        ("printer_dpi = '203'", "printer_dpi = '203' is not a whole number"),
        ("printer_dpi = 200", "Use one of: 203, 300"),
        ("printer_dpi = true", "not a whole number"),
        ("theme = 'dusk'", "Use one of: day, night"),
        ("scanner = ''", "Use one of: prefix, timing"),
        ("keys = 'f1'", "not a table"),
        ("[keys]\nhelp = 1", "the key for help, 1, is not a text"),
        ("separator = ''", "not one character"),
        ("separator = 'GS'", "not one character"),
        ("market = 'mars'", "market = 'mars' is not known. Use one of: codex, eu, us"),
        ("design = 'round'", "Use one of: auto, line, datamatrix, qr"),
        ("use_by = 'yes'", "use_by = 'yes' is not true or false"),
        ("pack_face_cm2 = -1", "pack_face_cm2 = -1 cannot be"),
        ("pack_face_cm2 = 7.5", "pack_face_cm2 = 7.5 is not a whole number"),
        ("languages = 'english'", "languages = 'english' is not a list"),
        ("languages = []", "languages = [] is not one language or two"),
        ("languages = ['english', 'french', 'spanish']", "is not one language or two"),
        ("languages = ['english', 'english']", "two that differ"),
        ("languages = ['klingon']", "languages has 'klingon', which is not known. Use one of: english, filipino"),
        ("languages = [7]", "languages has 7"),
        ("printer = 'lpt1'", "printer = 'lpt1' is no printer. Write \"queue:NAME\""),
        ("printer = 'queue:-o x'", "is no printer"),
        ("printer = 'ipp://'", "is no printer"),
        ("printer = 'ipp://host:99999/x'", "is no printer"),
        ("case_printer = 'ipp://host:port'", "case_printer = 'ipp://host:port' is no printer"),
    ],
)
def test_what_is_wrong_is_named(tmp_path: Path, text: str | bytes, says: str) -> None:
    """A wrong line, name or value is refused with a sentence that names it."""
    with pytest.raises(CallError) as refused:
        read_settings(written(tmp_path, text))
    assert says in str(refused.value)


def test_a_file_that_cannot_be_read_is_the_machine(tmp_path: Path) -> None:
    """A folder in place of the file is a failure of the machine, with a sentence."""
    (tmp_path / "house.toml").mkdir()
    with pytest.raises(MachineFailed) as failed:
        read_settings(tmp_path / "house.toml")
    assert isinstance(failed.value, LotwakeError)
    assert "cannot be read" in failed.value.sentence
