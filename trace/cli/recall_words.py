"""The words behind ``lotwake drill`` and ``lotwake recall``: the same work, in practice and in earnest."""

from __future__ import annotations

from argparse import ArgumentParser, Namespace
from collections.abc import Callable
from pathlib import Path

from lotwake.trace.actions import recall, recall_answers
from lotwake.trace.actions.desk import Desk
from lotwake.trace.actions.recall import Start, Terms
from lotwake.trace.actions.recall_answers import Answer
from lotwake.trace.actions.recall_figures import figures_of
from lotwake.trace.actions.recall_papers import make_notices, make_report
from lotwake.trace.actions.recall_state import look_at
from lotwake.trace.base.errors import CallError
from lotwake.trace.base.moments import read_moment
from lotwake.trace.cli.command import Shell
from lotwake.trace.cli.parser import Do, Nouns
from lotwake.trace.cli.recall_show import figure_lines, figures_data, state_data, state_lines
from lotwake.trace.cli.values import add_why, whole
from lotwake.trace.recall.classes import TARGETS_ARE
from lotwake.trace.recall.state import RecallState
from lotwake.trace.recall.terms import read_goal
from lotwake.trace.records.entries.recall import CHECK_RESULTS, DEPTHS, RECALL
from lotwake.trace.records.recalls import CaseSeen

DoWithCase = Callable[[Desk, CaseSeen, Namespace], RecallState]


def add_words(nouns: Nouns, kind: str) -> None:
    """All the words that drills and recalls share; ``kind`` is kept in the call."""
    _add_begin(nouns, kind)
    _word(
        nouns,
        kind,
        "status",
        "Where everything is, whom to ring, what to do next.",
        lambda desk, case, _: look_at(desk, case),
        "?",
    )
    _add_figures_shown(nouns, kind)
    _add_scope(nouns, kind)
    _add_telling(nouns, kind)
    _add_reply(nouns, kind)
    _add_checks(nouns, kind)
    paused = _word(
        nouns,
        kind,
        "pause",
        "Stop the clock.",
        lambda desk, case, args: recall_answers.pause(desk, case, args.why),
        None,
    )
    add_why(paused)
    _word(nouns, kind, "resume", "Let the clock go on.", lambda desk, case, _: recall_answers.resume(desk, case), "?")
    _add_end(nouns, kind)


def give(shell: Shell, state: RecallState, **more: object) -> None:
    """The state as the answer."""
    shell.give({**state_data(state), **more}, state_lines(state))


def begin(args: Namespace, shell: Shell) -> None:
    """Begin one from what was named."""
    with shell.desk() as desk:
        state = recall.begin(desk, args.kind, _start(desk, args), terms(desk, args))
    give(shell, state)


def add_terms(parser: ArgumentParser, kind: str) -> None:
    """Why, and the targets."""
    parser.add_argument(
        "--why", default="", required=kind == RECALL, metavar="REASON", help="the reason and the hazard"
    )
    parser.add_argument(
        "--named-at", metavar="TIME", help="when the lot was named; the clock starts then (default: now)"
    )
    parser.add_argument(
        "--goal",
        metavar="H:MM",
        help=f"time to be done in (default: drill_goal_min of house.toml, 4:00). {TARGETS_ARE}",
    )
    parser.add_argument(
        "--least", type=whole, metavar="PERCENT", help="packs to be accounted for (default: drill_least_percent, 98)"
    )
    parser.add_argument("--contact", action="store_true", help="also what met it in a brine, a load or on a table")
    parser.add_argument("--class", dest="hazard", default="", metavar="I|II|III", help="recall class, once decided")
    parser.add_argument("--depth", choices=DEPTHS, default="retail", help="how far down it goes (default: retail)")


def terms(desk: Desk, args: Namespace) -> Terms:
    """What the options of ``add_terms`` said."""
    at = None if args.named_at is None else read_moment(args.named_at, desk.now, desk.zone)
    goal_min = desk.settings.drill_goal_min if args.goal is None else read_goal(args.goal)[0]
    least = desk.settings.drill_least_percent if args.least is None else args.least
    return Terms(args.why, at, goal_min, least, args.contact, args.hazard, args.depth)


def _add_begin(nouns: Nouns, kind: str) -> None:
    started = nouns.add("begin", f"Begin a {kind} from what is suspected; the clock starts.", begin)
    started.set_defaults(kind=kind)
    started.add_argument(
        "codes", nargs="*", metavar="CODE", help="lots, batches, runs, packs RUN/1-24, cases, dispatches"
    )
    started.add_argument("--packs-only", action="store_true", help="only these packs, not their whole runs")
    started.add_argument(
        "--complaints", action="store_true", help="the codes are complaint packs: also what they share"
    )
    started.add_argument("--equipment", metavar="NAME", help="every batch in or on it from --since to --until")
    started.add_argument("--instrument", metavar="NAME", help="every batch read with it since its last good check")
    started.add_argument("--since", metavar="TIME", help="the window on the equipment or instrument begins")
    started.add_argument("--until", metavar="TIME", help="and ends (default: now)")
    add_terms(started, kind)


def _start(desk: Desk, args: Namespace) -> Start:
    since, until = (
        None if text is None else read_moment(text, desk.now, desk.zone) for text in (args.since, args.until)
    )
    if args.equipment:
        if since is None:
            raise CallError("A window on a piece of equipment begins somewhere.", "Give --since TIME.")
        return recall.from_equipment(desk, args.equipment, since, until or desk.now)
    if args.instrument:
        return recall.from_instrument(desk, args.instrument, since, until)
    if args.complaints:
        return recall.from_complaints(desk, args.codes)
    return recall.from_codes(desk, args.codes, args.packs_only)


def _word(nouns: Nouns, kind: str, name: str, help_line: str, do: DoWithCase, many: str | None) -> ArgumentParser:
    """A word about one case, named by its code; the answer is its state."""

    def run(args: Namespace, shell: Shell) -> None:
        with shell.desk() as desk:
            state = do(desk, recall.named(desk, kind, args.case or ""), args)
        give(shell, state)

    noun = nouns.add(name, help_line, run)
    _add_case(noun, kind, many)
    return noun


def _add_case(noun: ArgumentParser, kind: str, many: str | None) -> None:
    said = f"the {kind} by its code" + ("; without it the open one" if many else "")
    noun.add_argument("case", nargs=many, metavar=kind.upper(), help=said)


def _add_figures_shown(nouns: Nouns, kind: str) -> None:
    """Every figure of the reconciliation with the records behind it."""

    def run(args: Namespace, shell: Shell) -> None:
        with shell.desk() as desk:
            state = look_at(desk, recall.named(desk, kind, args.case or ""))
            figures = figures_of(desk, state)
        shell.give({"figures": figures_data(state, figures)}, figure_lines(state, figures))

    noun = nouns.add("figures", "Every figure of the reconciliation, and the records behind it.", run)
    _add_case(noun, kind, "?")


def _add_scope(nouns: Nouns, kind: str) -> None:
    wider = _word(nouns, kind, "widen", "Suspect more; without a code, take in what was made since.", _widen, None)
    narrower = _word(nouns, kind, "narrow", "Take something out of the scope.", _narrow, None)
    for noun, many in ((wider, "*"), (narrower, "+")):
        noun.add_argument("codes", nargs=many, metavar="CODE")
        noun.add_argument("--packs-only", action="store_true", help="only these packs, not their whole runs")
        add_why(noun)


def _widen(desk: Desk, case: CaseSeen, args: Namespace) -> RecallState:
    return recall.widen(desk, case, args.codes, args.why, args.packs_only)


def _narrow(desk: Desk, case: CaseSeen, args: Namespace) -> RecallState:
    return recall.narrow(desk, case, args.codes, args.why, args.packs_only)


def _add_telling(nouns: Nouns, kind: str) -> None:
    papers = nouns.add("notices", "Make the letters, the e-mail texts and the call sheet.", _papers(kind))
    _add_case(papers, kind, "?")
    papers.add_argument("--out", type=Path, required=True, metavar="FOLDER", help="where they go")
    told = _word(
        nouns, kind, "told", "A buyer was told.", lambda d, c, a: recall_answers.told(d, c, a.buyer, a.how), None
    )
    told.add_argument("buyer")
    told.add_argument("--how", default="telephone", help="telephone, e-mail, letter, in person (default: telephone)")


def _papers(kind: str) -> Do:
    def run(args: Namespace, shell: Shell) -> None:
        with shell.desk() as desk:
            state, files = make_notices(desk, recall.named(desk, kind, args.case or ""), args.out)
        give(shell, state, files=[str(path) for path in files])
        shell.say(f"{len(files)} files are in {args.out}: letters, call sheet and a text for each e-mail.")

    return run


def _add_reply(nouns: Nouns, kind: str) -> None:
    replied = _word(nouns, kind, "reply", "What a buyer answered, in packs.", _reply, None)
    replied.add_argument("buyer")
    _add_figures(replied)
    replied.add_argument("--run", default="", metavar="CODE", help="the figures are about this lot only")
    replied.add_argument(
        "--sub", action="append", default=[], metavar="NAME=PHONE=PACKS", help="passed on to; may be repeated"
    )
    passed = _word(
        nouns, kind, "sub-reply", "What somebody answered that a buyer passed packs on to.", _sub_reply, None
    )
    passed.add_argument("buyer")
    passed.add_argument("name", help="as the buyer named them")
    _add_figures(passed)
    counted = _word(nouns, kind, "count", "Packs of the scope that were found in the house.", _count, None)
    counted.add_argument("packs", type=whole)
    counted.add_argument("--run", default="", metavar="CODE", help="of this lot only")
    counted.add_argument("--note", default="")


def _add_figures(noun: ArgumentParser) -> None:
    """The figures of an answer, and who gave it."""
    for name, said in (
        ("stock", "still in stock"),
        ("sold", "sold or passed on"),
        ("returned", "sent back"),
        ("destroyed", "destroyed"),
    ):
        noun.add_argument(f"--{name}", type=whole, metavar="PACKS", help=said)
    noun.add_argument("--not-reached", action="store_true", help="nobody answered")
    noun.add_argument("--person", default="", metavar="NAME", help="who answered")
    noun.add_argument("--note", default="")


def _sub_reply(desk: Desk, case: CaseSeen, args: Namespace) -> RecallState:
    answer = Answer(
        not args.not_reached, "", args.person, args.stock, args.sold, args.returned, args.destroyed, args.note
    )
    return recall_answers.take_sub_reply(desk, case, args.buyer, args.name, answer)


def _reply(desk: Desk, case: CaseSeen, args: Namespace) -> RecallState:
    answer = Answer(
        not args.not_reached, args.run, args.person, args.stock, args.sold, args.returned, args.destroyed, args.note,
        tuple(_sub(text) for text in args.sub),
    )  # fmt: skip
    return recall_answers.take_reply(desk, case, args.buyer, answer)


def _sub(text: str) -> tuple[str, str, int]:
    parts = [part.strip() for part in text.split("=")]
    if len(parts) != 3:
        raise CallError(f"{text!r} does not name a sub-buyer.", "Write NAME=PHONE=PACKS; the telephone may be empty.")
    return parts[0], parts[1], whole(parts[2])


def _count(desk: Desk, case: CaseSeen, args: Namespace) -> RecallState:
    return recall_answers.count_house(desk, case, args.packs, args.run, args.note)


def _add_checks(nouns: Nouns, kind: str) -> None:
    drawn = _word(nouns, kind, "check", "Draw the buyers an effectiveness check asks.", _check, "?")
    drawn.add_argument(
        "--level", required=True, metavar="A-E", help="A all, B more than 10 %%, C 10 %%, D 2 %%, E none"
    )
    drawn.add_argument("--percent", type=whole, metavar="N", help="how many, at level B")
    drawn.add_argument("--seed", type=whole, default=1, metavar="N", help="the same seed draws the same (default: 1)")
    made = _word(nouns, kind, "checked", "What the check found at a buyer.", _checked, None)
    made.add_argument("buyer")
    made.add_argument("--result", choices=CHECK_RESULTS, required=True)
    made.add_argument("--note", default="")


def _check(desk: Desk, case: CaseSeen, args: Namespace) -> RecallState:
    return recall_answers.draw_checks(desk, case, args.level, args.seed, args.percent)


def _checked(desk: Desk, case: CaseSeen, args: Namespace) -> RecallState:
    return recall_answers.check_result(desk, case, args.buyer, args.result, args.note)


def _add_end(nouns: Nouns, kind: str) -> None:
    ended = nouns.add("finish", "Sign it off; what was found is kept as it stands.", _end(kind, True))
    _add_case(ended, kind, None)
    ended.add_argument("--by", default="", metavar="NAME", help="who signs (default: who is at work)")
    ended.add_argument(
        "--action", action="append", default=[], metavar="TEXT", help="what will be done; may be repeated"
    )
    report = nouns.add("report", "Write the report of one.", _end(kind, False))
    _add_case(report, kind, "?")
    for noun, required in ((ended, False), (report, True)):
        noun.add_argument("--out", type=Path, required=required, metavar="FILE", help="the report as PDF")


def _end(kind: str, sign: bool) -> Do:
    def run(args: Namespace, shell: Shell) -> None:
        with shell.desk() as desk:
            case = recall.named(desk, kind, args.case or "")
            state = recall_answers.finish(desk, case, args.by, args.action) if sign else look_at(desk, case)
            if args.out is not None:
                make_report(desk, state, args.out)
                shell.say(f"The report is in {args.out}.")
        give(shell, state, file=None if args.out is None else str(args.out))

    return run
