"""Bringing in packs that were weighed one by one, and what an old book says of its landings and products."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from datetime import UTC, datetime
from pathlib import Path

import pytest

from lotwake.trace.actions.bring_in.load import bring_in
from lotwake.trace.actions.desk import Desk, set_up_house
from lotwake.trace.actions.find import find_one
from lotwake.trace.base.clock import SetClock
from lotwake.trace.base.places import places_at
from lotwake.trace.records import facts, lists
from lotwake.trace.records.entries.house import SiteFacts
from lotwake.trace.records.verify import verify

SITE = SiteFacts("Skerry Smokehouse", "Quay 1", "NO", "9520000", "Europe/Oslo")
BOOK: Mapping[str, str] = {
    "sources.csv": "kind,name,mark\nboat,Aurora,N-12-X\n",
    "products.csv": (
        "gtin,name,smoking,net_g,life_days,species,catch_weight,nutrition\n"
        "99520000000045,Haddock side,hot smoked,1200,60,HAD,yes,"
        '"fat 1, saturates 0.2, carbohydrate 0, sugars 0, protein 24, salt 2"\n'
    ),
    "lots.csv": (
        "lot,kind,sender,received,kg,species,area,received_as,trip,undersize_g\n"
        "H-1,landing,Aurora,2026-11-02 05:40,41.5,HAD,27.4.b,frozen,NO-7,300\n"
    ),
    "batches.csv": "batch,smoking,started\nB-1,hot smoked,2026-11-02 08:00\n",
    "batch_inputs.csv": "batch,input,kg\nB-1,H-1,10\n",
    "runs.csv": (
        "run,product,packed,packs,batch,pack_weights\nR-1,Haddock side,2026-11-02 18:00,3,B-1,1100 1250 985\n"
    ),
}  # fmt: skip


@pytest.fixture
def desk(tmp_path: Path) -> Iterator[Desk]:
    clock = SetClock(datetime(2026, 12, 1, 12, tzinfo=UTC))
    opened = set_up_house(places_at(tmp_path / "house"), SITE, "SK", "Signe Kvist", clock)
    yield opened
    opened.close()


def brought(desk: Desk, folder: Path, **changed: str) -> list[str]:
    """Bring the book in with some files changed; what was wrong is given back."""
    folder.mkdir()
    for name, text in {**BOOK, **{f"{name}.csv": text for name, text in changed.items()}}.items():
        (folder / name).write_text(text, encoding="utf-8")
    return [problem.reason for problem in bring_in(desk, folder).problems]


def test_weights_and_particulars_come_in(desk: Desk, tmp_path: Path) -> None:
    """Each pack has its own weight, the run took just these grams, and the landing and product say what the book said."""
    assert brought(desk, tmp_path / "book") == []
    run = facts.runs(desk.records, [find_one(desk.records, "R-1").id]).popitem()[1]
    assert (run.weights, run.packs_g, run.left_g) == (((1, 1_100), (2, 1_250), (3, 985)), 3_335, 0)
    lot = facts.lots(desk.records, [find_one(desk.records, "H-1").id]).popitem()[1]
    assert (lot.received_as, lot.trip, lot.undersize_g) == ("frozen", "NO-7", 300)
    (product,) = lists.products(desk.records)
    assert (product.catch_weight, str(product.nutrition)[:15]) == (1, "445 kJ, 105 kca")
    assert verify(desk.records).whole


@pytest.mark.parametrize(
    ("changed", "says"),
    [
        ({"runs": BOOK["runs.csv"].replace(" 985", "")}, "2 weights for 3 packs"),
        ({"runs": BOOK["runs.csv"].replace("985", "985x")}, "'x' is not a unit of mass"),
        ({"runs": BOOK["runs.csv"].replace(",pack_weights", "").replace(",1100 1250 985", "")}, "0 weights for 3 packs"),
        ({"products": BOOK["products.csv"].replace("99520000000045", "9520000000028")}, "begins with 9"),
        ({"products": BOOK["products.csv"].replace(", salt 2", "")}, "does not say salt"),
        ({"lots": BOOK["lots.csv"].replace("frozen", "warm")}, "'warm' is not known"),
        ({"lots": BOOK["lots.csv"].replace(",300", ",300000")}, "not a part of 41.5 kg"),
    ],
)  # fmt: skip
def test_a_bad_row_is_named(desk: Desk, tmp_path: Path, changed: dict[str, str], says: str) -> None:
    """Nothing comes in when a weight, a GTIN, a nutrient or a word is wrong, and the reason is said."""
    reasons = brought(desk, tmp_path / "book", **changed)
    assert any(says in reason for reason in reasons), reasons
    assert lists.products(desk.records) == []
