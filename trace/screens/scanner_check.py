"""What three test codes say about a scanner. Pure: what was on paper against what arrived.

The sheet carries GS1-128 codes: one with signs that another country's keyboard or Caps Lock changes, one with a
separator inside, one of digits. The layouts named are those of the keyboards themselves (common practice).
"""

from __future__ import annotations

from dataclasses import dataclass

from lotwake.trace.screens.capture import GS

IDENTIFIER_LENGTH = 3  # "]C1": ISO/IEC 15424
SLOW_MS = 35.0  # keys further apart than this are taken for a person's where no identifier comes


@dataclass(frozen=True)
class PrintedTest:
    """``elements`` are (AI, value) as printed, ``title`` what stands over the bars; ``data`` is what must arrive."""

    title: str
    elements: tuple[tuple[str, str], ...]

    @property
    def data(self) -> str:
        """The element string; the last field but one is of variable length, so GS ends it."""
        return GS.join(f"{ai}{value}" for ai, value in self.elements)


TEST_CODES = (
    PrintedTest("TEST 1  signs", (("91", "QWAZYM-/09"),)),
    PrintedTest("TEST 2  separator", (("91", "AZ09"), ("92", "20304"))),
    PrintedTest("TEST 3  digits", (("91", "3141592653589793"),)),
)


@dataclass(frozen=True)
class Arrived:
    """What one test code came as: its identifier (empty without one), the rest, the end key, ms between two keys."""

    identifier: str
    data: str
    end: str = "enter"
    gap_ms: float | None = None


@dataclass(frozen=True)
class Finding:
    """What one code showed: ``fault`` and what to do about it, both empty when it came as printed; ``stand_in`` for GS."""

    fault: str = ""
    remedy: str = ""
    stand_in: str = ""


def arrived_as_line(text: str, code: PrintedTest) -> Arrived:
    """A code that was typed like any text: the identifier, if one came, was changed on the way."""
    surplus = len(text) - len(code.data)
    if surplus == IDENTIFIER_LENGTH or (surplus == IDENTIFIER_LENGTH - 1 and GS in code.data):
        return Arrived(text[:IDENTIFIER_LENGTH], text[IDENTIFIER_LENGTH:])
    return Arrived("", text)


def judged(code: PrintedTest, came: Arrived) -> Finding:
    """Compare what arrived with what is printed and name the first fault."""
    sent, got = code.data, came.data
    if came.identifier and not came.identifier.startswith("]"):
        return _other_keyboard([("]", came.identifier[0]), *_changed(sent, got)])
    if got == sent:
        return _without_identifier() if not came.identifier else Finding()
    if got == sent.swapcase():
        return Finding("Caps Lock is on: capitals came as small letters.", "Press Caps Lock once and scan it again.")
    if GS in sent and got == sent.replace(GS, ""):
        if not came.identifier:
            return _without_identifier()
        return Finding(
            "The separator GS was lost: two fields run together.",
            "Set the scanner to send ASCII 29, or another sign for it, and scan it again.",
        )
    changed = _changed(sent, got)
    if [was for was, _now in changed] == [GS]:
        return Finding(stand_in=changed[0][1])
    if changed:
        return _other_keyboard(changed)
    if got and (sent.startswith(got) or sent.endswith(got)):
        return Finding(
            f"Only {len(got)} of {len(sent)} signs came.", "Set a pause of a few ms between keys in the scanner."
        )
    return Finding(f"This is not {code.title.split('  ')[0]} of the sheet.", "Scan the code that is asked for.")


def habits(found: list[tuple[Arrived, Finding]]) -> list[str]:
    """What was learned, one sentence a line, with what house.toml should say."""
    last = found[-1][0]
    stand_in = next((finding.stand_in for _came, finding in found if finding.stand_in), "")
    gaps = [came.gap_ms for came, _finding in found if came.gap_ms is not None]
    identified = all(came.identifier for came, _finding in found)
    said = [
        f'identifier {last.identifier or "none"}: house.toml says scanner = "{"prefix" if identified else "timing"}"',
        f"end mark {'Tab' if last.end == 'tab' else 'Enter'}",
        f'GS comes as {stand_in}: house.toml says separator = "{stand_in}"' if stand_in else "GS comes as ASCII 29",
    ]
    if gaps:
        said.append(f"{max(gaps):.1f} ms between two keys")
    return said


def _without_identifier() -> Finding:
    return Finding(
        "The scanner sends no identifier in front.",
        'Set it to send the AIM identifier; if it cannot, write scanner = "timing" in house.toml.',
    )


def _other_keyboard(changed: list[tuple[str, str]]) -> Finding:
    pairs = ", ".join(f"{was} came as {now}" for was, now in dict(changed).items())
    return Finding(
        f"Scanner and computer are set to different keyboards: {pairs}.",
        "Set both to the same country's keyboard and scan it again.",
    )


def _changed(sent: str, got: str) -> list[tuple[str, str]]:
    """Which signs came as which others; nothing when the lengths differ or most signs differ."""
    if len(sent) != len(got):
        return []
    pairs = [(was, now) for was, now in zip(sent, got, strict=True) if was != now]
    return pairs if all(now == dict(pairs)[was] for was, now in pairs) and len(set(got) & set(sent)) > 3 else []
