"""A second book for tests/golden_book: people with keys, and every way in which a run comes into a book or ends.

    PYTHONPATH=tests:tests/run python tests/golden_keyed_made.py tests/golden_book

Released, signed, sealed; a concession; typed in from a paper form with a scan; a follow-up done, and one crossed off;
an addendum; abandoned; closed as damaged and sealed without its signatures; a key revoked; a run left open; another
book merged. As with golden_book_made.py: format 2 is settled, so it is never made anew.
"""

from __future__ import annotations

import shutil
import sys
from pathlib import Path

from covers import LOOKED_AT, LOOKED_AT_LATER, SIGNED_OFF, TIGHTENED, cover
from golden_book_made import left_alone, readings_of
from line_by_line import printed
from museum import own
from sealing import sealed, shop
from signers import PHRASE

SHEET = cover(
    TIGHTENED,
    LOOKED_AT,
    LOOKED_AT_LATER,
    SIGNED_OFF,
    'inspector = "required, another person"\n',
    screws="1-2",
    top='source = "Workshop sheet 3 (invented)"',
    group='lubrication = "engine oil on thread and under head"\nproperty_class = "8.8"\nnut_factor = [0.16, 0.22]\n',
)
SIGNED = ["Ines", "Maud", "1", PHRASE, PHRASE]
AS_ASKED = ["W5", "1", "30.1", "30.2", "1", "Maud", PHRASE, "+", *SIGNED]
CONCEDED = ["W5", "1", "35.1", "4", "the sheet allows it", "Maud", PHRASE, "30.2", "1", "Maud", PHRASE, "+", *SIGNED]
ON_THE_FORM = [
    *("1", "8:20", "1", "W5", "1", "30.1", "@8:22", "35.0", "1", "8:25"),  # over, and nothing about it on the form
    *("8:30", "1", "1", "2", "1", "1", "8:40", "2", "8:40", "1", "1", PHRASE),
]
ABANDONED = ["W5", "1", "30.1", "*14", "Wrong gasket", "2", PHRASE]
SCAN = b"\x89PNG\r\n\x1a\n" + bytes(64)  # never parsed: how it begins is all that is looked at


class Book:
    """The book, and commands on it at noon of a day in March 2026."""

    def __init__(self, root: Path) -> None:
        self.root = root

    def said(self, day: int, *words: str, lines: list[str] | None = None, telling: str) -> None:
        """Run a command that must say this."""
        told = printed(f"2026-03-{day:02d}T12:00:00Z+3s", self.root, *words, lines=lines)
        if telling not in told:
            raise SystemExit(f"{' '.join(words)} did not say {telling!r}:\n{told[-1500:]}")

    def walk(self, day: int, lines: list[str], *words: str, telling: str = "The run is sealed") -> str:
        """Walk the valve cover; the name of the run."""
        before = self.runs()
        self.said(day, "walk", "cover", "--plain", "--as", "Ines", *words, lines=lines, telling=telling)
        (made,) = self.runs() - before
        return made

    def runs(self) -> set[str]:
        """The names of its runs."""
        return {path.name for path in (self.root / "runs").glob("2026*")}


def make(root: Path) -> None:
    """The whole book, from its keys to its last line."""
    shop(root)
    own(root, "cover", SHEET)
    book = Book(root)
    sheet = str(root / "procedures" / "cover.toml")
    compared = ("--compared-with", "Workshop sheet 3 (invented)")
    book.said(3, "release", sheet, "--as", "Ines", *compared, lines=[PHRASE], telling="signed with a key")
    first = book.walk(4, AS_ASKED, "--equipment", "Whinchat")
    second = book.walk(5, CONCEDED, "--equipment", "Whinchat")
    scan = root / "form.png"
    scan.write_bytes(SCAN)
    on_paper = ("--late", "--began", "2026-03-06 8:10", "--scan", str(scan))
    late = book.walk(7, ON_THE_FORM, "--equipment", "Tender", *on_paper)
    scan.unlink()
    _after_it(book, first, second, late)
    _no_good_end(book)
    merged = root.with_name("other")
    sealed(shop(merged, keys=False))
    book.said(26, "merge", str(merged), telling="1 run")
    shutil.rmtree(merged)


def _after_it(book: Book, first: str, second: str, late: str) -> None:
    again = "Look at it again"
    book.walk(20, ["1", *SIGNED], "--follow-up", again, "--of", first)
    for run in (second, late):
        book.said(21, "due", "--cross-off", run, "--reason", "Looked at ashore", "--as", "Maud", telling="crossed off")
    book.said(21, "due", "--due-again", late, "--reason", "It was the other", "--as", "Maud", telling="due again")
    words = ("--as", "Maud", "--text", "The gasket is the grey one.")
    book.said(22, "addendum", first, *words, lines=[PHRASE], telling="The run is sealed")


def _no_good_end(book: Book) -> None:
    book.walk(23, ABANDONED, telling="abandoned")
    damaged = book.walk(24, ["W5", "1", "30.1", "30.2", "pause"], telling="Run paused")
    daybook = book.root / "runs" / damaged / "daybook.jsonl"
    before, _, after = daybook.read_bytes().rpartition(b"30.2")
    daybook.write_bytes(before + b"30.3" + after)
    book.said(24, "close-damaged", damaged, "--as", "Ines", telling="closed as damaged")
    skipped = ("--skip-missing", "--as", "Ines", "--reason", "the daybook was damaged")
    book.said(24, "seal", damaged, *skipped, lines=[PHRASE], telling="sealed")
    book.said(25, "keys", "revoke", "Maud", "--as", "Ines", lines=["-", "revoke"], telling="revoked")
    book.walk(25, ["W5", "1", "30.1", "pause"], telling="Run paused")


if __name__ == "__main__":
    kept = Path(sys.argv[1])
    make(kept / "keyed")
    readings_of(kept, "keyed")
    left_alone(kept / "keyed")
