"""As much of the Internet Printing Protocol (RFC 8010, 8011) as it takes to print a PDF and to ask whether it arrived.

Every printer of the last ten years speaks it, so labels go out without drivers and without CUPS. The libraries there are
for it bring an asynchronous web client with them; two operations over ``http.client`` need none.
"""

from __future__ import annotations

import http.client
import itertools
import struct
from collections.abc import Iterator
from dataclasses import dataclass
from urllib.parse import urlsplit

from lotwake.labels.errors import WrongData

PRINT_JOB, GET_JOBS = 0x0002, 0x000A
_OPERATION, _JOB, _END = b"\x01", b"\x02", b"\x03"
_INTEGER, _NAME, _KEYWORD, _URI, _CHARSET, _LANGUAGE, _MIME = 0x21, 0x42, 0x44, 0x45, 0x47, 0x48, 0x49
_COLLECTION, _COLLECTION_END, _MEMBER = 0x34, 0x37, 0x4A
_DEFAULT_PORT = 631
_request_ids = itertools.count(1)


class NotReached(Exception):
    """No connection came about, so nothing was sent."""


class Refusal(Exception):
    """The printer answered that it does not take the job."""


class NoAnswer(Exception):
    """The connection broke after the job was on its way: it may have arrived."""


@dataclass(frozen=True)
class Media:
    """Size of a page in millimetres."""

    width_mm: float
    height_mm: float


@dataclass(frozen=True)
class Answer:
    """The status of a response and its attributes, in their order and as text."""

    status: int
    attributes: tuple[tuple[str, str], ...]


def print_job(uri: str, job_name: str, document: bytes, media: Media, copies: int, timeout_s: float) -> None:
    """Send a PDF to the printer at ``uri`` (``ipp://host:port/path``), unscaled, on pages of the given size.

    Raises:
        NotReached, Refusal, NoAnswer: as they say.
        WrongData: when ``uri`` is no address of a printer.
    """
    size = _collection(
        _attribute(_MEMBER, "", b"x-dimension") + _integer("", round(media.width_mm * 100))
        + _attribute(_MEMBER, "", b"y-dimension") + _integer("", round(media.height_mm * 100))
    )  # fmt: skip
    job = (
        _integer("copies", copies)
        + _attribute(_KEYWORD, "print-scaling", b"none")
        + _attribute(_COLLECTION, "media-col", b"") + _attribute(_MEMBER, "", b"media-size") + size
        + _attribute(_COLLECTION_END, "", b"")
    )  # fmt: skip
    head = _head(PRINT_JOB, uri) + _attribute(_NAME, "job-name", job_name.encode())
    head += _attribute(_MIME, "document-format", b"application/pdf")
    answer = _ask(uri, head + _JOB + job + _END + document, timeout_s)
    if answer.status >= 0x0100:
        said = dict(answer.attributes).get("status-message", "")
        raise Refusal(f"status {answer.status:#06x} {said}".strip())


def has_job(uri: str, job_name: str, timeout_s: float) -> bool:
    """True when the printer knows a job of this name, waiting, printing or printed.

    Raises:
        NotReached, Refusal, NoAnswer: as they say.
    """
    for which in (b"not-completed", b"completed"):
        head = _head(GET_JOBS, uri) + _attribute(_KEYWORD, "which-jobs", which)
        wanted = _attribute(_KEYWORD, "requested-attributes", b"job-name")
        answer = _ask(uri, head + wanted + _END, timeout_s)
        if answer.status >= 0x0100:
            raise Refusal(f"status {answer.status:#06x}")
        if ("job-name", job_name) in answer.attributes:
            return True
    return False


def _ask(uri: str, body: bytes, timeout_s: float) -> Answer:
    parts = urlsplit(uri)
    if parts.scheme not in ("ipp", "ipps") or not parts.hostname:
        raise WrongData(f"{uri!r} is no printer address.", "It looks like ipp://printer.local:631/ipp/print.")
    kind = http.client.HTTPSConnection if parts.scheme == "ipps" else http.client.HTTPConnection
    connection = kind(parts.hostname, parts.port or _DEFAULT_PORT, timeout=timeout_s)
    try:
        connection.connect()
    except OSError as error:
        raise NotReached(error.strerror or str(error)) from error
    try:
        connection.request("POST", parts.path or "/", body, {"Content-Type": "application/ipp"})
        response = connection.getresponse()
        data = response.read()
    except (OSError, http.client.HTTPException) as error:
        raise NoAnswer(str(error)) from error
    finally:
        connection.close()
    if response.status != http.client.OK:
        raise Refusal(f"HTTP {response.status} {response.reason}")
    return _read(data)


def _head(operation: int, uri: str) -> bytes:
    return (
        struct.pack(">BBHI", 2, 0, operation, next(_request_ids)) + _OPERATION
        + _attribute(_CHARSET, "attributes-charset", b"utf-8")
        + _attribute(_LANGUAGE, "attributes-natural-language", b"en")
        + _attribute(_URI, "printer-uri", uri.encode())
        + _attribute(_NAME, "requesting-user-name", b"lotwake")
    )  # fmt: skip


def _attribute(tag: int, name: str, value: bytes) -> bytes:
    return struct.pack(">BH", tag, len(name)) + name.encode() + struct.pack(">H", len(value)) + value


def _integer(name: str, value: int) -> bytes:
    return _attribute(_INTEGER, name, struct.pack(">i", value))


def _collection(members: bytes) -> bytes:
    return _attribute(_COLLECTION, "", b"") + members + _attribute(_COLLECTION_END, "", b"")


def _read(data: bytes) -> Answer:
    try:
        _, _, status, _ = struct.unpack_from(">BBHI", data)
        return Answer(status, tuple(_attributes(data, 8)))
    except struct.error as error:
        raise Refusal("an answer that is no IPP") from error


def _attributes(data: bytes, at: int) -> Iterator[tuple[str, str]]:
    name = ""
    while data[at : at + 1] not in (_END, b""):
        tag = data[at]
        at += 1
        if tag <= 0x0F:  # a new group begins
            continue
        (length,) = struct.unpack_from(">H", data, at)
        name = data[at + 2 : at + 2 + length].decode(errors="replace") or name
        at += 2 + length
        (length,) = struct.unpack_from(">H", data, at)
        yield name, data[at + 2 : at + 2 + length].decode(errors="replace")
        at += 2 + length
