"""The files of an old log book and their columns, as data: reading, checking and the printed description come from here.

The examples of all columns together are a small book that can be brought in as it stands.
"""

from __future__ import annotations

from dataclasses import dataclass
from enum import IntEnum

from lotwake.trace.actions.bring_in.forms import (
    CELSIUS,
    COUNT,
    DAY,
    KG,
    MOMENT,
    SSCC,
    TEXT,
    YES_ONLY,
    YES_OR_MOMENT,
    Form,
    G,
)
from lotwake.trace.records.entries.batches import READING_KINDS
from lotwake.trace.records.entries.house import EQUIPMENT_KINDS, PACKAGINGS, SMOKING_KINDS, SOURCE_KINDS
from lotwake.trace.records.entries.lots import LOSS_KINDS, LOT_KINDS


class Step(IntEnum):
    """What is done with a row. Of steps at the same moment the lower one comes first."""

    SOURCE = 1
    SUPPLIER = 2
    BUYER = 3
    EQUIPMENT = 4
    PRODUCT = 5
    EARLIER_HOLD_RELEASE = 6
    LOT = 7
    BATCH = 8
    BATCH_INPUT = 9
    BATCH_RELEASE = 10
    PROCESS_STEP = 11
    READING = 12
    RUN = 13
    RUN_BATCH = 14
    RUN_INPUT = 15
    PACKS = 16
    LOSS = 17
    CASE = 18
    PALLET = 19
    DISPATCH = 20
    RETURN = 21
    HOLD = 22
    HOLD_RELEASE = 23


@dataclass(frozen=True)
class Column:
    """One column: what stands in it, whether it must be filled, what it means, and an example ("" leaves it empty)."""

    name: str
    form: Form
    needed: bool
    meaning: str
    example: str


@dataclass(frozen=True)
class Sheet:
    """One file. ``thing`` is the kind its rows make or add to, named in the columns ``keys``, first of all in the first
    of them that is filled.

    ``when`` is the column with the time of the row; a sheet that is ``part_of`` its thing has the time of that thing, and
    one with neither comes before everything else. ``grouped``: rows with the same key are one thing.
    ``weighed``: a row needs a weight, in ``kg`` or in ``g``.
    """

    name: str
    what: str
    step: Step
    columns: tuple[Column, ...]
    thing: str = ""
    keys: tuple[str, ...] = ()
    when: str = ""
    part_of: bool = False
    grouped: bool = False
    weighed: bool = False

    @property
    def file(self) -> str:
        return f"{self.name}.csv"


def _need(name: str, form: Form, meaning: str, example: str) -> Column:
    return Column(name, form, True, meaning, example)


def _may(name: str, form: Form, meaning: str, example: str = "") -> Column:
    return Column(name, form, False, meaning, example)


def _list(words: tuple[str, ...]) -> str:
    return f"{', '.join(words[:-1])} or {words[-1]}"


def _weight(what: str, example_kg: str) -> tuple[Column, Column]:
    return _may("kg", KG, what, example_kg), _may("g", G, "the same in grams; fill one of the two")


_NOTE = _may("note", TEXT, "anything worth keeping")

SHEETS = (
    Sheet(
        "sources", "Where fish came from.", Step.SOURCE, thing="source", keys=("name", "mark"), columns=(
            _need("kind", TEXT, _list(SOURCE_KINDS), "boat"),
            _need("name", TEXT, "its name", "Aurora"),
            _may("mark", TEXT, "registration mark of a boat", "N-12-X"),
            _may("flag", TEXT, "country of a boat, two letters", "NO"),
            _may("licence", TEXT, "licence number"),
            _may("imo", TEXT, "IMO number"),
            _may("address", TEXT, "where it is found"),
            _may("phone", TEXT, "telephone number"),
        ),
    ),
    Sheet(
        "suppliers", "Who delivered salt, wood, bags.", Step.SUPPLIER, thing="supplier", keys=("name",), columns=(
            _need("name", TEXT, "its name", "Bag House"),
            _may("address", TEXT, "where it is found"),
            _may("phone", TEXT, "telephone number"),
        ),
    ),
    Sheet(
        "buyers", "Who goods were sent to.", Step.BUYER, thing="buyer", keys=("name",), columns=(
            _need("name", TEXT, "its name", "Quay Deli"),
            _need("phone", TEXT, "telephone number: what a recall needs first", "+47 00 00 00 00"),
            _may("email", TEXT, "mail address"),
            _may("address", TEXT, "where it is found"),
            _may("gln", TEXT, "GS1 location number, 13 digits"),
        ),
    ),
    Sheet(
        "equipment", "Smokehouses, tanks, freezers, instruments.", Step.EQUIPMENT, thing="equipment", keys=("name",),
        columns=(
            _need("name", TEXT, "its name", "Kiln 1"),
            _need("kind", TEXT, _list(EQUIPMENT_KINDS), "smokehouse"),
        ),
    ),
    Sheet(
        "products", "What was sold.", Step.PRODUCT, thing="product", keys=("name", "gtin"), columns=(
            _need("gtin", TEXT, "GTIN, 8, 12, 13 or 14 digits", "9520000000028"),
            _need("name", TEXT, "its name", "Hot smoked haddock 300 g"),
            _need("smoking", TEXT, _list(SMOKING_KINDS), "hot smoked"),
            _need("net_g", G, "net weight of a pack", "300"),
            _need("life_days", COUNT, "days from packing to best before", "60"),
            _may("species", TEXT, "FAO code or name", "HAD"),
            _may("packaging", TEXT, f"{_list(PACKAGINGS)}; air if empty", "vacuum"),
            _may("ingredients", TEXT, "as on the label"),
            _may("allergens", TEXT, "as on the label", "fish"),
            _may("storage", TEXT, "as on the label"),
            _may("cook", TEXT, "as on the label"),
            _may("case_packs", COUNT, "packs in a case; 12 if empty", "12"),
            _may("catch_weight", YES_ONLY, "yes if every pack is weighed by itself; net_g is then about what one weighs"),
            _may("nutrition", TEXT, "what 100 g hold: fat, saturates, carbohydrate, sugars, protein, salt in g; energy in kJ"
                 " and kcal"),
        ),
    ),
    Sheet(
        "lots", "Landings, farmed and bought-in fish, and materials, as they came in.", Step.LOT,
        thing="lot", keys=("lot",), when="received", weighed=True, columns=(
            _need("lot", TEXT, "its code in the old book", "H-17"),
            _need("kind", TEXT, _list(LOT_KINDS), "landing"),
            _need("sender", TEXT, "the boat (name or mark), farm, dealer or supplier", "Aurora"),
            _need("received", MOMENT, "when it was taken over", "2026-11-24 05:40"),
            *_weight("weight received", "41,5"),
            _may("landed_on", DAY, "day of landing, harvest or delivery; the day of receiving if empty", "2026-11-24"),
            _may("species", TEXT, "FAO code or name; needed for fish", "HAD"),
            _may("item", TEXT, "what it is; needed for a material"),
            _may("area", TEXT, "FAO catch area; needed for a landing", "27.4.b"),
            _may("gear", TEXT, "ISSCFG code, abbreviation or name", "OTB"),
            _may("presentation", TEXT, "whole, gutted, ...", "gutted"),
            _may("method", TEXT, "caught at sea, caught in fresh water or farmed; the usual one of its kind if empty"),
            _may("their_code", TEXT, "the sender's own lot code; needed for bought-in fish"),
            _may("caught_from", DAY, "first day of catch", "2026-11-22"),
            _may("caught_to", DAY, "last day of catch", "2026-11-23"),
            _may("core_c", CELSIUS, "core temperature at receiving", "1,5"),
            _may("received_as", TEXT, "fresh, frozen or thawed"),
            _may("trip", TEXT, "number of the fishing trip; several with commas between"),
            _may("undersize_g", G, "how much of it is under the minimum size"),
            _may("document", TEXT, "delivery or landing document"),
            _may("another", YES_ONLY, "yes if the same boat landed the same fish twice that day"),
            _NOTE,
        ),
    ),
    Sheet(
        "batches", "Smokehouse loads.", Step.BATCH, thing="batch", keys=("batch",), when="started", columns=(
            _need("batch", TEXT, "its code in the old book", "B-5"),
            _need("smoking", TEXT, _list(SMOKING_KINDS), "hot smoked"),
            _need("started", MOMENT, "when it began", "2026-11-24 08:00"),
            _may("product", TEXT, "GTIN or name", "Hot smoked haddock 300 g"),
            _may("equipment", TEXT, "its smokehouse", "Kiln 1"),
            _may("released", YES_OR_MOMENT, "yes, or when it was released for packing; a batch that was packed was"
                 " released at the latest then", "2026-11-24 17:00"),
            _NOTE,
        ),
    ),
    Sheet(
        "batch_inputs", "What went into each batch: several rows for one batch.", Step.BATCH_INPUT,
        thing="batch", keys=("batch",), part_of=True, columns=(
            _need("batch", TEXT, "the batch it went into", "B-5"),
            _need("input", TEXT, "a lot, another batch, or packs taken back for rework as RUN/1-24", "H-17"),
            _may("input_kind", TEXT, "lot, batch or run, where two of them have the same code"),
            *_weight("weight; empty for packs and for unweighed material", "40"),
        ),
    ),
    Sheet(
        "steps", "Ice rest, brining, smoking, cooling, ...", Step.PROCESS_STEP, when="started", columns=(
            _need("batch", TEXT, "the batch it was done on", "B-5"),
            _need("step", TEXT, "its name", "smoking"),
            _need("started", MOMENT, "when it began", "2026-11-24 11:00"),
            _may("ended", MOMENT, "when it was over", "2026-11-24 13:30"),
            _may("equipment", TEXT, "where or with what", "Kiln 1"),
            _NOTE,
        ),
    ),
    Sheet(
        "readings", "Measurements on batches.", Step.READING, when="at", columns=(
            _need("batch", TEXT, "the batch it was taken on", "B-5"),
            _need("kind", TEXT, _list(tuple(READING_KINDS)), "core"),
            _need("at", MOMENT, "when it was taken", "2026-11-24 12:40"),
            _need("value", TEXT, "degrees C, brine degrees, kilograms (weight) or per cent (salt, moisture)", "63,5"),
            _may("probe", TEXT, "which probe", "1"),
        ),
    ),
    Sheet(
        "runs", "Pack runs: packs of one product made in one go, with serials from 1.", Step.RUN,
        thing="run", keys=("run",), when="packed", columns=(
            _need("run", TEXT, "its lot code on the pack", "R-5"),
            _need("product", TEXT, "GTIN or name", "Hot smoked haddock 300 g"),
            _need("packed", MOMENT, "when packing began", "2026-11-24 18:00"),
            _need("packs", COUNT, "packs made", "100"),
            _may("pack_weights", TEXT, "what each pack weighs, in grams with spaces between, in the order of the serials;"
                 " needed where every pack is weighed by itself"),
            _may("best_before", DAY, "the day on the pack; packing day and life of the product if empty", "2027-01-23"),
            _may("batch", TEXT, "the batch it was packed from; leave it empty and use run_inputs for several", "B-5"),
            *_weight("weight taken from that batch; what the packs weigh if empty", "30,2"),
        ),
    ),
    Sheet(
        "run_inputs", "What went into runs besides: more batches, bags.", Step.RUN_INPUT,
        thing="run", keys=("run",), part_of=True, columns=(
            _need("run", TEXT, "the run it went into", "R-5"),
            _need("input", TEXT, "a batch, or a lot of material", "B-5"),
            _may("input_kind", TEXT, "lot or batch, where both have the same code"),
            *_weight("weight; empty for unweighed material", "0,3"),
        ),
    ),
    Sheet(
        "losses", "Named losses of lots, batches and runs.", Step.LOSS, when="at", weighed=True, columns=(
            _need("of", TEXT, "a lot, batch or run", "B-5"),
            _may("of_kind", TEXT, "lot, batch or run, where two of them have the same code"),
            _need("kind", TEXT, _list(LOSS_KINDS), "drying"),
            *_weight("weight lost", "8"),
            _need("at", MOMENT, "when", "2026-11-24 16:00"),
            _NOTE,
        ),
    ),
    Sheet(
        "cases", "Closed cases: several rows make one case.", Step.CASE, thing="case", keys=("case", "sscc"),
        when="closed", grouped=True, columns=(
            _may("case", TEXT, "its own number; the SSCC if empty", "C-1"),
            _may("sscc", SSCC, "its SSCC, which it keeps; a new one if empty", "095200000000000011"),
            _need("run", TEXT, "the run of the packs in it", "R-5"),
            _need("first", COUNT, "first serial", "1"),
            _need("last", COUNT, "last serial", "12"),
            _need("closed", MOMENT, "when it was closed", "2026-11-24 19:00"),
        ),
    ),
    Sheet(
        "pallets", "Cases and pallets on pallets: several rows make one pallet.", Step.PALLET,
        thing="pallet", keys=("pallet", "sscc"), when="built", grouped=True, columns=(
            _may("pallet", TEXT, "its own number; the SSCC if empty", "P-1"),
            _may("sscc", SSCC, "its SSCC, which it keeps; a new one if empty"),
            _need("unit", TEXT, "a case, or a smaller pallet, that stands on it", "C-1"),
            _need("built", MOMENT, "when", "2026-11-24 20:00"),
        ),
    ),
    Sheet(
        "dispatches", "Goods that left: several rows make one dispatch.", Step.DISPATCH,
        thing="dispatch", keys=("document",), when="at", grouped=True, columns=(
            _need("document", TEXT, "number of the delivery note", "DN-1"),
            _need("buyer", TEXT, "who it went to", "Quay Deli"),
            _need("at", MOMENT, "when it left", "2026-11-25 07:00"),
            _may("carrier", TEXT, "who drove", "own van"),
            _may("unit", TEXT, "a case or pallet; or leave it empty and name loose packs", "P-1"),
            _may("run", TEXT, "the run of loose packs"),
            _may("first", COUNT, "first serial of loose packs"),
            _may("last", COUNT, "last serial of loose packs"),
        ),
    ),
    Sheet(
        "returns", "Goods that came back: several rows make one return.", Step.RETURN,
        thing="return", keys=("document",), when="at", grouped=True, columns=(
            _need("document", TEXT, "number of the return", "RN-1"),
            _need("buyer", TEXT, "who sent it back", "Quay Deli"),
            _need("at", MOMENT, "when it came", "2026-11-26 09:00"),
            _need("reason", TEXT, "why", "wrong size"),
            _may("unit", TEXT, "a case or pallet; or leave it empty and name loose packs", "C-1"),
            _may("run", TEXT, "the run of loose packs"),
            _may("first", COUNT, "first serial of loose packs"),
            _may("last", COUNT, "last serial of loose packs"),
        ),
    ),
    Sheet(
        "holds", "Holds and rejections, and how holds ended.", Step.HOLD, when="at", columns=(
            _need("of", TEXT, "a lot, batch or run", "H-17"),
            _may("of_kind", TEXT, "lot, batch or run, where two of them have the same code"),
            _need("kind", TEXT, "HOLD or REJECT", "HOLD"),
            _need("at", MOMENT, "when", "2026-11-24 06:00"),
            _need("reason", TEXT, "why", "waiting for the histamine test"),
            _may("released_at", MOMENT, "when it was released", "2026-11-24 07:30"),
            _may("released_by", TEXT, "who released it; needed then", "Signe Kvist"),
            _may("release_reason", TEXT, "why it was released; needed then", "test was clear"),
        ),
    ),
)  # fmt: skip
"""In the order they are read: a thing before what is part of it."""

BY_NAME = {sheet.name: sheet for sheet in SHEETS}
