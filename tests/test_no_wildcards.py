"""No silent wildcard: whatever folds, asks, judges or writes down kinds of things names every one of them.

A new stage kind, prompt or event that is missing somewhere is then an error of the type checker, and not a line that
says "not done". An answer that does not fit a question is refused there, which is no gap.
"""

from __future__ import annotations

import ast
from collections.abc import Iterator
from pathlib import Path
from typing import get_args

import pytest

import clampbook
from clampbook.check import events as check_events
from clampbook.check import prompts as check_prompts
from clampbook.procedure import model
from clampbook.run import events, prompts
from clampbook.run.progress import Why
from clampbook.run.questions.causes import CAUSES

SOURCE = Path(clampbook.__file__).parent
FOLDERS = ("procedure", "tools", "review", "run", "check", "record", "archive", "book", "commands", "plain", "screens")
UNIONS = (
    model.Stage,
    prompts.Prompt,
    events.Event,
    check_prompts.Prompt,
    check_events.Event,
)
KINDS = {kind.__name__ for union in UNIONS for kind in get_args(union)}


def matches(tree: ast.AST) -> Iterator[ast.Match]:
    """Each match of two cases or more in which a kind is named."""
    for node in ast.walk(tree):
        if isinstance(node, ast.Match) and len(node.cases) > 1 and any(_names_a_kind(case) for case in node.cases):
            yield node


def _names_a_kind(case: ast.match_case) -> bool:
    return any(isinstance(node, ast.MatchClass) and _last_name(node.cls) in KINDS for node in ast.walk(case.pattern))


def _last_name(of: ast.expr) -> str:
    return of.attr if isinstance(of, ast.Attribute) else of.id if isinstance(of, ast.Name) else ""


def is_total(found: ast.Match, total: frozenset[str]) -> bool:
    """Whether its last case takes what is left, and says that nothing is, or hands it on to a function of this module
    that takes those kinds alone and says so.
    """
    last = found.cases[-1]
    whole = last.pattern.pattern if isinstance(last.pattern, ast.MatchAs) and last.pattern.pattern else last.pattern
    takes_all = isinstance(whole, ast.MatchAs) and whole.pattern is None and last.guard is None
    call = last.body[0].value if isinstance(last.body[0], ast.Expr | ast.Return) else None
    return takes_all and isinstance(call, ast.Call) and _last_name(call.func) in total | {"assert_never"}


def saying_so(tree: ast.AST) -> frozenset[str]:
    """The functions that end a match in assert_never."""
    return frozenset(
        function.name
        for function in ast.walk(tree)
        if isinstance(function, ast.FunctionDef) and any(is_total(found, frozenset()) for found in matches(function))
    )


def modules() -> list[str]:
    """The modules that are looked at, by their path in the package."""
    return sorted(str(path.relative_to(SOURCE)) for folder in FOLDERS for path in (SOURCE / folder).rglob("*.py"))


@pytest.mark.parametrize("module", modules())
def test_every_kind_is_named(module: str) -> None:
    """Where kinds are told apart, what is left over is impossible."""
    tree = ast.parse((SOURCE / module).read_text(encoding="utf-8"))
    silent = [f"{module}:{found.lineno}" for found in matches(tree) if not is_total(found, saying_so(tree))]

    assert not silent, f"end these in 'case _ as never: assert_never(never)': {', '.join(silent)}"


def test_every_cause_of_a_decision_says_what_is_wrong_and_how_to_go_on() -> None:
    """The table of causes has them all."""
    assert set(get_args(Why)) == set(CAUSES)
