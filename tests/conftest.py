"""The demo season for every test that wants a lived-in house: built once, copied for tests that write.

Imported only when asked for, so that tests of the pure rooms load nothing of the record.
"""

from __future__ import annotations

import shutil
from pathlib import Path
from typing import TYPE_CHECKING

import pytest

if TYPE_CHECKING:
    from lotwake.demo_db.builder import Built


@pytest.fixture(scope="session")
def season(tmp_path_factory: pytest.TempPathFactory) -> Built:
    """The demo season, to be read only: ``places`` and the ``landmarks`` of its story."""
    from lotwake.demo_db.builder import build

    return build(tmp_path_factory.mktemp("season") / "house")


@pytest.fixture
def season_copy(season: Built, tmp_path: Path) -> Built:
    """A copy of the demo season that a test may write to."""
    from lotwake.demo_db.builder import Built
    from lotwake.trace.base.places import places_at

    folder = tmp_path / "house"
    shutil.copytree(season.places.folder, folder)
    return Built(places_at(folder), season.landmarks)
