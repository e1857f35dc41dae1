"""EPC URNs to Digital Link URIs, for events that others send.

EPC structure rule: the indicator or extension digit moves to the front and the check digit is added; compared with the
paired example files of github gs1/EPCIS.
"""

from __future__ import annotations

import re

from lotwake.labels.errors import WrongData
from lotwake.labels.gs1.digital_link import DEFAULT_STEM, write_digital_link
from lotwake.labels.gs1.elements import Element
from lotwake.labels.gs1.keys import check_digit

_URN = re.compile(
    r"urn:epc:(?P<kind>class:lgtin|idpat:sgtin|id:sgtin|id:sscc|id:sgln):(?P<prefix>\d+)\.(?P<reference>\d*)(?:\.(?P<tail>.+))?"
)


def digital_link_of_urn(urn: str, stem: str = DEFAULT_STEM) -> str:
    """Return the Digital Link URI of an LGTIN, SGTIN, SSCC or SGLN URN.

    Raises:
        WrongData: when the URN is of another kind or its digits do not make the key.
    """
    match = _URN.fullmatch(urn)
    if not match:
        raise WrongData(f"{urn!r} is not an EPC URN of a trade item, lot, logistic unit or location.")
    kind, prefix, reference, tail = match.group("kind", "prefix", "reference", "tail")
    if kind == "id:sscc":
        return write_digital_link([Element("00", _with_check(urn, reference[:1] + prefix + reference[1:], 17))], stem)
    if kind == "id:sgln":
        elements = [Element("414", _with_check(urn, prefix + reference, 12))]
        return write_digital_link(elements + ([Element("254", tail)] if tail not in (None, "0") else []), stem)
    elements = [Element("01", _with_check(urn, reference[:1] + prefix + reference[1:], 13))]
    if tail and tail != "*":
        elements.append(Element("10" if kind == "class:lgtin" else "21", tail))
    return write_digital_link(elements, stem)


def _with_check(urn: str, body: str, places: int) -> str:
    if len(body) != places:
        raise WrongData(f"{urn!r} has {len(body)} digits where {places} belong.")
    return f"{body}{check_digit(body)}"
