"""Nutrition, thawing and the identification mark on a label: from the record, and only where they belong."""

from __future__ import annotations

from collections.abc import Callable
from datetime import timedelta
from pathlib import Path
from typing import Any

import pytest

from lotwake.trace.actions import correct, labels, pack, receive, set_up, smoke
from lotwake.trace.actions.desk import Desk
from lotwake.trace.actions.label_content import pack_label_spec
from lotwake.trace.actions.label_fit import look_at
from lotwake.trace.base.errors import CallError
from lotwake.trace.base.nutrition import EXAMPLE
from lotwake.trace.records.entries.house import ProductFacts
from lotwake.trace.records.find import Thing

Choose = Callable[..., Desk]
Labelled = Callable[..., Thing]
SAID = (
    "Nutrition per 100 g: energy 684 kJ / 164 kcal; fat 8.1 g, of which saturates 1.9 g; carbohydrate 0 g, of which sugars"
    " 0 g; protein 23 g; salt 2.4 g."
)


def rules(desk: Desk, run: Thing) -> set[str]:
    return {finding.rule for finding in look_at(desk, run).findings}


@pytest.mark.parametrize(
    ("settings", "nutrition", "said", "asked"),
    [
        ({"market": "eu"}, EXAMPLE, SAID, False),
        ({"market": "codex"}, EXAMPLE, SAID, False),
        ({"market": "us"}, EXAMPLE, "", True),  # its panel has another form, which is not printed here
        ({"market": "eu"}, None, "", True),
        (
            {"market": "eu", "pack_face_cm2": 24},
            None,
            "",
            False,
        ),  # Annex V 18: below 25 cm2 none is asked (from memory)
        ({"market": "eu", "pack_face_cm2": 25}, None, "", True),
        ({"market": "codex"}, None, "", False),
    ],
)
def test_nutrition_where_it_is_asked(
    labelled: Labelled, choose: Choose, settings: dict[str, Any], nutrition: str | None, said: str, asked: bool
) -> None:
    """It is on the label in the Union's order; where it is missing the Union's and the American rules say so and print."""
    run = labelled(nutrition=nutrition)
    desk = choose(**settings)
    assert pack_label_spec(desk, run).nutrition == said
    assert ("nutrition" in rules(desk, run)) is asked


def test_nutrition_is_put_right_and_taken_away(labelled: Labelled, choose: Choose) -> None:
    """It is corrected as it is typed, in one way in the record; an empty text takes it away."""
    desk, run = choose(), labelled(nutrition=EXAMPLE)
    name = "Hot smoked haddock fillets"
    done = correct.correct_party(
        desk, "product", name, "nutrition", EXAMPLE.replace("salt 2.4", "salt 2,1"), "measured"
    )
    assert str(done.now).endswith("salt 2.1 g")
    assert "salt 2.1 g." in pack_label_spec(desk, run).nutrition
    with pytest.raises(CallError, match="does not say salt"):
        correct.correct_party(desk, "product", name, "nutrition", EXAMPLE.replace(", salt 2.4", ""), "measured")
    correct.correct_party(desk, "product", name, "nutrition", "", "not measured at all")
    assert pack_label_spec(desk, run).nutrition == ""


def run_of(house: Any, received_as: str, keeping: str | None, freeze: str, **more: Any) -> Thing:
    """A run of fish that came in so, frozen before or after smoking or not at all, kept so."""
    desk = house.desk
    facts = ProductFacts(
        "9520000000103", "Hot smoked haddock tails", "hot smoked", 300, 60, "HAD", keeping=keeping, serving="to be cooked",
        **more,
    )  # fmt: skip
    set_up.add_product(desk, facts)
    arrival = receive.Arrival("landing", "Aurora", 6_000, species="HAD", area="27.4.b", received_as=received_as)
    batch = smoke.start_batch(
        desk, "hot smoked", [smoke.Input(receive.receive(desk, arrival, another=True).code, 6_000)]
    ).code
    began = {"smoking": house.later(1), "freezing": desk.now - timedelta(minutes=30)}
    if freeze == "after":
        began["freezing"] = house.later(1)
    for step, moment in began.items():
        if step == "smoking" or freeze:
            smoke.take_step(desk, batch, step, moment)
    house.later(1)
    smoke.release_batch(desk, batch)
    return pack.start_run(desk, facts.name, [(batch, None)], count=4)


FISH, PACK = "Made from fish that was frozen and thawed", "Thawed: this product was frozen"


@pytest.mark.parametrize(
    ("market", "received_as", "keeping", "freeze", "words"),
    [
        ("codex", "frozen", "chilled", "", FISH),
        ("codex", "thawed", "chilled", "", FISH),
        ("us", "frozen", "chilled", "", FISH),
        ("codex", "frozen", "chilled", "before", FISH),
        ("codex", "fresh", "chilled", "before", ""),
        ("codex", "fresh", "chilled", "after", PACK),
        ("eu", "fresh", "chilled", "after", PACK),
        # Reg. (EU) 1379/2013 Art. 35(1) last list, point (d), as published: fish thawed before smoking need not say so.
        ("eu", "frozen", "chilled", "", ""),
        ("codex", "frozen", "frozen", "", ""),
        ("codex", "fresh", "chilled", "", ""),
        ("codex", "", "chilled", "", ""),
        ("codex", "frozen", None, "", ""),
        ("eu", "fresh", "frozen", "after", ""),
    ],
)
def test_thawed_is_said_where_the_record_shows_it(
    house: Any, choose: Choose, market: str, received_as: str, keeping: str | None, freeze: str, words: str
) -> None:
    """A pack kept chilled says when its fish came in frozen, or was frozen after smoking, by the rule of its market."""
    desk = choose(market=market)
    run = run_of(house, received_as, keeping, freeze)
    spec = pack_label_spec(desk, run)
    assert spec.sold_thawed is bool(words)
    assert (words in spec.storage) is True
    assert ("frozen and thawed" in spec.storage or "this product was frozen" in spec.storage) is bool(words)
    assert "thawed" not in rules(desk, run)


def test_thawed_is_said_once(house: Any) -> None:
    """A product whose own words say it has nothing added."""
    run = run_of(house, "frozen", "chilled", "", storage="Defrosted. Keep at 0 to 3 C.")
    assert pack_label_spec(house.desk, run).storage == "Defrosted. Keep at 0 to 3 C."


def approve(house: Any, country: str, approval: str) -> None:
    """Only a new house can be of another country; the tests change the record's own word for it before anything is read."""
    house.desk.records.run("UPDATE site SET country = ?, approval = ?", country, approval)


@pytest.mark.parametrize(
    ("country", "approval", "settings", "lines"),
    [
        ("NO", "X-999", {"market": "eu"}, ("NO", "X-999")),
        ("NO", "NO X-999", {"market": "eu"}, ("NO", "X-999")),
        ("IE", "X-999", {"market": "eu"}, ("IE", "X-999", "EC")),
        ("FR", "99.999.999", {"market": "eu"}, ("FR", "99.999.999", "CE")),
        ("DK", "X 999", {"market": "eu"}, ("DK", "X 999", "EF")),
        ("IE", "X-999", {"market": "codex"}, ()),
        ("IE", "X-999", {"market": "eu", "identification_mark": "pack"}, ()),
        ("IE", "", {"market": "eu"}, ()),
    ],
)
def test_the_mark_is_of_the_house(
    house: Any, labelled: Labelled, choose: Choose, country: str, approval: str, settings: dict[str, Any], lines: object
) -> None:
    """Country, approval number and inside the Union its letters: Reg. (EC) 853/2004 Annex II Section I, from memory."""
    run, desk = labelled(), choose(**settings)
    approve(house, country, approval)
    assert pack_label_spec(desk, run).approval_mark == lines
    assert ("identification mark" in rules(desk, run)) is (settings["market"] == "eu" and not lines)


def test_a_mark_that_has_no_room_is_asked_for_beside_the_label(
    house: Any, labelled: Labelled, choose: Choose, tmp_path: Path
) -> None:
    """On stock too small for words and mark the words stay, and what is found says that the mark is not there."""
    run = labelled()
    approve(house, "NO", "X-999")
    for stock, mark in (("roll 58 x 40 mm", ()), ("roll 70 x 40 mm", ("NO", "X-999"))):
        desk = choose(market="eu", stock=stock, pack_face_cm2=70)
        assert look_at(desk, run).spec.approval_mark == mark
        printed = labels.print_labels(desk, run.code, 1, tmp_path / "x.pdf")
        assert ("identification mark" in {finding.rule for finding in printed.findings}) is (not mark)
