"""The table of speeds: figures break on the right side of their limits, and go where the README has room for them."""

from __future__ import annotations

import importlib.util
import sys
from pathlib import Path
from types import ModuleType

import pytest

ROOT = Path(__file__).parents[2]


@pytest.fixture(scope="module")
def figures() -> ModuleType:
    spec = importlib.util.spec_from_file_location("bench_figures", ROOT / "tests" / "bench" / "figures.py")
    assert spec is not None
    assert spec.loader is not None
    module = importlib.util.module_from_spec(spec)
    sys.modules[spec.name] = module
    spec.loader.exec_module(module)
    return module


@pytest.mark.parametrize(
    ("value", "limit", "at_least", "broken"),
    [(1.5, 1.5, False, False), (1.6, 1.5, False, True), (25, 25, True, False), (24, 25, True, True), (9, None, False, False)],
)  # fmt: skip
def test_a_figure_knows_whether_it_holds(
    figures: ModuleType, value: float, limit: float | None, at_least: bool, broken: bool
) -> None:
    """At its limit a figure holds; beyond it, on the side that counts, it is broken, and the run ends with 1."""
    report = figures.Report()
    report.add("anything", value, "x", limit, at_least)
    assert bool(report.broken) is broken
    assert report.verdict() == int(broken)


def test_the_table_goes_between_its_marks(figures: ModuleType, tmp_path: Path) -> None:
    """What stands between the marks is replaced, the rest is left; a page without marks is refused."""
    page = tmp_path / "page.md"
    page.write_text(f"before\n{figures.BEGIN}\nold\n{figures.END}\nafter\n", encoding="utf-8")
    figures.write_between_marks(page, figures.table([figures.Figure("a trace", 1.234, "x", 2.0)]))
    written = page.read_text(encoding="utf-8")
    assert "| a trace | 1.23 x | <= 2 x |" in written
    assert written.startswith("before\n")
    assert written.endswith("\nafter\n")
    assert "old" not in written
    page.write_text("nothing\n", encoding="utf-8")
    with pytest.raises(ValueError, match="has no"):
        figures.write_between_marks(page, [])


def test_the_readme_has_room_for_the_table() -> None:
    """The README holds both marks, once each and in order."""
    text = (ROOT / "README.md").read_text(encoding="utf-8")
    assert text.count("<!-- speed -->") == text.count("<!-- /speed -->") == 1
    assert text.index("<!-- speed -->") < text.index("<!-- /speed -->")
