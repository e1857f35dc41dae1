"""What is this? From any text the house may meet to the things it names."""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum

from lotwake.labels.gs1.keys import SSCC_LENGTH, check_digit_agrees
from lotwake.trace.base.codes import CodeKind, looks_like_code, read_code, show_code, tidy
from lotwake.trace.base.errors import CallError, NotFound
from lotwake.trace.records.database import Records
from lotwake.trace.records.stock import run_packs


class Kind(StrEnum):
    """The kinds of things a trace can start from or meet."""

    LOT = "lot"
    BATCH = "batch"
    RUN = "run"
    PACK = "pack"
    CASE = "case"
    PALLET = "pallet"
    DISPATCH = "dispatch"
    RETURN = "return"
    OPERATOR = "operator"
    PLACE = "place"


@dataclass(frozen=True)
class Thing:
    """One thing of the house. ``id`` is its key in the record (for a pack, its run's); ``serial`` only for a pack."""

    kind: Kind
    id: int
    code: str
    serial: int | None = None

    @property
    def shown(self) -> str:
        """Its code for people."""
        shown = show_code(self.code)
        return f"{shown}/{self.serial}" if self.serial is not None else shown


TABLES = {
    CodeKind.LOT: (Kind.LOT, "lot"),
    CodeKind.BATCH: (Kind.BATCH, "batch"),
    CodeKind.RUN: (Kind.RUN, "run"),
    CodeKind.DISPATCH: (Kind.DISPATCH, "dispatch"),
    CodeKind.RETURN: (Kind.RETURN, "goods_return"),
    CodeKind.OPERATOR: (Kind.OPERATOR, "operator"),
    CodeKind.PLACE: (Kind.PLACE, "place"),
}
_TABLE_OF = dict(TABLES.values())


def by_code(records: Records, text: str) -> Thing:
    """The one thing of this code: our own code, a former code, an SSCC, or ``RUN/SERIAL`` for a pack.

    Raises CallError for a mistyped code, NotFound for one the house does not know.
    """
    found = everything(records, text)
    if len(found) > 1:
        kinds = ", ".join(f"{thing.kind} {thing.shown}" for thing in found)
        raise CallError(f"{text.strip()!r} names several things: {kinds}.", "Use one of these codes.")
    return found[0]


def everything(records: Records, text: str) -> list[Thing]:
    """All things this text names, dispatch documents included; at least one, or an error that says what is wrong."""
    typed = text.strip()
    if not typed:
        raise CallError("There is no code.", "Scan it or type it.")
    run_text, slash, serial = typed.rpartition("/")
    if slash and serial.strip().isdecimal() and (run := _known(records, run_text, {Kind.RUN})):
        return [pack_of(records, run[0], int(serial))]
    if found := _known(records, typed, None):
        return found
    bare = tidy(typed)
    if looks_like_code(bare):
        read_code(bare)  # says so when it is mistyped
    if bare.isdecimal() and len(bare) == SSCC_LENGTH:
        if not check_digit_agrees(bare):
            raise CallError(
                f"The SSCC {bare} is mistyped: its check digit does not fit.", "Read it again from the label."
            )
        raise NotFound(f"The SSCC {bare} is not a case or pallet of this house.", "Is it somebody else's, or mistyped?")
    raise NotFound(
        f"The house knows nothing called {show_code(typed)!r}.", "Check the code, or look in the records list."
    )


def pack_of(records: Records, run: Thing, serial: int) -> Thing:
    """One pack of a run; NotFound when no such serial was made."""
    if not any(part.first <= serial <= part.last for part in run_packs(records, run.id)):
        raise NotFound(f"Run {run.shown} has no pack {serial}.", "Check the serial number; void labels are not packs.")
    return Thing(Kind.PACK, run.id, run.code, serial)


def product_runs(records: Records, gtin: str, lot: str) -> list[Thing]:
    """The runs with this lot code (GS1 AI 10, ours or a former one) whose product has this GTIN (14 digits)."""
    runs = _known(records, lot, {Kind.RUN})
    return [
        run
        for run in runs
        if records.value("SELECT p.gtin FROM run r JOIN product p ON p.id = r.product WHERE r.id = ?", run.id) == gtin
    ]


def unit_of(records: Records, sscc: int) -> Thing | None:
    """The case or pallet with this SSCC, if the house made it."""
    kind = records.value("SELECT kind FROM unit WHERE sscc = ?", sscc)
    return None if kind is None else Thing(Kind(kind), sscc, f"{sscc:018d}")


def thing_at(records: Records, kind: Kind, ref: int) -> Thing:
    """The thing of this kind and key."""
    if kind in (Kind.CASE, Kind.PALLET):
        return Thing(kind, ref, f"{ref:018d}")
    code = records.value(f"SELECT code FROM {_TABLE_OF[kind]} WHERE id = ?", ref)
    return Thing(kind, ref, code)


def _known(records: Records, text: str, kinds: set[Kind] | None) -> list[Thing]:
    bare = tidy(text)
    found: list[Thing] = []
    if looks_like_code(bare) and int(bare) % 97 == 1:
        kind, table = TABLES.get(CodeKind(int(bare[0])), (None, ""))
        ref = records.value(f"SELECT id FROM {table} WHERE code = ?", bare) if kind else None
        if kind is not None and ref is not None:
            found.append(Thing(kind, ref, bare))
    if bare.isdecimal() and len(bare) == 18 and (unit := unit_of(records, int(bare))):
        found.append(unit)
    for kind_text, ref in records.rows("SELECT kind, ref FROM alias WHERE text = ? ORDER BY kind, ref", text.strip()):
        found.append(thing_at(records, Kind(kind_text), ref))
    for (ref,) in records.rows("SELECT id FROM dispatch WHERE document = ? ORDER BY id", text.strip()):
        thing = thing_at(records, Kind.DISPATCH, ref)
        if thing not in found:
            found.append(thing)
    return [thing for thing in found if kinds is None or thing.kind in kinds]
