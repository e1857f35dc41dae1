"""How far a pack may fall short of what its label says."""

from __future__ import annotations

from dataclasses import dataclass
from decimal import ROUND_CEILING, Decimal

from lotwake.trace.base.errors import CallError
from lotwake.trace.process.basis import CAUTION, Basis

_TENTH = Decimal("0.1")
LEAST_NOMINAL_G, MOST_NOMINAL_G = Decimal(5), Decimal(25_000)

AVERAGE_BASIS = Basis(
    "TNE by band of nominal quantity, percentages rounded up to 0.1 g; T1 = nominal - TNE, T2 = nominal - 2 x TNE",
    "Directive 76/211/EEC Annex I 2.4; UK SI 2006/659 (gov.uk); OIML R 87",
    "Three rules: batch mean not below nominal; about 1 pack in 40 at most below T1; none below T2. Equal packs only, "
    "not catch weight. " + CAUTION,
)
# Up to and with this many grams: a percentage of the nominal quantity, or a fixed mass.
_TNE_BANDS = (
    (Decimal(50), "9 %"),
    (Decimal(100), "4.5 g"),
    (Decimal(200), "4.5 %"),
    (Decimal(300), "9 g"),
    (Decimal(500), "3 %"),
    (Decimal(1_000), "15 g"),
    (Decimal(10_000), "1.5 %"),
    (Decimal(15_000), "150 g"),
    (MOST_NOMINAL_G, "1 %"),
)

MAV_BASIS = Basis(
    "MAV by band of labelled weight",
    "NIST Handbook 133 Table 2-5 (every row from memory: check before use)",
    "Sample mean not below the label, no pack short by more than the MAV. " + CAUTION,
)
_MAV_BANDS = (
    (Decimal(36), "10 %"),
    (Decimal(54), "3.6 g"),
    (Decimal(81), "5.4 g"),
    (Decimal(117), "7.2 g"),
    (Decimal(154), "9.0 g"),
    (Decimal(208), "10.8 g"),
    (Decimal(263), "12.7 g"),
    (Decimal(317), "14.5 g"),
    (Decimal(381), "16.3 g"),
    (Decimal(426), "18.1 g"),
    (Decimal(489), "19.9 g"),
    (Decimal(571), "21.7 g"),
    (Decimal(635), "23.5 g"),
)


@dataclass(frozen=True)
class TolerableError:
    """Tolerable negative error of a nominal quantity and the two limits that follow, in grams."""

    nominal_g: Decimal
    band: str
    tne_g: Decimal
    basis: Basis = AVERAGE_BASIS

    @property
    def t1_g(self) -> Decimal:
        """About one pack in forty at most may lie below this."""
        return self.nominal_g - self.tne_g

    @property
    def t2_g(self) -> Decimal:
        """No pack may lie below this."""
        return self.nominal_g - 2 * self.tne_g


def tolerable_error(nominal_g: Decimal) -> TolerableError:
    """The TNE of a pack of this nominal quantity, grams; CallError outside 5 g to 25 kg, where the rules do not apply."""
    if not LEAST_NOMINAL_G <= nominal_g <= MOST_NOMINAL_G:
        raise CallError(f"The average rules do not cover {nominal_g} g.", "They cover packs of 5 g to 25 kg.")
    band = next(band for up_to_g, band in _TNE_BANDS if nominal_g <= up_to_g)
    return TolerableError(nominal_g, band, _in_grams(band, nominal_g).quantize(_TENTH, ROUND_CEILING))


@dataclass(frozen=True)
class MaximumVariation:
    """Maximum allowable variation of one pack under the US rules, grams."""

    labelled_g: Decimal
    band: str
    mav_g: Decimal
    basis: Basis = MAV_BASIS


def maximum_variation(labelled_g: Decimal) -> MaximumVariation:
    """The MAV of a pack labelled with this weight, grams; CallError above 635 g, the end of the rows kept here."""
    if not 0 < labelled_g <= _MAV_BANDS[-1][0]:
        raise CallError(f"No MAV is kept here for {labelled_g} g.", "The rows end at 635 g: see NIST Handbook 133.")
    band = next(band for up_to_g, band in _MAV_BANDS if labelled_g <= up_to_g)
    return MaximumVariation(labelled_g, band, _in_grams(band, labelled_g))


def _in_grams(band: str, of_g: Decimal) -> Decimal:
    amount, unit = band.split()
    return of_g * Decimal(amount) / 100 if unit == "%" else Decimal(amount)
