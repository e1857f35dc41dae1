"""Show the program in a browser, such as a tablet at the dock. It has no login of its own.

Whoever reaches the address works in the house as the person named; so it answers on this machine only, unless another
address is given. Needs the extra ``browser``: pip install "lotwake[browser]".
"""

from __future__ import annotations

import shlex
import sys
from argparse import ArgumentParser, Namespace
from importlib import import_module

from lotwake.trace.base.errors import CallError, MachineFailed
from lotwake.trace.cli.command import Shell
from lotwake.trace.cli.values import whole

NAME = "serve"
HELP = "Show the program in a browser, such as a tablet at the dock; it has no login of its own."
HERE = "127.0.0.1"


def arguments(parser: ArgumentParser) -> None:
    """Where it answers."""
    parser.add_argument("--host", default=HERE, metavar="ADDRESS", help=f"default {HERE}: this machine only")
    parser.add_argument("--port", type=whole, default=8000, metavar="N")


def run(args: Namespace, shell: Shell) -> None:
    """Serve until Ctrl+C."""
    if not 0 < args.port < 65536:
        raise CallError(f"There is no port {args.port}.", "Use a number from 1 to 65535.")
    with shell.desk():
        pass  # what is wrong with the house or the initials is said here, not to the browser
    try:
        server = import_module("textual_serve.server")
    except ModuleNotFoundError as missing:
        raise CallError(
            "The browser view is not installed.", 'Install it with: pip install "lotwake[browser]"'
        ) from missing
    shell.say("It has no login: whoever opens this address works in the house" + _as(shell) + ". Ctrl+C ends it.")
    if args.host != HERE:
        shell.say(f"It answers to other machines at {args.host}. Use it only in a network you trust.")
    try:
        server.Server(_command(shell), host=args.host, port=args.port, title="Lotwake").serve()
    except OSError as error:
        raise MachineFailed(
            f"{args.host}, port {args.port} cannot be used: {error.strerror}.", "Name another with --host or --port."
        ) from None


def _as(shell: Shell) -> str:
    return f" as {shell.who}" if shell.who else ""


def _command(shell: Shell) -> str:
    who = [shell.who] if shell.who else []
    return shlex.join([sys.executable, "-m", "lotwake.trace.screens.program", str(shell.places.folder), *who])
