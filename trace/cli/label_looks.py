"""The label words that print nothing to stick on: sample, preview, stocks, calibrate."""

from __future__ import annotations

from argparse import Namespace
from collections.abc import Sequence
from pathlib import Path
from typing import Any

from lotwake.labels.checks.check import Finding
from lotwake.trace.actions import label_looks
from lotwake.trace.actions.label_setting import FILE_ONLY
from lotwake.trace.cli.command import Shell
from lotwake.trace.cli.label_said import finding_data, say_findings
from lotwake.trace.cli.parser import Nouns
from lotwake.trace.cli.rows import aligned
from lotwake.trace.records.find import Thing


def add_arguments(nouns: Nouns) -> None:
    """The words on looking at labels."""
    sample = nouns.add("sample", "A label with SAMPLE across it, also one that is not fit to print.", _sample)
    sample.add_argument("code", metavar="RUN|SSCC")
    preview = nouns.add("preview", "A picture of a label or card, a pixel for every printer dot.", _preview)
    preview.add_argument("code", metavar="RUN|SSCC|BATCH")
    nouns.add("stocks", "The label stock of the house, shipped and its own.", _stocks)
    page = nouns.add("calibrate", "A page to measure with a ruler: size, place and bars of the printer.", _calibrate)
    page.add_argument("--stock", default="", metavar="NAME", help="(default: the stock in house.toml)")
    page.add_argument("--to", default=FILE_ONLY, metavar="PRINTER", help="(default: the file only)")
    for noun, kind in ((sample, "PDF or .png"), (preview, "PNG"), (page, "PDF or .png")):
        noun.add_argument("--out", type=Path, required=True, metavar="FILE", help=f"the {kind}")


def _sample(args: Namespace, shell: Shell) -> None:
    with shell.desk() as desk:
        looked = label_looks.sample(desk, args.code, args.out)
    thing = looked.thing
    shell.give(
        {**_thing_data(args.out, thing), **_findings_data(looked.findings, looked.product, looked.caution)},
        f"A sample of the label of {thing.kind} {thing.shown} is in {args.out}.",
    )
    say_findings(shell, looked.findings, looked.product)


def _preview(args: Namespace, shell: Shell) -> None:
    with shell.desk() as desk:
        thing, seen = label_looks.preview(desk, args.code, args.out)
    paper = seen.on_paper
    data = {
        **_thing_data(args.out, thing),
        **_findings_data(seen.findings, seen.product, seen.caution),
        "fields": [{"heading": heading, "value": value} for heading, value in seen.fields],
        "symbols": [
            {"text": symbol.hri, "module_mm": round(symbol.module_mm, 3), "height_mm": round(symbol.height_mm, 1)}
            for symbol in paper.symbols
        ],
        "x_height_mm": round(paper.x_height_mm, 2),
        "misprints": list(map(str, seen.misprints)),
        "prints": seen.prints,
    }
    shell.give(data, f"A picture of the label of {thing.kind} {thing.shown} is in {args.out}.")
    say_findings(shell, seen.findings, seen.product)


def _thing_data(out: Path, thing: Thing) -> dict[str, Any]:
    return {"file": str(out), "kind": str(thing.kind), "code": thing.code, "shown": thing.shown}


def _findings_data(findings: Sequence[Finding], product: str, caution: str) -> dict[str, Any]:
    return {"findings": [finding_data(finding, product) for finding in findings], "caution": caution}


def _stocks(_args: Namespace, shell: Shell) -> None:
    with shell.desk() as desk:
        seen = label_looks.stocks_seen(desk)
    shell.give(
        [
            {
                "name": item.stock.name,
                "width_mm": item.stock.width_mm,
                "height_mm": item.stock.height_mm,
                "labels_per_page": item.stock.places,
                "own": item.own,
                "chosen": item.chosen,
            }
            for item in seen
        ],
        aligned(
            ("stock", "size", ">a page", "", ""),
            [
                (
                    item.stock.name,
                    f"{item.stock.width_mm:g} x {item.stock.height_mm:g} mm",
                    str(item.stock.places),
                    "of the house" if item.own else "",
                    "in use" if item.chosen else "",
                )
                for item in seen
            ],
        ),
    )


def _calibrate(args: Namespace, shell: Shell) -> None:
    with shell.desk() as desk:
        made = label_looks.calibrate(desk, args.out, args.stock, args.to)
    sent = f" and at {made.target}" if made.target else ""
    shell.give(
        {"file": str(args.out), "stock": made.stock.name, "target": made.target},
        f"A calibration page for {made.stock.name} is in {args.out}{sent}. Print it at full size and measure its lines.",
    )
