"""One backup a day, verified, and the old ones go by a rule."""

from __future__ import annotations

from datetime import date, timedelta
from pathlib import Path

from hypothesis import given
from hypothesis import strategies as st

from lotwake.trace.actions.back_up import restore
from lotwake.trace.actions.daily_backup import back_up_today, kept
from lotwake.trace.base.places import places_at
from lotwake.trace.records.journal import head

TODAY = date(2026, 11, 24)


def test_the_first_start_of_a_day_makes_one(house, tmp_path: Path) -> None:
    """The second start makes none; tomorrow's does; the copy holds everything and can be restored."""
    house.landing()
    made = back_up_today(house.desk)
    assert made is not None
    assert made.verdict.whole
    assert back_up_today(house.desk) is None
    assert restore(places_at(tmp_path / "other"), made.path, house.clock).head == head(house.desk.records)
    house.later(24)
    assert back_up_today(house.desk) is not None
    assert sorted(path.name for path in house.desk.places.backups.glob("*.db")) == [
        "daily-2026-11-24.db",
        "daily-2026-11-25.db",
    ]


def test_a_backup_that_is_not_whole_lets_no_older_one_go(house) -> None:
    """While the record is damaged the good old backups stay, and the verdict says so."""
    folder = house.desk.places.backups
    folder.mkdir(exist_ok=True)
    old = [folder / f"daily-{TODAY - timedelta(days=days)}.db" for days in range(1, 60)]
    for path in old:
        path.touch()
    (folder / "before-restore-20200101T000000Z.db").touch()
    (folder / "daily-2026-11-01.77.making").touch()
    house.desk.records.run("UPDATE site SET phone = '1'")
    made = back_up_today(house.desk)
    assert made is not None
    assert not made.verdict.whole
    assert all(path.exists() for path in old)
    made.path.unlink()
    house.desk.records.run("UPDATE site SET phone = '+47 00 00 00 00'")
    assert back_up_today(house.desk)
    assert len(list(folder.glob("daily-*"))) < 15
    assert (folder / "before-restore-20200101T000000Z.db").exists()


def test_the_rule_on_two_years() -> None:
    """Of 730 days: 7 days, then one a week for 4 weeks, then one a month for 12 months (common practice)."""
    stay = sorted(kept(TODAY - timedelta(days=days) for days in range(730)), reverse=True)
    assert stay[:7] == [TODAY - timedelta(days=days) for days in range(7)]
    assert stay[7:9] == [date(2026, 11, 15), date(2026, 11, 8)]
    assert stay[9:] == [
        date(2026, 10, 31), date(2026, 9, 30), date(2026, 8, 31), date(2026, 7, 31), date(2026, 6, 30),
        date(2026, 5, 31), date(2026, 4, 30), date(2026, 3, 31), date(2026, 2, 28), date(2026, 1, 31), date(2025, 12, 31),
    ]  # fmt: skip


@given(st.sets(st.dates(date(2024, 1, 1), date(2027, 1, 1))))
def test_the_newest_always_stays_and_pruning_again_changes_nothing(days: set[date]) -> None:
    """Nothing is invented, the newest stays, at most 23 stay, and what stays, stays."""
    stay = kept(days)
    assert stay <= days
    assert len(stay) <= 23
    assert not days or max(days) in stay
    assert kept(stay) == stay
