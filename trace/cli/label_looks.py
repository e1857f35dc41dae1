"""The label words that print nothing to stick on: sample, preview, stocks, calibrate."""

from __future__ import annotations

from argparse import Namespace
from pathlib import Path

from lotwake.trace.actions import label_looks
from lotwake.trace.actions.label_looks import Looked
from lotwake.trace.cli.command import Shell
from lotwake.trace.cli.label_said import finding_data, say_findings
from lotwake.trace.cli.parser import Nouns
from lotwake.trace.cli.rows import aligned


def add_arguments(nouns: Nouns) -> None:
    """The words on looking at labels."""
    sample = nouns.add("sample", "A label with SAMPLE across it, also one that is not fit to print.", _sample)
    sample.add_argument("code", metavar="RUN|SSCC")
    preview = nouns.add("preview", "A picture of a label or card, a pixel for every printer dot.", _preview)
    preview.add_argument("code", metavar="RUN|SSCC|BATCH")
    nouns.add("stocks", "The label stock of the house, shipped and its own.", _stocks)
    page = nouns.add("calibrate", "A page to measure with a ruler: size, place and bars of the printer.", _calibrate)
    page.add_argument("--stock", default="", metavar="NAME", help="(default: the stock in house.toml)")
    for noun, kind in ((sample, "PDF"), (preview, "PNG"), (page, "PDF")):
        noun.add_argument("--out", type=Path, required=True, metavar="FILE", help=f"the {kind}")


def _sample(args: Namespace, shell: Shell) -> None:
    with shell.desk() as desk:
        _give(shell, label_looks.sample(desk, args.code, args.out), "sample")


def _preview(args: Namespace, shell: Shell) -> None:
    with shell.desk() as desk:
        _give(shell, label_looks.preview(desk, args.code, args.out), "picture")


def _give(shell: Shell, looked: Looked, what: str) -> None:
    thing = looked.thing
    shell.give(
        {
            "file": str(looked.path),
            "kind": str(thing.kind),
            "code": thing.code,
            "shown": thing.shown,
            "findings": [finding_data(finding, looked.product) for finding in looked.findings],
            "caution": looked.caution,
        },
        f"A {what} of the label of {thing.kind} {thing.shown} is in {looked.path}.",
    )
    say_findings(shell, looked.findings, looked.product)


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
        stock = label_looks.calibrate(desk, args.out, args.stock)
    shell.give(
        {"file": str(args.out), "stock": stock.name},
        f"A calibration page for {stock.name} is in {args.out}. Print it at full size and measure its lines.",
    )
