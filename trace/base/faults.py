"""Where the details of a fault of the program go: into a file, never onto the screen."""

from __future__ import annotations

import tempfile
import traceback
from datetime import datetime
from pathlib import Path

from lotwake.trace.base.moments import instant_text

NAME = "faults.log"


def keep_fault(folder: Path, fault: BaseException, at: datetime) -> Path:
    """Append the traceback to ``faults.log`` in the house's folder, or in the temporary folder where that cannot be
    written; the file is given back."""
    details = f"{instant_text(at)}\n{''.join(traceback.format_exception(fault))}\n"
    if folder.is_dir():
        try:
            return _append(folder / NAME, details)
        except OSError as error:
            details += f"(The house's folder could not take this: {error})\n\n"
    return _append(Path(tempfile.gettempdir()) / f"lotwake-{NAME}", details)


def _append(path: Path, text: str) -> Path:
    with path.open("a", encoding="utf-8") as log:
        log.write(text)
    return path
