"""Read the codes in a photographed label."""

from __future__ import annotations

from pathlib import Path

from lotwake.trace.base.errors import CallError, MachineFailed

PICTURES = (".png", ".jpg", ".jpeg", ".bmp", ".tif", ".tiff", ".webp")


def codes_in_picture(path: Path) -> list[str]:
    """What the bar codes in a picture say, each with its symbology identifier in front as a scanner sends it.

    CallError when none can be read; MachineFailed when this machine has no reader.
    """
    try:
        import zxingcpp
        from PIL import Image, UnidentifiedImageError
    except ImportError as missing:
        raise MachineFailed(
            f"Pictures cannot be read here: {missing.name} is not installed.", "Type the code below the bars."
        ) from None
    try:
        with Image.open(path) as picture:
            found = zxingcpp.read_barcodes(picture.convert("L"))
    except (UnidentifiedImageError, OSError) as error:
        raise CallError(
            f"{path.name} is not a picture that can be read: {error}.", "Type the code below the bars."
        ) from None
    texts = [code.symbology_identifier + code.text for code in found if code.text]
    if not texts:
        raise CallError(
            f"No bar code can be read in {path.name}.", "Ask for a sharper one, or for the number below it."
        )
    return list(dict.fromkeys(texts))
