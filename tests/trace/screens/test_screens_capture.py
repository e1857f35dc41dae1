"""The capture: which keys are a scan, which are a person's."""

from __future__ import annotations

from dataclasses import dataclass

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from lotwake.trace.screens.capture import (
    Broken,
    Capture,
    Outcome,
    Pasted,
    Released,
    Scanned,
    ScannerProfile,
    Stroke,
)

KEYS = {"]": "right_square_bracket", "\r": "enter", "\n": "ctrl+j", "\t": "tab", "\x1d": "ctrl+right_square_bracket"}
# 82 characters of GS1 element strings (GS1 General Specifications, figure 7.11-1), from memory; "]" is not among them.
GS1_SIGNS = "!\"%&'()*+,-./0123456789:;<=>?ABCDEFGHIJKLMNOPQRSTUVWXYZ_abcdefghijklmnopqrstuvwxyz"


def stroke(sign: str, at_s: float) -> Stroke:
    """A key as Textual names it."""
    return Stroke(KEYS.get(sign, sign), sign, at_s)


def strokes(text: str, start_s: float = 0.0, gap_s: float = 0.001) -> list[Stroke]:
    """The text typed at an even pace."""
    return [stroke(sign, start_s + number * gap_s) for number, sign in enumerate(text)]


def fed(capture: Capture, keys: list[Stroke], shielded: bool = False) -> list[Outcome]:
    """All outcomes of the keys and of the second after them."""
    outcomes = [outcome for key in keys for outcome in capture.stroke(key, shielded)]
    return outcomes + capture.passed(keys[-1].at_s + 10.0)


def told(outcomes: list[Outcome]) -> list[str]:
    """Outcomes as short words, with released keys one by one."""
    words: list[str] = []
    for outcome in outcomes:
        match outcome:
            case Scanned(text):
                words.append(f"scan {text}")
            case Released(keys):
                words += [f"key {key.character}" for key in keys]
            case Broken(_, text):
                words.append(f"broken {text}")
            case Pasted(text):
                words.append(f"paste {text}")
    return words


def test_gs1_signs_are_82_and_the_prefix_is_not_one() -> None:
    """The prefix can stand for a new scan because no GS1 element string holds it."""
    assert len(set(GS1_SIGNS)) == 82
    assert "]" not in GS1_SIGNS


@pytest.mark.parametrize(
    ("typed", "meant"),
    [
        ("]C10112\r", ["scan ]C10112"]),
        ("]C10112\n", ["scan ]C10112"]),
        ("]C10112\t", ["scan ]C10112"]),
        ("]C10112\r\n", ["scan ]C10112"]),
        ("]C1AB\x1d21X\r", ["scan ]C1AB\x1d21X"]),
        ("v]C1A\r]d2B\r", ["key v", "scan ]C1A", "scan ]d2B"]),
        ("]C1A]C1B\r", ["broken ]C1A", "scan ]C1B"]),
        ("24\r", ["key 2", "key 4", "key \r"]),
        ("]C1A\r24\r", ["scan ]C1A", "key 2", "key 4", "key \r"]),
        ("]\r", ["broken ]"]),
        ("\x1d7", ["key \x1d", "key 7"]),
    ],
)
def test_prefix_mode(typed: str, meant: list[str]) -> None:
    """With an identifier in front, a scan is known whatever stands around it."""
    assert told(fed(Capture(), strokes(typed))) == meant


@pytest.mark.parametrize("character", ["\x1d", None, "]"])
def test_gs_is_known_by_its_key_name(character: str | None) -> None:
    """The separator is recognised whichever character the terminal gives it."""
    keys = [*strokes("]C1A"), Stroke("ctrl+right_square_bracket", character, 0.01), *strokes("B\r", 0.02)]
    assert told(fed(Capture(), keys)) == ["scan ]C1A\x1dB"]


@pytest.mark.parametrize("stand_in", ["~", "f12"])
def test_stand_in_for_gs(stand_in: str) -> None:
    """A sign or key that the scanner sends for GS is taken as GS."""
    keys = [*strokes("]C1A"), Stroke(stand_in, stand_in if len(stand_in) == 1 else None, 0.01), *strokes("B\r", 0.02)]
    assert told(fed(Capture(ScannerProfile(stand_in=stand_in)), keys)) == ["scan ]C1A\x1dB"]


def test_escape_just_before_a_scan() -> None:
    """An Esc that the terminal melts with the prefix into an Alt key does not cost the scan."""
    keys = [Stroke("alt+right_square_bracket", "]", 0.0), *strokes("C1A\r", 0.01)]
    assert told(fed(Capture(), keys)) == ["scan ]C1A"]


def test_a_lone_prefix_is_given_back() -> None:
    """A person's ``]`` comes through after 0.3 s, before the key that follows."""
    assert told(fed(Capture(), [stroke("]", 0.0), stroke("x", 0.5)])) == ["key ]", "key x"]


@pytest.mark.parametrize(
    ("keys", "meant"),
    [
        ([*strokes("]C1AB"), *strokes("CD\r", 1.2), *strokes("7", 1.3)], ["broken ]C1AB", "key 7"]),
        ([*strokes("]C1AB"), *strokes("7", 3.0)], ["broken ]C1AB", "key 7"]),
        ([*strokes("]C1"), Stroke("f8", None, 0.01), *strokes("AB\r7", 0.02)], ["broken ]C1", "key 7"]),
        ([*strokes("]C1"), Stroke("f8", None, 0.01), *strokes("]C1B\r", 0.02)], ["broken ]C1", "scan ]C1B"]),
        ([*strokes("]" + "A" * 600 + "\r"), *strokes("7", 9.0)], ["broken ]" + "A" * 511, "key 7"]),
    ],
    ids=["torn", "torn, then typing", "a key between", "next scan after a break", "endless"],
)
def test_broken_scans_are_told_and_never_typed(keys: list[Stroke], meant: list[str]) -> None:
    """What breaks off is reported once, its rest swallowed, and what comes after is taken."""
    assert told(fed(Capture(), keys)) == meant


@pytest.mark.parametrize(
    ("keys", "meant"),
    [
        (strokes("95012345\r"), ["scan 95012345"]),
        (strokes("24\r", gap_s=0.08), ["key 2", "key 4", "key \r"]),
        (strokes("24\r", gap_s=0.001), ["key 2", "key 4", "key \r"]),
        ([stroke("v", 0.0), *strokes("95012345\r", 0.2)], ["key v", "scan 95012345"]),
        ([*strokes("95012"), *strokes("345\r", 0.5)], ["scan 95012345"]),
        (strokes("]C1A\r"), ["scan ]C1A"]),
        ([*strokes("95012345"), stroke("x", 5.0)], ["broken 95012345", "key x"]),
    ],
)
def test_timing_mode(keys: list[Stroke], meant: list[str]) -> None:
    """Without identifier, five keys closer than 35 ms begin a scan; slower ones are a person's."""
    assert told(fed(Capture(ScannerProfile(prefixed=False)), keys)) == meant


def test_shield_reports_a_scan_without_identifier() -> None:
    """Where no text field has the focus, a burst without identifier fires nothing and is named."""
    outcomes = fed(Capture(), strokes("95012345\r"), shielded=True)
    assert told(outcomes) == ["broken 95012345"]
    assert "identifier" in outcomes[0].reason  # type: ignore[union-attr]


@pytest.mark.parametrize(
    ("text", "meant"),
    [
        ("]C1A\x1dB\n]d2C\r\n", ["scan ]C1A\x1dB", "scan ]d2C"]),
        ("A\x1dB", ["paste A\x1dB"]),
        ("]C1A\nB", ["paste ]C1A\nB"]),
        ("", ["paste "]),
    ],
)
def test_paste(text: str, meant: list[str]) -> None:
    """A paste is split at CR and LF only, and is scans when every line has the identifier."""
    assert told(Capture().paste(text, 0.0)) == meant


def test_paste_breaks_an_open_scan() -> None:
    """A paste in the middle of a scan is not mixed into it."""
    capture = Capture()
    outcomes = [o for key in strokes("]C1A") for o in capture.stroke(key)] + capture.paste("x", 0.01)
    assert told(outcomes) == ["broken ]C1A", "paste x"]


@dataclass(frozen=True)
class Act:
    """One scan or one typed key, with the gaps before each of its keys."""

    text: str
    scan: bool
    gaps_s: tuple[float, ...]


@st.composite
def acts(draw: st.DrawFn) -> list[Act]:
    """Scans and typed keys in any mixture and at any pace a scanner or a person can have."""
    made = []
    for _ in range(draw(st.integers(1, 12))):
        scan = draw(st.booleans())
        text = "]" + draw(st.text(GS1_SIGNS + "\x1d", min_size=1, max_size=30)) + "\r"
        text = text if scan else draw(st.sampled_from("07azAZ/+-\r\t"))
        second_s = st.floats(0, 0.29, allow_nan=False)
        later_s = st.floats(0, 0.99, allow_nan=False)
        first_s = st.floats(0, 3.0, allow_nan=False)
        gaps = [draw(first_s), *(draw(second_s if n == 0 else later_s) for n in range(len(text) - 1))]
        made.append(Act(text, scan, tuple(gaps)))
    return made


@settings(max_examples=150, deadline=None)
@given(acts(), st.lists(st.floats(0, 1, allow_nan=False), max_size=40))
def test_time_and_chunking_never_change_scans(made: list[Act], looks: list[float]) -> None:
    """Whatever the pace and whenever the program looks at the clock, all scans and keys come out, in order."""
    capture, now_s, outcomes = Capture(), 0.0, list[Outcome]()
    for act in made:
        for sign, gap_s in zip(act.text, act.gaps_s, strict=True):
            if looks:
                outcomes += capture.passed(now_s + gap_s * looks.pop())
            now_s += gap_s
            outcomes += capture.stroke(stroke(sign, now_s))
    outcomes += capture.passed(now_s + 10)
    assert told(outcomes) == [f"scan {act.text[:-1]}" if act.scan else f"key {act.text}" for act in made]


@settings(max_examples=150, deadline=None)
@given(
    st.lists(st.tuples(st.sampled_from("]A7\r\n\t\x1d"), st.floats(0, 1.5, allow_nan=False)), min_size=1, max_size=60),
    st.booleans(),
    st.booleans(),
)
def test_no_key_is_doubled_or_reordered(keys: list[tuple[str, float]], prefixed: bool, shielded: bool) -> None:
    """Of any keys whatever, those given back are in their order, each once, and none is also part of a scan."""
    capture, now_s, given_in, outcomes = Capture(ScannerProfile(prefixed)), 0.0, [], list[Outcome]()
    for sign, gap_s in keys:
        now_s += gap_s + 1e-6
        given_in.append(stroke(sign, now_s))
        outcomes += capture.stroke(given_in[-1], shielded)
    outcomes += capture.passed(now_s + 10)
    assert capture.deadline_s is None
    spans = [(o.first_s, o.last_s) for o in outcomes if isinstance(o, Scanned)]
    times = [key.at_s for o in outcomes if isinstance(o, Released) for key in o.strokes]
    assert times == sorted(set(times))
    assert spans == sorted(spans)
    assert not [at_s for at_s in times for first_s, last_s in spans if first_s <= at_s <= last_s]
