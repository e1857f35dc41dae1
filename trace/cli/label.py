"""Print labels and cards, look at them, send what waits, and count them at the end of a run.

Packs of the run that have no label yet come first; more packs are made as far as the fish lasts. Every print is in the
record before the first label comes out. The file is always written; with ``printer`` in house.toml it is sent there too
(--to sends it elsewhere: queue:NAME, ipp://HOST/ipp/print, folder:PATH, or file for the file only). What the market of
the house asks and the label lacks is said on stderr. A job that waits, or of which nobody knows, ends with exit code 6.

--out NAME.png writes pictures at the printer's dots in place of a PDF, numbered when there are several.

With --json, pack, reprint, case and card give ``file``, ``files`` (all that were written), ``count``, ``job`` (its
number), ``state`` (PRINTED, WAITING or PENDING), ``target``, ``reason`` (why it waits or is not known), ``findings`` (each
``rule``, ``what``, ``why``, ``source``, ``blocks``, ``advice``) and ``caution``; also:
  pack, reprint     ``kind``, ``code``, ``shown`` of the run; ``packs`` (``first`` and ``last`` serials)
  case              ``cases`` with ``code`` and ``shown``
  card              ``kind``, ``code``, ``shown`` of the batch
  send              ``job``, ``state``, ``target``, ``reason``, ``again``
  settle            ``job``, ``state``, ``prints``
  jobs              a list: ``job``, ``print``, ``kind``, ``code``, ``shown``, ``packs``, ``count``, ``state``, ``reason``,
                    ``at``, ``who``
  sample, preview   ``file``, ``kind``, ``code``, ``shown``, ``findings``, ``caution``; a preview also ``fields`` (``heading``,
                    ``value``), ``symbols`` (``text``, ``module_mm``, ``height_mm``), ``x_height_mm``, ``misprints``, ``prints``
  stocks            a list: ``name``, ``width_mm``, ``height_mm``, ``labels_per_page``, ``own``, ``chosen``
  calibrate         ``file``, ``stock``, ``target``
  waste             ``kind``, ``code``, ``shown``, ``wasted``, ``reason``
  reconcile         ``kind``, ``code``, ``shown``, ``made``, ``void``, ``packs``, ``first``, ``waiting``, ``unsure``, ``twice``,
                    ``reprints``, ``wasted``, ``unlabelled``, ``used``, ``agrees``; with --used ``counted`` and ``missing``
"""

from __future__ import annotations

import sys
from argparse import ArgumentParser, Namespace
from dataclasses import asdict
from pathlib import Path
from typing import Any

from lotwake.trace.actions import labels
from lotwake.trace.actions.labels import Printed
from lotwake.trace.base.ranges import in_words
from lotwake.trace.cli import label_counts, label_looks
from lotwake.trace.cli.command import Shell
from lotwake.trace.cli.label_said import end_of, files, finding_data, say_findings, sent_data, where
from lotwake.trace.cli.parser import Nouns, do_noun
from lotwake.trace.cli.values import add_weights, add_why, whole

NAME = "label"
HELP = "Print labels and cards, look at them, send what waits, and count them at the end of a run."
STEP = 1000
run = do_noun


def arguments(parser: ArgumentParser) -> None:
    """One word for each kind of print, and for what comes before and after it."""
    nouns = Nouns(parser)
    pack = nouns.add("pack", "First labels for the next packs of a run.", _pack)
    pack.add_argument("run")
    many = pack.add_mutually_exclusive_group(required=True)
    many.add_argument("--count", type=whole, metavar="N", help="how many labels")
    add_weights(many)
    again = nouns.add("reprint", "Labels once more for packs; destroy the first ones.", _reprint)
    again.add_argument("packs", metavar="RUN/1-24")
    add_why(again)
    case = nouns.add("case", "The labels of cases and pallets.", _case)
    case.add_argument("cases", nargs="+", metavar="SSCC")
    case.add_argument(
        "--copies", type=whole, default=1, metavar="N", help="labels of each one, such as 2 for two sides"
    )
    card = nouns.add("card", "The card that goes with a batch through the house, or one for each tray.", _card)
    card.add_argument("batch")
    card.add_argument("--trays", type=whole, default=0, metavar="N", help="one card for each of so many trays")
    card.add_argument("--stock", default="", metavar="NAME", help="(default: the A6 stock of case labels)")
    for noun in (case, card):
        noun.add_argument("--why", default="", metavar="REASON", help="why it is printed again")
    for noun in (pack, again):
        noun.add_argument("--no-serial", action="store_true", help="leave the serial number out of the bar code")
        noun.add_argument(
            "--first-place", type=whole, default=1, metavar="N", help="first label to use on a begun sheet (default: 1)"
        )
    for noun in (pack, again, case, card):
        noun.add_argument("--out", type=Path, required=True, metavar="FILE", help="the PDF, or pictures as .png")
        noun.add_argument("--to", default="", metavar="PRINTER", help="(default: the printer in house.toml)")
    label_looks.add_arguments(nouns)
    label_counts.add_arguments(nouns)


def _pack(args: Namespace, shell: Shell) -> int:
    with shell.desk() as desk:
        printed = labels.print_labels(
            desk, args.run, args.count or 0, args.out, not args.no_serial, _progress, weights_g=args.weights, to=args.to,
            first_place=args.first_place,
        )  # fmt: skip
    return _give_packs(shell, printed)


def _progress(done: int, whole: int) -> None:
    """How far a large print is, on a terminal; Ctrl+C stops it, and its packs wait for labels then."""
    if done % STEP == 0 and done < whole and sys.stderr.isatty():
        sys.stderr.write(f"{done:,} of {whole:,} labels\n")


def _reprint(args: Namespace, shell: Shell) -> int:
    with shell.desk() as desk:
        printed = labels.reprint_labels(
            desk, args.packs, args.why, args.out, not args.no_serial, to=args.to, first_place=args.first_place
        )
    return _give_packs(shell, printed)


def _give_packs(shell: Shell, printed: Printed) -> int:
    run = printed.thing
    shell.give(
        {
            **_data(printed),
            "kind": str(run.kind),
            "code": run.code,
            "shown": run.shown,
            "packs": [asdict(part) for part in printed.packs],
        },
        f"{printed.count} labels of run {run.shown}, packs {in_words(printed.packs)}, are in {files(printed.sent)}"
        f"{where(printed.sent)}",
    )
    say_findings(shell, printed.findings, printed.product)
    return end_of(shell, printed.sent)


def _case(args: Namespace, shell: Shell) -> int:
    with shell.desk() as desk:
        printed = labels.print_case_labels(desk, args.cases, args.out, args.why, to=args.to, copies=args.copies)
    cases, sent = [each.thing for each in printed], printed[0].sent
    shell.give(
        {
            **_data(printed[0]),
            "count": len(cases) * args.copies,
            "cases": [{"code": case.code, "shown": case.shown} for case in cases],
        },
        f"{len(cases) * args.copies} case labels ({', '.join(case.shown for case in cases)}) are in {files(sent)}{where(sent)}",
    )
    return end_of(shell, sent)


def _card(args: Namespace, shell: Shell) -> int:
    with shell.desk() as desk:
        printed = labels.print_card(desk, args.batch, args.out, args.trays, args.why, stock=args.stock, to=args.to)
    batch, count = printed.thing, args.trays or 1
    shell.give(
        {**_data(printed), "count": count, "kind": str(batch.kind), "code": batch.code, "shown": batch.shown},
        f"{count} cards of batch {batch.shown} are in {files(printed.sent)}{where(printed.sent)}",
    )
    return end_of(shell, printed.sent)


def _data(printed: Printed) -> dict[str, Any]:
    return {
        "file": str(printed.path),
        "files": list(map(str, printed.sent.files)),
        "count": printed.count,
        **sent_data(printed.sent),
        "findings": [finding_data(finding, printed.product) for finding in printed.findings],
        "caution": printed.caution,
    }
