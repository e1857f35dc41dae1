"""The program is left while pages open, answers are on their way and keys are still waiting: it ends whole."""

from __future__ import annotations

import os
import random
import signal
import time
from pathlib import Path

import pytest
from screens_house import House
from screens_terminal import terminal

pytestmark = pytest.mark.skipif(os.name != "posix", reason="pseudo-terminals are POSIX")
WORDS = (
    "/records haddock\r",
    "/trace {lot}\r",
    "]C0{lot}\r",
    "/batch\r",
    "]C0{batch}\r",
    "/pack\r",
    "/landing\r",
    "x\r",
)


@pytest.mark.parametrize("seed", range(5))
def test_leaving_in_the_middle_of_work(tmp_path: Path, house: House, seed: int) -> None:
    """A signal at any moment ends the program with exit code 0, no fault kept and nothing said that is no sentence."""
    chance = random.Random(seed)
    acts = "".join(chance.choices(WORDS, k=6)).format(lot=house.lot, batch=house.batch)
    with terminal(tmp_path, script="screens_recording.py", arguments=[str(house.places.folder)]) as shown:
        shown.write(acts.encode())
        time.sleep(chance.random() * 0.4)
        shown.process.send_signal(signal.SIGTERM)
        assert shown.ended() == 0
        assert b"Traceback" not in shown.output
        assert b"No screens" not in shown.output
    assert not (house.places.folder / "faults.log").exists()
