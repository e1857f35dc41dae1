"""Nothing typed is lost: what stands in a form is written to disk a moment after each change.

One JSON file for each form. It is replaced whole (written beside, synced, renamed), so a power cut leaves the old
draft or the new one, never half of one.
"""

from __future__ import annotations

import json
import os
import re
from collections.abc import Callable, Mapping
from pathlib import Path
from threading import Condition, Thread

from lotwake.trace.base.errors import MachineFailed

_NAME = re.compile(r"[a-z0-9][a-z0-9_-]{0,60}")
Fields = dict[str, str]


class DraftStore:
    """Drafts of forms in one folder, written by a thread of its own.

    ``on_failed`` gets a sentence, in any thread, when a draft cannot be written; it is tried again at the next change.
    The program puts its own way of telling the person in its place.
    """

    def __init__(self, folder: Path, on_failed: Callable[[str], None], delay_s: float = 0.15) -> None:
        self._folder = folder
        self.on_failed = on_failed
        self._delay_s = delay_s
        self._waiting: dict[str, Fields] = {}
        self._writing = ""
        self._hurry = False
        self._closed = False
        self._changed = Condition()
        self._thread: Thread | None = None

    def put(self, form: str, fields: Mapping[str, str]) -> None:
        """Keep what stands in the form now. Returns at once; the disk follows after the delay."""
        self._path(form)
        with self._changed:
            self._waiting[form] = dict(fields)
            if self._thread is None:
                self._thread = Thread(target=self._run, name="drafts", daemon=True)
                self._thread.start()
            self._changed.notify_all()

    def get(self, form: str) -> Fields | None:
        """What stood in the form, or None. A draft that cannot be read is set aside and told, never dropped."""
        path = self._path(form)
        with self._changed:
            if form in self._waiting:
                return dict(self._waiting[form])
            self._changed.wait_for(lambda: self._writing != form)
        try:
            kept = json.loads(path.read_text(encoding="utf-8"))
            return {str(name): str(text) for name, text in kept.items()}
        except FileNotFoundError:
            return None
        except (OSError, ValueError, AttributeError) as error:
            aside = path.with_suffix(".unreadable")
            self.on_failed(f"The draft of {form} cannot be read ({error}); it is kept as {aside.name}.")
            if path.exists():
                path.replace(aside)
            return None

    def drop(self, form: str) -> None:
        """The entry is confirmed: its draft is gone from the disk when this returns.

        Raises:
            MachineFailed: the file cannot be removed; the form would offer the entry a second time.
        """
        path = self._path(form)
        with self._changed:
            self._waiting.pop(form, None)
            self._changed.wait_for(lambda: self._writing != form)
            try:
                path.unlink(missing_ok=True)
            except OSError as error:
                raise MachineFailed(f"The draft {path.name} could not be removed: {error}.", "Remove it.") from error

    def names(self) -> list[str]:
        """Forms with a draft, by name."""
        on_disk = {path.stem for path in self._folder.glob("*.json")}
        with self._changed:
            return sorted(on_disk | set(self._waiting))

    def flush(self) -> None:
        """Write everything that waits, now; returns when it is on disk or its failure was told."""
        with self._changed:
            self._hurry = True
            self._changed.notify_all()
            self._changed.wait_for(lambda: not self._waiting and not self._writing)
            self._hurry = False

    def close(self) -> None:
        """Write what waits and end the thread."""
        if self._thread is None:
            return
        self.flush()
        with self._changed:
            self._closed = True
            self._changed.notify_all()
        self._thread.join()
        self._thread = None

    def _path(self, form: str) -> Path:
        if not _NAME.fullmatch(form):
            raise ValueError(f"a form is named in small letters, digits and hyphens, not {form!r}")
        return self._folder / f"{form}.json"

    def _run(self) -> None:
        while (taken := self._next()) is not None:
            form, fields = taken
            try:
                _replace_file(self._path(form), json.dumps(fields, ensure_ascii=False, indent=1))
            except OSError as error:
                self.on_failed(f"The draft of {form} could not be written: {error.strerror or error}.")
            with self._changed:
                self._writing = ""
                self._changed.notify_all()

    def _next(self) -> tuple[str, Fields] | None:
        with self._changed:
            while not self._closed or self._waiting:
                self._changed.wait_for(lambda: bool(self._waiting) or self._closed)
                self._changed.wait_for(lambda: self._hurry or self._closed, timeout=self._delay_s)
                if self._waiting:  # the draft may have been dropped during the delay
                    self._writing = next(iter(self._waiting))
                    return self._writing, self._waiting.pop(self._writing)
        return None


def _replace_file(path: Path, text: str) -> None:
    path.parent.mkdir(parents=True, exist_ok=True)
    beside = path.with_suffix(".new")
    with beside.open("w", encoding="utf-8") as file:
        file.write(text)
        file.flush()
        os.fsync(file.fileno())
    beside.replace(path)
    if os.name == "posix":  # elsewhere a folder cannot be opened, and the rename is journalled by the system
        folder = os.open(path.parent, os.O_RDONLY)
        try:
            os.fsync(folder)
        finally:
            os.close(folder)
