"""A record on a server: its roles are the boundary, verify compares its shape, and the shell names it rightly."""

from __future__ import annotations

import json
import os
from pathlib import Path
from typing import Any

import pytest

from lotwake.demo_db.builder import holds_season
from lotwake.trace.actions import receive, send_out, set_up
from lotwake.trace.actions.desk import Desk, open_desk
from lotwake.trace.base.errors import CallError, MachineFailed, NotFound
from lotwake.trace.base.places import places_at
from lotwake.trace.base.settings import holds_house, without_password
from lotwake.trace.cli.main import main
from lotwake.trace.records.server_roles import READER, STATION, statements
from lotwake.trace.records.verify import verify


@pytest.fixture
def served(house: Any) -> Any:
    """A house whose record is on a server."""
    if house.desk.records.on_sqlite:
        pytest.skip("this is about a server; LOTWAKE_TEST_POSTGRES names one to test on")
    return house


def _role(desk: Desk, kind: str) -> str:
    """A role of the server with what its kind needs; it outlives the test, as roles are the whole server's."""
    role = f"lotwake test {kind} {os.environ.get('PYTEST_XDIST_WORKER', 'alone')}"
    if desk.records.value("SELECT 1 FROM pg_roles WHERE rolname = ?", role) is None:
        desk.records.run(f'CREATE ROLE "{role}" LOGIN')
    set_up.grant_on_server(desk, role, kind)
    return role


def _as(desk: Desk, role: str, folder: Path) -> Desk:
    """The house opened by this role of the server."""
    folder.mkdir()
    user, _, rest = desk.settings.database.partition("@")
    (folder / "house.toml").write_text(f'database = "postgresql://{role.replace(" ", "%20")}@{rest}"\n')
    assert user
    return open_desk(places_at(folder), "SK", desk.clock)


ARRIVAL = receive.Arrival("landing", "Aurora", 1_000, species="HAD", area="27.4.b", gear="OTB")


def test_the_server_keeps_a_reader_from_writing(served: Any, tmp_path: Path) -> None:
    """Whoever connects as a reader looks at everything and verifies; entries and plain SQL are refused by the server."""
    lot = served.landing()
    reader = _as(served.desk, _role(served.desk, READER), tmp_path / "reader")
    assert reader.records.value("SELECT g FROM lot WHERE code = ?", lot) == 50_000
    assert verify(reader.records).whole
    with pytest.raises(MachineFailed, match="does not let this user do that"):
        receive.receive(reader, ARRIVAL, another=True)
    for sql in ("UPDATE lot SET g = 1", "DELETE FROM lot", "CREATE TABLE mine (id BIGINT)"):
        with pytest.raises(MachineFailed, match="does not let this user do that"):
            reader.records.run(sql)
    reader.close()


def test_a_station_writes_entries_and_deletes_nothing(served: Any, tmp_path: Path) -> None:
    """A station's role makes entries and corrections; rows cannot be deleted, nor tables, triggers and versions changed."""
    station = _as(served.desk, _role(served.desk, STATION), tmp_path / "station")
    receive.receive(station, ARRIVAL, another=True)
    set_up.set_pin(station, "SK", None)
    for sql in (
        "DELETE FROM lot",
        "TRUNCATE journal CASCADE",
        "CREATE TABLE mine (id BIGINT)",
        "ALTER TABLE lot ADD COLUMN x TEXT",
        "DROP TABLE lot CASCADE",
        "UPDATE schema_migration SET name = 'x'",
    ):
        with pytest.raises(MachineFailed):
            station.records.run(sql)
    station.close()
    assert verify(served.desk.records).whole


def test_a_station_that_becomes_a_reader_writes_no_more(served: Any, tmp_path: Path) -> None:
    """Granting another kind takes the rights of the first away."""
    role = _role(served.desk, STATION)
    station = _as(served.desk, role, tmp_path / "station")
    set_up.grant_on_server(served.desk, role, READER)
    with pytest.raises(MachineFailed, match="does not let this user do that"):
        receive.receive(station, ARRIVAL, another=True)
    station.close()


def test_roles_that_cannot_be_given(house: Any) -> None:
    """A file has no roles; a role the server does not know is named with how it is made."""
    if house.desk.records.on_sqlite:
        with pytest.raises(CallError, match="is a file"):
            set_up.grant_on_server(house.desk, "reader", READER)
    else:
        with pytest.raises(NotFound, match="The server has no role nobody here"):
            set_up.grant_on_server(house.desk, "nobody here", READER)


def test_names_of_roles_are_quoted() -> None:
    """A name with quotes and semicolons in it stays one name."""
    said = statements('a"; DROP TABLE lot; --', READER, "house")
    assert all('"a""; DROP TABLE lot; --"' in statement for statement in said)


@pytest.mark.parametrize(
    ("act", "told"),
    [
        ("ALTER TABLE lot ADD COLUMN extra TEXT", "The column lot.extra text NULL is not as"),
        ("ALTER TABLE lot ALTER COLUMN code DROP NOT NULL", "The column lot.code text NULL is not as"),
        ("DROP INDEX pin_try_by_operator", "The index pin_try (operator) is not as"),
        (
            "ALTER TABLE pin_try DROP CONSTRAINT pin_try_operator_fkey",
            "The link pin_try.operator to operator.id is not",
        ),
        ("ALTER TABLE operator DROP CONSTRAINT operator_code_key", "The unique index operator (code) is not as"),
        ("CREATE VIEW seen AS SELECT 1 AS one", "The view seen is not as"),
        ("ALTER TABLE lot ADD CONSTRAINT heavy CHECK (g > 1)", "The check lot.heavy is not as"),
        ("CREATE RULE quiet AS ON DELETE TO lot DO INSTEAD NOTHING", "The rule lot.quiet is not as"),
        ("ALTER TABLE lot DISABLE TRIGGER ALL", "The disabled trigger lot."),
        ("CREATE TABLE extra (id BIGINT PRIMARY KEY)", "The key extra (id) is not as"),
    ],
)
def test_a_changed_schema_on_the_server_is_named(served: Any, act: str, told: str) -> None:
    """Verify names what was added to, or taken from, the tables on the server."""
    assert verify(served.desk.records).whole
    served.desk.records.run(act)
    assert any(problem.sentence.startswith(told) for problem in verify(served.desk.records).problems)


def test_the_shell_names_a_house_on_a_server(served: Any, capsys: pytest.CaptureFixture[str]) -> None:
    """``locate`` says that there is a house and on which server, and the traceability plan says where the record is."""
    folder = served.desk.places.folder
    assert main(["--at", str(folder), "locate", "--json"]) == 0
    found = json.loads(capsys.readouterr().out)
    assert (found["exists"], found["files"]["records"]) == (True, None)
    assert found["database"] == without_password(served.desk.settings.database)
    assert holds_house(served.desk.places)
    assert not holds_season(served.desk.places)
    plan = folder / "plan.md"
    send_out.send_plan(served.desk, plan)
    assert "the PostgreSQL server, postgresql://" in plan.read_text(encoding="utf-8")


@pytest.mark.parametrize(
    ("url", "shown"),
    [
        ("postgresql://sk:secret@db:5432/house", "postgresql://sk@db:5432/house"),
        ("postgresql://db/house?user=sk&password=secret", "postgresql://db/house?user=sk"),
        ("postgresql://db/house", "postgresql://db/house"),
    ],
)
def test_no_password_is_shown(url: str, shown: str) -> None:
    """The address of a server is shown without its password, wherever that stands."""
    assert without_password(url) == shown
