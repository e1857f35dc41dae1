"""The fields of a calculation, made from what it tells its arguments to, and the numbers put in, read back from them."""

from __future__ import annotations

import re
from argparse import Namespace
from collections.abc import Callable
from dataclasses import dataclass, field
from typing import Any

from lotwake.trace.actions.reckoning.answer import Calculation
from lotwake.trace.base.errors import CallError, LotwakeError
from lotwake.trace.screens.widgets import ChoiceField, Field

_YES, _NO = "yes", "no"
_BETWEEN = ";"
"""Parts several values in one field; a comma may be a decimal mark."""


@dataclass(frozen=True)
class Argument:
    """One number or word a calculation takes; ``several`` are parted by semicolons."""

    name: str
    label: str
    help: str
    read: Callable[[str], Any]
    default: Any
    needed: bool
    choices: tuple[str, ...] = ()
    several: bool = False
    yes_or_no: bool = False

    def field(self) -> Field:
        """The field that asks for it; what is usual is offered."""
        words = (_NO, _YES) if self.yes_or_no else self.choices
        hint = " ".join(self.help.replace("%%", "%").split())
        made = (
            ChoiceField(self.name, self.label, lambda: [(word, "") for word in words], needed=self.needed)
            if words
            else Field(self.name, self.label, self.value, needed=self.needed, placeholder=hint)
        )
        usual = _NO if self.yes_or_no else "" if self.default is None else f"{self.default}"
        made.suggest(f"{self.default:g}" if isinstance(self.default, float) else usual)
        return made

    def value(self, text: str) -> Any:
        """What the text says, in the type the calculation takes."""
        if self.several:
            return [self.read(part.strip()) for part in text.split(_BETWEEN) if part.strip()]
        return text == _YES if self.yes_or_no else self.read(text.strip())


@dataclass
class Asked:
    """Collects the arguments of a calculation, and which of them exclude each other."""

    arguments: list[Argument] = field(default_factory=list)
    groups: list[tuple[bool, list[str]]] = field(default_factory=list)

    def add_argument(self, *names: str, **how: Any) -> None:
        """One more argument, as a parser of the shell would take it. Two names for one value make one field."""
        self._add(names, how, alone=True)

    def add_mutually_exclusive_group(self, *, required: bool = False) -> _Group:
        """Arguments of which at most one is given."""
        members: list[str] = []
        self.groups.append((required, members))
        return _Group(self, members)

    def _add(self, names: tuple[str, ...], how: dict[str, Any], alone: bool) -> str:
        said = names[0].lstrip("-").replace("-", " ")
        name: str = how.get("dest", said.replace(" ", "_"))
        for at, known in enumerate(self.arguments):
            if known.name == name:
                label = f"{known.label} or {said}".replace(" or ", ", ", known.label.count(" or "))
                self.arguments[at] = Argument(name, label, how["help"], known.read, None, known.needed)
                return name
        needed = how.get("required", False) or how.get("default") not in (None, "")
        argument = Argument(
            name, said[:1].upper() + said[1:], how.get("help", ""), how.get("type", str), how.get("default"),
            bool(needed) and alone, tuple(how.get("choices", ())), how.get("action") == "append",
            how.get("action") == "store_true",
        )  # fmt: skip
        self.arguments.append(argument)
        return name


@dataclass(frozen=True)
class _Group:
    asked: Asked
    members: list[str]

    def add_argument(self, *names: str, **how: Any) -> None:
        """One of those that exclude each other."""
        name = self.asked._add(names, how, alone=False)
        if name not in self.members:
            self.members.append(name)


def asked_by(calculation: Calculation) -> Asked:
    """What a calculation takes."""
    asked = Asked()
    calculation.arguments(asked)
    return asked


def put_in(asked: Asked, values: dict[str, Any]) -> Namespace:
    """The numbers as the calculation takes them. CallError when two exclude each other or one of them is missing."""
    labels = {argument.name: argument.label for argument in asked.arguments}
    for required, members in asked.groups:
        given = [name for name in members if values[name] is not None]
        if len(given) > 1:
            raise CallError(f"{' and '.join(labels[name] for name in given)} exclude each other.", "Empty one of them.")
        if required and not given:
            raise CallError(
                f"Nothing is given for {' or '.join(labels[name] for name in members)}.", "Give one of them."
            )
    return Namespace(**{argument.name: _given(argument, values[argument.name]) for argument in asked.arguments})


def _given(argument: Argument, value: Any) -> Any:
    if value is None:
        return argument.default
    return argument.value(value) if argument.yes_or_no else value


def in_fields(wrong: LotwakeError) -> LotwakeError:
    """The same refusal with the names of the fields in the place of those of the shell."""
    return type(wrong)(wrong.sentence, re.sub(r"--([a-z0-9-]+)", lambda form: form[1].replace("-", " "), wrong.hint))
