"""The examples of errors: a file that has each of them, and beside it what is told of that file."""

from __future__ import annotations

import contextlib
import shutil
import tempfile
from collections.abc import Iterator
from pathlib import Path

from clampbook.check.codes import Code as OfReadings
from clampbook.check.readings import read_readings
from clampbook.faults import Fault, Faulty, show
from clampbook.procedure.codes import Code as OfProcedures
from clampbook.procedure.reader import read_file
from clampbook.tools.codes import Code as OfTools
from clampbook.tools.reader import read_stock

TESTS = Path(__file__).resolve().parent
FOLDERS = (TESTS / "faults", TESTS / "check" / "faults")
TOLD = "expected.txt"


def named(codes: type[OfProcedures] | type[OfTools] | type[OfReadings]) -> dict[str, str]:
    """The name of each code's example, and the code."""
    return {f"{code.value}-{code.name.lower().replace('_', '-')}": code.value for code in codes}


def examples() -> Iterator[Path]:
    """Every folder with an example."""
    for folder in FOLDERS:
        yield from sorted(path for path in folder.iterdir() if (path / TOLD).exists())


def told(example: Path) -> str:
    """What is told of an example, a line for each error, in the words of today."""
    return "".join(f"{show(fault)}\n" for fault in errors(example))


def errors(example: Path) -> tuple[Fault, ...]:
    """The errors of an example; its file is read under its name alone, in a folder of its own."""
    with tempfile.TemporaryDirectory() as folder, contextlib.chdir(folder):
        shutil.copytree(example, ".", dirs_exist_ok=True)
        grown = Path("grown.txt")  # a file too large to be stored is filled up with a comment
        if grown.exists():
            file = Path("sheet.toml")
            file.write_bytes(file.read_bytes().ljust(int(grown.read_text()), b"#"))
        try:
            _read()
        except Faulty as faulty:
            return faulty.faults
    return ()


def _read() -> None:
    if Path("tools.toml").exists():
        read_stock(Path("tools.toml").read_bytes(), "tools.toml")
    elif Path("readings.csv").exists():
        read_readings(Path("readings.csv").read_bytes(), "readings.csv", "N·m")
    else:
        named_in = Path("read.txt")
        read_file(Path(named_in.read_text().strip() if named_in.exists() else "sheet.toml"))
