"""A book with a run of every kind of work, walked line by line and sealed, to be kept in tests/golden_book.

    PYTHONPATH=tests:tests/run python tests/golden_book_made.py tests/golden_book

Made anew only where a format changed, as the golden runs are. Format 2 is settled: never again.
"""

from __future__ import annotations

import shutil
import sys
from pathlib import Path

import test_belt as belt
import test_cap_bolts as caps
import test_castle_nuts as castle
import test_injectors as injectors
import test_unions as unions
from clampbook.procedure.library import sample
from line_by_line import printed
from museum import museum, own

CLOCK = "2026-03-28T13:00:00Z+1s"
DAYS = iter(range(2, 29))
SAMPLED = [
    *("+", "W5", "1", "44.3", *["44.2"] * 19, "2.05", "2.10", "2.00", "2.10"),
    *("Maud", "4711", "2", "4", "Its end is painted", "Maud", "1", "1", "1"),  # the first of two, then two more
    *("Maud", "12", "44.2", "1", "44.2", "1", "44.2", "1", "+", "1"),
]
FLANGE = sample("exhaust-flange").path.read_text(encoding="utf-8")


def _more_tools(book: Path, more: str, *, lever: bool = False) -> None:
    tools = book / "tools.toml"
    text = tools.read_text(encoding="utf-8")
    assert unions.LONG in text
    longer = text.replace(unions.LONG, f'{unions.LONG}\nlever = "400 mm"') if lever else text
    tools.write_text(longer + more, encoding="utf-8")


def _walk(book: Path, name: str, lines: list[str], *words: str, text: str | None = None, every: int = 5) -> None:
    if text is not None:
        own(book, name, text)
    clock = f"2026-03-{next(DAYS):02d}T12:00:00Z+{every}s"
    told = printed(clock, book, "walk", name, "--plain", "--as", "Ines", *words, lines=lines)
    if "Run closed" not in told:
        raise SystemExit(f"{name} was not walked to its end:\n{told[-1500:]}")


def make(book: Path) -> None:
    """The whole book, its tools and procedures, and every run from its first line to its seal."""
    museum(book)
    _walk(book, "propeller", [*castle.NUT, *castle.HUB, *castle.REST], text=castle.PROPELLER)
    _walk(book, "belt", [*belt.FIRST, *belt.ADJUSTED, *belt.CAPS, *belt.REST], text=belt.BELT)
    each = [*injectors.BEGUN, *injectors.in_turn(6), *injectors.ENDED]
    _walk(book, "injectors", each, "--only", "all", text=injectors.INJECTORS, every=130)
    _walk(book, "sampled", SAMPLED, text=FLANGE)
    _more_tools(book, caps.INSTRUMENTS)
    _walk(book, "cap-bolts", caps.LISTED, text=caps.CAP_BOLTS, every=10)
    _more_tools(book, unions.A3, lever=True)
    _walk(book, "unions", [*unions.NUTS, *unions.BRACKET, *unions.AGAIN, *unions.REST], text=unions.UNIONS)
    readings = book / "readings.csv"
    readings.write_text("reference,indicated\n60,60.1\n60,59.9\n60,60\n60,60.2\n60,60\n", encoding="utf-8")
    printed("2026-03-28T12:00:00Z+5s", book, "check", "W5", "--readings", str(readings), "--as", "Ines")
    readings.unlink()


def left_alone(book: Path) -> None:
    """Without what is only there for speed or for writing."""
    shutil.rmtree(book / ".locks", ignore_errors=True)
    (book / "index.sqlite").unlink(missing_ok=True)


def readings_of(kept: Path, book: str) -> None:
    """The readings of each closed run as they were exported."""
    (kept / "readings").mkdir(exist_ok=True)
    for run in sorted((kept / book / "runs").glob("2026*")):
        told = printed(CLOCK, kept / book, "export", run.name, "--csv", "--clicks")
        if told:
            (kept / "readings" / f"{run.name}.csv").write_text(told, encoding="utf-8")


if __name__ == "__main__":
    place = Path(sys.argv[1])
    make(place / "book")
    readings_of(place, "book")
    left_alone(place / "book")
