"""Cases and pallets: logistic units with an SSCC, and what is in them."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from datetime import datetime

from lotwake.labels.gs1.keys import check_sscc, make_sscc
from lotwake.trace.base.errors import CallError, Refused
from lotwake.trace.base.moments import instant_text
from lotwake.trace.base.ranges import Serials
from lotwake.trace.records.entries.packs import must_be_loose_by
from lotwake.trace.records.entries.rules import must_be_free, must_follow
from lotwake.trace.records.journal import Entry
from lotwake.trace.records.stock import runs_within, unit_contents, unit_dispatch, unit_parent, unit_since

CASE, PALLET = "case", "pallet"


def sscc_text(unit: int) -> str:
    """The 18 digits of an SSCC that is kept as a number."""
    return f"{unit:018d}"


def new_sscc(entry: Entry, is_spoken_for: Callable[[int], bool] = lambda _: False) -> int:
    """An SSCC that no unit bears and that is not ``is_spoken_for``. Taken numbers are passed over in growing strides."""
    prefix: str = entry.records.value("SELECT company_prefix FROM site ORDER BY id LIMIT 1")
    stride = 1
    while True:
        unit = int(make_sscc(prefix, entry.take("sscc", stride)))
        if not (_is_taken(entry, unit) or is_spoken_for(unit)):
            return unit
        stride *= 2


def close_case(entry: Entry, packs: Sequence[tuple[int, Serials]], at: datetime, sscc: int | None = None) -> int:
    """Put loose packs of one or more runs into a new case; its SSCC is given back, a new one unless it has one."""
    if not packs:
        raise CallError("A case needs packs.", "Scan what is in it.")
    since = instant_text(at)
    unit = _new_unit(entry, CASE, at, sscc)
    for run, serials in packs:
        must_be_free(entry, [run])
        must_be_loose_by(entry, run, serials, "The case", since)
        entry.add("content", run=run, first=serials.first, last=serials.last, unit=unit, since=since)
    return unit


def build_pallet(entry: Entry, units: Sequence[int], at: datetime, sscc: int | None = None) -> int:
    """Put cases or pallets onto a new pallet; its SSCC is given back, a new one unless it has one."""
    if not units:
        raise CallError("A pallet needs cases.", "Scan what stands on it.")
    if entry.anything_held():
        must_be_free(entry, runs_in(entry, units))
    pallet = _new_unit(entry, PALLET, at, sscc)
    for unit in units:
        _must_be_home(entry, unit)
        if unit_parent(entry.records, unit) is not None:
            raise Refused(f"{sscc_text(unit)} stands on a pallet already.", "Take it off that one first.")
        if not runs_in(entry, [unit]):
            raise Refused(f"{sscc_text(unit)} is empty.", "Put what the packs are in onto the pallet.")
        must_be_settled_by(entry, unit, "The pallet", instant_text(at))
        entry.add("unit_content", child=unit, parent=pallet, since=instant_text(at))
    return pallet


def take_off_pallet(entry: Entry, unit: int, at: datetime) -> None:
    """A unit leaves the pallet it stands on; both are in the house."""
    parent = unit_parent(entry.records, unit)
    if parent is None:
        raise Refused(f"{sscc_text(unit)} stands on no pallet.", "Nothing to do.")
    _must_be_home(entry, unit)
    _end_standing(entry, unit, parent, at)


def open_case(entry: Entry, unit: int, at: datetime) -> list[tuple[int, Serials]]:
    """All packs come out of a case that is in the house and are loose again."""
    _must_be_home(entry, unit)
    packs = unit_contents(entry.records, unit)
    if not packs:
        raise Refused(f"{sscc_text(unit)} holds no packs.", "Only a closed case can be opened.")
    must_be_settled_by(entry, unit, "Opening the case", instant_text(at))
    for run, serials in packs:
        entry.change("content", {"run": run, "first": serials.first, "unit": unit}, "until", instant_text(at))
    return packs


def leave_pallet_behind(entry: Entry, unit: int, at: datetime) -> None:
    """A unit that comes back without its pallet no longer stands on it."""
    parent = unit_parent(entry.records, unit)
    if parent is not None:
        _end_standing(entry, unit, parent, at)


def must_be_settled_by(entry: Entry, unit: int, what: str, at: str) -> None:
    """A unit was closed, off its last pallet and back in the house when, at the stored instant ``at``, ``what`` happens."""
    since = unit_since(entry.records, unit)
    must_follow(entry, what, at, f"{sscc_text(unit)} was closed, taken off its pallet or came back", since)


def runs_in(entry: Entry, units: Sequence[int]) -> list[int]:
    """The runs whose packs are in these units or in units within them."""
    return sorted({run for unit in units for run in runs_within(entry.records, unit)})


def _end_standing(entry: Entry, unit: int, parent: int, at: datetime) -> None:
    since, made = entry.records.one(
        "SELECT since, entry FROM unit_content WHERE child = ? AND parent = ? AND until IS NULL", unit, parent
    ) or ("", 0)
    must_follow(entry, "Taking it off", instant_text(at), "putting it on", since)
    entry.change("unit_content", {"child": unit, "parent": parent, "entry": made}, "until", instant_text(at))


def _must_be_home(entry: Entry, unit: int) -> None:
    if unit_dispatch(entry.records, unit) is not None:
        raise Refused(f"{sscc_text(unit)} is not in the house.", "Take it back first.")


def _new_unit(entry: Entry, kind: str, at: datetime, sscc: int | None) -> int:
    unit = new_sscc(entry) if sscc is None else _given_sscc(entry, sscc)
    entry.add("unit", sscc=unit, kind=kind, closed=instant_text(at))
    return unit


def _given_sscc(entry: Entry, sscc: int) -> int:
    """An SSCC that a unit bears already, with a right check digit."""
    check_sscc(sscc_text(sscc))
    if _is_taken(entry, sscc):
        raise Refused(f"{sscc_text(sscc)} is on another case or pallet already.", "Read its label again.")
    return sscc


def _is_taken(entry: Entry, sscc: int) -> bool:
    return entry.records.value("SELECT 1 FROM unit WHERE sscc = ?", sscc) is not None
