"""A command of a book in the process of the test, with lines to type and a clock of its own."""

from __future__ import annotations

import sys
from io import BytesIO, StringIO, TextIOWrapper
from pathlib import Path

import pytest

from clampbook import cli


def printed(clock: str, book: Path, *words: str, lines: list[str] | None = None) -> str:
    """Standard output of a command after these lines, as it was written."""
    given = TextIOWrapper(BytesIO("".join(f"{line}\n" for line in lines or []).encode()), encoding="utf-8")
    out = BytesIO()
    with pytest.MonkeyPatch.context() as patch:
        patch.setenv("CLAMPBOOK_CLOCK", clock)
        patch.setattr(sys, "stdin", given)
        patch.setattr(sys, "stdout", TextIOWrapper(out, encoding="utf-8", write_through=True))
        patch.setattr(sys, "stderr", StringIO())
        cli.status([*words, "--book", str(book)])
        return out.getvalue().decode()
