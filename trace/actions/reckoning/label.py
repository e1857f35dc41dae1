"""Numbers of the label: check digits, GS1 data, tolerable error, type heights."""

from __future__ import annotations

from argparse import Namespace
from typing import Any

from lotwake.trace.actions.reckoning.answer import Answer, Calculation, Takes, exact
from lotwake.trace.base.errors import CallError
from lotwake.trace.process.basis import Basis
from lotwake.trace.process.quantity import maximum_variation, tolerable_error
from lotwake.trace.process.type_size import TypeHeight, eu_figure_height, eu_x_height, us_figure_height

_GS1 = "GS1 General Specifications"


def _check_digit_arguments(parser: Takes) -> None:
    parser.add_argument("--digits", required=True, help="the number without its check digit")


def _check_digit(args: Namespace) -> Answer:
    from lotwake.labels.errors import WrongData
    from lotwake.labels.gs1.keys import check_digit

    try:
        digit = check_digit(args.digits)
    except WrongData as error:
        raise CallError(error.sentence, error.hint) from None
    basis = Basis("weights 3 and 1 from the right; what is missing to the next ten", f"{_GS1}, modulo 10")
    return Answer(
        {"check_digit": digit}, args.digits, f"check digit {digit}, the number is {args.digits}{digit}", basis
    )


def _gs1_arguments(parser: Takes) -> None:
    parser.add_argument("--text", required=True, help='"(01)...(10)...", or raw data with ^ for FNC1')


def _gs1(args: Namespace) -> Answer:
    from lotwake.labels.gs1.elements import caret_string, read_text

    reading = read_text(args.text)
    problems = [problem.sentence for problem in reading.problems]
    text = caret_string(reading.elements) if reading.elements else None
    return _gs1_answer(args.text, text, problems, "AIs, formats, check digits and pairings; ^ stands for FNC1")


def _digital_link_arguments(parser: Takes) -> None:
    parser.add_argument("--uri", required=True, help="the GS1 Digital Link")


def _digital_link(args: Namespace) -> Answer:
    from lotwake.labels.errors import WrongData
    from lotwake.labels.gs1.digital_link import read_digital_link
    from lotwake.labels.gs1.elements import Gs1Error, caret_string

    formula = "key and qualifiers from the path, the rest from the query; ^ stands for FNC1"
    try:
        elements = read_digital_link(args.uri)
    except Gs1Error as error:
        return _gs1_answer(args.uri, None, [problem.sentence for problem in error.problems], formula)
    except WrongData as error:
        return _gs1_answer(args.uri, None, [error.sentence], formula)
    return _gs1_answer(args.uri, caret_string(elements), [], formula)


def _gs1_answer(put_in: str, element_string: str | None, problems: list[str], formula: str) -> Answer:
    values: dict[str, Any] = {"valid": not problems, "element_string": element_string, "problems": problems}
    word = "valid" if not problems else "NOT VALID"
    result = (f"{word}: {element_string}" if element_string else word, *(f"  {problem}" for problem in problems))
    return Answer(values, put_in, result, Basis(formula, f"{_GS1}; GS1 Digital Link standard"))


def _tne_arguments(parser: Takes) -> None:
    parser.add_argument("--nominal-g", type=exact, required=True, help="nominal quantity, g or ml")


def _tne(args: Namespace) -> Answer:
    found = tolerable_error(args.nominal_g)
    values = {"tne_g": float(found.tne_g), "t1_g": float(found.t1_g), "t2_g": float(found.t2_g), "band": found.band}
    result = f"TNE {found.tne_g} g ({found.band}); T1 {found.t1_g} g; T2 {found.t2_g} g"
    return Answer(values, f"nominal {args.nominal_g} g", result, found.basis)


def _mav_arguments(parser: Takes) -> None:
    parser.add_argument("--labelled-g", type=exact, required=True, help="weight on the label, g")


def _mav(args: Namespace) -> Answer:
    found = maximum_variation(args.labelled_g)
    result = f"MAV {found.mav_g} g ({found.band})"
    return Answer({"mav_g": float(found.mav_g), "band": found.band}, f"{args.labelled_g} g", result, found.basis)


def _figure_height_arguments(parser: Takes) -> None:
    parser.add_argument("--market", choices=("eu", "us"), required=True)
    parser.add_argument("--nominal-g", type=exact, help="eu: net quantity, g or ml")
    parser.add_argument("--panel-sq-in", type=exact, help="us: principal display panel, square inches")
    parser.add_argument("--moulded", action="store_true", help="us: blown, embossed or moulded on the pack")


def _figure_height(args: Namespace) -> Answer:
    if args.market == "eu":
        if args.nominal_g is None:
            raise CallError("The EU height goes by the net quantity.", "Give --nominal-g.")
        return _height("min_height_mm", eu_figure_height(args.nominal_g), f"{args.nominal_g} g in the EU")
    if args.panel_sq_in is None:
        raise CallError("The US height goes by the area of the panel.", "Give --panel-sq-in.")
    found = us_figure_height(args.panel_sq_in, args.moulded)
    return _height("min_height_mm", found, f"a panel of {args.panel_sq_in} sq in in the US")


def _x_height_arguments(parser: Takes) -> None:
    parser.add_argument("--largest-surface-cm2", type=exact, required=True, help="largest surface of the pack, cm2")


def _x_height(args: Namespace) -> Answer:
    found = eu_x_height(args.largest_surface_cm2)
    return _height("min_x_height_mm", found, f"largest surface {args.largest_surface_cm2} cm2")


def _height(key: str, found: TypeHeight, put_in: str) -> Answer:
    inches = f" ({found.min_inch} in)" if found.min_inch is not None else ""
    values: dict[str, Any] = {key: float(found.min_mm)}
    if found.min_inch is not None:
        values["min_height_inch"] = str(found.min_inch)
    return Answer(values, put_in, f"at least {found.min_mm} mm{inches}", found.basis)


CALCULATIONS = (
    Calculation("check-digit", "Check digit of a GTIN, GLN or SSCC.", _check_digit_arguments, _check_digit),
    Calculation("gs1", "Check GS1 data and write it as an element string.", _gs1_arguments, _gs1),
    Calculation("digital-link", "Read a GS1 Digital Link.", _digital_link_arguments, _digital_link),
    Calculation("tne", "Tolerable negative error under the average rules.", _tne_arguments, _tne),
    Calculation("mav", "Maximum allowable variation of a US pack.", _mav_arguments, _mav),
    Calculation("figure-height", "Least height of the net quantity figures.", _figure_height_arguments, _figure_height),
    Calculation("x-height", "Least x-height of the particulars in the EU.", _x_height_arguments, _x_height),
)
