"""TOML's own traps, in plain words and with the line on which they stand."""

from __future__ import annotations

import pytest

from .written import HEAD, faults


@pytest.mark.parametrize(
    ("line", "code", "word"),
    [
        ("to = 30 N·m", "E110", "quotes"),
        ("to = ±2 N·m", "E110", "quotes"),
        ("do = tighten", "E110", "quotes"),
        ("on = 2026-13-01", "E110", "quotes"),
        ("to = “30 N·m”", "E110", "curly"),
        ("lot = True", "E110", "capitals"),
        ("rounds = 2,5", "E109", "decimal comma"),
        ("rounds = -2,5", "E109", "decimal comma"),
        ("friction = { thread = [1, 2],", "E108", "{ … }"),
        ("friction = { thread = [1, 2]  # and so on", "E108", "{ … }"),
        ("friction = {", "E108", "{ … }"),
        ('edges = { above = "a", }', "E106", "comma"),
        ('to: "30 N·m"', "E106", "colon"),
        ('pause limit = "10 min"', "E106", "blank"),
        ('ssh"key = 1', "E106", "quotes in it"),
        ("to", "E106", "equals sign"),
        ("to =", "E106", "no value"),
        ("// a note", "E106", "comment"),
        ("= 1", "E106", "not a key"),
        ('note = "not closed', "E106", "closing quote"),
        ("note = 'not closed", "E106", "closing quote"),
        ('note = "C:\\path"', "E106", "backslash"),
        ('note = "a" and "b', "E106", "quotes"),
        ('note = "bell \x07"', "E106", "control character"),
        ("[[stage]", "E122", "brackets"),
        ("[stage]]", "E122", "brackets"),
        ("[stage", "E122", "brackets"),
        ("title = 'again'", "E111", "there twice"),
        ("a = { b = 1, b = 2 }", "E111", "there twice"),
        ("order = [1 2]", "E106", "comma is missing"),
        ("order = [1, B2]", "E110", "quotes"),
        ("steps = [ { do = turn } ]", "E110", "quotes"),
    ],
)
def test_trap_is_named_with_its_line(line: str, code: str, word: str) -> None:
    """The line is tomllib's own; the sentence says what was probably meant."""
    (fault,) = faults(f"{HEAD}{line}\n")

    assert (5, code) == (fault.line, fault.code)
    assert word in fault.text


@pytest.mark.parametrize(
    ("ending", "line", "word"),
    [
        ("order = [1,\n2,\n", 6, "list"),
        ('note = """\nnever\nclosed\n\n', 7, "not closed"),
        ("[layout]\nfirst = 'top'\n[layout]\n", 7, "there twice"),
        ("[stage]\n[stage]\n", 6, "[[stage]]"),
        ("stage = []\n[[stage]]\n", 6, "complete"),
    ],
)
def test_trap_over_several_lines_is_told_where_it_is_noticed(ending: str, line: int, word: str) -> None:
    """What the file never closes is told at its last line, a second table at its header."""
    (fault,) = faults(HEAD + ending)

    assert line == fault.line
    assert word in fault.text + fault.hint


def test_a_syntax_fault_is_told_alone() -> None:
    """TOML stops at the first; nothing is guessed of the rest."""
    assert 1 == len(faults(f"{HEAD}to = 30 N·m\nby = 90 deg\n"))


@pytest.mark.parametrize("line", ["x = " + "[" * 2000, "x = " + "{a=" * 2000, "x = " + "[" * 500 + "]" * 500])
def test_deep_nesting_is_told(line: str) -> None:
    """Thousands of brackets are a fault of the file and no accident of the program."""
    (fault,) = faults(HEAD + line)

    assert "E112" == fault.code


@pytest.mark.parametrize(
    ("line", "code"),
    [("a." * 5000 + "b = 1", "E112"), ("[" + "a." * 5000 + "b]", "E112"), ("rounds = " + "9" * 5000, "E113")],
)
def test_what_would_cost_minutes_is_refused_at_once(line: str, code: str) -> None:
    """Endless keys and numbers are told with their line."""
    (fault,) = faults(f"{HEAD}{line}\n")

    assert (5, code) == (fault.line, fault.code)


def test_dots_in_texts_and_rows_are_no_deep_key() -> None:
    """A long row of empty places is nothing unusual."""
    empty = "1 " + ". " * 200 + "2 3 4"
    text = f'{HEAD}\n[layout]\nrows = ["{empty}"]\n'

    assert "E112" not in {fault.code for fault in faults(text)}
