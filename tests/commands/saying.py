"""What a command says when it is given in the process of the test."""

from __future__ import annotations

import pytest

from clampbook import cli

Captured = pytest.CaptureFixture[str]


def said(capsys: Captured, *words: str) -> tuple[int, str, str]:
    """Exit status, standard output and standard error of a command."""
    status = cli.status(list(words))
    out, talk = capsys.readouterr()
    return status, out, talk
