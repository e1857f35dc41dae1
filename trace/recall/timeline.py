"""What was done in a recall or drill, in order, with the time its clock showed. Pure."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator, Mapping, Sequence

from lotwake.trace.base.moments import instant_of, instant_text
from lotwake.trace.recall.drill import Clock, TimedStep
from lotwake.trace.records.entries.recall import MADE
from lotwake.trace.records.recalls import CaseSeen, NoticeSeen, ReplySeen, ScopeSeen

Done = tuple[str, str]
"""A stored instant and what was done."""


def timeline(
    clock: Clock, case: CaseSeen, scopes: Sequence[ScopeSeen], notices: Sequence[NoticeSeen],
    replies: Sequence[ReplySeen], names: Mapping[int, str],
) -> tuple[TimedStep, ...]:  # fmt: skip
    """Every step with its time. ``names``: the buyers by id."""
    done = [(case.at, f"{case.began_with} named")]
    done += [(scope.at, f"scope of {scope.packs} packs kept: {scope.why}") for scope in scopes]
    done += [*_notices(notices, names), *(_reply(reply, names) for reply in replies), *_pauses(clock)]
    if case.ended is not None:
        done.append((case.ended, f"finished, signed by {case.signed}"))
    ordered = sorted(done, key=lambda item: item[0])
    return tuple(TimedStep(what, instant_of(at), clock.used_at(instant_of(at))) for at, what in ordered)


def _notices(notices: Sequence[NoticeSeen], names: Mapping[int, str]) -> Iterator[Done]:
    for at, count in sorted(Counter(notice.at for notice in notices if notice.how == MADE).items()):
        yield at, f"{count} {'notice' if count == 1 else 'notices'} and the call sheet made"
    for notice in notices:
        if notice.how != MADE:
            yield notice.at, f"{names[notice.buyer]} told by {notice.how}"


def _reply(reply: ReplySeen, names: Mapping[int, str]) -> Done:
    if reply.buyer is None:
        return reply.at, "counted in the house"
    if not reply.reached:
        return reply.at, f"{names[reply.buyer]} not reached"
    told = any(figure is not None for figure in (reply.stock, reply.sold, reply.returned, reply.destroyed))
    return reply.at, f"{names[reply.buyer]} {'answered' if told else 'reached'}"


def _pauses(clock: Clock) -> Iterator[Done]:
    for pause in clock.pauses:
        yield instant_text(pause.since), f"paused: {pause.why}"
        if pause.until is not None:
            yield instant_text(pause.until), "gone on"
