"""Labels for tools as a PDF: the name to read, and a code for a phone or a hand scanner.

The code holds the tool's id and nothing else (ISO/IEC 18004): what changes, such as the day of the next calibration,
would be wrong on it soon. A scanner types the id where a tool is asked for.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from itertools import groupby

import msgspec
import segno
from msgspec import Struct

from clampbook.record.report import Paper, typeset
from clampbook.tools.label import in_a_line
from clampbook.tools.model import Tool

LABELS = "labels.typ"
_RESTORES = "m"  # 15 % of a code that is scratched or greasy (ISO/IEC 18004, level M)
_QUIET = 4  # squares of white around it (ISO/IEC 18004, 6.3.8)


class _Code(Struct, frozen=True):
    size: int
    rows: tuple[tuple[tuple[int, int], ...], ...]


class _Label(Struct, frozen=True):
    name: str
    id: str
    lines: tuple[str, ...]
    code: _Code


class _Page(Struct, frozen=True):
    title: str
    labels: tuple[_Label, ...]


def printed(book: str, tools: Iterable[Tool], paper: Paper) -> bytes:
    """A page or more with a label for each tool of the book of this name, as PDF. Raises RecordFault, LedgerFault."""
    page = _Page(f"Labels, {book}", tuple(map(_label, tools)))
    return typeset(msgspec.json.encode(page), {}, paper, template=LABELS)


def _label(tool: Tool) -> _Label:
    number = () if tool.serial is None else (f"no. {tool.serial}",)
    return _Label(tool.name, tool.id, (in_a_line(tool), *number), code(tool.id))


def code(text: str) -> _Code:
    """The code of a text: how many squares it is wide, and of each row the dark ones as runs."""
    rows = tuple(segno.make(text, error=_RESTORES, micro=False, boost_error=False).matrix_iter(border=_QUIET))
    return _Code(len(rows), tuple(tuple(_dark(row)) for row in rows))


def _dark(row: Iterable[int]) -> Iterator[tuple[int, int]]:
    at = 0
    for dark, same in groupby(row):
        many = len(tuple(same))
        if dark:
            yield at, many
        at += many
