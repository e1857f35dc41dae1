"""Pages added to a finished PDF one at a time, by an incremental update (ISO 32000-1, 7.5.6).

The library that makes fonts and forms keeps every page until the end and takes most of the time for it. So it makes the
first part of the file only: fonts, the shared form and one page that names both. Here that part is written out as it is,
then two small objects for each page, then a page tree that replaces the first one, and the places of all of them. Nothing
is kept but where each page lies.
"""

from __future__ import annotations

import re
import zlib
from array import array
from typing import BinaryIO

COMPRESSION = 6  # of zlib: a page of 1.5 kB shrinks to a third at either end of the scale, and 6 is near 1 in time


class PdfUpdate:
    """A PDF file that grows by pages; ``finish`` makes it whole."""

    def __init__(self, file: BinaryIO, base: bytes, media_pt: tuple[float, float]) -> None:
        """Begin with ``base``, a complete PDF of one page whose resources all pages will share."""
        self._file = file
        self._media = media_pt
        self._tree, self._info, self._root, self._first = (
            int(_found(rb"/%s (\d+)" % key, base)) for key in (b"Pages", b"Info", b"Root", b"Size")
        )
        self._resources = _found(rb"/Resources (<<[^<>]*<<[^<>]*>>\s*>>)", base)
        self._id = _found(rb"/ID\s*(\[.*?\])", base)
        self._previous = int(_found(rb"startxref\s+(\d+)", base))
        self._offsets = array("Q")
        self._at = 0
        self._write(base if base.endswith(b"\n") else base + b"\n")

    def add_page(self, content: str) -> None:
        """Add a page with this content stream, which is ASCII."""
        stream = zlib.compress(content.encode("ascii"), COMPRESSION)
        number = self._begin_object()
        self._write(b"<</Length %d/Filter/FlateDecode>>stream\n%b\nendstream endobj\n" % (len(stream), stream))
        self._begin_object()
        self._write(b"<</Type/Page/Parent %d 0 R/Contents %d 0 R>>endobj\n" % (self._tree, number))

    def finish(self) -> None:
        """Write the page tree and the places of all objects."""
        pages = len(self._offsets) // 2
        tree_at = self._at
        width, height = self._media
        self._write(b"%d 0 obj<</Type/Pages/Count %d/MediaBox[0 0 %.4f %.4f]" % (self._tree, pages, width, height))
        self._write(b"/Resources %b/Kids[" % self._resources)
        for page in range(pages):
            self._write(b"%d 0 R\n" % (self._first + 2 * page + 1))
        self._write(b"]>>endobj\n")
        table_at = self._at
        self._write(b"xref\n%d 1\n%010d 00000 n \n" % (self._tree, tree_at))
        self._write(b"%d %d\n" % (self._first, 2 * pages))
        for offset in self._offsets:
            self._write(b"%010d 00000 n \n" % offset)
        size, previous = self._first + 2 * pages, self._previous
        self._write(b"trailer<</Size %d/Root %d 0 R/Info %d 0 R/" % (size, self._root, self._info))
        self._write(b"ID%b/Prev %d>>\nstartxref\n%d\n%%%%EOF\n" % (self._id, previous, table_at))

    def _begin_object(self) -> int:
        number = self._first + len(self._offsets)
        self._offsets.append(self._at)
        self._write(b"%d 0 obj" % number)
        return number

    def _write(self, data: bytes) -> None:
        self._file.write(data)
        self._at += len(data)


def _found(pattern: bytes, data: bytes) -> bytes:
    match = re.search(pattern, data, re.DOTALL)
    if match is None:
        raise RuntimeError(f"The PDF library writes its files otherwise than this was made for: no {pattern!r}.")
    return match[1]
