"""Drafts on disk."""

from __future__ import annotations

import json
import time
from pathlib import Path

import pytest

from lotwake.trace.base.errors import MachineFailed
from lotwake.trace.screens.drafts import DraftStore


@pytest.fixture
def failures() -> list[str]:
    return []


@pytest.fixture
def store(tmp_path: Path, failures: list[str]) -> DraftStore:
    return DraftStore(tmp_path / "drafts", failures.append, delay_s=0.02)


def test_last_text_is_on_disk_without_asking(store: DraftStore, tmp_path: Path) -> None:
    """After many quick changes the last one is on disk by itself, whole, and nothing else is left there."""
    for number in range(50):
        store.put("landing", {"mass": str(number)})
    waited_until = time.monotonic() + 5
    path = tmp_path / "drafts" / "landing.json"
    while not path.exists() or json.loads(path.read_text()) != {"mass": "49"}:
        assert time.monotonic() < waited_until
        time.sleep(0.01)
    assert [entry.name for entry in path.parent.iterdir()] == ["landing.json"]


def test_another_program_start_finds_it(store: DraftStore, tmp_path: Path) -> None:
    """A draft is there for the next start, with signs of any language."""
    store.put("landing", {"boat": "Blåskjæl [b]", "mass": "12,5"})
    store.close()
    assert DraftStore(tmp_path / "drafts", pytest.fail).get("landing") == {"boat": "Blåskjæl [b]", "mass": "12,5"}


def test_what_waits_is_read_back(tmp_path: Path) -> None:
    """A draft that is not on disk yet is read back all the same."""
    store = DraftStore(tmp_path, pytest.fail, delay_s=60)
    store.put("landing", {"mass": "1"})
    assert store.get("landing") == {"mass": "1"}
    assert store.names() == ["landing"]
    store.flush()
    assert (tmp_path / "landing.json").exists()


def test_confirmed_entry_has_no_draft(store: DraftStore, tmp_path: Path) -> None:
    """A dropped draft is gone at once and does not come back from the writer."""
    store.put("landing", {"mass": "1"})
    store.flush()
    store.put("landing", {"mass": "2"})
    store.drop("landing")
    time.sleep(0.1)
    assert store.get("landing") is None
    assert not list((tmp_path / "drafts").iterdir())


def test_unreadable_draft_is_set_aside(store: DraftStore, tmp_path: Path, failures: list[str]) -> None:
    """Half a file is kept beside, told in a sentence, and the form opens empty."""
    (tmp_path / "drafts").mkdir()
    (tmp_path / "drafts" / "landing.json").write_text('{"mass": "1')
    assert store.get("landing") is None
    assert (tmp_path / "drafts" / "landing.unreadable").exists()
    assert "landing" in failures[0]


def test_disk_failure_is_told(tmp_path: Path, failures: list[str]) -> None:
    """When the folder cannot be written, the person is told and the program goes on."""
    (tmp_path / "drafts").write_text("a file where the folder should be")
    store = DraftStore(tmp_path / "drafts", failures.append, delay_s=0)
    store.put("landing", {"mass": "1"})
    store.flush()
    assert len(failures) == 1
    assert "could not be written" in failures[0]


def test_draft_that_cannot_be_removed(store: DraftStore, tmp_path: Path) -> None:
    """A draft that stays behind is an error, since it would offer a made entry again."""
    (tmp_path / "drafts" / "landing.json").mkdir(parents=True)
    with pytest.raises(MachineFailed):
        store.drop("landing")


@pytest.mark.parametrize("name", ["", "../up", "Landing", "a/b"])
def test_form_names_stay_in_the_folder(store: DraftStore, name: str) -> None:
    """A form's name never leads out of the folder."""
    with pytest.raises(ValueError, match="form is named"):
        store.put(name, {})
