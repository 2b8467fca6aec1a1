"""The file of a draft: opened as text, and saved whole or not at all, never over what somebody else wrote meanwhile."""

from __future__ import annotations

import re
import stat
from itertools import islice
from pathlib import Path

from clampbook.book.book import Book
from clampbook.faults import nearest
from clampbook.ledger import atomic
from clampbook.ledger.inside import read_file
from clampbook.ledger.refusals import LedgerFault, refusal, shown
from clampbook.procedure.intake import MOST_BYTES, decoded, load

_NEW = 0o644  # as an editor would make it; a file that is there keeps its own
_OTHER_BREAKS = re.compile("[\v\f\x1c-\x1e\x85\u2028\u2029]")  # these end a line for an editor, and not for TOML
_MIXED = re.compile("\r\n|\r")
_PART = 3  # signs of a name that are enough to mean it
_COMPARED = 1000  # files of a folder that a name is compared with


class ChangedMeanwhile(LedgerFault):
    """The file is no longer the one that was opened; `now` holds its bytes, None where it is gone."""

    def __init__(self, path: Path, now: bytes | None) -> None:
        what = "is no longer there" if now is None else "has changed on disk since it was opened here"
        super().__init__(f"{shown(path)} {what}. Nothing saved")
        self.now = now


def opened(path: Path) -> tuple[str, bytes | None]:
    """The text of a file and its bytes, or no text and None where there is no such file yet.

    Raises Faulty for a file that holds no text, LedgerFault for one that cannot be shown, or a folder that is missing.
    """
    if not path.parent.is_dir():
        raise LedgerFault(f"there is no folder {shown(path.parent)}. Make it first, or give another path")
    if not path.exists() and not path.is_symlink():
        return "", None
    data = load(path)
    return as_text(data, path), data


def as_text(data: bytes, path: Path) -> str:
    """These bytes as text with one kind of line break. Raises Faulty, or LedgerFault."""
    text = decoded(data, str(path))
    odd = _OTHER_BREAKS.search(text)
    if odd is not None:
        line = text.count("\n", 0, odd.start()) + 1
        sign = f"\\u{{{ord(odd[0]):x}}}"
        raise LedgerFault(
            f"{shown(path)} has a character on line {line} that does not show, {sign}. Remove it with another program, "
            "then open the file again"
        )
    return text if "\n" not in _MIXED.sub("", text) else _MIXED.sub("\n", text)


def nearest_to(path: Path) -> str | None:
    """The name of the procedure beside it that was probably meant by the name of a file that is not there yet."""
    try:
        known = sorted(each.stem for each in islice(path.parent.glob("*.toml"), _COMPARED) if each != path)
    except OSError:  # a folder that may not be read tells nothing
        return None
    typed = path.stem.lower()
    parts = [each for each in known if len(typed) >= _PART and typed in each.lower()]
    return parts[0] if parts else nearest(path.stem, known)


def save(path: Path, text: str, before: bytes | None, book: Book | None = None) -> bytes:
    """Put the text in place of the file that was read as `before`, and give its bytes.

    Raises ChangedMeanwhile where the file is another one by now, LedgerFault where it cannot be written. Then the file
    is what it was.
    """
    data = text.encode()
    if len(data) > MOST_BYTES:
        raise LedgerFault(f"{shown(path)} would be larger than 1 MB, too large for a procedure. Shorten it")
    if book is not None and _within(book, path):
        with book.holding():
            return _put(path, data, before)
    return _put(path, data, before)


def _put(path: Path, data: bytes, before: bytes | None) -> bytes:
    try:
        real = path.resolve()
        now = read_file(real, 2 * MOST_BYTES) if real.exists() else None
        mode = stat.S_IMODE(real.stat().st_mode) if now is not None else _NEW
    except (OSError, RuntimeError) as error:
        raise refusal(path, OSError(*error.args), "be read") from error
    if now != before:
        raise ChangedMeanwhile(path, now)
    atomic.write(real, data, mode)
    return data


def _within(book: Book, path: Path) -> bool:
    return path.resolve().is_relative_to(book.root)
