"""The files that a report carries, read out of the PDF as the typesetter writes it.

A small reader for exactly that shape (PDF 1.7 with a plain table of objects), so that verifying needs no PDF library.
"""

from __future__ import annotations

import re
import zlib
from collections.abc import Iterator, Mapping, Set

from clampbook.faults import Fault
from clampbook.record.sealed.names import REPORT
from clampbook.record.sealed.told import fault
from clampbook.work.frozen import RecordFault

_START = re.compile(rb"startxref\s+(\d+)\s+%%EOF\s*\Z")
_ROOT = re.compile(rb"/Root (\d+) 0 R")
_NAMES = re.compile(rb"/EmbeddedFiles<</Names\[(.*?)\]>>", re.DOTALL)
_NAME = re.compile(rb"\(([A-Za-z0-9._-]+)\)\s*(\d+) 0 R")
_FILE = re.compile(rb"/EF<</F (\d+) 0 R")
_STREAM = re.compile(rb"<<(.*?)>>\s*stream\r?\n", re.DOTALL)
_LENGTH = re.compile(rb"/Length (\d+)")
_MOST = 400_000_000  # bytes of one file


def attached(pdf: bytes) -> dict[str, bytes]:
    """The attached files by name. Raises RecordFault where the PDF is not as a report is written."""
    try:
        places = _places(pdf)
        catalog = _object(pdf, places, _number(_ROOT, pdf[-2000:]))
        names = _NAMES.search(catalog)
        listed = _NAME.findall(names[1]) if names is not None else []
        return {name.decode(): _content(pdf, places, int(number)) for name, number in listed}
    except (KeyError, ValueError, IndexError, zlib.error) as error:
        raise RecordFault(f"report.pdf cannot be read as it was written ({error}).") from error


def carried_faults(files: Mapping[str, bytes], due: Set[str]) -> Iterator[Fault]:
    """Where the report does not carry every file that was `due` when it was printed, byte for byte, and no other."""
    try:
        carried = attached(files[REPORT])
    except RecordFault as refused:
        yield fault("S513", REPORT, refused.sentence)
        return
    for name in sorted(due | carried.keys()):
        if name not in carried:
            yield fault("S513", REPORT, f"it does not carry {name}")
        elif name not in files:
            yield fault("S513", REPORT, f"it carries {name}, which is not there")
        elif carried[name] != files[name]:
            yield fault("S513", REPORT, f"it carries another {name} than the one beside it")


def _places(pdf: bytes) -> dict[int, int]:
    """Where each object begins, from the table at the end."""
    start = _START.search(pdf[-200:])
    if start is None:
        raise ValueError("it does not end as a PDF ends")
    table = pdf[int(start[1]) :]
    head = re.match(rb"xref\s+0 (\d+)\s+", table)
    if head is None:
        raise ValueError("it has no table of objects")
    rows = (table[head.end() + 20 * row : head.end() + 20 * row + 20] for row in range(int(head[1])))
    return {number: int(row[:10]) for number, row in enumerate(rows) if row[17:18] == b"n"}


def _object(pdf: bytes, places: dict[int, int], number: int) -> bytes:
    begin = places[number]
    if not pdf.startswith(b"%d 0 obj" % number, begin):
        raise ValueError(f"object {number} is not in its place")
    end = pdf.find(b"endobj", begin)
    return pdf[begin : end if end >= 0 else len(pdf)]


def _content(pdf: bytes, places: dict[int, int], number: int) -> bytes:
    file = _number(_FILE, _object(pdf, places, number))
    begin = places[file]
    head = _STREAM.search(pdf, begin, begin + 1000)
    if head is None:
        raise ValueError(f"object {file} holds no file")
    data = pdf[head.end() : head.end() + _number(_LENGTH, head[1])]
    if b"/FlateDecode" not in head[1]:
        return data
    unpacking = zlib.decompressobj()
    whole = unpacking.decompress(data, _MOST)
    if not unpacking.eof or unpacking.unused_data:
        raise ValueError(f"the file in object {file} is not whole")
    return whole


def _number(pattern: re.Pattern[bytes], text: bytes) -> int:
    found = pattern.search(text)
    if found is None:
        raise ValueError("a part of it is missing")
    return int(found[1])
