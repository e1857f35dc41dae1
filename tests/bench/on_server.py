"""The trace statements on PostgreSQL: in a longer record, and against the same question without a fixed join order.

    python tests/bench/on_server.py postgresql://user@host:port/database

The database is emptied, more than once; its user must be allowed to leave foreign keys unchecked while it is filled.
"""

from __future__ import annotations

import sqlite3
import sys
import tempfile
import time
from collections.abc import Sequence
from pathlib import Path
from statistics import median

from figures import Report
from histories import House, filled

from lotwake.trace.lineage.statements import Asking
from lotwake.trace.records.database import Records
from lotwake.trace.records.find import Thing
from lotwake.trace.records.server import Server, create_on_server

LANDINGS = 9


def copied(house: House, url: str) -> Records:
    """The history of a file on the server, and nothing else there."""
    server = Server(url)
    server.execute_sql("DROP SCHEMA public CASCADE")
    server.execute_sql("CREATE SCHEMA public")
    server.close()
    records = create_on_server(url)
    connection = records.database.connection()
    source = sqlite3.connect(house.path)
    with connection.cursor() as cursor:
        cursor.execute("SET session_replication_role = replica")
        for table in ("journal", "counter", *records.columns):
            answer = source.execute(f"SELECT * FROM {table}")
            columns = ", ".join(column[0] for column in answer.description)
            with cursor.copy(f"COPY {table} ({columns}) FROM STDIN") as copy:
                for row in answer:
                    copy.write_row(row)
        cursor.execute("SET session_replication_role = origin")
    connection.commit()
    records.run("ANALYZE")
    source.close()
    return records


def statement_ms(records: Records, starts: Sequence[Thing], lateral: bool) -> float:
    """Median of the best milliseconds of the forward statement from each of these lots, with all its rows."""
    best = []
    for start in starts:
        asked = Asking(lateral=lateral).forward(start.id, [], False)
        taken = []
        for _ in range(3):
            began = time.perf_counter()
            records.rows(asked.sql, *asked.values)
            taken.append((time.perf_counter() - began) * 1000)
        best.append(min(taken))
    return median(best)


def measure(houses: dict[str, House], url: str, report: Report) -> None:
    """All figures of the server."""
    took: dict[str, float] = {}
    for size, house in houses.items():
        records = copied(house, url)
        took[size] = statement_ms(records, house.lots[:LANDINGS], lateral=True)
        plain = statement_ms(records, house.lots[:LANDINGS], lateral=False)
        records.close()
        report.say(f"{size} on the server: a landing {took[size]:.2f} ms; as one plain statement {plain:.2f} ms")
    small, last = houses
    report.add(f"PostgreSQL, a plain statement against ours, {last}", plain / took[last], "x", 15.0, at_least=True)
    report.add(f"PostgreSQL, trace of a landing: {last} against {small}", took[last] / took[small], "x", 3.0)


def main(url: str, large: bool) -> int:
    """Fill two histories, measure, and give the exit code."""
    report = Report()
    with tempfile.TemporaryDirectory() as folder:
        houses = {size: filled(size, Path(folder)) for size in ("S", "L" if large else "M")}
        for house in houses.values():
            house.records.run("PRAGMA wal_checkpoint(TRUNCATE)")
            house.records.close()
        measure(houses, url, report)
    return report.verdict()


if __name__ == "__main__":
    sys.exit(main(sys.argv[1], "--large" in sys.argv))
