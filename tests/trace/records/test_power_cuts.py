"""A power cut takes back whatever the disk was not told to keep; nothing that was confirmed may be among it.

A station works on a disk that writes down every write and every sync. Any moment of that account gives the disk as a
power cut then leaves it: what was synced is there, and of each later write all, nothing, or some sectors. 40 moments, or
400 with ``LOTWAKE_LONG=1``. (Kills prove nothing here: what a killed process wrote is still in the machine's memory.)
"""

from __future__ import annotations

import os
import random
import shutil
from dataclasses import dataclass, field, replace
from pathlib import Path
from typing import Any

import apsw
import pytest
from playhouse.apsw_ext import APSWDatabase

from lotwake.trace.actions import pack, ship
from lotwake.trace.actions.desk import Desk, open_desk
from lotwake.trace.base.places import places_at
from lotwake.trace.base.ranges import Serials
from lotwake.trace.records.database import BUSY_WAIT_S, PRAGMAS, Records
from lotwake.trace.records.verify import verify

CUTS = 400 if os.environ.get("LOTWAKE_LONG") else 40
ROUNDS = 150
SECTOR = 512


@dataclass
class Account:
    """What happened to a disk, in order, and what was confirmed in between; ``before`` is how its files began."""

    before: dict[str, bytes] = field(default_factory=dict)
    events: list[tuple[Any, ...]] = field(default_factory=list)

    def told(self, *what: Any) -> None:
        """Somebody was told that this is in the record."""
        self.events.append(("told", *what))


class AccountedDisk(apsw.VFS):
    """The machine's own disk, with an account of what is written to it and when it is told to keep it."""

    def __init__(self, account: Account) -> None:
        self.account = account
        super().__init__("accounted", "")

    def xOpen(self, name: Any, flags: list[int]) -> apsw.VFSFile:  # noqa: N802 - SQLite's name
        return AccountedFile(self.account, name, flags)

    def xDelete(self, filename: str, syncdir: bool) -> None:  # noqa: N802
        self.account.events.append(("delete", Path(filename).name))
        super().xDelete(filename, syncdir)


class AccountedFile(apsw.VFSFile):
    """One file of it."""

    def __init__(self, account: Account, name: Any, flags: list[int]) -> None:
        self.account = account
        self.name = Path(name.filename() if isinstance(name, apsw.URIFilename) else name or "temporary").name
        super().__init__("", name, flags)

    def xWrite(self, data: bytes, offset: int) -> None:  # noqa: N802
        self.account.events.append(("write", self.name, offset, bytes(data)))
        super().xWrite(data, offset)

    def xTruncate(self, size: int) -> None:  # noqa: N802
        self.account.events.append(("truncate", self.name, size))
        super().xTruncate(size)

    def xSync(self, flags: int) -> None:  # noqa: N802
        super().xSync(flags)
        self.account.events.append(("sync", self.name))


def _put(content: bytearray, event: tuple[Any, ...], kept: range | list[int] | None = None) -> None:
    """Do one write or truncation; ``kept`` are the sectors of the write that reach the disk, None all of them."""
    if event[0] == "truncate":
        del content[event[2] :]
        return
    offset, data = event[2:]
    content.extend(bytes(max(0, offset + len(data) - len(content))))
    for start in range(0, len(data), SECTOR) if kept is None else kept:
        piece = data[start : start + SECTOR]
        content[offset + start : offset + start + len(piece)] = piece


def after_a_cut(account: Account, moment: int, chance: random.Random) -> dict[str, bytes]:
    """The files as a power cut before event ``moment`` leaves them."""
    kept = {name: bytearray(content) for name, content in account.before.items()}
    waiting: dict[str, list[tuple[Any, ...]]] = {}
    for event in account.events[:moment]:
        if event[0] == "sync":
            content = kept.setdefault(event[1], bytearray())
            for earlier in waiting.pop(event[1], []):
                _put(content, earlier)
        elif event[0] == "delete":
            kept.pop(event[1], None)
            waiting.pop(event[1], None)
        elif event[0] != "told":
            waiting.setdefault(event[1], []).append(event)
    share = chance.choice((0, 0.5, 0.9))  # how much of the unsynced happened to reach the disk
    for name, events in waiting.items():
        content = kept.setdefault(name, bytearray())
        for event in events:
            sectors = range(0, len(event[-1]), SECTOR) if event[0] == "write" else (0,)
            reached = [start for start in sectors if chance.random() < share]
            if reached:
                _put(content, event, reached)
    return {name: bytes(content) for name, content in kept.items()}


def work_on(desk: Desk, run: str, account: Account, synchronous: str) -> None:
    """Pack and case on an accounted disk; every answer is put into the account when it is given."""
    path = desk.places.records
    account.before = {path.name: path.read_bytes()}
    disk = AccountedDisk(account)
    pragmas = {**PRAGMAS, "synchronous": synchronous}
    database = APSWDatabase(str(path), vfs="accounted", pragmas=pragmas, timeout=BUSY_WAIT_S, lock_type="IMMEDIATE")
    station = replace(desk, records=Records(database))
    for _ in range(ROUNDS):
        made = pack.add_packs(station, run, 3)
        account.told("packs", made.first, made.last)
        account.told("case", int(ship.close_case(station, [f"{run}/{made.first}-{made.last}"]).code))
    account.events = [event for event in account.events if not str(event[1]).endswith("-shm")]
    station.close()
    disk.unregister()


@dataclass
class Cut:
    """What one power cut did: whether the record is whole, what of the confirmed is gone, and what is given out again."""

    whole: bool
    lost: int
    again: int


def cut_at(account: Account, moment: int, folder: Path, run: str, clock: Any, chance: random.Random) -> Cut:
    """Put the files of a cut into a house, open it as anybody would, and go on working in it."""
    for left in folder.glob("records.db*"):
        left.unlink()
    for name, content in after_a_cut(account, moment, chance).items():
        (folder / name).write_bytes(content)
    told = [event[1:] for event in account.events[:moment] if event[0] == "told"]
    packs = {(first, last) for what, *rest in told if what == "packs" for first, last in [rest]}
    cases = {code for what, *rest in told if what == "case" for code in rest}
    desk = open_desk(places_at(folder), "SK", clock)
    stored = set(desk.records.rows("SELECT first, last FROM pack_range"))
    units = {sscc for (sscc,) in desk.records.rows("SELECT sscc FROM unit")}
    whole = verify(desk.records).whole
    following = pack.add_packs(desk, run, 3)
    again = any(Serials(*given).first <= following.last and following.first <= given[1] for given in packs)
    desk.close()
    return Cut(whole, len(packs - stored) + len(cases - units), int(again))


def _cuts(house: Any, synchronous: str) -> list[Cut]:
    """Let a station work, then cut its power at random moments."""
    batch = house.released((house.landing(1_000_000), 1_000_000))
    run = house.run((batch, None))
    folder = house.desk.places.folder
    house.desk.close()
    account, chance = Account(), random.Random(20261124)
    work_on(house.desk, run, account, synchronous)
    assert ("sync", "records.db") in account.events, "the work was too short for a checkpoint"
    trial = folder.with_name("after-a-cut")
    shutil.copytree(folder, trial)
    moments = [chance.randrange(len(account.events)) for _ in range(CUTS)]
    return [cut_at(account, moment, trial, run, house.clock, chance) for moment in moments]


@pytest.mark.on_file
def test_a_power_cut_loses_nothing_that_was_confirmed(house) -> None:
    """At any moment, checkpoints among them: the record is whole, the confirmed is there, no serial is given out again."""
    cuts = _cuts(house, str(PRAGMAS["synchronous"]))
    assert [cut for cut in cuts if not cut.whole or cut.lost or cut.again] == []


@pytest.mark.on_file
def test_a_disk_that_is_told_to_keep_it_later_loses_it(house) -> None:
    """The same with ``synchronous=NORMAL`` loses confirmed entries and gives printed serials out again: the test bites."""
    cuts = _cuts(house, "normal")
    assert sum(1 for cut in cuts if cut.lost) > CUTS / 2
    assert any(cut.again for cut in cuts)
    assert all(cut.whole for cut in cuts)
