"""What the printed report of a check says, read as its customer would."""

from __future__ import annotations

from io import BytesIO
from pathlib import Path

import pypdf
import pytest

from check.book_of_tools import made, said
from clampbook.book.checks import checks
from clampbook.record.checks.every_pull import alike
from clampbook.record.checks.report import of_check

TYPED = ["21,5", "1", *["+"] * 5, "60 N·m", "59.4", "59.5", "60", "59.5", "59.4", "-", "1"]


@pytest.fixture(scope="module")
def words(tmp_path_factory: pytest.TempPathFactory) -> str:
    """The pages of a check with six noughts and ones, as one text."""
    book = made(tmp_path_factory.mktemp("whinchat") / "book")
    said("check", "W2", "--at", "60", "--as", "Ines", book=book.root, typed="\n".join(TYPED) + "\n")
    (check,) = checks(book)
    pages = pypdf.PdfReader(BytesIO(of_check(check))).pages
    return " ".join(" ".join(page.extract_text().split()) for page in pages)


def test_the_certificate_is_said_to_be_that_of_the_reference(words: str) -> None:
    """Not of the tool that is checked."""
    assert "Certificate of R1 V-17 (invented)" in words


def test_a_zero_is_said_to_be_whose(words: str) -> None:
    """And people have their names."""
    assert "zero of R1, as found good" in words
    assert "Ines" in words[words.index("zero of R1") :]


def test_each_reading_stands_as_it_was_typed_and_beside_the_others(words: str) -> None:
    """60 among 59.5 is 60.0."""
    assert "60 59.5 N·m 60 59.5 +0.84 %" in words
    assert "60 60 N·m 60 60.0 0.00 %" in words


@pytest.mark.parametrize(
    ("values", "shown"),
    [
        (["28", "28.1", ""], ["28.0", "28.1", ""]),
        (["56.05472334507216765473423694", "100"], ["56.055", "100.000"]),
        (["1000", "1"], ["1000", "1"]),
        ([], []),
    ],
)
def test_numbers_of_one_column_have_as_many_decimals(values: list[str], shown: list[str]) -> None:
    """No more than five digits of a conversion; what is missing stays empty."""
    assert shown == alike(values)


def test_readings_of_a_file_stand_by_its_rows_and_none_was_typed(tmp_path: Path) -> None:
    """The numbers are those of the file's rows, and there is no empty column."""
    book = made(tmp_path / "book")
    file = tmp_path / "readings.csv"
    file.write_text("reference,indicated\n" + "60.2,60.0\n" * 5)
    said("check", "W2", "--readings", str(file), "--as", "Ines", book=book.root)
    (check,) = checks(book)
    pages = pypdf.PdfReader(BytesIO(of_check(check))).pages
    found = " ".join(" ".join(page.extract_text().split()) for page in pages)
    assert "Point, N·m Indicated Reference Off by Row" in found
