"""What a label says, from the record: the pack, the case, the card of a batch. Refused where the record says otherwise."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from datetime import date, datetime

from lotwake.labels.checks.markets import EU, US
from lotwake.labels.checks.problems import says_thawed
from lotwake.labels.layout.languages import Phrases
from lotwake.labels.layout.mark import mark_lines
from lotwake.labels.layout.phrases import in_one_piece, shown_date, shown_weight
from lotwake.labels.layout.spec import (
    CardSpec,
    CaseLabelSpec,
    FishOrigin,
    LabelSpec,
    LogisticSpec,
    MixedLabelSpec,
    Packaging,
    named_once,
)
from lotwake.labels.layout.symbols import Design
from lotwake.trace.actions.desk import Desk
from lotwake.trace.actions.judge import behind, must_carry_claims
from lotwake.trace.actions.label_setting import label_design, label_phrases
from lotwake.trace.actions.label_words import ATMOSPHERE, cook_words, nutrition_words, says_ready_to_eat, storage_words
from lotwake.trace.actions.thawed import Thawed, sold_thawed
from lotwake.trace.base.codes import show_code
from lotwake.trace.base.errors import Refused
from lotwake.trace.base.moments import instant_of
from lotwake.trace.base.nutrition import read_nutrition
from lotwake.trace.base.ranges import Serials, counted
from lotwake.trace.base.units import show_mass
from lotwake.trace.lineage.chain import Direction, Origin
from lotwake.trace.lineage.trace import trace
from lotwake.trace.process.claims import ClaimKind, claim
from lotwake.trace.records.entries.house import FROZEN
from lotwake.trace.records.facts import batches
from lotwake.trace.records.find import Kind, Thing
from lotwake.trace.records.pack_mass import packs_g
from lotwake.trace.records.stock import MATERIAL, cases_under, packs_under

FISH = "fish"
"""The allergen every product here holds (Codex CXS 1-1985, Reg. (EU) 1169/2011 Annex II, FALCPA 2004)."""
_PACKAGINGS = {"vacuum": Packaging.REDUCED_OXYGEN, ATMOSPHERE: Packaging.PROTECTIVE_ATMOSPHERE}
_NO_INGREDIENT = frozenset(["wood", "chip", "sawdust", "dust", "log", "bag", "film", "label", "box", "ice", "charcoal"])
_METHODS = {"caught at sea": "01", "caught in fresh water": "02", "farmed": "03"}


@dataclass(frozen=True)
class _Packed:
    """A run with the product it is of, as the label needs them."""

    code: str
    net_g: int
    packed_on: str
    best_before: str
    product: int
    name: str
    smoking: str
    species: str | None
    ingredients: str
    allergens: str
    gtin: str
    storage: str
    cook: str
    packaging: str
    keeping: str | None
    serving: str | None
    catch_weight: int | None
    nutrition: str | None


def product_of(desk: Desk, run: Thing) -> str:
    """The name of the product of a run."""
    return _packed(desk, run.id).name


def pack_label_spec(desk: Desk, run: Thing) -> LabelSpec:
    """What the label of this run may say. Refused where the evidence does not carry it."""
    packed = _packed(desk, run.id)
    _must_be_carried(desk, run.id, packed)
    origins = _origins(desk, run)
    kinds = _species(run, packed, origins)
    english = ", ".join(english for english, _ in kinds)
    best_before, use_by = _dates(desk, packed)
    house, address, approval, country = _producer(desk)
    words = label_phrases(desk)
    thawed = sold_thawed(desk, run, packed.keeping, [origin.lot for origin in origins])
    return LabelSpec(
        product_name=packed.name,
        smoking_kind=packed.smoking,
        species_commercial=english,
        species_latin=", ".join(latin for _, latin in kinds),
        ingredients=packed.ingredients or _ingredients(desk, run, kinds),
        allergens=_allergens(desk, packed, english),
        net_g=packed.net_g,
        catch_weight=bool(packed.catch_weight),
        gtin=packed.gtin,
        lot=packed.code,
        lot_shown=show_code(packed.code),
        packed_on=date.fromisoformat(packed.packed_on),
        best_before=best_before,
        use_by=use_by,
        storage=_with_thawed(desk, packed, _storage(desk, packed), thawed),
        sold_thawed=thawed is not None,
        cook=packed.cook or cook_words(words, packed.serving, _fahrenheit(desk)),
        producer_name=house,
        producer_address=address,
        approval_number=approval,
        origin_lines=tuple(_origin_lines(desk, origins)),
        country_of_origin=desk.settings.country_of_origin or country,
        nutrition=_nutrition(desk, packed),
        approval_mark=mark_lines(country, approval) if _mark_is_ours(desk) else (),
        pack_face_cm2=desk.settings.pack_face_cm2 or None,
        packaging=_PACKAGINGS.get(packed.packaging, Packaging.AIR),
        # A QR code with all of it is too large for a pack.
        origin=None if label_design(desk) is Design.QR else _fish_origin(desk, origins),
        phrases=words,
    )


def unit_label_spec(desk: Desk, unit: Thing) -> LogisticSpec:
    """What the label of this case or pallet says: all about one lot, or what is in it where there are several.

    Refused for an empty one.
    """
    contents: dict[int, list[Serials]] = {}
    for run, serials in packs_under(desk.records, unit.id):
        contents.setdefault(run, []).append(serials)
    if not contents:
        raise Refused(f"{str(unit.kind).capitalize()} {unit.shown} is empty.", "Put packs into it first.")
    for run in contents:
        _must_be_carried(desk, run, _packed(desk, run))
    if len(contents) > 1:
        return _mixed_spec(desk, unit, contents)
    ((run, parts),) = contents.items()
    packed = _packed(desk, run)
    best_before, use_by = _dates(desk, packed)
    house, address, approval, _ = _producer(desk)
    return CaseLabelSpec(
        product_name=packed.name, smoking_kind=packed.smoking, sscc=unit.code, gtin=packed.gtin, pack_count=counted(parts),
        net_g=packs_g(desk.records, run, parts),
        catch_weight=bool(packed.catch_weight), lot=packed.code, lot_shown=show_code(packed.code), best_before=best_before,
        storage=_storage(desk, packed), producer_name=house, producer_address=address, approval_number=approval,
        use_by=use_by, origin=_fish_origin(desk, _origins(desk, Thing(Kind.RUN, run, packed.code))),
        phrases=label_phrases(desk), cases=cases_under(desk.records, unit.id) or None,
    )  # fmt: skip


def _mixed_spec(desk: Desk, unit: Thing, contents: Mapping[int, Sequence[Serials]]) -> MixedLabelSpec:
    words, (house, address, approval, _) = label_phrases(desk), _producer(desk)
    packed = {run: _packed(desk, run) for run in contents}
    counts = {run: counted(parts) for run, parts in contents.items()}
    net_g = sum(packs_g(desk.records, run, parts) for run, parts in contents.items())
    cases = cases_under(desk.records, unit.id)
    pairs = [
        *([(words.cases, str(cases))] if cases else []),
        (words.on_pallet if cases else words.count, str(sum(counts.values()))),
        (words.net, shown_weight(net_g)),
    ]
    heading = words.use_by if desk.settings.use_by else words.best_before
    lines = [
        f"{counts[run]} x {named_once(of.name, of.smoking)}, {words.lot} {in_one_piece(show_code(of.code))},"
        f" {heading} {shown_date(date.fromisoformat(of.best_before), words.months)}"
        for run, of in packed.items()
    ]
    storage = " ".join(dict.fromkeys(_storage(desk, of) for of in packed.values()))
    return MixedLabelSpec(unit.code, tuple(pairs), tuple(lines), storage, house, address, approval, words)


def card_spec(desk: Desk, batch: Thing, tray: str = "") -> CardSpec:
    """What the card of a batch says, or of one of its trays: ``3 of 12``."""
    facts = batches(desk.records, [batch.id])[batch.id]
    origins = _origins(desk, batch)
    words = label_phrases(desk)
    fish = ", ".join(dict.fromkeys(origin.english for origin in origins))
    details = (
        (words.from_, ", ".join(dict.fromkeys(origin.sender for origin in origins))),
        (words.started, _moment(words, instant_of(facts.started).astimezone(desk.zone))),
        (words.went_in, show_mass(facts.in_g)),
        (words.process, facts.process),
    )
    return CardSpec(
        title=named_once(facts.product or fish, facts.smoking) if facts.product or fish else facts.smoking,
        code=batch.code,
        code_shown=show_code(batch.code),
        tray=tray,
        details=tuple((heading, said) for heading, said in details if said),
        phrases=words,
    )


def _moment(words: Phrases, moment: datetime) -> str:
    return f"{shown_date(moment.date(), words.months)} {moment:%H:%M}"


def _packed(desk: Desk, run: int) -> _Packed:
    row = desk.records.one(
        "SELECT r.code, r.net_g, r.packed_on, r.best_before, p.id, p.name, p.smoking, p.species, p.ingredients, p.allergens,"
        " p.gtin, p.storage, p.cook, p.packaging, p.keeping, p.serving, r.catch_weight, p.nutrition FROM run r"
        " JOIN product p ON p.id = r.product WHERE r.id = ?",
        run,
    )
    assert row is not None, "the caller looked the run up"
    return _Packed(*row)


def _must_be_carried(desk: Desk, run: int, packed: _Packed) -> None:
    """What the product promises rests on evidence, whether it was chosen or written out by hand."""
    parents = [row[0] for row in desk.records.rows("SELECT parent FROM flow WHERE child = ? AND g > 0", run)]
    must_carry_claims(desk, packed.product, parents)
    _must_not_claim_in_words(desk, parents, f"{packed.name} {packed.storage} {packed.cook}")


def _must_not_claim_in_words(desk: Desk, parents: Sequence[int], text: str) -> None:
    if says_ready_to_eat(text):
        said = claim(ClaimKind.READY_TO_EAT, behind(desk.records, parents, desk.now), FROZEN)
        if not said.allowed:
            raise Refused(f"{said.why[:1].upper()}{said.why[1:]}", f"The rule: {said.source}.")


def _dates(desk: Desk, packed: _Packed) -> tuple[date | None, date | None]:
    """Best before and use by, one of them."""
    day = date.fromisoformat(packed.best_before)
    return (None, day) if desk.settings.use_by else (day, None)


def _ingredients(desk: Desk, run: Thing, kinds: Sequence[tuple[str, str]]) -> str:
    """What the record says went in, where the product has no list of its own: the fish, what was put into its batches, smoke.

    Wood and what touches the fish without staying in it is no ingredient; anything else that was entered is named.
    """
    rows = desk.records.rows(
        "WITH RECURSIVE up (id) AS (SELECT CAST(? AS BIGINT) UNION SELECT f.parent FROM up CROSS JOIN flow f"
        " WHERE f.child = up.id AND f.g > 0) SELECT DISTINCT l.item FROM up CROSS JOIN batch b CROSS JOIN lot_use u"
        " CROSS JOIN lot l WHERE b.id = up.id AND u.work = b.id AND l.id = u.lot AND l.kind = ? AND COALESCE(u.g, 1) > 0"
        " ORDER BY l.item",
        run.id, MATERIAL,
    )  # fmt: skip
    words = {item: {word.rstrip("s") for word in item.casefold().split()} for (item,) in rows}
    added = [item for item, said in words.items() if not said & _NO_INGREDIENT]
    fish = [f"{english} ({FISH})" for english, _ in kinds]
    return ", ".join([*fish, *added, "smoke"]) + "."


def _storage(desk: Desk, packed: _Packed) -> str:
    words = label_phrases(desk)
    # Where nobody said how packs are kept, the coldest is asked for: it promises nothing and harms nothing.
    said = packed.storage or storage_words(
        words, packed.keeping or FROZEN, packed.packaging, _fahrenheit(desk), desk.settings.opened_days
    )
    gas = words.sentence("protective_atmosphere") if packed.packaging == ATMOSPHERE else ""
    # Reg. (EU) 1169/2011 Annex III, from memory.
    return f"{said} {gas}".strip() if desk.settings.market == EU.key else said


def _with_thawed(desk: Desk, packed: _Packed, storage: str, thawed: Thawed | None) -> str:
    """Storage words that say so when the pack is sold thawed, unless its own words do."""
    if thawed is None or says_thawed(f"{packed.name} {storage} {packed.cook}"):
        return storage
    return f"{storage} {label_phrases(desk).sentence(thawed.value)}".strip()


def _nutrition(desk: Desk, packed: _Packed) -> str:
    """What 100 g hold. The panel that the United States ask for has another form, so nothing is said for them."""
    if not packed.nutrition or desk.settings.market == US.key:
        return ""
    return nutrition_words(label_phrases(desk), read_nutrition(packed.nutrition))


def _mark_is_ours(desk: Desk) -> bool:
    return desk.settings.market == EU.key and desk.settings.identification_mark == "label"


def _fahrenheit(desk: Desk) -> bool:
    return desk.settings.market == US.key


def _allergens(desk: Desk, packed: _Packed, species: str) -> tuple[str, ...]:
    named = tuple(word.strip() for word in packed.allergens.split(",") if word.strip())
    if named:
        return named
    # FALCPA 2004 (from memory): of fish the species is named.
    return (f"{FISH} ({species.lower()})",) if desk.settings.market == US.key else (FISH,)


def _producer(desk: Desk) -> tuple[str, str, str, str]:
    """Name, address with the country, approval number and country of the house."""
    name, address, approval, country = desk.records.one(
        "SELECT name, address, approval, country FROM site ORDER BY id LIMIT 1"
    ) or ("", "", "", "")
    return name, f"{address}, {country}", approval, country


def _origins(desk: Desk, thing: Thing) -> list[Origin]:
    return [origin for origin in trace(desk.records, thing, Direction.BACK).origins if not origin.contact]


def _species(run: Thing, packed: _Packed, origins: Sequence[Origin]) -> list[tuple[str, str]]:
    if not origins:
        raise Refused(
            f"Run {run.shown} has no landing behind it; its label cannot name the fish.", "Enter what it was made of."
        )
    for origin in origins:
        if packed.species is not None and origin.species != packed.species:
            raise Refused(
                f"{packed.name} is sold as {packed.species}; lot {show_code(origin.code)} in it is"
                f" {origin.species} ({origin.english}).",
                "Pack it as another product, or correct the lot.",
            )
    return list(dict.fromkeys((origin.english, origin.scientific) for origin in origins))


def _origin_lines(desk: Desk, origins: Sequence[Origin]) -> Iterator[str]:
    """Method, area and gear of every fish lot, each once, in the words of Reg. (EU) 1379/2013 Art. 35."""
    gears = dict(desk.records.rows("SELECT code, eu_category FROM gear"))
    lines = (
        ", ".join(
            part
            for part in (
                origin.method.capitalize(),
                f"{origin.area_name} (FAO {origin.area})" if origin.area else "",
                gears.get(origin.gear) or "",
            )
            if part
        )
        for origin in origins
    )
    yield from dict.fromkeys(line for line in lines if line)


def _fish_origin(desk: Desk, origins: Sequence[Origin]) -> FishOrigin | None:
    """The one species, area, gear and method of all the fish; None when it has several, for a symbol names one."""
    if len({(origin.species, origin.area, origin.gear, origin.method) for origin in origins}) != 1:
        return None
    one = origins[0]
    return FishOrigin(one.area, *_caught(desk, origins), one.species, one.gear, _METHODS.get(one.method, ""))


def _caught(desk: Desk, origins: Sequence[Origin]) -> tuple[date | None, date | None]:
    """The first and last day of the catch; neither when a lot does not say."""
    marks = ", ".join("?" * len(origins))
    rows = desk.records.rows(
        f"SELECT caught_from, COALESCE(caught_to, caught_from) FROM lot WHERE id IN ({marks})",
        *(origin.lot for origin in origins),
    )
    if any(first is None for first, _ in rows):
        return None, None
    return date.fromisoformat(min(first for first, _ in rows)), date.fromisoformat(max(last for _, last in rows))
