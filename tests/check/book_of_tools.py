"""A book with one reference and two tools to be checked against it, all invented; and the program run on it."""

from __future__ import annotations

import os
import subprocess
from pathlib import Path

from clampbook.book.book import Book
from clampbook.run_folder import RunFolder
from ready import Begun

TOOLS = """
[[tool]]
id = "w2"
name = "W2"
kind = "setting"
unit = "N·m"
range = ["20 N·m", "100 N·m"]
resolution = "1 N·m"
iso_6789 = "II A"

[[tool]]
id = "w5"
name = "W5"
kind = "indicating"
unit = "N·m"
range = ["10 N·m", "100 N·m"]
resolution = "0.1 N·m"
iso_6789 = "I B"

[[tool]]
id = "r1"
name = "R1"
kind = "reference"
unit = "N·m"
range = ["2 N·m", "200 N·m"]
resolution = "0.01 N·m"
certificate = "V-17 (invented)"
uncertainty = "0.5 %"
"""
CLOCK = "2026-03-02T09:00:00+01:00+5s"
FLANGE = """
format = 2
title = "Flange (invented)"
revision = "A"
source = "Invented for a test"
unit = "N·m"

[[group]]
name = "Flange bolts"
positions = "1-4"

[[stage]]
do = "tighten"
to = "60 N·m"
within = "±3 N·m"
"""


def made(folder: Path) -> Book:
    """The book, new."""
    book = Book.create(folder, "Harbour museum")
    with book.path("tools.toml").open("a", encoding="utf-8") as file:
        file.write(TOOLS)
    book.add_person("Ines")
    return book


def begun(*arguments: str, book: Path, clock: str = CLOCK) -> subprocess.Popen[str]:
    """The program, started with these arguments."""
    return Begun(*arguments, book=book, env={**os.environ, "CLAMPBOOK_CLOCK": clock, "COLUMNS": "80"}, text=True)


def said(*arguments: str, book: Path, typed: str = "", clock: str = CLOCK) -> tuple[int, str, str]:
    """Exit status, standard output, standard error."""
    process = begun(*arguments, book=book, clock=clock)
    out, talk = process.communicate(typed, timeout=120)
    assert "Traceback" not in talk, talk
    return process.returncode, out, talk


def walk(book: Book, day: str, *what: str, typed: str) -> RunFolder:
    """A walk of Ines line by line, from ten o'clock of a day on; the latest run."""
    status, out, talk = said(
        "walk", *what, "--plain", "--as", "Ines", book=book.root, typed=typed, clock=f"{day}T10:00:00Z+5s"
    )
    assert status == 0, (out, talk)
    return book.runs()[-1]
