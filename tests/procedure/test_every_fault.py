"""Each fault of a procedure file has an example in tests/faults: a sheet that has it, and what is told of it."""

from __future__ import annotations

import re
import shutil
from pathlib import Path

import pytest

from clampbook.faults import CODES, Faulty, show
from clampbook.procedure.codes import Code
from clampbook.procedure.reader import read_file

EXAMPLES = Path(__file__).parents[1] / "faults"
SLUGS = {f"{code.value}-{code.name.lower().replace('_', '-')}": code for code in Code}


def told(folder: Path) -> str:
    """What is told of the file in the working folder that the example names."""
    named = folder / "read.txt"
    path = Path(named.read_text().strip() if named.exists() else "sheet.toml")
    try:
        read_file(path)
    except Faulty as faulty:
        return "".join(f"{show(fault)}\n" for fault in faulty.faults)
    return ""


@pytest.mark.parametrize("name", SLUGS)
def test_example_is_told_as_written_beside_it(name: str, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """The faults of the example are told word for word as its page says, and all of them have its code."""
    folder = tmp_path / name
    shutil.copytree(EXAMPLES / name, folder)
    grown = folder / "grown.txt"  # a file too large to be kept here is filled up with a comment
    if grown.exists():
        sheet = folder / "sheet.toml"
        sheet.write_bytes(sheet.read_bytes().ljust(int(grown.read_text()), b"#"))
    monkeypatch.chdir(folder)

    faults = told(folder)

    assert (EXAMPLES / name / "expected.txt").read_text(encoding="utf-8") == faults
    assert {SLUGS[name].value} == set(re.findall(r"^sheet.toml[^ ]*: (\w+): ", faults, re.MULTILINE))


def test_every_code_has_an_example_and_every_example_a_code() -> None:
    """No fault of a procedure file is without a reproduction, and no folder is left over from a fault long gone."""
    of_procedures = [path for path in EXAMPLES.iterdir() if path.is_dir() and not (path / "tools.toml").exists()]

    assert sorted(SLUGS) == sorted(path.name for path in of_procedures)


def test_every_code_is_explained() -> None:
    """The list of all codes has a sentence for each."""
    assert [] == [code.value for code in Code if code.value not in CODES]


def test_no_fault_leaves_its_reader_without_a_way_on() -> None:
    """Every example says in its sentence or its hint what is allowed or what to do next."""
    without_hint = {
        folder.name for folder in EXAMPLES.iterdir() if "hint: " not in (folder / "expected.txt").read_text("utf-8")
    }

    assert without_hint <= {
        "E120-out-of-range",  # says what is allowed
        "E123-unseen-sign",  # says to type it again
        "E201-not-understood",  # says what to write instead
        "E207-not-possible",  # says what is possible
        "E211-position-twice",  # names what to take away
        "E213-in-two-groups",
        "E214-not-in-group",
    }
