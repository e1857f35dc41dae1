"""The house stands: packages, import rules, and names that must not collide."""

from __future__ import annotations

import subprocess
import sys
import tomllib
from pathlib import Path

import pytest

ROOT = Path(__file__).parents[2]
PROJECT = tomllib.loads((ROOT / "pyproject.toml").read_text(encoding="utf-8"))
FOLDERS = ("trace", "labels", "demo_db")


def test_every_package_is_listed() -> None:
    """Every folder with Python files in it is a package that the wheel carries, and none is listed that is not there."""
    found = {
        "lotwake." + ".".join(path.parent.relative_to(ROOT).parts)
        for folder in FOLDERS
        for path in (ROOT / folder).rglob("__init__.py")
    }
    loose = {path.parent for folder in FOLDERS for path in (ROOT / folder).rglob("*.py")}
    assert {path for path in loose if not (path / "__init__.py").exists()} == set()
    assert found == set(PROJECT["tool"]["setuptools"]["packages"])


def test_import_rules_hold() -> None:
    """The import contracts in pyproject.toml are kept."""
    ran = subprocess.run(
        [str(Path(sys.executable).with_name("lint-imports")), "--no-cache"],
        cwd=ROOT,
        capture_output=True,
        text=True,
        check=False,
    )
    assert ran.returncode == 0, ran.stdout


def test_the_standard_trace_module_is_still_there() -> None:
    """`import trace` is Python's own module, with Lotwake installed."""
    ran = subprocess.run(
        [sys.executable, "-c", "import trace, lotwake.trace; print(trace.Trace.__module__, lotwake.trace.__name__)"],
        capture_output=True,
        text=True,
        check=True,
        cwd=Path(sys.prefix),
    )
    assert ran.stdout.split() == ["trace", "lotwake.trace"]


def test_textual_is_pinned_exactly() -> None:
    """The scanner capture reads one private hook of Textual, so it and the chart drawn in it are pinned."""
    pins = [need for need in PROJECT["project"]["dependencies"] if need.startswith("textual")]
    assert [pin.partition("==")[0] for pin in pins if "==" in pin] == ["textual", "textual-plotext"]


@pytest.mark.parametrize("need", PROJECT["project"]["dependencies"])
def test_every_dependency_is_explained(need: str) -> None:
    """Each runtime dependency stands in the contributor's guide with what it saves us from writing."""
    name = need.split("==")[0].split(">=")[0]
    assert f"| {name}" in (ROOT / "DEVELOPERS.md").read_text(encoding="utf-8")


def test_the_wheel_works_elsewhere(tmp_path: Path) -> None:
    """A wheel, built and installed in another folder, carries every package, the fonts and the migrations, and runs."""
    wheels, target, empty = tmp_path / "wheels", tmp_path / "installed", tmp_path / "empty"
    empty.mkdir()
    pip = [sys.executable, "-m", "pip", "--quiet", "--disable-pip-version-check"]
    subprocess.run([*pip, "wheel", str(ROOT), "--no-deps", "--no-build-isolation", "-w", str(wheels)], check=True)
    (wheel,) = wheels.glob("*.whl")
    subprocess.run([*pip, "install", str(wheel), "--no-deps", "--target", str(target)], check=True)
    code = (
        "import sys, lotwake.trace.cli.main as m; assert m.__file__.startswith(sys.argv[1]), m.__file__;"
        "sys.exit(m.main(['demo', '--tour', '--into', sys.argv[2]]))"
    )
    ran = subprocess.run(
        [sys.executable, "-c", code, str(target), str(empty / "season")],
        env={"PYTHONPATH": str(target), "PATH": "/usr/bin:/bin", "HOME": str(empty)},
        cwd=empty,
        capture_output=True,
        text=True,
        check=False,
    )
    assert ran.returncode == 0, ran.stderr
    assert "GOOD" in ran.stdout or "journal" in ran.stdout
