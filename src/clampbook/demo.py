"""The demo book: the harbour museum that restores the motor launch Whinchat, with invented tools and people."""

from __future__ import annotations

from datetime import date, timedelta
from pathlib import Path

from clampbook.book.book import BOOK, PROCEDURES, TOOLS, Book
from clampbook.ledger import atomic
from clampbook.ledger.refusals import LedgerFault, refusal
from clampbook.procedure import library

NAME = "Whinchat, harbour museum"
PEOPLE = ("Ines", "Tomas", "Maud", "Okke")
HEAD = "whinchat-pattern-c-head"
PROCEDURES_OF_THE_MUSEUM = (HEAD, "shaft-flange-16", "whinchat-coupling-flange", "whinchat-crank-caps")

# {recent} becomes a day some weeks before the book is made, so that its tools are in date whenever that is.
TOOLS_OF_THE_MUSEUM = """\
# The tools of the harbour museum. They are invented, like all values of the samples.

[[tool]]
id = "w1"
name = "W1"
kind = "setting"
iso_6789 = "II A"
unit = "N·m"
range = ["4 N·m", "40 N·m"]
resolution = "0.5 N·m"
wound_down = true
wound_down_to = "4 N·m"
serial = "HM-0107"
calibrated_on = {recent}
interval_months = 12
interval_pulls = 5000
certificate = "HM-C-0412 (invented)"

[[tool]]
id = "w2"
name = "W2"
kind = "setting"
iso_6789 = "II A"
unit = "lbf·ft"
range = ["20 lbf·ft", "100 lbf·ft"]
resolution = "0.1 lbf·ft"
wound_down = true
wound_down_to = "20 lbf·ft"
serial = "HM-0031"
calibrated_on = {recent}
interval_months = 12

[[tool]]
id = "w5"
name = "W5"
kind = "indicating"
iso_6789 = "I C"
unit = "lbf·ft"
range = ["10 lbf·ft", "100 lbf·ft"]
resolution = "0.1 lbf·ft"
serial = "HM-0118"
calibrated_on = {recent}
interval_months = 12

[[tool]]
id = "w7"
name = "W7"
kind = "setting"
iso_6789 = "II A"
unit = "N·m"
range = ["20 N·m", "120 N·m"]
resolution = "0.5 N·m"
lever = "420 mm"
serial = "HM-0009"
calibrated_on = 2025-02-01
interval_months = 12
note = "Calibration past: to be sent away."

[[tool]]
id = "w9"
name = "W9"
kind = "setting"
iso_6789 = "II A"
unit = "N·m"
range = ["200 N·m", "1000 N·m"]
resolution = "2 N·m"
lever = "1200 mm"
serial = "HM-0140"
calibrated_on = {recent}
interval_months = 12
note = "For the propeller shaft; too large for the engine."

[[tool]]
id = "g1"
name = "G1"
kind = "angle gauge"
unit = "°"
resolution = "1°"
serial = "HM-0120"

[[tool]]
id = "r1"
name = "R1"
kind = "reference"
unit = "N·m"
range = ["4 N·m", "200 N·m"]
resolution = "0.01 N·m"
serial = "HM-0201"
calibrated_on = {recent}
interval_months = 24
certificate = "HM-C-0398 (invented)"
uncertainty = "0.5 %"

[[adapter]]
id = "a1"
name = "A1"
extension = "60 mm"
note = "Open end, for where no socket goes on."
"""
_RECENT = timedelta(days=60)


def default_folder() -> Path:
    """Give the place of the demo book when nobody says otherwise: beside the user's own book, never in it."""
    from platformdirs import user_data_path

    return user_data_path("clampbook-demo", appauthor=False)


def samples() -> tuple[Path, ...]:
    """The files of the samples that are in the demo book, by name."""
    return tuple(each.path for each in library.samples() if each.name in PROCEDURES_OF_THE_MUSEUM)


def make(folder: Path, today: date | None = None) -> tuple[Book, bool]:
    """The demo book in a folder, and whether it was made now; one that is there already is left as it is.

    Its tools were calibrated some weeks before `today`, but for one whose calibration is past.

    Raises LedgerFault where the folder holds something else or cannot be written.
    """
    if (folder / BOOK).exists():
        return Book.open(folder), False
    sheets = samples()
    if not sheets:
        raise LedgerFault("the sample procedures are missing from this installation: install clampbook again")
    book = Book.create(folder, NAME)
    recent = ((today or date.today()) - _RECENT).isoformat()
    atomic.write(book.path(TOOLS), TOOLS_OF_THE_MUSEUM.format(recent=recent).encode())
    for name in PEOPLE:
        book.person_named(name)
    for sheet in sheets:
        try:
            atomic.write(book.path(PROCEDURES, sheet.name), sheet.read_bytes())
        except OSError as error:
            raise refusal(book.path(PROCEDURES, sheet.name), error, "be written") from error
    return book, True
