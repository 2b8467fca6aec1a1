"""A hint leads out of its error: done as it says, the error is gone and no other has come in its place."""

from __future__ import annotations

import re
from pathlib import Path

import pytest

from clampbook.faults import Fault, Faulty
from clampbook.procedure.reader import read
from clampbook.tools.reader import read_stock
from error_examples import FOLDERS, errors

_LINE = r"""\w+ = (?:"[^"]*"|\[[^\]]*\]|[\w-]+)"""
_ADD = re.compile(rf"add (?:a line like )?({_LINE})(?: to the group)?")
_WRITE = re.compile(rf"write ({_LINE})")
_REWRITE = re.compile(r"write (\w+|\"[\w ]+\"|\[\[\w+\]\])$")
_MEANT = re.compile(r"did you mean “?(.+?)”?\?$")
_REMOVE = re.compile(r"(?:^|, or )remove (\w+)(?:$|[, ])")


def done(text: str, error: Fault) -> list[str]:
    """The file after each of the acts that the hint of one error names; none where it names no act word for word."""
    lines = text.split("\n")
    at = (error.line or 1) - 1
    written = lines[at]
    found: list[str] = []

    def with_lines(place: int, *instead: str) -> None:
        found.append("\n".join([*lines[:place], *instead, *lines[place + 1 :]]))

    if add := _ADD.search(error.hint):
        header = lines.index("[[group]]") if "to the group" in error.hint else at
        with_lines(
            header,
            *([lines[header], add[1]] if lines[header].startswith("[") or "." in error.key else [add[1], written]),
        )
    if write := _WRITE.search(error.hint):
        key = write[1].split(" = ")[0]
        own = [n for n, line in enumerate(lines) if line.startswith(f"{key} = ")]
        place = at if key in written or not own else own[0]
        old = rf"\b{key} = (?:\"[^\"]*\"|[^,}}]+)"
        with_lines(place, re.sub(old, lambda _: write[1], lines[place], count=1) if key in lines[place] else write[1])
    if rewrite := _REWRITE.search(error.hint):
        with_lines(at, written.replace(_as_written(error, written), rewrite[1], 1))
    if meant := _MEANT.search(error.hint):
        with_lines(at, written.replace(error.found.strip("“”"), meant[1], 1))
    found += ["\n".join([*lines[:at], *lines[at + 1 :]]) for key in _REMOVE.findall(error.hint) if key in written]
    return found


def _as_written(error: Fault, written: str) -> str:
    quoted = f'"{error.found}"'
    return quoted if quoted in written else error.found


def left(name: str, text: str) -> set[tuple[str, str]]:
    """Code and key of each error in a file that reads so."""
    try:
        if name == "tools.toml":
            read_stock(text.encode(), name)
        else:
            read(text.encode(), name)
    except Faulty as faulty:
        return {(each.code, each.key) for each in faulty.faults}
    return set()


def _cases() -> list[tuple[Path, int]]:
    return [
        (file, number)
        for file in sorted(FOLDERS[0].glob("*/*.toml"))
        if file.is_file()
        for number, error in enumerate(errors(file.parent))
        if error.line and file.stat().st_size and done(file.read_text(encoding="utf-8", errors="replace"), error)
    ]


CASES = _cases()


@pytest.mark.parametrize(("file", "number"), CASES, ids=[f"{file.parent.name}-{number}" for file, number in CASES])
def test_doing_what_a_hint_says_leads_out_of_its_error(file: Path, number: int) -> None:
    """Somebody who copies the hint has one error less, and no new one."""
    text = file.read_text(encoding="utf-8")
    error = errors(file.parent)[number]
    before = left(file.name, text)

    for changed in done(text, error):
        after = left(file.name, changed)

        assert (error.code, error.key) not in after, changed
        assert after <= before, changed


def test_most_hints_say_word_for_word_what_to_write() -> None:
    """The test above looks at a good part of all examples, not at a few that happen to be read by it."""
    assert len(CASES) >= 35
