"""The demo book: the harbour museum that restores the motor launch Whinchat, with invented tools and people."""

from __future__ import annotations

import shutil
from pathlib import Path

from clampbook.book.book import BOOK, PROCEDURES, TOOLS, Book
from clampbook.ledger import atomic
from clampbook.ledger.refusals import LedgerFault, refusal
from clampbook.samples import samples

NAME = "Whinchat, harbour museum"
PEOPLE = ("Ines", "Tomas", "Maud", "Okke")
HEAD = "whinchat-pattern-c-head"

TOOLS_OF_THE_MUSEUM = """\
# The tools of the harbour museum. They are invented, like all values of the samples.

[[tool]]
id = "w1"
name = "W1"
kind = "setting"
unit = "N·m"
range = ["4 N·m", "40 N·m"]
resolution = "0.5 N·m"
wound_down = true
wound_down_to = "4 N·m"
serial = "HM-0107"
calibrated_on = 2026-01-12
calibration_due = 2027-01-12

[[tool]]
id = "w2"
name = "W2"
kind = "setting"
unit = "lbf·ft"
range = ["20 lbf·ft", "100 lbf·ft"]
resolution = "0.1 lbf·ft"
wound_down = true
wound_down_to = "20 lbf·ft"
serial = "HM-0031"
calibrated_on = 2025-11-03
calibration_due = 2026-11-03

[[tool]]
id = "w5"
name = "W5"
kind = "indicating"
unit = "lbf·ft"
range = ["10 lbf·ft", "100 lbf·ft"]
resolution = "0.1 lbf·ft"
serial = "HM-0118"
calibrated_on = 2026-01-12
calibration_due = 2027-01-12

[[tool]]
id = "g1"
name = "G1"
kind = "angle gauge"
unit = "°"
resolution = "1°"
serial = "HM-0120"
"""


def default_folder() -> Path:
    """Where the demo book is when nobody says otherwise: beside the user's own book, never in it."""
    from platformdirs import user_data_path

    return user_data_path("clampbook-demo", appauthor=False)


def make(folder: Path) -> tuple[Book, bool]:
    """The demo book in a folder, and whether it was made now; one that is there already is left as it is.

    Raises LedgerFault where the folder holds something else or cannot be written.
    """
    if (folder / BOOK).exists():
        return Book.open(folder), False
    sheets = samples()
    if not sheets:
        raise LedgerFault("the sample procedures are missing from this installation: install clampbook again")
    book = Book.create(folder, NAME)
    atomic.write(book.path(TOOLS), TOOLS_OF_THE_MUSEUM.encode())
    for name in PEOPLE:
        book.person_named(name)
    for sheet in sheets:
        try:
            shutil.copyfile(sheet, book.path(PROCEDURES, sheet.name))
        except OSError as error:
            raise refusal(book.path(PROCEDURES, sheet.name), error, "be written") from error
    return book, True
