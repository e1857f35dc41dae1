"""What is said about a chain, word for word, and the data that other programs get."""

from __future__ import annotations

import json
from dataclasses import replace
from fractions import Fraction
from typing import Any
from zoneinfo import ZoneInfo

import pytest

from lotwake.trace.lineage.answer import answer
from lotwake.trace.lineage.chain import (
    Chain,
    Direction,
    Link,
    LinkKind,
    Node,
    Origin,
    Receiver,
    Share,
    Whereabouts,
)
from lotwake.trace.lineage.data import chain_data
from lotwake.trace.records.find import Kind, Thing

OSLO = ZoneInfo("Europe/Oslo")
LOT = Node(Kind.LOT, 1, "12632800142", "Haddock, Aurora", "2026-11-24T05:00:00Z", "IN STORE", g=41_000)
BATCH = Node(Kind.BATCH, 1, "22632900197", "hot smoked", "2026-11-25T07:00:00Z", "RELEASED", g=40_000)
# 23:30 UTC is half past midnight of the next day in Oslo.
RUN = Node(Kind.RUN, 2, "32632900148", "Hot smoked haddock", "2026-11-25T23:30:00Z", "PACKED", g=29_400, packs=98)
MET = replace(BATCH, id=7, code="22632900294", contact=True)
SHARE = Share(1, Fraction(1), Fraction(1))
BOAT = Origin(
    lot=1, code="12632800142", sender="Aurora", sender_kind="boat", mark="N-12-X", their_code="", species="HAD",
    scientific="Melanogrammus aeglefinus", english="Haddock", landed_on="2026-11-24", area="27.4.b",
    area_name="Central North Sea", gear="03.12", gear_name="Bottom otter trawls", method="caught at sea", used_g=40_000,
    share=SHARE, contact=False,
)  # fmt: skip
PACK = Thing(Kind.PACK, 2, "32632900148", 7)
BACK = Chain(PACK, Direction.BACK, False, (LOT, BATCH, RUN), (), origins=(BOAT,))
AHEAD = Chain(
    Thing(Kind.LOT, 1, LOT.code), Direction.FORWARD, False, (LOT, BATCH, RUN), (),
    whereabouts=Whereabouts(98, 49, 36, (("SAMPLE", 3), ("DESTROYED", 10)), 2),
    receivers=(
        Receiver("Quay Deli", "+47 00 01", ("DN-1", "DN-2"), ("2026-11-26T08:00:00Z", "2026-11-28T08:00:00Z"), 40, 5,
                 10_500, False),
        Receiver("Hill Kitchen", "+47 00 02", ("DN-3",), ("2026-11-26T23:30:00Z",), 1, 0, 300, False),
        Receiver("Lamp Street Shop", "+47 00 03", ("DN-4",), ("2026-11-26T08:00:00Z",), 12, 12, 0, False),
        Receiver("Quay Deli", "+47 00 01", ("DN-9",), ("2026-11-26T08:00:00Z",), 12, 0, 3_600, True),
    ),
)  # fmt: skip
OPENING = "Pack 326-329-001-48/7: Hot smoked haddock, packed 26 Nov 2026."
WHOLE = "Haddock landed 24 Nov 2026 by Aurora N-12-X, Central North Sea (27.4.b), bottom otter trawls"
QUAY = "Quay Deli (35 packs, 10.5 kg, 26 Nov 2026 to 28 Nov 2026, +47 00 01)"


def part(lot: int, share: Fraction, **changes: Any) -> Origin:
    """Another origin with this share."""
    return replace(BOAT, lot=lot, share=Share(lot, share, share), **changes)


FARM = part(
    2, Fraction(1, 3), sender="Deep Fjord", sender_kind="farm", mark="", english="Atlantic salmon", area="", gear=""
)
DEALER = part(3, Fraction(1, 400), sender="North Dealer", sender_kind="dealer", mark="", area="", gear="")


@pytest.mark.parametrize(
    ("chain", "said"),
    [
        (BACK, f"{OPENING} From {WHOLE}. Smoked in 1 batch."),
        (
            replace(BACK, origins=(part(1, Fraction(2, 3)), FARM, DEALER)),
            f"{OPENING} From {WHOLE}, 67% of it; Atlantic salmon harvested 24 Nov 2026 by Deep Fjord, 33% of it; Haddock"
            " bought in 24 Nov 2026 from North Dealer, under 1% of it. Smoked in 1 batch.",
        ),
        (
            replace(BACK, origins=tuple(part(n, Fraction(1, 7), gear="", area="") for n in range(7))),
            f"{OPENING} From " + "; ".join(["Haddock landed 24 Nov 2026 by Aurora N-12-X, 14% of it"] * 4)
            + "; 3 more. Smoked in 1 batch.",
        ),
        (
            replace(BACK, origins=(replace(BOAT, contact=True),), nodes=(LOT, MET, RUN), with_contact=True),
            f"{OPENING} No fish lot is behind it in the record. 1 more batch met it without mixing.",
        ),
        (replace(BACK, problems=("Something is wrong.",)), f"{OPENING} From {WHOLE}. Smoked in 1 batch. Something is wrong."),
        (
            AHEAD,
            f"Lot 126-328-001-42: Haddock, Aurora. 98 packs made. With 2 buyers: {QUAY}; Hill Kitchen (1 pack, 300 g,"
            " 27 Nov 2026, +47 00 02). 49 in the house. 3 sampled. 10 destroyed.",
        ),
        (
            replace(AHEAD, receivers=(), whereabouts=Whereabouts(1, 0, 0, (("REWORK", 1),)), with_contact=True),
            "Lot 126-328-001-42: Haddock, Aurora. 1 pack made. None in the house. 1 reworked. Nothing else met it.",
        ),
        (
            replace(AHEAD, receivers=(), whereabouts=Whereabouts()),
            "Lot 126-328-001-42: Haddock, Aurora. Nothing has been packed of it yet.",
        ),
    ],
)  # fmt: skip
def test_what_is_said_on_the_phone(chain: Chain, said: str) -> None:
    """The sentences name boats, days of the house, areas, buyers with telephone numbers, and where every pack is."""
    assert answer(chain, OSLO) == said


def test_the_data_keep_their_keys() -> None:
    """The keys other programs rely on are all there, and everything goes through JSON unchanged."""
    link = Link(LinkKind.PACKED, BATCH.key, RUN.key, g=31_000)
    gone = Link(LinkKind.SENT, RUN.key, (Kind.DISPATCH, 5), g=300, packs=1, serials="0007")
    chain = replace(AHEAD, links=(link, gone), origins=(BOAT,), shares={2: (Share(1, Fraction(1, 3), Fraction(1, 2)),)})
    data = chain_data(chain)
    assert json.loads(json.dumps(data)) == {**data, **{key: json.loads(json.dumps(data[key])) for key in data}}
    assert set(data) >= {
        "start", "direction", "contact", "nodes", "links", "origins", "boats", "dates", "areas", "receivers", "buyers",
        "documents", "whereabouts", "shares", "problems",
    }  # fmt: skip
    assert data["start"] == {"kind": "lot", "code": "12632800142", "shown": "126-328-001-42", "serial": None}
    assert data["nodes"][2] == {
        "kind": "run", "code": "32632900148", "shown": "326-329-001-48", "name": "Hot smoked haddock",
        "at": "2026-11-25T23:30:00Z", "status": "PACKED", "g": 29_400, "packs": 98, "contact": False,
    }  # fmt: skip
    assert data["links"] == [
        {"kind": "packed in", "parent": {"kind": "batch", "code": BATCH.code}, "child": {"kind": "run", "code": RUN.code},
         "g": 31_000, "packs": None, "serials": "", "contact": False},
        {"kind": "sent on", "parent": {"kind": "run", "code": RUN.code}, "child": {"kind": "dispatch", "code": ""},
         "g": 300, "packs": 1, "serials": "0007", "contact": False},
    ]  # fmt: skip
    assert data["shares"] == {
        RUN.code: [{"lot": LOT.code, "mixed": "1/3", "mixed_percent": 33.333, "most": "1/2", "most_percent": 50.0}]
    }
    assert data["origins"][0]["share"] == {"mixed": "1", "mixed_percent": 100.0, "most": "1", "most_percent": 100.0}
    assert data["buyers"] == ["Hill Kitchen", "Lamp Street Shop", "Quay Deli"]
    assert data["documents"] == ["DN-1", "DN-2", "DN-3", "DN-4"]
    assert data["whereabouts"]["ended"] == {"SAMPLE": 3, "DESTROYED": 10}
    assert data["receivers"][0]["packs"] == 35
    assert (data["boats"], data["dates"], data["areas"]) == (["Aurora"], ["2026-11-24"], ["27.4.b"])


def test_a_share_of_endless_digits_can_be_handed_on() -> None:
    """An exact share that would take thousands of digits, as after years of daily rework, is given as a percentage alone."""
    tiny = Share(1, Fraction(1, 3**20_000), Fraction(1))
    data = chain_data(replace(AHEAD, shares={2: (tiny,)}))
    (share,) = data["shares"][RUN.code]
    assert json.dumps(share)
    assert (share["mixed"], share["mixed_percent"], share["most"]) == ("", 0.0, "1")
