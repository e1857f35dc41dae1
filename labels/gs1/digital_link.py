"""GS1 Digital Link URIs both ways, uncompressed.

Rules as in the GS1 Barcode Syntax Engine (Apache-2.0), src/c-lib/dl.c: key in the path, its qualifiers behind it in
their order, everything else in the query. A ``+`` in the query means a space there and is therefore refused.
"""

from __future__ import annotations

import re
from collections.abc import Sequence
from urllib.parse import quote, unquote

from lotwake.labels.errors import WrongData
from lotwake.labels.gs1.elements import Element, Gs1Error, all_problems, checked

DEFAULT_STEM = "https://id.gs1.org"

# Path key -> the qualifier sequences that may follow it, each in this order and with gaps allowed.
KEY_QUALIFIERS: dict[str, tuple[tuple[str, ...], ...]] = {
    "00": ((),),
    "01": (("22", "10", "21"), ("235",)),
    "401": ((),),
    "402": ((),),
    "414": (("254",), ("7040",)),
    "417": (("7040",),),
}
NEVER_IN_QUERY = frozenset({"21", "22", "235", "8200"})

_HINT = "The form is https://domain/01/GTIN of 14 digits/10/lot?17=yymmdd."


def read_digital_link(uri: str) -> tuple[Element, ...]:
    """Return the elements of a Digital Link URI: key, qualifiers, then query attributes in their order.

    Raises:
        WrongData: when the text is no Digital Link; Gs1Error when its elements break GS1's rules.
    """
    match = re.fullmatch(r"(?:https?|HTTPS?)://([^/?#\s]+)(/[^?#\s]*)(?:\?([^#\s]*))?(?:#\S*)?", uri)
    if not match:
        raise WrongData(f"{uri!r} is not a GS1 Digital Link.", _HINT)
    _, path, query = match.groups()
    elements = (*_path_elements(uri, path), *_query_elements(uri, query or ""))
    if problems := all_problems(elements):
        raise Gs1Error(problems)
    return elements


def write_digital_link(elements: Sequence[Element], stem: str = DEFAULT_STEM) -> str:
    """Return the Digital Link URI of checked elements under ``stem`` (scheme, domain, optional path, no last slash).

    Raises:
        Gs1Error: when the elements break GS1's rules.
        WrongData: when no element can be the key, or one has no place in a URI.
    """
    by_ai = {element.ai: element.value for element in checked(elements)}
    key = next((ai for ai in KEY_QUALIFIERS if ai in by_ai), None)
    if key is None:
        raise WrongData("A Digital Link needs a key: (00), (01), (401), (402), (414) or (417).", _HINT)
    sequence = max(KEY_QUALIFIERS[key], key=lambda candidate: sum(ai in by_ai for ai in candidate))
    path = [key, *(ai for ai in sequence if ai in by_ai)]
    rest = [ai for ai in by_ai if ai not in path]
    for ai in rest:
        if ai in NEVER_IN_QUERY:
            raise WrongData(f"({ai}) has no place in a Digital Link with key ({key}).")
    uri = stem + "".join(f"/{ai}/{quote(by_ai[ai], safe='')}" for ai in path)
    return uri + "".join(f"{'&' if place else '?'}{ai}={quote(by_ai[ai], safe='')}" for place, ai in enumerate(rest))


def _path_elements(uri: str, path: str) -> list[Element]:
    segments = path.split("/")[1:]
    # Everything behind the key comes in pairs, so the key is looked for from the end; what stands before is the stem.
    for start in range(len(segments) - 2, -1, -2):
        if segments[start] in KEY_QUALIFIERS:
            pairs = list(zip(segments[start::2], segments[start + 1 :: 2], strict=True))
            key, *qualifiers = [ai for ai, _ in pairs]
            if not any(_in_order(qualifiers, sequence) for sequence in KEY_QUALIFIERS[key]):
                raise WrongData(f"The path of {uri!r} has AIs that may not follow ({key}) so.", _HINT)
            return [_element(uri, ai, unquote(value)) for ai, value in pairs]
    raise WrongData(f"{uri!r} has no GS1 key in its path.", _HINT)


def _query_elements(uri: str, query: str) -> list[Element]:
    elements = []
    for pair in filter(None, query.split("&")):
        ai, _, value = pair.partition("=")
        if not re.fullmatch(r"[0-9]+", ai):
            continue  # a key that is not all digits is no AI and is left to the web server
        if ai in NEVER_IN_QUERY:
            raise WrongData(f"({ai}) may not stand in the query of {uri!r}.", _HINT)
        elements.append(_element(uri, ai, unquote(value.replace("+", " "))))
    return elements


def _element(uri: str, ai: str, value: str) -> Element:
    if not value:
        raise WrongData(f"({ai}) has no value in {uri!r}.", _HINT)
    return Element(ai, value)


def _in_order(qualifiers: Sequence[str], sequence: Sequence[str]) -> bool:
    left = iter(sequence)
    return all(ai in left for ai in qualifiers)
