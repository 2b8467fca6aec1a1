"""`clampbook --help`: every command once, under what somebody wants to do, its line whole however narrow the window."""

from __future__ import annotations

import re
from importlib.metadata import version

import pytest

from clampbook.commands.by_name import GROUPED, PLACES

from .saying import Captured, said


def test_every_command_stands_under_one_wish() -> None:
    """None twice, none left out."""
    listed = [name for places in GROUPED.values() for name in places]

    assert sorted(PLACES) == sorted(listed)


@pytest.mark.parametrize("columns", ["40", "80", "120"])
def test_no_line_is_cut(columns: str, capsys: Captured, monkeypatch: pytest.MonkeyPatch) -> None:
    """In a narrow window a summary goes on below itself; nowhere an ellipsis stands for the rest of it."""
    monkeypatch.setenv("COLUMNS", columns)
    status, out, _ = said(capsys, "--help")

    listed = out[out.index("Begin:") :]
    assert (0, []) == (status, re.findall(r"\.\.\.|…", listed))
    told = " ".join(listed.split())
    for name in PLACES:
        summary = said(capsys, name, "--help")[1].split("\n\n")[1].strip().rstrip(".")
        assert f" {name} {' '.join(summary.split())}" in told


def test_the_version_is_that_of_the_package(capsys: Captured) -> None:
    """It is said in one line."""
    assert (0, f"clampbook, version {version('clampbook')}\n", "") == said(capsys, "--version")
