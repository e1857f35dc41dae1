"""What a trace answers: nodes with their amounts, the links used, and the same grouped for people. All frozen."""

from __future__ import annotations

from dataclasses import dataclass, field
from enum import StrEnum
from fractions import Fraction

from lotwake.trace.records.find import Kind, Thing

Key = tuple[Kind, int]
"""A node's kind and its key in the record."""


class Direction(StrEnum):
    """Which way a trace looks: ``back`` to the boats, ``forward`` to the buyers."""

    BACK = "back"
    FORWARD = "forward"


class LinkKind(StrEnum):
    """How one thing became part of another. CONTACT carries no mass."""

    USED = "used in"
    BLENDED = "went on into"
    PACKED = "packed in"
    REWORKED = "reworked in"
    CASED = "put in case"
    STACKED = "put on pallet"
    SENT = "sent on"
    RETURNED = "came back on"
    CONTACT = "contact with"


@dataclass(frozen=True, slots=True)
class Node:
    """A thing in the chain.

    ``at``: stored UTC instant (a lot's receiving, a batch's start, a run's packing, a case's closing, a dispatch); ``g``
    and ``packs``: how much of it there is in all; ``contact``: reached by shared contact only, so none of its mass counts.
    """

    kind: Kind
    id: int
    code: str
    name: str
    at: str
    status: str
    g: int | None = None
    packs: int | None = None
    contact: bool = False

    @property
    def key(self) -> Key:
        return self.kind, self.id

    @property
    def thing(self) -> Thing:
        return Thing(self.kind, self.id, self.code)


@dataclass(frozen=True, slots=True)
class Link:
    """One step of the chain, from nearer the boats (``parent``) to nearer the buyers (``child``).

    ``g`` grams; ``packs`` counted; ``serials`` the packs concerned, as text; None or empty where it does not apply.
    ``contact``: shared contact alone leads to it, so none of its mass counts.
    """

    kind: LinkKind
    parent: Key
    child: Key
    g: int | None = None
    packs: int | None = None
    serials: str = ""
    contact: bool = False


@dataclass(frozen=True)
class Share:
    """How much of a batch or run one lot is: ``mixed`` if everything in a batch is well mixed, ``most`` at the most."""

    lot: int
    mixed: Fraction
    most: Fraction


@dataclass(frozen=True)
class Origin:
    """One fish lot at the beginning of the chain, in a buyer's words.

    ``used_g`` grams of it that entered the chain; 0 for one that is there by contact only.
    """

    lot: int
    code: str
    sender: str
    sender_kind: str
    mark: str
    their_code: str
    species: str
    scientific: str
    english: str
    landed_on: str
    area: str
    area_name: str
    gear: str
    gear_name: str
    method: str
    used_g: int
    share: Share | None
    contact: bool


@dataclass(frozen=True)
class Receiver:
    """One buyer at the end of the chain: what was sent, what came back. ``g`` grams still with the buyer."""

    buyer: str
    phone: str
    documents: tuple[str, ...]
    days: tuple[str, ...]
    packs_sent: int
    packs_returned: int
    g: int
    contact: bool

    @property
    def packs(self) -> int:
        """Packs still with the buyer, as far as the record knows."""
        return self.packs_sent - self.packs_returned


@dataclass(frozen=True)
class Whereabouts:
    """Where the packs of a forward trace are: made = in house + with buyers + sampled + destroyed + reworked."""

    made: int = 0
    in_house: int = 0
    with_buyers: int = 0
    ended: tuple[tuple[str, int], ...] = ()
    void: int = 0


@dataclass(frozen=True)
class Tally:
    """Everything that came of a lot, counted: what came in and went out of its batches and runs in grams, packs and cases.

    ``used_g`` grams of the lot itself, ``fish_in_g`` grams of any fish lot, ``flow_in_g`` of other batches and runs;
    ``passed_on_g`` what its batches gave to batches and runs, ``rework_g`` what its runs gave back; ``cases`` now filled or
    sent full, with ``cased`` packs in them.
    """

    batches: int
    runs: int
    used_g: int
    fish_in_g: int
    flow_in_g: int
    passed_on_g: int
    rework_g: int
    lost_g: int
    packs: int
    packs_g: int
    void: int
    ended: tuple[tuple[str, int], ...]
    cases: int
    cased: int
    cased_g: int


@dataclass(frozen=True)
class Chain:
    """A whole trace. ``shares``: for each run in it, of each fish lot. ``problems``: gaps and wrong orders found.

    With a ``tally`` it was too wide to list: buyers and whereabouts are whole and all is counted, but ``nodes`` and ``links``
    are only the first batches and runs, and there are no shares.
    """

    start: Thing
    direction: Direction
    with_contact: bool
    nodes: tuple[Node, ...]
    links: tuple[Link, ...]
    origins: tuple[Origin, ...] = ()
    receivers: tuple[Receiver, ...] = ()
    whereabouts: Whereabouts | None = None
    shares: dict[int, tuple[Share, ...]] = field(default_factory=dict)
    problems: tuple[str, ...] = ()
    tally: Tally | None = None

    @property
    def left_out(self) -> int:
        """How many batches and runs are in it beside those among its nodes."""
        if self.tally is None:
            return 0
        return self.tally.batches + self.tally.runs - len(self.of_kind(Kind.BATCH, Kind.RUN))

    def of_kind(self, *kinds: Kind) -> tuple[Node, ...]:
        """The nodes of these kinds, in order."""
        return tuple(node for node in self.nodes if node.kind in kinds)
