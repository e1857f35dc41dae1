"""The set-up words that change files in the house's folder: setting, stock, phrase."""

from __future__ import annotations

from argparse import Namespace
from collections.abc import Sequence

from lotwake.trace.actions import house_files
from lotwake.trace.actions.house_files import Changed
from lotwake.trace.base.errors import CallError
from lotwake.trace.cli.command import Shell
from lotwake.trace.cli.parser import Nouns
from lotwake.trace.cli.rows import aligned


def add_arguments(nouns: Nouns) -> None:
    """The words on settings, label stock and phrases."""
    setting = nouns.add("setting", "Change a setting in house.toml, such as the printer; alone, list them.", _setting)
    setting.add_argument("name", nargs="?", default="", metavar="NAME")
    setting.add_argument("value", nargs="?", default=None, metavar="VALUE", help="lists as 'english, filipino'")
    stock = nouns.add("stock", "Write down a label stock of the house, or change measures of one.", _stock)
    stock.add_argument("name")
    keys = ", ".join(house_files.STOCK_FIELDS)
    stock.add_argument("measures", nargs="*", metavar="KEY=VALUE", help=f"mm; keys: {keys}")
    stock.add_argument("--like", default="", metavar="STOCK", help="begin a new one as this one is")
    phrase = nouns.add("phrase", "Change one of the fixed words of labels; without words, list them.", _phrase)
    phrase.add_argument("language", metavar="LANGUAGE|FILE.toml")
    phrase.add_argument("phrase", nargs="?", default="", metavar="PHRASE")
    phrase.add_argument("words", nargs="?", default=None)


def _setting(args: Namespace, shell: Shell) -> None:
    with shell.desk() as desk:
        if args.value is None:
            rows = [row for row in house_files.setting_rows(desk.settings) if args.name in ("", row[0])]
            _list(shell, rows, args.name, "setting")
            return
        _, changed = house_files.change_setting(desk, args.name, args.value)
    _give(shell, args.name, changed)


def _stock(args: Namespace, shell: Shell) -> None:
    measures = dict(_measure(text) for text in args.measures)
    with shell.desk() as desk:
        if args.name in house_files.stock_names(desk) and not args.like:
            if not measures:
                raise CallError("What about it is to be changed?", "Write KEY=VALUE, such as shift_up_mm=0.5.")
            for key, value in measures.items():
                changed = house_files.change_stock(desk, args.name, key, value)
        else:
            changed = house_files.add_stock(desk, args.name, measures, args.like)
    _give(shell, args.name, changed)


def _measure(text: str) -> tuple[str, str]:
    key, mark, value = text.partition("=")
    if not mark:
        raise CallError(f"{text!r} is no measure.", "Write KEY=VALUE, such as width_mm=90.")
    return key.strip(), value.strip()


def _phrase(args: Namespace, shell: Shell) -> None:
    with shell.desk() as desk:
        if args.words is None:
            rows = [row for row in house_files.phrases_listed(desk, args.language) if args.phrase in ("", row[0])]
            _list(shell, rows, args.phrase, "phrase")
            return
        changed = house_files.change_phrase(desk, args.language, args.phrase, args.words)
    _give(shell, args.phrase, changed)


def _list(shell: Shell, rows: Sequence[tuple[str, str]], wanted: str, kind: str) -> None:
    if not rows:
        raise CallError(f"There is no {kind} {wanted!r}.", f"Leave it out to list every {kind}.")
    shell.give([{"name": name, "now": now} for name, now in rows], aligned((kind, "says"), rows))


def _give(shell: Shell, name: str, changed: Changed) -> None:
    before = f" It said {changed.was} before." if changed.was else ""
    shell.give(
        {"file": str(changed.path), "name": name, "now": changed.now, "was": changed.was},
        f"{name} is {changed.now or 'written down'} now, in {changed.path}.{before}",
    )
