"""Lets the tests of this folder share the demo pages and the screen dump; keeps colours as the program sets them."""

import os
import shutil
import sys
from collections.abc import Callable
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


@pytest.fixture(scope="session")
def house_on_server(tmp_path_factory: pytest.TempPathFactory, on_server: Callable[..., str]) -> House:
    """The small house with its record on a server, built once."""
    folder = tmp_path_factory.mktemp("kept-on-server") / "house"
    folder.mkdir()
    (folder / "house.toml").write_text(on_server("pages_kept"), encoding="utf-8")
    return small_house(folder)


@pytest.fixture(params=["file", "server"] if os.environ.get("LOTWAKE_TEST_POSTGRES") else ["file"])
def house(request: pytest.FixtureRequest, tmp_path: Path) -> House:
    """A copy of the small house that a test works in, at the time it was left; with a test server, there too."""
    marked = request.node.get_closest_marker
    if request.param == "server" and (marked("on_file") or not marked("on_both")):
        pytest.skip("the pages are the same on a server, but for what is marked on_both")
    house_kept = request.getfixturevalue("house_on_server" if request.param == "server" else "house_kept")
    shutil.copytree(house_kept.places.folder, tmp_path / "house")
    if request.param == "server":
        kept = house_kept.places.settings.read_text(encoding="utf-8")
        line = request.getfixturevalue("on_server")("pages", kept)
        (tmp_path / "house" / "house.toml").write_text(line, encoding="utf-8")
    return replace(house_kept, places=places_at(tmp_path / "house"), clock=SetClock(house_kept.clock.at))
