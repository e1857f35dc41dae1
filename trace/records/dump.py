"""A dump of a server's database by its own tool, verified by bringing it into a database beside it and walking that."""

from __future__ import annotations

import os
import shutil
import subprocess
from pathlib import Path
from secrets import token_hex
from urllib.parse import unquote, urlsplit, urlunsplit

import peewee

from lotwake.trace.base.errors import CallError, MachineFailed
from lotwake.trace.base.settings import without_password
from lotwake.trace.records.database import Records, in_plain_words
from lotwake.trace.records.server import Server
from lotwake.trace.records.verify import Verdict, verify


def dump(url: str, target: Path) -> None:
    """Write the database into a file in pg_dump's own format. CallError where the tool is missing."""
    _run("pg_dump", url, "--format=custom", "--no-owner", "--no-privileges", f"--file={target}")


def walk(url: str, dumped: Path) -> Verdict:
    """Bring a dump into a new database of the same server, walk it, and drop that again.

    MachineFailed when this user may not make a database there.
    """
    name = f"lotwake_check_{token_hex(6)}"
    beside = urlunsplit(urlsplit(url)._replace(path=f"/{name}"))
    server = Server(url)
    try:
        server.execute_sql(f"CREATE DATABASE {name} TEMPLATE template0")  # type: ignore[no-untyped-call]
        try:
            _run("pg_restore", beside, "--exit-on-error", "--no-owner", "--no-privileges", str(dumped))
            copy = Records(Server(beside))
            try:
                return verify(copy)
            finally:
                copy.close()
        finally:
            server.execute_sql(f"DROP DATABASE {name}")  # type: ignore[no-untyped-call]
    except peewee.PeeweeException as error:
        raise in_plain_words(error) from error
    finally:
        server.close()


def _run(tool: str, url: str, *words: str) -> None:
    """Run a tool of the server on a database; the password goes by the environment, where other users cannot read it."""
    if shutil.which(tool) is None:
        raise CallError(
            f"{tool} is not on this machine, so no dump was made.",
            "Install the client tools of PostgreSQL, or back up into a file that does not end in .dump.",
        )
    password = urlsplit(url).password
    secret = {"PGPASSWORD": unquote(password)} if password else {}
    command = [tool, f"--dbname={without_password(url)}", *words]
    done = subprocess.run(command, env={**os.environ, **secret}, capture_output=True, text=True, check=False)
    if done.returncode:
        said = done.stderr.strip().splitlines()
        raise MachineFailed(f"{tool} failed: {said[-1] if said else done.returncode}.", "Nothing was changed.")
