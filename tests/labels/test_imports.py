"""What importing the light parts of the package costs."""

from __future__ import annotations

import subprocess
import sys

LIGHT = (
    "gs1.scan",
    "gs1.epc",
    "gs1.measures",
    "gs1.prefixes",
    "barcodes.dots",
    "checks.check",
    "checks.markets",
    "layout.spec",
    "layout.stock",
    "layout.type_sizes",
    "printing.spool",
)


def test_light_modules_leave_the_heavy_libraries_alone() -> None:
    """GS1 data, specs, stock, markets and printers can be named without loading what draws and decodes, or trace."""
    imports = "; ".join(f"import lotwake.labels.{name}" for name in LIGHT)
    heavy = (
        "[name for name in ('reportlab', 'barcode', 'zxingcpp', 'pypdfium2', 'lotwake.trace') if name in sys.modules]"
    )
    code = f"import sys; {imports}; print({heavy})"
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    assert done.stdout.strip() == "[]"
