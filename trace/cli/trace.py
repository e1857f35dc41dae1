"""Trace back to the boats or forward to the buyers, from any code the house knows.

With --json: ``start``, ``direction``, ``nodes``, ``links``, ``origins``, ``boats``, ``dates``, ``areas``, ``receivers``,
``buyers``, ``documents``, ``whereabouts``, ``shares``, ``problems``, ``in_spite_of`` (batches released by name although a
limit was not met: ``code``, ``by_name``, ``reason``, ``limits``), ``by_place`` (packs in the house) and ``answer``, the
sentences to say on the phone. The exit code is 5 when the chain has a gap or a wrong order.
"""

from __future__ import annotations

from argparse import ArgumentParser, Namespace
from collections.abc import Iterator, Sequence
from dataclasses import asdict
from zoneinfo import ZoneInfo

from lotwake.trace.actions.trace import here_by_place, in_spite_of, spoken, trace
from lotwake.trace.base.codes import show_code
from lotwake.trace.base.errors import ExitCode
from lotwake.trace.base.units import show_mass
from lotwake.trace.cli.command import Shell
from lotwake.trace.cli.lines import day_line, local
from lotwake.trace.cli.rows import aligned
from lotwake.trace.lineage.chain import Chain, Direction, Node, Origin
from lotwake.trace.lineage.data import chain_data
from lotwake.trace.lineage.trace import WIDEST

NAME = "trace"
MOST_DOCUMENTS = 20
"""How many documents of one buyer stand in a row before the rest is counted."""
HELP = "Trace back to the boats or forward to the buyers, from any code the house knows."


def arguments(parser: ArgumentParser) -> None:
    """Which way, and from what."""
    ways = [str(way) for way in Direction]
    parser.add_argument("direction", choices=ways, metavar="back|forward", help="to the boats, or to the buyers")
    parser.add_argument("code", help="a lot, batch, run, pack, case, pallet, dispatch or return; typed or scanned")
    parser.add_argument("--contact", action="store_true", help="add shared brine, loads and tables, marked as contact")


def run(args: Namespace, shell: Shell) -> int:
    """Ask, and say it as on the phone, with the chain below."""
    with shell.desk() as desk:
        most = None if shell.as_json else WIDEST
        chain = trace(desk, args.code, Direction(args.direction), args.contact, most)
        answer, zone, here = spoken(desk, chain), desk.zone, here_by_place(desk.records, chain)
        named = [asdict(item) for item in in_spite_of(desk.records, [chain])]
    by_place = [f"In the house, {name or 'place not said'}: {packs} packs." for name, packs in here.items()]
    data = {**chain_data(chain), "in_spite_of": named, "answer": answer, "by_place": here}
    shell.give(data, [*_lines(chain, answer, zone), *by_place])
    return ExitCode.NEEDS_ATTENTION if chain.problems else ExitCode.DONE


def _lines(chain: Chain, answer: str, zone: ZoneInfo) -> Iterator[str]:
    yield answer
    yield ""
    rows = [_node_row(node, zone) for node in chain.nodes]
    yield from aligned(("", "code", "what", "when", ">mass", ">packs", "state"), rows)
    if chain.left_out:
        yield f"and {chain.left_out:,} more batches and runs: too many to list. --json lists all, with cases and dispatches."
    if chain.origins:
        yield ""
        rows = [_origin_row(origin) for origin in chain.origins]
        yield from aligned(("from", "lot", "fish", "landed", "area", ">used", ">share", ">at most"), rows)
    if chain.receivers:
        yield ""
        receivers = [
            (each.buyer, each.phone, str(each.packs_sent), str(each.packs_returned), _few(each.documents))
            for each in chain.receivers
        ]
        yield from aligned(("to", "telephone", ">sent", ">came back", "documents"), receivers)


def _few(documents: Sequence[str]) -> str:
    more = f" and {len(documents) - MOST_DOCUMENTS:,} more" if len(documents) > MOST_DOCUMENTS else ""
    return ", ".join(documents[:MOST_DOCUMENTS]) + more


def _node_row(node: Node, zone: ZoneInfo) -> tuple[str, ...]:
    return (
        node.kind,
        show_code(node.code),
        node.name,
        local(node.at, zone),
        "" if node.g is None else show_mass(node.g),
        "" if node.packs is None else str(node.packs),
        f"{node.status} (contact only)" if node.contact else node.status,
    )


def _origin_row(origin: Origin) -> tuple[str, ...]:
    shares = ("", "") if origin.share is None else (origin.share.mixed, origin.share.most)
    return (
        f"{origin.sender} {origin.mark}".rstrip(),
        show_code(origin.code),
        origin.english,
        day_line(origin.landed_on),
        origin.area,
        "contact only" if origin.contact else show_mass(origin.used_g),
        *(share if isinstance(share, str) else f"{float(share):.1%}" for share in shares),
    )
