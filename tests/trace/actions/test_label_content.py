"""What labels say: from the record, in the words, dates and market the house chose."""

from __future__ import annotations

from datetime import date
from importlib import resources
from pathlib import Path

import pytest

from lotwake.labels.errors import WrongData
from lotwake.labels.layout.languages import phrases_of
from lotwake.labels.layout.spec import FishOrigin, MixedLabelSpec
from lotwake.trace.actions import pack, receive, set_up, smoke
from lotwake.trace.actions.desk import Desk
from lotwake.trace.actions.label_content import card_spec, pack_label_spec, unit_label_spec
from lotwake.trace.actions.label_words import cook_words, says_ready_to_eat, storage_words
from lotwake.trace.actions.ship import build_pallet, take_off_pallet
from lotwake.trace.base.errors import Refused
from lotwake.trace.records.entries.house import ProductFacts
from lotwake.trace.records.find import Thing, by_code

ENGLISH = phrases_of("english")


@pytest.mark.parametrize(
    ("keeping", "packaging", "fahrenheit", "words"),
    [
        ("frozen", "air", False, "Keep frozen at -18 °C or colder. Thaw in the refrigerator. Do not refreeze."),
        ("frozen", "air", True, "Keep frozen at -18 °C (0 °F) or colder. Thaw in the refrigerator. Do not refreeze."),
        ("frozen", "vacuum", False, "Keep frozen at -18 °C or colder. Important: keep frozen until used; thaw under"
         " refrigeration immediately before use. Do not refreeze."),
        ("chilled", "air", True, "Keep refrigerated at 4 °C (39 °F) or colder."),
        ("chilled", "vacuum", False, "Keep refrigerated at 3 °C or colder."),
        ("chilled", "modified atmosphere", True, "Keep refrigerated at 3 °C (37 °F) or colder."),
        ("room", "air", False, "Keep cool and dry."),
        (None, "air", False, ""),
    ],
)  # fmt: skip
def test_storage_words_follow_keeping_and_packaging(
    keeping: str | None, packaging: str, fahrenheit: bool, words: str
) -> None:
    """How a pack is kept is said in the phrases of the language, colder where there is no air in the pack."""
    assert storage_words(ENGLISH, keeping, packaging, fahrenheit) == words


def test_cook_words_follow_serving() -> None:
    """To be cooked names a core temperature and a time: 70 °C for 2 minutes, six decimal reductions of Listeria
    monocytogenes (FAO/WHO and European guidance, from memory). Ready to eat is said only when it was chosen."""
    spanish = phrases_of("spanish")
    assert cook_words(ENGLISH, "to be cooked", True) == "Cook until the core is at least 70 °C (158 °F) for 2 minutes."
    assert cook_words(spanish, "ready to eat") == "Listo para comer."
    assert cook_words(ENGLISH, None) == ""


@pytest.mark.parametrize(
    ("text", "promises"),
    [("Ready-to-eat. Enjoy.", True), ("READY  TO EAT", True), ("Listo para comer", True), ("Prêt à consommer", True),
     ("Handa nang kainin!", True), ("Heat through before eating.", False), ("", False)],
)  # fmt: skip
def test_a_promise_is_found_in_every_language(text: str, promises: bool) -> None:
    """Words written by hand that say it can be eaten as it is are found in all languages of the program."""
    assert says_ready_to_eat(text) is promises


def test_a_pack_label_says_what_the_record_and_the_house_say(labelled, choose) -> None:  # type: ignore[no-untyped-def]
    """Product, dates, origin and producer come from the record; country, face and words from the settings."""
    desk: Desk = choose(country_of_origin="Norway", pack_face_cm2=70, languages=("english", "filipino"))
    spec = pack_label_spec(desk, labelled())
    assert (spec.species_commercial, spec.species_latin) == ("Haddock", "Melanogrammus aeglefinus")
    assert (spec.best_before, spec.use_by) == (date(2027, 1, 23), None)
    assert spec.allergens == ("fish",)
    assert (spec.country_of_origin, spec.pack_face_cm2) == ("Norway", 70)
    assert spec.phrases.language == "English / Filipino"
    assert spec.storage.startswith("Keep frozen at -18 °C or colder. Panatilihing naka-freeze")
    assert spec.origin_lines == ("Caught at sea, Central North Sea (FAO 27.4.b), trawls",)
    assert spec.origin == FishOrigin("27.4.b", None, None, "HAD", "03.12", "01")


def test_defaults_of_a_house_that_chose_nothing(labelled, choose) -> None:  # type: ignore[no-untyped-def]
    """Without a word on it the country is that of the site, nobody knows the face, and the words are English."""
    spec = pack_label_spec(choose(), labelled())
    assert (spec.country_of_origin, spec.pack_face_cm2, spec.phrases.language) == ("NO", None, "English")


def test_use_by_takes_the_place_of_best_before(labelled, choose, house) -> None:  # type: ignore[no-untyped-def]
    """A house of perishable goods prints a use-by date on packs and cases, and no best before."""
    desk, run = choose(use_by=True), labelled()
    case = by_code(desk.records, house.case(f"{run.code}/1-12"))
    for spec in (pack_label_spec(desk, run), unit_label_spec(desk, case)):
        assert (spec.best_before, spec.use_by) == (None, date(2027, 1, 23))


def test_the_products_own_words_win(labelled, choose) -> None:  # type: ignore[no-untyped-def]
    """Storage and cook words of the product are printed as they stand."""
    spec = pack_label_spec(choose(), labelled(storage="Keep at -20 °C.", cook="Fry gently."))
    assert (spec.storage, spec.cook) == ("Keep at -20 °C.", "Fry gently.")


def test_a_promise_in_another_language_needs_evidence(labelled, choose) -> None:  # type: ignore[no-untyped-def]
    """Listo para comer is refused without a core temperature record, on the pack and on the case."""
    with pytest.raises(Refused, match="Ready to eat refused"):
        pack_label_spec(choose(), labelled(cook="Listo para comer."))


@pytest.mark.parametrize(
    ("market", "allergens"), [("codex", ("fish",)), ("eu", ("fish",)), ("us", ("fish (haddock)",))]
)
def test_allergens_of_a_product_that_names_none(labelled, choose, market, allergens) -> None:  # type: ignore[no-untyped-def]
    """Fish is always an allergen; in the United States its species is named with it (FALCPA 2004, from memory)."""
    assert pack_label_spec(choose(market=market), labelled()).allergens == allergens


def test_a_houses_own_words(labelled, choose) -> None:  # type: ignore[no-untyped-def]
    """A phrase file in the house's folder is used; a key that is missing in it is named with the file."""
    desk = choose(languages=("ours.toml",))
    run = labelled()
    with pytest.raises(WrongData, match=r"ours\.toml cannot be read"):
        pack_label_spec(desk, run)
    shipped = resources.files("lotwake.labels.layout") / "words" / "english.toml"
    text = shipped.read_text("utf-8")
    file: Path = desk.places.folder / "ours.toml"
    file.write_text(text.replace('net = "Net"', 'net = "Net weight"'), encoding="utf-8")
    assert pack_label_spec(desk, run).phrases.net == "Net weight"
    file.write_text(text.replace('net = "Net"\n', ""), encoding="utf-8")
    with pytest.raises(WrongData, match=r"ours\.toml.*net must be a text"):
        pack_label_spec(desk, run)


def _run_of(house, *arrivals: receive.Arrival) -> Thing:  # type: ignore[no-untyped-def]
    set_up.add_product(house.desk, ProductFacts("9520000009984", "Smoked fish mix", "hot smoked", 300, 60))
    lots = [receive.receive(house.desk, arrival, another=True).code for arrival in arrivals]
    batch = smoke.start_batch(house.desk, "hot smoked", [smoke.Input(code, 5_000) for code in lots]).code
    smoke.release_batch(house.desk, batch)
    return by_code(house.desk.records, pack.start_run(house.desk, "Smoked fish mix", [(batch, None)], count=10).code)


def _haul(**changes: object) -> receive.Arrival:
    said = {"species": "HAD", "area": "27.4.b", "gear": "OTB", "caught_from": date(2026, 11, 22)}
    return receive.Arrival("landing", "Aurora", 5_000, **{**said, **changes})  # type: ignore[arg-type]


@pytest.mark.parametrize(
    ("second", "wanted"),
    [
        ({}, FishOrigin("27.4.b", date(2026, 11, 22), date(2026, 11, 23), "HAD", "03.12", "01")),
        ({"caught_from": None}, FishOrigin("27.4.b", None, None, "HAD", "03.12", "01")),
        ({"area": "27.4.a"}, None),
        ({"species": "COD"}, None),
        ({"gear": "GNS"}, None),
    ],
)
def test_a_symbol_names_one_origin_or_none(house, second, wanted) -> None:  # type: ignore[no-untyped-def]
    """The fish origin set is filled when all the fish has one species, area and gear; the days are those of all lots."""
    other = {"caught_to": date(2026, 11, 23), **second} if second.get("caught_from", 1) else second
    assert pack_label_spec(house.desk, _run_of(house, _haul(), _haul(**other))).origin == wanted


def test_a_case_label_says_what_is_in_the_case(labelled, house) -> None:  # type: ignore[no-untyped-def]
    """Count and weight are those of the packs in it, with storage words and the fish's origin."""
    run = labelled()
    spec = unit_label_spec(house.desk, by_code(house.desk.records, house.case(f"{run.code}/1-12")))
    assert (spec.pack_count, spec.net_g, spec.lot) == (12, 3_600, run.code)
    assert spec.storage.startswith("Keep frozen at -18 °C")
    assert spec.origin is not None
    mixed = house.case(f"{run.code}/13", f"{house.packed_run(12)}/1")
    said = unit_label_spec(house.desk, by_code(house.desk.records, mixed))
    assert isinstance(said, MixedLabelSpec)
    assert dict(said.pairs) == {"Packs in case": "2", "Net": "600\u00a0g"}
    assert [line.split(",")[0] for line in said.contents] == [
        "1 x Hot smoked haddock fillets",
        "1 x Hot smoked haddock",
    ]


def test_a_card_says_what_people_look_for(house) -> None:  # type: ignore[no-untyped-def]
    """The card of a batch names the fish, the boat, when it was begun and how much went in."""
    batch = by_code(house.desk.records, house.batch((house.landing(40_000), 40_000)))
    spec = card_spec(house.desk, batch, "3 of 12")
    assert (spec.title, spec.code, spec.tray) == ("Haddock, hot smoked", batch.code, "3 of 12")
    assert dict(spec.details) == {"From": "Aurora", "Started": "24\u00a0Nov\u00a02026 07:00", "In": "40 kg"}


def test_headings_of_a_card_are_in_the_language_of_the_house(house, choose) -> None:  # type: ignore[no-untyped-def]
    """The card of a house that works in Filipino has no English heading."""
    batch = by_code(house.desk.records, house.batch((house.landing(40_000), 40_000)))
    spec = card_spec(choose(languages=("filipino",)), batch)
    assert [heading for heading, _ in spec.details] == ["Mula sa", "Sinimulan", "Pumasok"]


def test_a_pallet_of_one_lot_is_labelled_as_its_cases_are(house) -> None:  # type: ignore[no-untyped-def]
    """Its label counts the packs of all its cases and the cases; an empty one has none."""
    run = house.packed_run(24)
    cases = [house.case(f"{run}/{first}-{first + 11}") for first in (1, 13)]
    pallet = build_pallet(house.desk, cases)
    spec = unit_label_spec(house.desk, pallet)
    assert (spec.sscc, spec.pack_count, spec.cases, spec.lot) == (pallet.code, 24, 2, run)
    for case in cases:
        take_off_pallet(house.desk, case)
    with pytest.raises(Refused, match="is empty"):
        unit_label_spec(house.desk, pallet)


def test_a_house_says_how_long_an_opened_pack_keeps() -> None:
    """With opened_days frozen and chilled packs say it, in the house's words; what is kept dry does not."""
    said = storage_words(ENGLISH, "chilled", "air", opened_days=3)
    assert said.endswith("Once opened, keep refrigerated and use within 3 days.")
    assert "within 2 days" in storage_words(ENGLISH, "frozen", "vacuum", opened_days=2)
    assert "opened" not in storage_words(ENGLISH, "room temperature", "air", opened_days=3)
    assert "opened" not in storage_words(ENGLISH, "chilled", "air")
