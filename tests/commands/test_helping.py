"""Help by command: a menu of wishes, a topic, or the places of a word."""

from __future__ import annotations

import json

import pytest

from clampbook import cli


def said(words: list[str], capsys: pytest.CaptureFixture[str]) -> tuple[int, str, str]:
    """Status, output and what was said of `clampbook help` with these words."""
    status = cli.status(["help", *words])
    told = capsys.readouterr()
    return status, told.out, told.err


def test_alone_it_asks_what_one_wants_to_do(capsys: pytest.CaptureFixture[str]) -> None:
    """Each wish with its command, then the topics."""
    status, out, _ = said([], capsys)

    assert 0 == status
    assert out.startswith("What do I want to do?\n")
    assert "  Tighten a joint                         clampbook walk NAME\n" in out
    assert "  sequences   In which order bolts are pulled, with pictures\n" in out


def test_a_topic_is_printed_as_it_is_written(capsys: pytest.CaptureFixture[str]) -> None:
    """In a pipe it can be searched and saved."""
    status, out, _ = said(["sequences"], capsys)

    assert 0 == status
    assert out.startswith("# Sequences\n")
    assert "you stand here" in out


def test_a_key_is_explained(capsys: pytest.CaptureFixture[str]) -> None:
    """With the table it belongs to."""
    status, out, _ = said(["nut_factor"], capsys)

    assert 0 == status
    assert out.startswith("**Procedure files · `[[group]]`**\n\n- `nut_factor = [0.16, 0.22]`: ")


def test_a_table_of_a_page_becomes_lines(capsys: pytest.CaptureFixture[str]) -> None:
    """A row without its head would be hard to read."""
    _, out, _ = said(["calibration", "overdue"], capsys)

    assert "- calibration overdue: its day or pull count is over. Use needs a reason" in out


def test_a_command_says_where_its_options_are(capsys: pytest.CaptureFixture[str]) -> None:
    """Who asks for help on a command gets it."""
    _, out, _ = said(["export"], capsys)

    assert out.startswith("`clampbook export --help` lists the options of this command.\n")


def test_a_word_that_stands_nowhere_brings_the_nearest(capsys: pytest.CaptureFixture[str]) -> None:
    """On standard error, with a status to look at."""
    assert (1, "", "Nothing about “torqe”. Did you mean torque?\n") == said(["torqe"], capsys)


def test_a_script_gets_the_places_as_json(capsys: pytest.CaptureFixture[str]) -> None:
    """Topic, heading and text of each."""
    _, out, _ = said(["--json", "nut_factor"], capsys)
    first = json.loads(out)["places"][0]

    assert ("procedures", "`[[group]]`") == (first["topic"], first["heading"])
    assert "nut factor" in first["text"]
