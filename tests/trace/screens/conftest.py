"""Lets the tests of this folder share the demo pages and the screen dump; keeps colours as the program sets them."""

import os
import shutil
import sys
from dataclasses import replace
from pathlib import Path

import pytest

sys.path.insert(0, str(Path(__file__).parent))
for name in ("NO_COLOR", "TEXTUAL_THEME", "TEXTUAL"):
    os.environ.pop(name, None)

from screens_house import House, small_house  # noqa: E402 (the folder is on the path from here on)

from lotwake.trace.base.clock import SetClock  # noqa: E402
from lotwake.trace.base.places import places_at  # noqa: E402


@pytest.fixture(scope="session")
def house_kept(tmp_path_factory: pytest.TempPathFactory) -> House:
    """The small house, built once."""
    return small_house(tmp_path_factory.mktemp("kept") / "house")


@pytest.fixture
def house(house_kept: House, tmp_path: Path) -> House:
    """A copy of the small house that a test works in, at the time it was left."""
    shutil.copytree(house_kept.places.folder, tmp_path / "house")
    return replace(house_kept, places=places_at(tmp_path / "house"), clock=SetClock(house_kept.clock.at))
