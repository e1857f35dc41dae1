"""Files that are there whole or not at all."""

from __future__ import annotations

import os
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import BinaryIO

from lotwake.labels.errors import LabelNotWritten


@contextmanager
def whole_file(out: Path) -> Iterator[BinaryIO]:
    """Open a file beside ``out`` that takes its place when the block ends well, and is gone when it does not.

    Raises:
        LabelNotWritten: when the file cannot be written.
    """
    part = out.with_name(f".{out.name}.part")
    try:
        with part.open("wb") as file:
            yield file
            file.flush()
            os.fsync(file.fileno())
        part.replace(out)
    except OSError as error:
        part.unlink(missing_ok=True)
        raise LabelNotWritten(
            f"{out} cannot be written: {error.strerror}.", "Choose another folder or free some space."
        ) from error
    except BaseException:
        part.unlink(missing_ok=True)
        raise
