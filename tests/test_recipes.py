"""The recipes of DEVELOPERS.md, followed in a copy: so many files, and the whole program knows what is new."""

from __future__ import annotations

import os
import re
import shutil
import subprocess
import sys
from datetime import date
from pathlib import Path

import pypdf
import pytest

from clampbook import demo
from recipes import a_kind, a_query, a_question, a_screen
from recipes.following import HERE, PACKAGE, Recipe, change, followed

AT_NOON = {"CLAMPBOOK_CLOCK": "2026-03-02T12:00:00Z+5s"}
RECIPES = {"kind": a_kind.RECIPE, "query": a_query.RECIPE, "question": a_question.RECIPE, "screen": a_screen.RECIPE}
FILES = {  # of the program: so many are changed, and these are new
    "kind": (6, {"run/kinds/clean.py"}),
    "query": (3, set[str]()),
    "question": (6, {"run/questions/briefing.py"}),
    "screen": (2, {"screens/tally.py"}),
}
SAID = {  # how many files, in the words of DEVELOPERS.md
    "kind": "Seven files, one of them new",
    "query": "Three files, none of them new",
    "question": "Seven files, one of them new",
    "screen": "Three files, one of them new",
}
LONG = f'note = "{"Look at the mark. " * 12}"'

# What somebody forgot: the file, what is taken away there, and where mypy says so.
FORGOTTEN = (
    (
        "src/clampbook/run/kinds/__init__.py",
        "        case m.Clean() | ask.Clean() | e.Cleaned():\n            return _CLEAN\n",
        ("src/clampbook/run/kinds/__init__.py", "Clean"),
    ),
    (
        "src/clampbook/run/questions/briefing.py",
        "def tell(",
        ("src/clampbook/run/questions/__init__.py", "Module"),
    ),
    (
        "tests/bench.py",
        "        case ask.Briefing():\n            return a.Plus()\n",
        ("tests/bench.py", "Missing return statement"),
    ),
)


@pytest.fixture(scope="module")
def copy(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A copy of the program in which all recipes were followed, with the demo book and a thread to clean."""
    place = followed(RECIPES.values(), tmp_path_factory.mktemp("copy"))
    book, _ = demo.make(place / "book", date(2026, 3, 2))
    shutil.copy(HERE / "cover.toml", book.path("procedures", "cover.toml"))
    return place


def _run(copy: Path, *words: str, typed: str = "") -> subprocess.CompletedProcess[str]:
    """A module of Python run in the copy, where nothing of this program is seen."""
    return subprocess.run(
        [sys.executable, "-m", *words],
        cwd=copy,
        input=typed,
        capture_output=True,
        text=True,
        env={**os.environ, **AT_NOON, "PYTHONPATH": str(copy / "src")},
        check=False,
        encoding="utf-8",
    )


def _said(copy: Path, *words: str, typed: str = "") -> str:
    """What a command of the copy prints."""
    done = _run(copy, "clampbook", "--book", "book", *words, typed=typed)
    assert 0 == done.returncode, done.stdout + done.stderr
    return done.stdout


def _runs(copy: Path) -> set[str]:
    """The folders of runs in the book of the copy."""
    return {path.parent.name for path in (copy / "book" / "runs").glob("*/daybook.jsonl")}


def _tested(copy: Path, *words: str) -> str:
    """What pytest prints of tests of the copy."""
    done = _run(copy, "pytest", "-p", "no:cacheprovider", "-p", "no:xdist", *words)
    assert 0 == done.returncode, done.stdout + done.stderr
    return done.stdout


@pytest.mark.parametrize("name", RECIPES)
def test_so_many_files_are_touched(name: str) -> None:
    """The recipe says how many, and all else asks what is new itself, or the unions that stand beside the values."""
    recipe: Recipe = RECIPES[name]
    changed, new = recipe.files
    text = (HERE.parent.parent / "DEVELOPERS.md").read_text(encoding="utf-8")

    assert FILES[name] == (len(changed), set(new))
    assert not [each for each in new if (HERE.parent.parent / PACKAGE / each).exists()]
    assert SAID[name] in text.split(f"## A {name}", 1)[1].split("\n## ", 1)[0]


def test_mypy_and_ruff_want_nothing_more_and_name_what_is_forgotten(copy: Path, tmp_path: Path) -> None:
    """With three pieces taken away there are three errors, each where the piece belongs, and none besides."""
    place = Path(shutil.copytree(copy, tmp_path / "forgetful"))
    for name, piece, _ in FORGOTTEN:
        change(place / name, piece, "def told(" if piece == "def tell(" else "")

    found = _run(place, "mypy", "--strict", "-p", "clampbook", "-m", "bench", "-m", "invented").stdout

    errors = re.findall(r"^(\S+?):\d+: error: (.*)$", found, re.MULTILINE)
    assert len(FORGOTTEN) == len(errors), found
    for _, _, (where, words) in FORGOTTEN:
        assert [told for at, told in errors if at == where and words in told], found
    _run(place, "ruff", "format", "src", "tests")
    assert "All checks passed!" in _run(place, "ruff", "check", "src", "tests").stdout


def test_a_kind_is_walked_recorded_printed_and_verified(copy: Path) -> None:
    """Nobody told record, report, form, archive or verify of cleaning."""
    before = _runs(copy)
    walked = _said(copy, "walk", "cover", "--plain", "--as", "Ines", typed="1\n30 N·m\n+\n+\n+\n+\n1\n1\n")
    (run,) = _runs(copy) - before

    assert "Cover screw 2: clean its thread with a brass brush." in walked
    assert "Cleaned, brass brush: cover screw 2" in walked
    assert '"2.1/2" = "applied"' in _said(copy, "record", run)
    assert f"{run}: sealed, intact" in _said(copy, "verify", run)
    assert "2.1/2       clean" in _said(copy, "plan", "cover")
    _said(copy, "form", "cover", "--into", str(copy / "form.pdf"))
    form = " ".join(page.extract_text() for page in pypdf.PdfReader(copy / "form.pdf").pages)
    assert "Clean with a brass brush" in " ".join(form.split())


def test_a_question_is_asked_recorded_and_verified(copy: Path) -> None:
    """Whoever goes on after Ines is told first, and the run is sound with that line in it."""
    before = _runs(copy)
    handed_over = "1\n30 N·m\n+\n* 10\nTomas\n-\n"
    walked = _said(
        copy, "walk", "cover", "--plain", "--as", "Ines", typed=f"{handed_over}+\n1\n1\n30 N·m\n+\n+\n+\n1\n1\n"
    )
    (run,) = _runs(copy) - before

    assert "Tomas: hear first what is half done." in walked
    assert "Told what is half done." in walked
    assert f"{run}: sealed, intact" in _said(copy, "verify", run)


def test_a_query_is_raised_where_its_mistake_is_and_nowhere_else(copy: Path) -> None:
    """The demo book's sheets stay without it; one long note brings it, and its planted mistake brings no other."""
    noted = (HERE / "cover.toml").read_text(encoding="utf-8").replace('do = "clean', f'{LONG}\ndo = "clean')
    (copy / "long.toml").write_text(noted, encoding="utf-8")

    sheets = sorted(str(path.relative_to(copy)) for path in (copy / "book" / "procedures").glob("*.toml"))

    told = " ".join(_run(copy, "clampbook", "review", "long.toml").stdout.split())
    assert "W465: nobody reads a note of 215 characters" in told
    others = _run(copy, "clampbook", "review", *sheets).stdout
    assert "W463" in others
    assert "W465" not in others
    assert "failed" not in _tested(copy, "tests/review/test_planted.py")


def test_a_screen_is_opened_from_the_bench_and_its_picture_holds(copy: Path) -> None:
    """The picture is made once, after looking at it, and is the same the next time."""
    of_the_tally = ("tests/screens/test_book_looks.py", "-k", "tally")

    assert "3 snapshots generated" in _tested(copy, *of_the_tally, "--snapshot-update")
    assert "3 snapshots passed" in _tested(copy, *of_the_tally)
