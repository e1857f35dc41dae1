"""Two sets of colours of our own, day and night; every text at least 4.5:1 on its ground (WCAG 2.2, 1.4.3)."""

from __future__ import annotations

from textual.theme import Theme

_NIGHT = {
    "ground": "#0e1416",
    "ink": "#e9ede6",
    "raised": "#1b2529",
    "faint-text": "#a9b8b6",
    "key-text": "#f0c75e",
    "marked": "#e9ede6",
    "marked-text": "#0e1416",
    "good": "#0f5a34",
    "check": "#e3b23c",
    "stop": "#9c1c1c",
    "wrong-text": "#ff9d8a",
}
_DAY = {
    "ground": "#fbfaf5",
    "ink": "#14191b",
    "raised": "#e6e8e1",
    "faint-text": "#4c5654",
    "key-text": "#7a3d00",
    "marked": "#14191b",
    "marked-text": "#fbfaf5",
    "good": "#0f5a34",
    "check": "#f2c14e",
    "stop": "#9c1c1c",
    "wrong-text": "#9c1c1c",
}
_BOTH = {"good-text": "#ffffff", "check-text": "#14191b", "stop-text": "#ffffff"}


def _theme(name: str, colours: dict[str, str], dark: bool) -> Theme:
    return Theme(
        name=name,
        primary=colours["key-text"],
        secondary=colours["faint-text"],
        accent=colours["key-text"],
        warning=colours["check"],
        error=colours["wrong-text"],
        success=colours["good"],
        foreground=colours["ink"],
        background=colours["ground"],
        surface=colours["ground"],
        panel=colours["raised"],
        dark=dark,
        variables={
            **colours,
            **_BOTH,
            "input-cursor-background": colours["marked"],
            "input-cursor-foreground": colours["marked-text"],
            "input-cursor-text-style": "none",
            "input-selection-background": colours["marked"],
            "input-selection-foreground": colours["marked-text"],
            "block-cursor-background": colours["marked"],
            "block-cursor-foreground": colours["marked-text"],
            "block-cursor-blurred-background": colours["marked"],
            "block-cursor-blurred-foreground": colours["marked-text"],
            "block-hover-background": colours["raised"],
            "scrollbar": colours["faint-text"],
            "scrollbar-background": colours["raised"],
            "scrollbar-corner-color": colours["raised"],
        },
    )


NIGHT = _theme("night", _NIGHT, dark=True)
DAY = _theme("day", _DAY, dark=False)
THEMES = (NIGHT, DAY)
