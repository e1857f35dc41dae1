"""The entry from the shell: options that hold everywhere, one command, and every error as one sentence."""

from __future__ import annotations

import io
import os
import sys
from argparse import Namespace
from collections.abc import Sequence
from difflib import get_close_matches
from importlib import import_module
from pathlib import Path

from lotwake.labels.errors import LabelError
from lotwake.trace.base.clock import Clock, SystemClock
from lotwake.trace.base.errors import CallError, ExitCode, LotwakeError
from lotwake.trace.base.faults import keep_fault
from lotwake.trace.base.hidden import made_visible
from lotwake.trace.cli.command import Shell
from lotwake.trace.cli.parser import EVERYWHERE, Parser
from lotwake.trace.cli.registry import COMMANDS, Listed, command_table

_KEPT = "What was confirmed before stays in the record; `lotwake journal` shows it."


def main(argv: Sequence[str] | None = None, clock: Clock | None = None) -> int:
    """Do what the words say and give back the exit code (see ``ExitCode``); no error leaves as a traceback."""
    words = list(sys.argv[1:] if argv is None else argv)
    times = clock or SystemClock()
    folder: Path | None = None
    if isinstance(sys.stdout, io.TextIOWrapper):
        sys.stdout.reconfigure(errors="backslashreplace")  # a name the terminal cannot show must not stop the answer
    try:
        chosen, rest = _everywhere(words)
        folder = chosen.at
        shell = Shell(
            folder,
            chosen.who or os.environ.get("LOTWAKE_OPERATOR") or None,
            chosen.json,
            times,
            chosen.pin_file,
            clock is None,
        )
        code = _answer(rest, shell, clock)
        sys.stdout.flush()  # a full disk or a closed pipe behind stdout shows here, not after we have said all is well
        return code
    except (LotwakeError, LabelError) as error:
        return _said(str(error), error.exit_code)
    except SystemExit as ended:
        return ended.code if isinstance(ended.code, int) else ExitCode.DONE
    except KeyboardInterrupt:
        return _said(f"Stopped by the keyboard. {_KEPT}")
    except BrokenPipeError:
        _drop_output()
        return _said(f"The answer was cut off, because its reader closed. {_KEPT}")
    except OSError as error:
        _drop_output()
        where = f" ({error.filename})" if error.filename else ""
        return _said(f"The machine refused: {error.strerror or error}{where}. {_KEPT}")
    except Exception as fault:  # noqa: BLE001 - the last resort: a fault of ours becomes a sentence and a file
        return _fault(fault, Shell(folder, None, False, times))


def _everywhere(words: Sequence[str]) -> tuple[Namespace, list[str]]:
    """The options that are read before and after the command, and the other words in their order."""
    parser = Parser("lotwake", add_help=False)
    parser.add_argument("--at", type=Path, metavar="FOLDER")
    parser.add_argument("--as", dest="who", metavar="INITIALS")
    parser.add_argument("--json", action="store_true")
    parser.add_argument("--pin-file", type=Path, metavar="FILE")
    return parser.parse_known_args(words)


def _answer(words: Sequence[str], shell: Shell, clock: Clock | None) -> int:
    if not words:
        return _open_program(shell, clock)
    first, *rest = words
    if first in ("--help", "-h"):
        sys.stdout.write(overview())
        return ExitCode.DONE
    if first == "--version":
        from importlib.metadata import version  # takes as long to load as Python itself

        shell.give({"version": version("lotwake")}, f"lotwake {version('lotwake')}")
        return ExitCode.DONE
    command = _named(first)
    module = command.load()
    parser = Parser(f"lotwake {command.name}", description=(module.__doc__ or command.help).strip())
    module.arguments(parser)
    return module.run(parser.parse_args(rest), shell) or ExitCode.DONE


def overview() -> str:
    """What ``lotwake --help`` says."""
    width = max(len(name) for name, _ in command_table())
    lines = [f"  {name:{width}}  {text}" for name, text in command_table()]
    return "\n".join(
        [
            "lotwake                opens the program in the terminal.",
            "lotwake COMMAND ...    does one thing; `lotwake COMMAND --help` says how.",
            "",
            *lines,
            "",
            EVERYWHERE,
            "Exit codes: 0 done, 2 the call is wrong, 3 refused by a rule, 4 not found, 5 the record needs attention,"
            " 6 the machine failed.",
            "",
        ]
    )


def _named(word: str) -> Listed:
    for command in COMMANDS:
        if command.name == word:
            return command
    near = get_close_matches(word, [command.name for command in COMMANDS], n=3)
    hint = f"Did you mean {' or '.join(near)}?" if near else "See `lotwake --help`."
    raise CallError(f"There is no command {word!r}.", hint)


def _open_program(shell: Shell, clock: Clock | None) -> int:
    if not (sys.stdin.isatty() and sys.stdout.isatty()):
        raise CallError("The program opens in a terminal, and this is none.", "Give a command; see `lotwake --help`.")
    program = import_module("lotwake.trace.screens.program")  # by name: nothing else of the shell may load Textual
    return int(program.run(shell.places, shell.who, clock=clock))


def _said(sentence: str, code: int = ExitCode.MACHINE_FAILED) -> int:
    sys.stderr.write(f"{made_visible(sentence)}\n")
    return int(code)


def _fault(fault: Exception, shell: Shell) -> int:
    try:
        path = keep_fault(shell.places.folder, fault, shell.clock.now())
    except OSError as error:
        return _said(f"The program failed ({fault!r}), and the details could not be written down: {error}. {_KEPT}")
    return _said(f"The program failed; this is our fault. The details are in {path}. {_KEPT}")


def _drop_output() -> None:
    """If stdout cannot take what is still unwritten, point it nowhere: the interpreter would fail on it again at its end."""
    try:
        sys.stdout.flush()
    except OSError:
        os.dup2(os.open(os.devnull, os.O_WRONLY), sys.stdout.fileno())
