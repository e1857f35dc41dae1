"""Specs with invented products, numbered under the demonstration prefix 952."""

from __future__ import annotations

import pytest
from label_specs import CASE, PACK

from lotwake.labels.layout.spec import CaseLabelSpec, LabelSpec


@pytest.fixture
def pack_spec() -> LabelSpec:
    """A pack that says everything a label can say."""
    return PACK


@pytest.fixture
def case_spec() -> CaseLabelSpec:
    """A case of 24 packs."""
    return CASE
