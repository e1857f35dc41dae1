"""Brine and salt at the bench."""

from __future__ import annotations

from argparse import Namespace

from lotwake.trace.actions.reckoning.answer import Answer, Calculation, Takes, celsius, number, tidy
from lotwake.trace.base.errors import CallError
from lotwake.trace.process.brine import (
    RECIPE_BASIS,
    US_60F,
    Recipe,
    degrees_of_percent,
    percent_of_degrees,
    recipe_for_tank,
    recipe_for_water,
    scale_of,
    top_up,
)
from lotwake.trace.process.density import (
    COMMON_TEMP_C,
    DENSITY_BASIS,
    US_HYDROMETER_C,
    correct_hydrometer,
    density_kg_m3,
    percent_of_specific_gravity,
    salt_g_per_litre,
)
from lotwake.trace.process.salt import SaltSample, estimate_water_activity, judge_wps, wps_limit_percent

_SCALE_NOTE = "100 degrees stands for {:g} % salt on the {} scale; other instruments differ."


def _add_scale(parser: Takes) -> None:
    parser.add_argument("--scale", default=US_60F.name, help="name of the scale, or its %% salt at 100 degrees")


def _add_temp(parser: Takes) -> None:
    parser.add_argument("--temp", type=celsius, default=COMMON_TEMP_C, help="brine temperature, C (20)")


def _brine_arguments(parser: Takes) -> None:
    parser.add_argument("--degrees", type=number, required=True, help="brine degrees, 0 to 100")
    amount = parser.add_mutually_exclusive_group()
    amount.add_argument("--water-kg", type=number, help="water to start from, kg")
    amount.add_argument("--tank-litres", type=number, help="brine wanted, litres")
    _add_scale(parser)
    _add_temp(parser)


def _brine(args: Namespace) -> Answer:
    scale = scale_of(args.scale)
    note = _SCALE_NOTE.format(scale.saturation_percent, scale.name)
    if args.tank_litres is None and args.water_kg is None:
        percent = percent_of_degrees(args.degrees, scale)
        values = {"salt_percent": tidy(percent, 3), "scale": scale.name, "saturation_percent": scale.saturation_percent}
        result = f"{args.degrees:g} degrees are {percent:.3f} % salt by weight"
        return Answer(values, f"{args.degrees:g} degrees, scale {scale.name}", result, RECIPE_BASIS, (note,))
    if args.water_kg is not None:
        recipe = recipe_for_water(args.degrees, args.water_kg, scale, args.temp)
    else:
        recipe = recipe_for_tank(args.degrees, args.tank_litres, scale, args.temp)
    return _recipe_answer(recipe, note)


def _recipe_answer(recipe: Recipe, note: str) -> Answer:
    values = {
        "salt_percent": tidy(recipe.salt_percent, 3),
        "water_kg": tidy(recipe.water_kg, 3),
        "salt_kg": tidy(recipe.salt_kg, 3),
        "brine_kg": tidy(recipe.brine_kg, 3),
        "litres": tidy(recipe.litres, 1),
        "scale": recipe.scale.name,
        "saturation_percent": recipe.scale.saturation_percent,
        "temp_c": recipe.temp_c,
    }
    result = (
        f"{recipe.salt_kg:.3f} kg salt into {recipe.water_kg:.3f} kg water",
        f"  makes {recipe.brine_kg:.3f} kg of brine, {recipe.litres:.1f} litres, {recipe.salt_percent:.3f} % salt",
    )
    put_in = f"{recipe.degrees:g} degrees, scale {recipe.scale.name}, brine at {recipe.temp_c:g} C"
    return Answer(values, put_in, result, recipe.basis, (note,))


def _density_arguments(parser: Takes) -> None:
    parser.add_argument("--salt-percent", type=number, required=True, help="salt in the brine, %% by weight")
    _add_temp(parser)


def _density(args: Namespace) -> Answer:
    density = density_kg_m3(args.salt_percent, args.temp)
    g_per_litre = salt_g_per_litre(args.salt_percent, args.temp)
    values = {"density_kg_m3": tidy(density, 1), "g_per_litre": tidy(g_per_litre, 3)}
    result = f"{density:.1f} kg/m3, {g_per_litre:.2f} g salt in a litre of brine"
    return Answer(values, f"{args.salt_percent:g} % salt at {args.temp:g} C", result, DENSITY_BASIS)


def _top_up_arguments(parser: Takes) -> None:
    amount = parser.add_mutually_exclusive_group(required=True)
    amount.add_argument("--brine-kg", type=number, help="brine in hand, kg")
    amount.add_argument("--brine-litres", type=number, help="brine in hand, litres")
    parser.add_argument("--have-degrees", type=number, required=True, help="its strength, degrees")
    parser.add_argument("--want-degrees", type=number, required=True, help="strength wanted, degrees")
    _add_scale(parser)
    _add_temp(parser)


def _top_up(args: Namespace) -> Answer:
    scale = scale_of(args.scale)
    have, want = percent_of_degrees(args.have_degrees, scale), percent_of_degrees(args.want_degrees, scale)
    brine_kg = args.brine_kg
    if brine_kg is None:
        brine_kg = args.brine_litres * density_kg_m3(have, args.temp) / 1000
    found = top_up(brine_kg, have, want)
    values = {
        "add": found.add.value,
        "add_kg": tidy(found.add_kg, 3),
        "brine_kg": tidy(found.brine_kg, 3),
        "brine_after_kg": tidy(found.brine_after_kg, 3),
        "have_percent": tidy(have, 3),
        "want_percent": tidy(want, 3),
    }
    result = f"add {found.add_kg:.3f} kg {found.add}" if found.add_kg else "nothing to add"
    put_in = f"{brine_kg:.3f} kg of brine from {args.have_degrees:g} to {args.want_degrees:g} degrees"
    note = _SCALE_NOTE.format(scale.saturation_percent, scale.name)
    return Answer(values, put_in, result, found.basis, (note,))


def _hydrometer_arguments(parser: Takes) -> None:
    read = parser.add_mutually_exclusive_group(required=True)
    read.add_argument("--degrees", type=number, help="degrees read on the instrument")
    read.add_argument("--sg", type=number, help="specific gravity read on the instrument")
    parser.add_argument("--temp", type=celsius, required=True, help="brine temperature, C")
    parser.add_argument(
        "--made-for", type=celsius, default=US_HYDROMETER_C, help="temperature the instrument is made for (60 F)"
    )
    _add_scale(parser)


def _hydrometer(args: Namespace) -> Answer:
    scale = scale_of(args.scale)
    if args.degrees is not None:
        read_percent, read = percent_of_degrees(args.degrees, scale), f"{args.degrees:g} degrees"
    else:
        read_percent, read = percent_of_specific_gravity(args.sg, args.made_for), f"specific gravity {args.sg:g}"
    found = correct_hydrometer(read_percent, args.temp, args.made_for)
    degrees = degrees_of_percent(found.salt_percent, scale)
    values = {
        "salt_percent": tidy(found.salt_percent, 2),
        "degrees": tidy(degrees, 1),
        "density_kg_m3": tidy(found.density_kg_m3, 1),
        "read_percent": tidy(read_percent, 3),
    }
    put_in = f"{read} read at {args.temp:g} C, instrument made for {args.made_for:.1f} C, scale {scale.name}"
    result = f"{degrees:.1f} degrees, {found.salt_percent:.2f} % salt by weight"
    return Answer(values, put_in, result, found.basis)


def _wps_arguments(parser: Takes) -> None:
    parser.add_argument("--salt", type=number, action="append", required=True, help="salt, %%; again for each sample")
    parser.add_argument("--moisture", type=number, action="append", required=True, help="moisture, %%; again likewise")
    parser.add_argument("--nitrite-ppm", type=number, default=0.0, help="nitrite in the loin, ppm (0)")
    parser.add_argument("--air-packed", action="store_true", help="packed in air, not in vacuum or gas")


def _wps(args: Namespace) -> Answer:
    if len(args.salt) != len(args.moisture):
        raise CallError(
            f"There are {len(args.salt)} salt and {len(args.moisture)} moisture figures.",
            "Give a pair for each sample.",
        )
    samples = [SaltSample(salt, moisture) for salt, moisture in zip(args.salt, args.moisture, strict=True)]
    limit = wps_limit_percent(args.nitrite_ppm, reduced_oxygen=not args.air_packed)
    found = judge_wps(samples, limit)
    wps = min(sample.wps_percent for sample in samples)
    values = {"wps_percent": tidy(wps, 4), "limit_percent": limit, "verdict": found.verdict.value}
    put_in = "; ".join(f"salt {each.salt_percent:g} %, moisture {each.moisture_percent:g} %" for each in samples)
    result = f"water phase salt {wps:.4f} %; limit {limit:g} % {found.verdict}"
    return Answer(values, put_in, result, found.basis)


def _water_activity_arguments(parser: Takes) -> None:
    parser.add_argument("--salt-percent", type=number, required=True, help="brine strength or water phase salt, %%")


def _water_activity(args: Namespace) -> Answer:
    found = estimate_water_activity(args.salt_percent)
    values = {"aw": tidy(found.aw, 3), "kind": found.kind}
    result = f"water activity {found.aw:.3f} ({found.kind})"
    return Answer(values, f"{args.salt_percent:g} % salt in the water", result, found.basis)


CALCULATIONS = (
    Calculation("brine", "Salt for a brine of so many degrees.", _brine_arguments, _brine),
    Calculation("brine-density", "Density of a brine and grams of salt in a litre.", _density_arguments, _density),
    Calculation("brine-top-up", "Salt or water that brings a used brine back.", _top_up_arguments, _top_up),
    Calculation(
        "hydrometer", "True strength from a reading in warm or cold brine.", _hydrometer_arguments, _hydrometer
    ),
    Calculation("wps", "Water phase salt; the lowest of several samples counts.", _wps_arguments, _wps),
    Calculation(
        "water-activity", "Upper estimate of water activity from salt.", _water_activity_arguments, _water_activity
    ),
)
