"""A small house for the lineage tests, on SQLite and, where a server is named, on PostgreSQL.

``LOTWAKE_TEST_POSTGRES`` holds the URL of a database beside which others may be made (postgresql://user@host:port/name).
"""

import os
import sys
from collections.abc import Iterator
from datetime import UTC, datetime
from pathlib import Path

import pytest

sys.path.insert(0, str(Path(__file__).parent))

from lineage_house import SmallHouse, house_in, house_on_postgres

START = datetime(2026, 3, 2, 5, tzinfo=UTC)
POSTGRES = os.environ.get("LOTWAKE_TEST_POSTGRES", "")


@pytest.fixture
def house(tmp_path: Path) -> Iterator[SmallHouse]:
    """A house of a few boats, buyers and products, with nothing received yet."""
    made = house_in(tmp_path / "house", START)
    yield made
    made.desk.close()


@pytest.fixture(
    scope="module",
    params=[
        "sqlite",
        pytest.param(
            "postgres",
            marks=pytest.mark.skipif(not POSTGRES, reason="LOTWAKE_TEST_POSTGRES names no database to test on"),
        ),
    ],
)
def any_house(request: pytest.FixtureRequest, tmp_path_factory: pytest.TempPathFactory) -> Iterator[SmallHouse]:
    """The same house on each kind of database; the tests that share it undo what they write."""
    folder = tmp_path_factory.mktemp("houses") / request.param
    if request.param == "sqlite":
        made = house_in(folder, START)
    else:  # a database of this process alone
        url = request.getfixturevalue("on_server")("lineage").split('"')[1]
        made = house_on_postgres(url, folder, START)
    yield made
    made.desk.close()
