"""From what an old log book calls a thing to its row in the record, and from our codes back to the old ones."""

from __future__ import annotations

import re
from collections.abc import Callable
from zoneinfo import ZoneInfo

from lotwake.trace.actions import refs
from lotwake.trace.actions.bring_in.problems import Problems
from lotwake.trace.actions.bring_in.rows import Place, Row
from lotwake.trace.actions.bring_in.shelf import BATCH_RELEASE, GIVEN_SSCC, Shelf
from lotwake.trace.base.codes import looks_like_code
from lotwake.trace.base.errors import CallError, NotFound
from lotwake.trace.base.moments import instant_of, show_moment
from lotwake.trace.base.ranges import Serials
from lotwake.trace.records.database import Records
from lotwake.trace.records.entries.aliases import keep_old_code
from lotwake.trace.records.find import by_code
from lotwake.trace.records.journal import Entry

MOST_KNOWN = 10_000
"""How many old codes are kept in mind."""
_PACKS = re.compile(r"(.+)/(\d{1,9})(?:-(\d{1,9}))?", re.ASCII)
_OUR_CODE = re.compile(r"\b(?:\d{3}-\d{3}-\d{3,}-\d{2}|\d{18})\b", re.ASCII)


class Waits(Exception):
    """A row cannot be judged before the bad row at ``root``, on which it builds, is right."""

    def __init__(self, root: Place) -> None:
        super().__init__(str(root))
        self.root = root


class Names:
    """Looks up what rows name: things of the book, things that were in the record before, and who the house deals with.

    ``doubt`` is a bad row that leaves something incomplete which was looked up since ``doubt`` was last set to None.
    """

    def __init__(self, records: Records, zone: ZoneInfo, shelf: Shelf, problems: Problems) -> None:
        self._records = records
        self._zone = zone
        self._shelf = shelf
        self._problems = problems
        self._parties: dict[tuple[str, str], int] = {}
        self._species: dict[str, str] = {}
        self._aliases: dict[str, list[tuple[str, int]]] = {}
        self.doubt: Place | None = None

    def thing(self, text: str, *kinds: str, said: str = "") -> tuple[str, int]:
        """The kind and id of a lot, batch, run, case or pallet that is in the record by now.

        ``said`` is the kind, where the row names it. Raises Waits when it is not there because a row is bad, CallError when
        the text means several things, NotFound when it means nothing.
        """
        if said and said not in kinds:
            raise CallError(f"{said!r} is no kind of thing here.", f"Use one of: {', '.join(kinds)}.")
        wanted = (said,) if said else kinds
        found = [item for item in self._old_codes(text) if item[0] in wanted] or self._by_our_code(text, wanted)
        if len(found) > 1:
            named = " and a ".join(kind for kind, _ in found)
            raise CallError(f"{text} is a {named}.", "Say which in the column for the kind.")
        if not found:
            raise self._nothing(text, wanted)
        self.doubt = self.doubt or self._problems.spoiler(found[0][0], text)
        return found[0]

    def keep(self, entry: Entry, text: str, kind: str, ref: int) -> None:
        """Let a thing be found by its code in the old book from now on."""
        keep_old_code(entry, text, kind, ref)
        self._aliases.pop(text, None)

    def forget(self) -> None:
        """Look everything up anew: what was written since may have been taken back."""
        self._aliases.clear()

    def _old_codes(self, text: str) -> list[tuple[str, int]]:
        known = self._aliases.get(text)
        if known is None:
            rows = self._records.rows("SELECT kind, ref FROM alias WHERE text = ?", text)
            known = [(str(kind), int(ref)) for kind, ref in rows]
            if len(self._aliases) == MOST_KNOWN:
                self._aliases.clear()
            self._aliases[text] = known
        return known

    def packs(self, text: str) -> tuple[int, Serials] | None:
        """``RUN/24`` or ``RUN/1-24``: the id of the run and the serials; None when the text has not this form."""
        form = _PACKS.fullmatch(text)
        if form is None or self._old_codes(text):
            return None
        _, run = self.thing(form[1], "run")
        return run, Serials(int(form[2]), int(form[3] or form[2]))

    def source(self, kind: str, text: str) -> int:
        """A boat, farm or dealer by name or mark."""
        return self._party("source", text, lambda: refs.source_id(self._records, kind, text), kind)

    def named(self, table: str, text: str) -> int:
        """A supplier, buyer or piece of equipment by name."""
        return self._party(table, text, lambda: refs.named_id(self._records, table, text))

    def product(self, text: str) -> int:
        """A product by name or GTIN."""
        return self._party("product", text, lambda: refs.product_id(self._records, text))

    def species(self, text: str) -> str:
        """A species by code or name."""
        if text not in self._species:
            self._species[text] = refs.species_code(self._records, text)
        return self._species[text]

    def nobody_wrote_the_release(self, batch: str) -> bool:
        """Whether the files make this batch and do not say when it was released."""
        return self._shelf.thing("batch", batch) is not None and self._shelf.thing(BATCH_RELEASE, batch) is None

    def is_given(self, sscc: int) -> bool:
        """Whether the files give this SSCC to a case or pallet, perhaps to one that comes later."""
        return self._shelf.thing(GIVEN_SSCC, f"{sscc:018d}") is not None

    def in_old_words(self, sentence: str, row: Row) -> str:
        """A sentence about a row with our codes, unless the row itself names them, replaced by those of the old book."""
        written = row.named(tuple(row.values))
        return _OUR_CODE.sub(lambda found: found[0] if found[0] in written else self._old_code(found[0]), sentence)

    def _party(self, table: str, text: str, look_up: Callable[[], int], kind: str = "") -> int:
        known = self._parties.get((table + kind, text))
        if known is None:
            try:
                known = self._parties[table + kind, text] = look_up()
            except NotFound:
                if root := self._problems.spoiler(table, text) or self._problems.loser(table):
                    raise Waits(root) from None
                raise
        return known

    def _by_our_code(self, text: str, kinds: tuple[str, ...]) -> list[tuple[str, int]]:
        if not looks_like_code(text) and not (text.isdecimal() and len(text) == 18):
            return []
        try:
            thing = by_code(self._records, text)
        except (CallError, NotFound):
            return []  # an old code may look like one of ours by chance; the caller says that nothing is called so
        return [(str(thing.kind), thing.id)] if thing.kind in kinds else []

    def _nothing(self, text: str, kinds: tuple[str, ...]) -> Exception:
        """Why there is nothing of this name yet."""
        for kind in kinds:
            if root := self._problems.spoiler(kind, text) or self._problems.loser(kind):
                return Waits(root)
        for kind in kinds:
            if later := self._shelf.thing(kind, text):
                since = show_moment(instant_of(later.moment), self._zone)
                return NotFound(
                    f"The {kind} {text} is not there before {since} ({later.place}).",
                    "Check both times; of two rows with the same time, the one that is used stands first.",
                )
        return NotFound(
            f"There is no {' or '.join(kinds)} called {text}.", "Check how it is written where it was made."
        )

    def _old_code(self, ours: str) -> str:
        try:
            thing = by_code(self._records, ours)
        except (CallError, NotFound):
            return ours  # a thing that was just taken back, or no code of ours at all
        old = self._records.value("SELECT text FROM alias WHERE kind = ? AND ref = ?", str(thing.kind), thing.id)
        return ours if old is None else str(old)
