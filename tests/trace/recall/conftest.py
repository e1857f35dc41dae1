"""The small chain for every test of this folder."""

from __future__ import annotations

import sys
from pathlib import Path
from typing import Any

import pytest

sys.path.insert(0, str(Path(__file__).parent))  # the helpers beside the tests

from recall_chain import Sent, make_chain


@pytest.fixture
def sent(house: Any) -> Sent:
    """A fresh house in which the small chain has happened."""
    return make_chain(house)
