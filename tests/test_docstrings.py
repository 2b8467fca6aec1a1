"""Docstrings open with what a thing gives: a verb or a noun, never a question word."""

from __future__ import annotations

import ast
import re
from collections.abc import Iterator
from pathlib import Path

SOURCE = Path(__file__).parents[1] / "src" / "clampbook"
ASKS = re.compile(r"(what|how|whether|which|where|when|who|whose|whom|why)\b", re.IGNORECASE)

PLANTED = '''\
"""What this module owns."""

LIMIT = 3
"""Why it is three."""


class Tool:
    r"""Whose hands hold it."""

    def whole(self) -> bool:
        """

        Whether nothing broke.
        """
        note = """Which string has a name is no docstring."""
        return bool(note)

    @property
    def name(self) -> str:
        """The name; what stands on the tool."""
        return "W2"


async def wait() -> None:
    """How, long."""


def lend() -> None:
    """Whoever asks first has it."""
'''


def _openings(source: str) -> Iterator[tuple[int, str]]:
    """Yield line and first line of each docstring that opens with a question word, also of those below constants."""
    for node in ast.walk(ast.parse(source)):
        match node:
            case ast.Expr(value=ast.Constant(value=str() as text), lineno=line) if ASKS.match(text.strip()):
                yield line, text.strip().partition("\n")[0]


def test_a_question_word_is_found_wherever_a_docstring_stands() -> None:
    """Of modules, constants, classes, methods and functions; within a sentence such a word is welcome."""
    found = sorted(_openings(PLANTED))

    assert [
        (1, "What this module owns."),
        (4, "Why it is three."),
        (8, "Whose hands hold it."),
        (11, "Whether nothing broke."),
        (25, "How, long."),
    ] == found


def test_no_docstring_opens_with_a_question_word() -> None:
    """The first word says what a thing does or is, so that a reader need not answer a question first."""
    files = sorted(SOURCE.rglob("*.py"))
    found = [
        f"{path.relative_to(SOURCE)}:{line}: {text}"
        for path in files
        for line, text in _openings(path.read_text(encoding="utf-8"))
    ]

    assert SOURCE / "cli.py" in files
    assert [] == found, "\n".join(found)
