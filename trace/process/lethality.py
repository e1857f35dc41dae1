"""Accumulated lethality: what a heat step does to a reference organism, in minutes at its reference temperature.

Hot smoking does nothing to the spores of *C. botulinum*: 30 minutes at 62.8 C are 0.004 equivalent minutes at 90 C of
the 10 that the tables ask. Shelf life rests on salt, cold and packaging.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from itertools import pairwise

from lotwake.trace.process.basis import CAUTION, Basis, must_lie
from lotwake.trace.process.series import COLDEST_C, HOTTEST_C, Governing, Run

LN10 = math.log(10)
_LOGS = 6
_NEARLY_FLAT = 1e-5  # where the plain mean of two rates is closer than a quotient of small differences


@dataclass(frozen=True)
class Organism:
    """Heat resistance: ``minutes_6d`` at ``reference_c`` make a six-log reduction; ten times faster each z degrees."""

    key: str
    name: str
    reference_c: float
    z_below_c: float
    z_above_c: float
    minutes_6d: float
    table_c: tuple[float, float]
    basis: Basis

    def outside_table(self, core_c: float) -> bool:
        """True where the published table has no row and the formula is carried on."""
        return not self.table_c[0] <= core_c <= self.table_c[1]


_FDA = "FDA Fish and Fishery Products Hazards and Controls Guidance, App. 4"
LISTERIA = Organism(
    "listeria",
    "Listeria monocytogenes",
    reference_c=70,
    z_below_c=7.5,
    z_above_c=7.5,
    minutes_6d=2,
    table_c=(63, 85),
    basis=Basis(
        "lethal rate = 10^((core C - 70) / 7.5); equivalent minutes = its integral over time; 6 logs = 2 min at 70 C",
        f"{_FDA} Table A-3 (values from memory, recomputed from the formula)",
        CAUTION,
    ),
)
BOTULINUM = Organism(
    "botulinum",
    "non-proteolytic Clostridium botulinum type B",
    reference_c=90,
    z_below_c=7,
    z_above_c=10,
    minutes_6d=10,
    table_c=(85, 100),
    basis=Basis(
        "lethal rate = 10^((core C - 90) / z), z = 7 C below 90 C and 10 C above; equivalent minutes = its integral "
        "over time; 6 logs = 10 min at 90 C",
        f"{_FDA} Table A-4 (values from memory, recomputed from the formula)",
        "Hot smoking does not control these spores: shelf life rests on salt, cold and packaging. " + CAUTION,
    ),
)
ORGANISMS = (LISTERIA, BOTULINUM)


@dataclass(frozen=True)
class Lethality:
    """Equivalent minutes at the organism's reference temperature, and the logs they stand for."""

    organism: Organism
    equivalent_min: float

    @property
    def logs(self) -> float:
        return _LOGS * self.equivalent_min / self.organism.minutes_6d


def lethal_rate(core_c: float, organism: Organism) -> float:
    """Equivalent minutes that one minute at this core temperature is worth."""
    must_lie("A core temperature", core_c, COLDEST_C, HOTTEST_C, "C")
    return _rate(core_c, organism)


def minutes_for_6d(core_c: float, organism: Organism) -> float:
    """Minutes at this core temperature for a six-log reduction."""
    return organism.minutes_6d / lethal_rate(core_c, organism)


def hold_lethality(core_c: float, minutes: float, organism: Organism) -> Lethality:
    """What a time at one core temperature is worth."""
    must_lie("A time", minutes, 0, 100_000, "minutes")
    return Lethality(organism, minutes * lethal_rate(core_c, organism))


def accumulated_lethality(line: Governing, organism: Organism) -> Lethality:
    """What a governing line (the coldest probe) is worth; gaps count for nothing. Exact on each straight piece."""
    return Lethality(organism, math.fsum(_run_min(run, organism) for run in line.runs))


def _rate(core_c: float, organism: Organism) -> float:
    return math.exp(_exponent(core_c, organism))


def _exponent(core_c: float, organism: Organism) -> float:
    above = core_c - organism.reference_c
    return LN10 * above / (organism.z_below_c if above < 0 else organism.z_above_c)


def _run_min(run: Run, organism: Organism) -> float:
    """The integral over one run, in minutes.

    On a straight piece the rate is exponential in time, so its mean is (r1 - r0) / ln(r1 / r0). Where z changes at the
    reference temperature the piece is cut there.
    """
    exponents = [_exponent(core, organism) for core in run.core_c]
    rates = list(map(math.exp, exponents))
    kinked = organism.z_below_c != organism.z_above_c
    total_s = 0.0
    for (t0, t1), (e0, e1), (r0, r1) in zip(pairwise(run.time_s), pairwise(exponents), pairwise(rates), strict=True):
        rise = e1 - e0
        if kinked and e0 * e1 < 0:
            total_s += (t1 - t0) * _mean_across_reference(e0, e1, organism)
        elif -_NEARLY_FLAT < rise < _NEARLY_FLAT:
            total_s += (t1 - t0) * (r0 + r1) / 2
        else:
            total_s += (t1 - t0) * (r1 - r0) / rise
    return total_s / 60


def _mean_across_reference(e0: float, e1: float, organism: Organism) -> float:
    """Mean rate of a straight piece that passes the reference temperature, where the rate is 1."""
    z0, z1 = (organism.z_below_c, organism.z_above_c) if e0 < 0 else (organism.z_above_c, organism.z_below_c)
    share = e0 * z0 / (e0 * z0 - e1 * z1)  # of the time, until the reference temperature is passed
    return share * math.expm1(e0) / e0 + (1 - share) * math.expm1(e1) / e1
