# ruff: noqa: T201 - it says what it wrote
"""Make the pictures of the README from the demo season.

    python tests/pictures.py

Each is the screen of the real program as SVG, drawn by a headless Chromium and kept as PNG under tests/pictures/.
"""

from __future__ import annotations

import asyncio
import re
import subprocess
import sys
import tempfile
from pathlib import Path

sys.path.insert(0, str(Path(__file__).parent / "trace" / "screens"))

from PIL import Image
from screens_house import do
from screens_seen import settle

from lotwake.demo_db.builder import build
from lotwake.trace.actions.desk import Desk, open_desk
from lotwake.trace.records.waiting import Urgency, waiting
from lotwake.trace.screens.program import house_app

PICTURES = Path(__file__).parent / "pictures"
SIZE = (100, 30)
COLOURS = 64


def scenes(desk: Desk) -> dict[str, list[str]]:
    """What is typed to come to each picture."""
    waits = waiting(desk.records, desk.now)
    to_pack, running, loose = (
        next((item.code for item in waits if item.urgency is urgency), "")
        for urgency in (Urgency.TO_PACK, Urgency.BATCH_RUNNING, Urgency.TO_CASE)
    )
    batch = running or to_pack
    return {
        "start": ["/start\r"],
        "packing": ["/pack\r", f"{to_pack}\r", "24"],
        "batch": ["\b\b", "/batch\r", f"{batch}\r"],
        "trace": ["/trace\r", f"{loose or batch}\r"],
        "recall": [
            "/as SK\r",
            "/suspect\r",
            "/draw 7\r",
            "\r",
            "150\r",
            "20\r",
            "10\r",
            "\r",
            "\r",
            "2\r",
            "/silent\r",
        ],
    }


async def pictures(desk: Desk, folder: Path) -> list[Path]:
    """One SVG for each scene."""
    app, made = house_app(desk), []
    async with app.run_test(size=SIZE):
        await settle(app)
        for name, typed in scenes(desk).items():
            await do(app, *typed)
            await asyncio.sleep(1)  # a trace is worked out in a thread of its own
            await settle(app)
            made.append(folder / f"{name}.svg")
            made[-1].write_text(app.export_screenshot(title="lotwake"), encoding="utf-8")
    app.drafts.close()
    return made


def draw(svg: Path) -> Path:
    """The SVG as a small PNG."""
    width, height = (
        round(float(side)) for side in re.findall(r'viewBox="0 0 ([\d.]+) ([\d.]+)"', svg.read_text("utf-8"))[0]
    )
    page = svg.with_suffix(".html")
    page.write_text(f'<body style="margin:0"><img src="{svg.name}" width="{width}"></body>', encoding="utf-8")
    raw = svg.with_suffix(".png")
    subprocess.run(
        ["chromium", "--headless", "--no-sandbox", "--hide-scrollbars", f"--screenshot={raw}",
         f"--window-size={width},{height}", page.as_uri()],
        check=True, capture_output=True,
    )  # fmt: skip
    out = PICTURES / raw.name
    Image.open(raw).convert("RGB").quantize(COLOURS).save(out, optimize=True)
    return out


def main() -> None:
    """Build the season, make the pictures, say how large they are."""
    PICTURES.mkdir(exist_ok=True)
    with tempfile.TemporaryDirectory() as folder:
        built = build(Path(folder) / "house")
        desk = open_desk(built.places, None)
        for svg in asyncio.run(pictures(desk, Path(folder))):
            out = draw(svg)
            print(f"{out.name} {out.stat().st_size // 1024} KB")
        desk.close()


if __name__ == "__main__":
    main()
