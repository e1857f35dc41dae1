"""Print labels: what they say comes from the record, and every print is in the record before the first label comes out."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from contextlib import contextmanager
from dataclasses import dataclass
from datetime import date
from pathlib import Path

from lotwake.labels.barcodes.dots import DOTS_203, DOTS_300, DOTS_304, DOTS_600, DOTS_609, PrinterDots
from lotwake.labels.layout.case_label import case_label_pdf
from lotwake.labels.layout.pack_label import lay_out, pack_label_pdf
from lotwake.labels.layout.spec import CaseLabelSpec, LabelSpec, checked_spec
from lotwake.labels.layout.stock import CASE_A6, PACK_STOCKS, Stock
from lotwake.trace.actions.desk import Desk
from lotwake.trace.actions.judge import behind, must_carry_claims
from lotwake.trace.actions.refs import packs_of, thing_of
from lotwake.trace.base.codes import show_code
from lotwake.trace.base.errors import CallError, MachineFailed, Refused
from lotwake.trace.base.ranges import Serials, counted, without
from lotwake.trace.lineage.chain import Direction, Origin
from lotwake.trace.lineage.trace import trace
from lotwake.trace.process.claims import ClaimKind, claim
from lotwake.trace.records.entries import packs
from lotwake.trace.records.entries.house import CHILLED, FROZEN, READY, ROOM, TO_COOK
from lotwake.trace.records.entries.packs import FAILED, FIRST, PRINTED, REPRINT
from lotwake.trace.records.find import Kind, Thing
from lotwake.trace.records.journal import Entry
from lotwake.trace.records.stock import packs_at_home, unit_contents

PROFILES = {203: DOTS_203, 300: DOTS_300, 305: DOTS_304, 600: DOTS_600, 610: DOTS_609}
FISH = "fish"
"""The allergen every product here holds (Codex CXS 1-1985, Reg. (EU) 1169/2011 Annex II, FALCPA 2004)."""
Progress = Callable[[int, int], None]


@dataclass(frozen=True)
class Printed:
    """Labels that were printed: which packs of which run (or the unit), and the file they are in."""

    thing: Thing
    packs: tuple[Serials, ...]
    path: Path

    @property
    def count(self) -> int:
        return counted(self.packs) or 1


def label_stock(desk: Desk) -> Stock:
    """The pack label stock of the house."""
    stock = PACK_STOCKS.get(desk.settings.stock)
    if stock is None:
        raise CallError(
            f"house.toml: there is no label stock {desk.settings.stock!r}.", f"Use one of: {', '.join(PACK_STOCKS)}."
        )
    return stock


def label_dots(desk: Desk) -> PrinterDots:
    """The resolution of the house's label printer."""
    return PROFILES[desk.settings.printer_dpi]


@dataclass(frozen=True)
class FirstPrint:
    """First labels that are in the record as PENDING and not yet sent."""

    run: Thing
    spec: LabelSpec
    packs: tuple[Serials, ...]
    jobs: tuple[int, ...]
    path: Path
    with_serial: bool


def print_labels(
    desk: Desk, run: str, count: int, out: Path, with_serial: bool = True, progress: Progress | None = None
) -> Printed:
    """First labels for the next ``count`` packs of a run, as a PDF.

    Packs that were made and have no label yet come first; the rest are made now, as far as the fish lasts.
    """
    thing = thing_of(desk.records, run, [Kind.RUN], "printing labels")
    with desk.entry("print labels") as entry:
        made = begin_first_print(desk, entry, thing, count, lambda _parts: out, with_serial)
    return send_first_print(desk, made, progress)


def begin_first_print(
    desk: Desk,
    entry: Entry,
    run: Thing,
    count: int,
    place: Callable[[Sequence[Serials]], Path],
    with_serial: bool = True,
) -> FirstPrint:
    """Enter the packs and their print, in an entry that may do more; ``place`` says where labels of these packs go.

    Refused before anything is written when the label cannot be made.
    """
    if count < 1:
        raise CallError(f"{count} labels cannot be printed.", "Enter 1 or more.")
    spec = pack_label_spec(desk, run)
    _try_layout(desk, spec, with_serial)
    waiting = _first(unlabelled(desk, run.id), count)
    if counted(waiting) < count:
        waiting.append(packs.add_packs(entry, run.id, count - counted(waiting), desk.now))
    out = place(waiting)
    jobs = [packs.print_labels(entry, run.id, part, FIRST, "", out.name, desk.now) for part in waiting]
    return FirstPrint(run, spec, tuple(waiting), tuple(jobs), out, with_serial)


def send_first_print(desk: Desk, made: FirstPrint, progress: Progress | None = None) -> Printed:
    """Send labels that were entered, and enter what came of it."""
    return _send(desk, made.run, made.spec, made.packs, made.jobs, made.path, made.with_serial, progress)


def settle_print(desk: Desk, number: int, came_out: bool) -> None:
    """Say what came of a print that was cut short: all labels came out, or none did and its packs wait for labels."""
    pending = desk.records.value(
        "SELECT 1 FROM label_print p WHERE p.id = ? AND NOT EXISTS (SELECT 1 FROM label_state s WHERE s.print = p.id"
        " AND s.state <> ?)",
        number, packs.PENDING,
    )  # fmt: skip
    if pending is None:
        raise Refused("That print is settled already.", "Nothing to do.")
    _note_outcome(desk, [number], PRINTED if came_out else FAILED, "said by hand after the print was cut short")


def reprint_labels(desk: Desk, text: str, reason: str, out: Path, with_serial: bool = True) -> Printed:
    """Labels once more for packs ``RUN/1-24``, with the reason; the first ones are to be destroyed."""
    found = packs_of(desk.records, text)
    if found is None:
        raise CallError(f"{text!r} names no packs.", "Write the run and the serials, such as 326-329-014-09/1-24.")
    thing, serials = found
    spec = pack_label_spec(desk, thing)
    _try_layout(desk, spec, with_serial)
    with desk.entry("reprint labels", why=reason) as entry:
        job = packs.print_labels(entry, thing.id, serials, REPRINT, reason, out.name, desk.now)
    return _send(desk, thing, spec, [serials], [job], out, with_serial, None)


def print_case_labels(desk: Desk, codes: Sequence[str], out: Path, reason: str = "") -> list[Printed]:
    """The labels of cases, as one PDF; a ``reason`` allows labels that were printed before."""
    cases = [thing_of(desk.records, code, [Kind.CASE], "a case label") for code in codes]
    specs = [case_label_spec(desk, case) for case in cases]
    printed = "SELECT 1 FROM label_print WHERE unit = ?"
    again = {case.id for case in cases if desk.records.value(printed, case.id)}
    if again and not reason:
        shown = next(case.shown for case in cases if case.id in again)
        raise Refused(f"Case {shown} has its label already.", "Say why it is printed again.")
    with desk.entry("print case labels", why=reason) as entry:
        jobs = [
            packs.print_unit_label(entry, case.id, REPRINT if case.id in again else FIRST, reason, out.name, desk.now)
            for case in cases
        ]
    with _outcome(desk, jobs):
        case_label_pdf(specs, CASE_A6, label_dots(desk), out)
    return [Printed(case, (), out) for case in cases]


def unlabelled(desk: Desk, run: int) -> list[Serials]:
    """The packs of a run that are in the house and have no first label."""
    printed = desk.records.rows(
        "SELECT p.first, p.last FROM label_print p WHERE p.run = ? AND p.kind = ? AND NOT EXISTS"
        " (SELECT 1 FROM label_state s WHERE s.print = p.id AND s.state = ?)",
        run, FIRST, FAILED,
    )  # fmt: skip
    return without(packs_at_home(desk.records, run), [Serials(*row) for row in printed])


def pack_label_spec(desk: Desk, run: Thing) -> LabelSpec:
    """What the label of this run may say, from the record. Refused where the record says otherwise."""
    row = desk.records.one(
        "SELECT p.name, p.smoking, p.species, p.ingredients, p.allergens, p.gtin, p.storage, p.cook, r.net_g, r.packed_on,"
        " r.best_before, p.id, p.packaging, p.keeping, p.serving FROM run r JOIN product p ON p.id = r.product WHERE r.id = ?",
        run.id,
    )
    assert row is not None
    name, smoking, species, ingredients, allergens, gtin, storage, cook, net_g, packed_on, best_before, *promises = row
    ref, packaging, keeping, serving = promises
    must_carry_claims(desk, ref, _batches_in(desk, run))
    _must_not_claim_in_words(desk, run, f"{name} {storage} {cook}")
    origins = [o for o in trace(desk.records, run, Direction.BACK).origins if not o.contact]
    kinds = _species(run, name, species, origins)
    house, address, country, approval = _producer(desk)
    return LabelSpec(
        product_name=name,
        smoking_kind=smoking,
        species_commercial=", ".join(english for english, _ in kinds),
        species_latin=", ".join(latin for _, latin in kinds),
        ingredients=ingredients,
        allergens=tuple(word.strip() for word in (allergens or FISH).split(",") if word.strip()),
        net_g=net_g,
        gtin=gtin,
        lot=run.code,
        lot_shown=show_code(run.code),
        packed_on=date.fromisoformat(packed_on),
        best_before=date.fromisoformat(best_before),
        storage=storage or storage_line(keeping, packaging),
        cook=cook or cook_line(serving),
        producer_name=house,
        producer_address=f"{address}, {country}",
        approval_number=approval,
        origin_lines=tuple(_origin_lines(desk, origins)),
    )


def symbols_in_words(desk: Desk, spec: LabelSpec, serial: int) -> tuple[tuple[str, ...], ...]:
    """The elements of each symbol of a pack label, as ``(01)09520000000028``."""
    layout = lay_out(checked_spec(spec), serial, label_stock(desk), label_dots(desk))
    return tuple(tuple(f"({element.ai}){element.value}" for element in symbol) for symbol in layout.symbols(serial))


def case_label_spec(desk: Desk, case: Thing) -> CaseLabelSpec:
    """What the label of this case says. Refused for an empty case and for one with several lots."""
    contents = unit_contents(desk.records, case.id)
    runs = {run for run, _ in contents}
    if len(runs) != 1:
        raise Refused(
            f"Case {case.shown} holds {len(runs)} lots; its label names one.",
            "Pack one lot in a case, or label the packs only.",
        )
    (run,) = runs
    name, smoking, gtin, storage, keeping, packaging, net_g, code, best_before = desk.records.one(
        "SELECT p.name, p.smoking, p.gtin, p.storage, p.keeping, p.packaging, r.net_g, r.code, r.best_before FROM run r"
        " JOIN product p ON p.id = r.product WHERE r.id = ?",
        run,
    ) or ("", "", "", "", None, "", 0, "", "")
    house, address, country, approval = _producer(desk)
    count = counted(serials for _, serials in contents)
    return CaseLabelSpec(
        product_name=name, smoking_kind=smoking, sscc=case.code, gtin=gtin, pack_count=count, net_g=net_g * count,
        lot=code, lot_shown=show_code(code), best_before=date.fromisoformat(best_before),
        storage=storage or storage_line(keeping, packaging), producer_name=house,
        producer_address=f"{address}, {country}", approval_number=approval,
    )  # fmt: skip


def _batches_in(desk: Desk, run: Thing) -> list[int]:
    return [row[0] for row in desk.records.rows("SELECT parent FROM flow WHERE child = ? AND g > 0", run.id)]


def _must_not_claim_in_words(desk: Desk, run: Thing, text: str) -> None:
    """A promise written out by hand rests on the same evidence as one that was chosen."""
    if READY in " ".join(text.casefold().replace("-", " ").split()):
        said = claim(ClaimKind.READY_TO_EAT, behind(desk.records, _batches_in(desk, run), desk.now), FROZEN)
        if not said.allowed:
            raise Refused(f"{said.why[:1].upper()}{said.why[1:]}", f"The rule: {said.source}.")


def storage_line(keeping: str | None, packaging: str) -> str:
    """The storage words of a label, where the product has none of its own."""
    if keeping == CHILLED:
        # CXS 311-2013 (from memory): packs without air below 3 C.
        return "Keep refrigerated, 0 to 4 C." if packaging == "air" else "Keep refrigerated below 3 C."
    return {
        FROZEN: "Keep frozen, -18 C or colder. Thaw in the refrigerator; do not refreeze.",
        ROOM: "Keep cool and dry.",
    }.get(keeping or "", "")


def cook_line(serving: str | None) -> str:
    """The cook words of a label, where the product has none of its own."""
    # 145 F (62.8 C) is the consumer advice of the FDA for fish (from memory), rounded up.
    words = {READY: "Ready to eat.", TO_COOK: "Cook before eating until the core is 63 C or hotter."}
    return words.get(serving or "", "")


def _try_layout(desk: Desk, spec: LabelSpec, with_serial: bool) -> None:
    """Refuse a label that cannot be printed before anything is entered; no serial has more than six digits here."""
    lay_out(checked_spec(spec), 999_999 if with_serial else None, label_stock(desk), label_dots(desk))


def _send(
    desk: Desk,
    run: Thing,
    spec: LabelSpec,
    parts: Sequence[Serials],
    jobs: Sequence[int],
    out: Path,
    with_serial: bool,
    progress: Progress | None,
) -> Printed:
    numbers = [serial for part in parts for serial in range(part.first, part.last + 1)]
    serials = numbers if with_serial else [None] * len(numbers)
    with _outcome(desk, jobs):
        pack_label_pdf(spec, serials, label_stock(desk), label_dots(desk), out, progress)
    return Printed(run, tuple(parts), out)


@contextmanager
def _outcome(desk: Desk, jobs: Sequence[int]) -> Iterator[None]:
    """Enter PRINTED when the block ends well, FAILED with the reason when it does not."""
    try:
        yield
    except BaseException as error:
        _note_outcome(desk, jobs, FAILED, str(error) or type(error).__name__)
        if isinstance(error, OSError):
            said = f"The labels could not be written: {error.strerror or error}."
            raise MachineFailed(said, "Choose another place; the packs keep their numbers.") from error
        raise
    _note_outcome(desk, jobs, PRINTED, "")


def _note_outcome(desk: Desk, jobs: Sequence[int], state: str, note: str) -> None:
    with desk.entry(f"labels {state.lower()}", why=note) as entry:
        for job in jobs:
            packs.label_outcome(entry, job, state, note, desk.now)


def _first(ranges: Sequence[Serials], count: int) -> list[Serials]:
    taken: list[Serials] = []
    for item in ranges:
        room = count - counted(taken)
        if room > 0:
            taken.append(Serials(item.first, min(item.last, item.first + room - 1)))
    return taken


def _producer(desk: Desk) -> tuple[str, str, str, str]:
    row = desk.records.one("SELECT name, address, country, approval FROM site ORDER BY id LIMIT 1")
    assert row is not None
    return row[0], row[1], row[2], row[3]


def _species(run: Thing, product: str, species: str | None, origins: Sequence[Origin]) -> list[tuple[str, str]]:
    if not origins:
        raise Refused(
            f"Run {run.shown} has no landing behind it; its label cannot name the fish.", "Enter what it was made of."
        )
    for origin in origins:
        if species is not None and origin.species != species:
            raise Refused(
                f"{product} is sold as {species}; lot {show_code(origin.code)} in it is {origin.species} ({origin.english}).",
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
