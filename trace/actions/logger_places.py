"""Where a logger's files may lie: the folders a person keeps them in, and the sticks and cards that are plugged in."""

from __future__ import annotations

import os
from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from pathlib import Path

from lotwake.trace.base.errors import MachineFailed, NotFound

ENDINGS = (".csv", ".txt", ".tsv", ".log", ".asc", ".dat")
MOST_FILES = 200
_PLUGGED_IN = ("/media/*/*", "/media/*", "/run/media/*/*", "/mnt/*", "/Volumes/*")


@dataclass(frozen=True)
class FileThere:
    """A file that could be a logger's: ``modified_s`` seconds since 1970, ``size`` bytes."""

    path: Path
    modified_s: float
    size: int


def usual_places() -> tuple[Path, ...]:
    """The folder the program was started in, those of downloads, documents and the desktop, and whatever is plugged in."""
    home = Path.home()
    own = (Path.cwd(), home / "Downloads", home / "Documents", home / "Desktop", home)
    plugged = (path for pattern in _PLUGGED_IN for path in sorted(Path("/").glob(pattern[1:])))
    return tuple(dict.fromkeys(path for path in (*own, *plugged) if path.is_dir()))


def files_in(places: Iterable[Path]) -> list[FileThere]:
    """The files in these folders that could be a logger's, the newest first. A folder that cannot be read has none."""
    found = {item.path: item for place in places for item in _files(place)}
    return sorted(found.values(), key=lambda item: -item.modified_s)[:MOST_FILES]


def _files(place: Path) -> Iterator[FileThere]:
    try:
        with os.scandir(place) as entries:
            for entry in entries:
                if entry.name.lower().endswith(ENDINGS) and entry.is_file():
                    seen = entry.stat()
                    yield FileThere(Path(entry.path), seen.st_mtime, seen.st_size)
    except OSError:
        return  # looked at without being asked for; a folder that is named is opened by ``folder_named``


def folder_named(text: str) -> Path | None:
    """The folder a person typed; None when it is a file. NotFound without either, MachineFailed when it is closed."""
    path = Path(text.strip()).expanduser()
    if path.is_file():
        return None
    if not path.is_dir():
        raise NotFound(
            f"There is no file or folder {path}.", "Check its name; a stick may have to be plugged in again."
        )
    if not os.access(path, os.R_OK | os.X_OK):
        raise MachineFailed(f"The folder {path} cannot be read.", "Check who owns it.")
    return path
