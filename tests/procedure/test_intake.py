"""Files that cannot be read so far that TOML begins: each a sentence, with the line where there is one."""

from __future__ import annotations

import os
from pathlib import Path

import pytest

from clampbook.faults import Fault, Faulty
from clampbook.procedure.intake import MOST_BYTES, load, parse
from clampbook.procedure.reader import read_file

from .written import faults, sheet


def of_file(path: Path) -> Fault:
    """The one fault of a file."""
    with pytest.raises(Faulty) as raised:
        read_file(path)
    (fault,) = raised.value.faults
    return fault


def test_the_very_bytes_come_back_with_the_procedure(tmp_path: Path) -> None:
    """A run freezes exactly what was read."""
    path = tmp_path / "cover.toml"
    path.write_text(sheet(), encoding="utf-8")

    procedure, data = read_file(path)

    assert ("Cover plate", path.read_bytes()) == (procedure.title, data)


def test_carriage_returns_are_read_like_line_breaks(tmp_path: Path) -> None:
    """A sheet from another system reads the same."""
    path = tmp_path / "cover.toml"
    path.write_bytes(sheet().replace("\n", "\r\n").encode())

    assert "Cover plate" == read_file(path)[0].title


def test_a_missing_file_is_told(tmp_path: Path) -> None:
    """The path stands in the fault."""
    fault = of_file(tmp_path / "none.toml")

    assert ("E101", str(tmp_path / "none.toml"), None) == (fault.code, fault.path, fault.line)


def test_a_folder_is_told(tmp_path: Path) -> None:
    """A folder is no sheet."""
    assert "E102" == of_file(tmp_path).code


def test_a_pipe_does_not_hold_the_program(tmp_path: Path) -> None:
    """What nobody writes to is not waited for."""
    os.mkfifo(tmp_path / "pipe.toml")

    assert "E102" == of_file(tmp_path / "pipe.toml").code


def test_missing_permission_is_told(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """Whoever may not read it is told to ask for permission (root may read everything, so the refusal is made here)."""
    path = tmp_path / "cover.toml"
    path.write_text(sheet(), encoding="utf-8")

    def refuse(*_: object, **__: object) -> None:
        raise PermissionError(13, "Permission denied")

    monkeypatch.setattr(Path, "open", refuse)
    fault = of_file(path)

    assert "E103" == fault.code
    assert "permission" in fault.hint


@pytest.mark.parametrize("name", ["a\0b.toml", "x" * 5000])
def test_a_name_that_no_file_can_have_is_told(name: str, tmp_path: Path) -> None:
    """A path that the system refuses is a sentence too."""
    assert "E103" == of_file(tmp_path / name).code


def test_a_hundred_megabytes_are_refused_without_reading_them(tmp_path: Path) -> None:
    """Only as much is read as shows that it is too much."""
    path = tmp_path / "large.toml"
    with path.open("wb") as file:
        file.truncate(100 * MOST_BYTES)

    assert "E104" == of_file(path).code


def test_one_megabyte_is_still_read(tmp_path: Path) -> None:
    """The limit itself is allowed."""
    path = tmp_path / "cover.toml"
    path.write_bytes(sheet().encode().ljust(MOST_BYTES, b"#"))

    assert MOST_BYTES == len(load(path))
    assert "Cover plate" == read_file(path)[0].title


@pytest.mark.parametrize(
    ("name", "kind"), [("tools.toml", "list of tools"), ("people.toml", "list of people"), ("cover.toml", "procedure")]
)
def test_what_is_too_large_or_too_deep_is_called_what_it_is(name: str, kind: str) -> None:
    """A file of the book is no procedure, and is not called one."""
    with pytest.raises(Faulty) as large:
        parse(b"#" * (MOST_BYTES + 1), f"book/{name}")
    with pytest.raises(Faulty) as deep:
        parse(b"a." * 60 + b"b = 1", f"book/{name}")

    assert f"the file is larger than 1 MB, too large for a {kind}" == large.value.faults[0].text
    assert f"a {kind} needs two at most" == deep.value.faults[0].hint


def test_bytes_from_elsewhere_have_the_same_limit() -> None:
    """Who reads bytes and no file is told just the same."""
    assert ["E104"] == [fault.code for fault in faults(b"#" * (MOST_BYTES + 1))]


@pytest.mark.parametrize(
    ("data", "line", "found"),
    [
        (sheet().encode("utf-16"), 1, "UTF-16"),
        (sheet().encode("utf-16-be"), 1, "UTF-16"),
        (sheet().encode("utf-32"), 1, "UTF-32"),
        (sheet().encode("utf-8-sig"), 1, "byte order mark"),
        (sheet(top='source = "Blatt für Deckel"\n').encode("latin-1"), 4, "0xB7"),
        (b'title = "x"\n\n# caf\xe9\n', 3, "0xE9"),
    ],
)
def test_another_encoding_is_told_with_its_line(data: bytes, line: int, found: str) -> None:
    """The line of the first byte that is not UTF-8, and what it seems to be."""
    (fault,) = faults(data)

    assert ("E105", line) == (fault.code, fault.line)
    assert found in fault.found + fault.text


def test_signs_that_do_not_show_are_told_at_their_line() -> None:
    """Text that turns the writing direction, or steers the terminal, never gets in."""
    found = faults(sheet(top='source = "a\\u202Eb"\ncautions = ["fine", "\\u001B[2J"]\n'))

    assert [(5, "source", "E123"), (6, "cautions[2]", "E123")] == [(f.line, f.key, f.code) for f in found]


def test_lines_are_allowed_in_notes_and_not_in_names() -> None:
    """A note may have several lines, a title has one."""
    several = 'note = """first\nsecond"""\n'

    assert [] == list(faults(sheet() + several))
    assert ["E123"] == [f.code for f in faults(sheet().replace('"Cover plate"', '"Cover\\nplate"'))]
