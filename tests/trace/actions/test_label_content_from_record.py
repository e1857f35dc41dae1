"""What a label says where the product has no words of its own: what the record shows went in, and the coldest keeping."""

from __future__ import annotations

from typing import Any

from lotwake.trace.actions import pack, smoke
from lotwake.trace.actions.label_content import pack_label_spec
from lotwake.trace.actions.smoke import Input


def test_ingredients_are_what_went_into_the_batches(house: Any) -> None:
    """Fish and salt of the record are named, the bags and the wood are not; smoke always is."""
    lot, salt, wood = house.landing(20_000), house.material(item="sea salt"), house.material(item="beech chips")
    bags = house.material(item="vacuum bags")
    batch = smoke.start_batch(
        house.desk, "hot smoked", [Input(lot, 20_000), Input(salt, 500), Input(wood)], note="with salt"
    )
    smoke.release_batch(house.desk, batch.code)
    run = pack.start_run(house.desk, "Hot smoked haddock", [(batch.code, None)], count=10, materials=[(bags, None)])
    spec = pack_label_spec(house.desk, run)
    assert spec.ingredients == "Haddock (fish), sea salt, smoke."
    assert "frozen" in spec.storage
