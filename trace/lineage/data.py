"""A chain as plain data for other programs. The keys are part of the interface: more may be added, none is renamed.

Codes are digits; ``shown`` is the form for people. ``g`` is whole grams, ``at`` a UTC instant, days are ISO. A share is given
as a percentage and as an exact fraction, which is empty when it has more than a few hundred digits.
"""

from __future__ import annotations

from fractions import Fraction
from typing import Any

from lotwake.trace.base.codes import show_code
from lotwake.trace.lineage.chain import Chain, Key, Link, Node, Share
from lotwake.trace.records.find import Kind

EXACT_BITS = 1024
"""A fraction with a longer denominator is no help to anybody; one of thousands of digits cannot even be written out."""


def chain_data(chain: Chain) -> dict[str, Any]:
    """The whole trace."""
    codes = {node.key: node.code for node in chain.nodes}
    where = chain.whereabouts
    return {
        "start": {"kind": chain.start.kind.value, "code": chain.start.code, "shown": chain.start.shown,
                  "serial": chain.start.serial},
        "direction": chain.direction.value,
        "contact": chain.with_contact,
        "nodes": [_node(node) for node in chain.nodes],
        "links": [_link(link, codes) for link in chain.links],
        "origins": [
            {**{name: value for name, value in vars(origin).items() if name not in ("lot", "share")},
             "shown": show_code(origin.code), "share": None if origin.share is None else _share(origin.share)}
            for origin in chain.origins
        ],
        "boats": sorted({origin.sender for origin in chain.origins if origin.sender_kind == "boat" and not origin.contact}),
        "dates": sorted({origin.landed_on for origin in chain.origins if not origin.contact}),
        "areas": sorted({origin.area for origin in chain.origins if origin.area and not origin.contact}),
        "receivers": [{**vars(receiver), "packs": receiver.packs} for receiver in chain.receivers],
        "buyers": sorted({receiver.buyer for receiver in chain.receivers if not receiver.contact}),
        "documents": sorted({text for receiver in chain.receivers if not receiver.contact for text in receiver.documents}),
        "whereabouts": None if where is None else {**vars(where), "ended": dict(where.ended)},
        "shares": {
            codes[key]: [{"lot": codes.get((Kind.LOT, share.lot), str(share.lot)), **_share(share)} for share in shares]
            for work, shares in chain.shares.items()
            for key in ((Kind.RUN, work), (Kind.BATCH, work)) if key in codes
        },
        "problems": list(chain.problems),
    }  # fmt: skip


def _node(node: Node) -> dict[str, Any]:
    return {
        "kind": node.kind.value, "code": node.code, "shown": show_code(node.code), "name": node.name, "at": node.at,
        "status": node.status, "g": node.g, "packs": node.packs, "contact": node.contact,
    }  # fmt: skip


def _link(link: Link, codes: dict[Key, str]) -> dict[str, Any]:
    def end(key: Key) -> dict[str, str]:
        return {"kind": key[0].value, "code": codes.get(key, "")}  # nothing is there: one of the problems says so

    return {
        "kind": link.kind.value, "parent": end(link.parent), "child": end(link.child), "g": link.g, "packs": link.packs,
        "serials": link.serials, "contact": link.contact,
    }  # fmt: skip


def _share(share: Share) -> dict[str, Any]:
    def percent(part: Fraction) -> float:
        return round(float(part * 100), 3)

    return {
        "mixed": _exact(share.mixed), "mixed_percent": percent(share.mixed),
        "most": _exact(share.most), "most_percent": percent(share.most),
    }  # fmt: skip


def _exact(part: Fraction) -> str:
    return str(part) if part.denominator.bit_length() <= EXACT_BITS else ""
