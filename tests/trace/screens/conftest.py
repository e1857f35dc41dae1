"""Lets the tests of this folder share the demo pages and the screen dump; keeps colours as the program sets them."""

import os
import sys
from pathlib import Path

sys.path.insert(0, str(Path(__file__).parent))
for name in ("NO_COLOR", "TEXTUAL_THEME", "TEXTUAL"):
    os.environ.pop(name, None)
