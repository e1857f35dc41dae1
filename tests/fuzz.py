"""Coverage-guided fuzzing of everything that comes in from outside. Optional: pip install atheris, then

    python tests/fuzz.py scan|settings|logger|epcis|csv [-runs=100000]

Not collected by pytest. It stops with the input at hand when anything but a sentence for people comes out.
"""

from __future__ import annotations

import sys
import tempfile
from collections.abc import Callable
from pathlib import Path
from zoneinfo import ZoneInfo

import atheris  # type: ignore[import-not-found]

with atheris.instrument_imports(include=["lotwake"]):
    from lotwake.labels.errors import LabelError
    from lotwake.labels.gs1.scan import read_scan
    from lotwake.trace.actions.bring_in.forms import Times
    from lotwake.trace.actions.bring_in.problems import Problems
    from lotwake.trace.actions.bring_in.shelf import open_shelf
    from lotwake.trace.actions.bring_in.staging import stage
    from lotwake.trace.base.errors import LotwakeError
    from lotwake.trace.base.moments import instant_of
    from lotwake.trace.base.settings import read_settings
    from lotwake.trace.process.logger_file import Choices, look_into
    from lotwake.trace.process.logger_shape import Told
    from lotwake.trace.recall.epcis_in import read_epcis

OSLO = ZoneInfo("Europe/Oslo")
FOLDER = Path(tempfile.mkdtemp(prefix="fuzz-"))
NOW = instant_of("2026-11-24T12:00:00Z")


def scan(data: bytes) -> None:
    read_scan(data.decode("utf-8", "replace"))


def settings(data: bytes) -> None:
    path = FOLDER / "house.toml"
    path.write_bytes(data)
    read_settings(path)


def logger(data: bytes) -> None:
    look_into(data, Told(), Choices(), OSLO)


def epcis(data: bytes) -> None:
    read_epcis(data, "theirs.json")


def csv(data: bytes) -> None:
    (FOLDER / "lots.csv").write_bytes(b"lot,kind,source,species,area,kg,received\n" + data)
    with open_shelf() as shelf:
        stage(FOLDER, Times(NOW, OSLO), shelf, Problems(), lambda _done: None)


TARGETS: dict[str, Callable[[bytes], None]] = {
    "scan": scan, "settings": settings, "logger": logger, "epcis": epcis, "csv": csv,
}  # fmt: skip


def main() -> None:
    target = TARGETS[sys.argv.pop(1)]

    def one(data: bytes) -> None:
        try:
            target(data)
        except (LotwakeError, LabelError) as error:
            if not str(error):
                raise

    atheris.Setup(sys.argv, one)
    atheris.Fuzz()


if __name__ == "__main__":
    main()
