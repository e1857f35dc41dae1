"""``house.toml``: read once, and what is wrong in it is named."""

from __future__ import annotations

from pathlib import Path

import pytest

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
