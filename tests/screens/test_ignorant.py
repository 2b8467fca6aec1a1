"""Faces show what a question says of itself: none of them knows one kind of question from another."""

from __future__ import annotations

import ast
from pathlib import Path

import pytest

import clampbook

PROMPTS = "clampbook.run.prompts"
ANY_QUESTION = {"Choice", "Prompt", "Where"}
ROOT = Path(clampbook.__file__).parent
FACES = sorted(path for face in ("plain", "screens") for path in (ROOT / face).rglob("*.py"))


@pytest.mark.parametrize("path", FACES, ids=lambda path: str(path.relative_to(ROOT)))
def test_no_face_names_a_kind_of_question(path: Path) -> None:
    """What is asked of a question's class belongs into what the question says: keys, words, facts."""
    found = set()
    for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
        if isinstance(node, ast.ImportFrom) and node.module == PROMPTS:
            found |= {each.name for each in node.names}
        if isinstance(node, ast.ImportFrom) and node.module == "clampbook.run":
            found |= {each.name for each in node.names if each.name in ("prompts", "kinds", "questions")}

    assert found <= ANY_QUESTION
