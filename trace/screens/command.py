"""What a command is: the one source of keys, key bar, finder, help page, ``/word``, command card and key table.

A page lists the commands it offers; a command ``void`` is carried out by the page's (or the program's) method
``do_void(rest)``. The keys F2 to F9 mean the same on every page. No letter, digit or sign is ever a key of a
command, because a scanner types them: they are words of the input line instead.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, replace

from lotwake.trace.base.errors import CallError

CARD_MARK = "CMD"
"""Start of a printed command card. Capitals only, so that it survives most scanner settings."""

_FORM_KEYS = {"enter", "tab", "shift+tab", "ctrl+j", "ctrl+i", "ctrl+m", "ctrl+h", "ctrl+c", "backspace", "delete"}
_MOVES = {"up", "down", "left", "right", "home", "end", "pageup", "pagedown", "insert", "space"}
_SHOWN = {"escape": "Esc", "pageup": "PgUp", "pagedown": "PgDn"}


@dataclass(frozen=True)
class Command:
    """One thing a person can ask for.

    ``name`` is also its word (``/void``), its id in the settings and, in capitals, its card. ``words`` are further
    lines that mean the same (``-``). ``takes`` says what may follow the word. ``label`` fits the key bar.
    """

    name: str
    label: str
    help: str
    keys: tuple[str, ...] = ()
    words: tuple[str, ...] = ()
    takes: str = ""

    @property
    def method(self) -> str:
        """Name of the method that carries it out."""
        return f"do_{self.name}"

    @property
    def word(self) -> str:
        """What is typed in the input line."""
        return f"/{self.name}"

    @property
    def card(self) -> str:
        """Text of the printed card that gives this command when scanned."""
        return CARD_MARK + self.name.upper()

    def here(self, label: str, help_text: str) -> Command:
        """The same command with the words that fit one page; name, keys and meaning stay."""
        return replace(self, label=label, help=help_text)

    def answers_to(self, line: str) -> bool:
        """Whether the typed line, without what follows the word, asks for this command."""
        return line in (self.word, *self.words)


HELP = Command("help", "Help", "Say what this page is for and what every key does.", ("f2",), ("?",))
FIND = Command("find", "Find", "Find a command, a page or a record by typing.", ("f3",), ("/",), "TEXT")
VIEW = Command("view", "View", "Show the same thing in another way.", ("f4",))
REPRINT = Command(
    "reprint", "Reprint", "Print the last label or paper once more, and record why.", ("f5",), (), "REASON"
)
CHOOSE = Command("choose", "Choose", "Choose what this page works on.", ("f6",))
PAPER = Command("paper", "Paper", "Put what is shown on paper or into a file.", ("f7",))
VOID = Command("void", "Void", "Void the last thing done here by an entry that corrects it.", ("f8",), ("-",), "REASON")
JOBS = Command("jobs", "Jobs", "Go to another page.", ("f9",))
BACK = Command("back", "Back", "Go back. Nothing typed is lost.", ("escape",))
MORE = Command("more", "One more", "Do the last thing for one more.", (), ("+",))
REPEAT = Command("repeat", "Repeat", "Do the last thing again with the same number.", (), ("*",))
THEME = Command("theme", "Theme", "Change between day and night colours.")
QUIT = Command("quit", "Quit", "Leave the program. Drafts are kept.")

EVERYWHERE = (HELP, FIND, JOBS, BACK, THEME, QUIT)
"""Offered on every page; carried out by the program unless the page has its own way."""

SHARED = (HELP, FIND, VIEW, REPRINT, CHOOSE, PAPER, VOID, JOBS, BACK, MORE, REPEAT, THEME, QUIT)
"""All commands with one meaning for all pages, in the order of the keys."""


def shown_key(key: str) -> str:
    """A key as people call it: ``f8`` -> ``F8``, ``ctrl+g`` -> ``Ctrl+G``."""
    return "+".join(_SHOWN.get(part, part.capitalize()) for part in key.split("+"))


def _checked_key(name: str, key: str) -> str:
    if len(key) == 1 or key in _FORM_KEYS | _MOVES or (key.startswith("shift+") and len(key) == 7):
        raise CallError(
            f"The key {key!r} cannot stand for the command {name}: a scanner or a form needs it.",
            "Choose one of f1 to f12 or a ctrl+letter key.",
        )
    return key


def bound_keys(commands: Iterable[Command], changed: Mapping[str, str] | None = None) -> dict[str, Command]:
    """Which key gives which command, after the changes of the house's settings.

    ``changed`` maps a command's name to its keys, separated by commas; an empty text takes the keys away.

    Raises:
        CallError: a name no command has, a key that a scanner or a form needs, or one key for two commands.
    """
    by_name = {command.name: command for command in commands}
    changes = dict(changed or {})
    for name in changes:
        if name not in by_name:
            raise CallError(f"The settings give a key to {name!r}, which is no command.", "See the key table in help.")
    keys: dict[str, Command] = {}
    for name, command in by_name.items():
        wanted = [part.strip() for part in changes[name].split(",")] if name in changes else list(command.keys)
        for key in filter(None, wanted):
            if keys.setdefault(_checked_key(name, key), command) is not command:
                raise CallError(f"The key {key} is given to both {keys[key].name} and {name}.", "Change one of them.")
    return keys


def key_rows(commands: Iterable[Command], keys: Mapping[str, Command] | None = None) -> list[tuple[str, str, str]]:
    """Rows (keys, words, help) for the help page and the key table of the manual."""
    listed = list(commands)
    bound = bound_keys(listed) if keys is None else keys
    rows = []
    for command in listed:
        pressed = [shown_key(key) for key, owner in bound.items() if owner.name == command.name]
        words = " ".join([f"{command.word} {command.takes}".strip(), *command.words])
        rows.append((" ".join(pressed), words, command.help))
    return rows


def key_table(commands: Iterable[Command] = SHARED) -> str:
    """The key table of the manual, in Markdown."""
    rows = [("key", "typed", "what it does"), ("---", "---", "---")]
    rows += [(keys, f"`{words}`", text) for keys, words, text in key_rows(commands)]
    return "\n".join(f"| {' | '.join(row)} |" for row in rows) + "\n"
