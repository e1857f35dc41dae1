"""A house whose products say all that a label asks, and whose settings a test may choose."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from pathlib import Path

import pytest
import zxingcpp

from lotwake.labels.barcodes.dots import DOTS_203
from lotwake.labels.printing.pictures import opened, picture
from lotwake.trace.actions import pack, set_up
from lotwake.trace.actions.desk import Desk
from lotwake.trace.records.entries.house import ProductFacts
from lotwake.trace.records.find import Thing, by_code

LABELLED = ProductFacts(
    "9520000009991", "Hot smoked haddock fillets", "hot smoked", 300, 60, "HAD",
    ingredients="haddock (fish) 97 %, salt, beech smoke", keeping="frozen", serving="to be cooked",
)  # fmt: skip


@pytest.fixture
def choose(house) -> Callable[..., Desk]:  # type: ignore[no-untyped-def]
    """Let the house choose other settings; its desk is given back."""

    def chosen(**settings: object) -> Desk:
        house.desk = replace(house.desk, settings=replace(house.desk.settings, **settings))
        return house.desk  # type: ignore[no-any-return]

    return chosen


@pytest.fixture
def labelled(house) -> Callable[..., Thing]:  # type: ignore[no-untyped-def]
    """A run of 40 packs (or as many as wanted) of a product that says all a label asks, but for ``changes``."""

    def made(count: int = 40, **changes: object) -> Thing:
        facts = replace(LABELLED, **changes)
        set_up.add_product(house.desk, facts)
        batch = house.released((house.landing(300 * 200), 300 * 200))
        code = pack.start_run(house.desk, facts.name, [(batch, None)], count=count).code
        return by_code(house.desk.records, code)

    return made


@pytest.fixture
def scans() -> Callable[[Path], list[str]]:
    """What an independent reader (ZXing-C++) finds on each page of a PDF at 203 dots per inch, top to bottom."""

    def read(pdf: Path) -> list[str]:
        with opened(pdf) as document:
            pages = [picture(document, number, DOTS_203) for number in range(len(document))]
        found = [sorted(zxingcpp.read_barcodes(page), key=lambda code: code.position.top_left.y) for page in pages]
        return [code.text for codes in found for code in codes]

    return read
