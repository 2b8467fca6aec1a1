"""Words that the program never says, over every string in its code; each exemption is named and has its reason."""

from __future__ import annotations

import ast
import re
from collections.abc import Callable, Iterable, Iterator
from pathlib import Path
from typing import Any, NamedTuple

import pytest

from clampbook.procedure.schema import schema as of_a_procedure
from clampbook.tools.schema import schema as of_the_tools

SOURCE = Path(__file__).parents[1] / "src" / "clampbook"

# Whole words in any case; * is any ending.
NEVER = (
    "all else, anew, as it was left, as the sheet, begun, came back wrong, doubt*, falls due, fault*, for ever, "
    "for want of, give up, given up, goes on with, gone on with, journal, kept, let go, lets go, look over, "
    "mark to mark, mend*, pass-phrase, permitted, put back, put right, reckon*, released once, run-down, set aside, "
    "something else, speaks against, take up, taken up, till, touched, unforeseen, wanted, way of pulling, "
    "what is not known, what is to be, whoever, invalid, illegal, abort, is to be done, "
    "job, jobs, batch*, preset*, parameter set*, peak*, track*"
)
# Of these one sense is used, and the others are not.
NEVER_IN_ANOTHER_SENSE = (
    r"(?<!on )\bhold\b(?! points?\b)",  # a run is on hold; somebody looks at a hold point
    r"\bholds\b",  # a file has lines
    r"\bsheets?\b",  # procedure, manual, form
    r"\bsound(?:ness)?\b",  # a file is intact, a thread undamaged
    r"\bpreload\w*\b",  # clamp load, exercise
    r"\bnot fit\b|\bfits? together\b",  # a tool suits, figures agree
    r"\bmarks? of\b|\bdecimal mark\b",  # scale line
)
NEVER_IN_CAPITALS = ("OK", "NOK", "LOW", "HIGH")


class Exempt(NamedTuple):
    """A word that may stand in a module, and why."""

    module: str
    word: str
    why: str


EXEMPT = (
    Exempt("archive/affected_words.py", "kept", "key of the JSON of affected"),
    Exempt("archive/finding.py", "fault", "key of the JSON of find"),
    Exempt("archive/tables.py", "fault", "column of the index"),
    Exempt("archive/store.py", "journal", "ending of a file of SQLite"),
    Exempt("commands/renamed.py", "touched", "old command, quoted with the new one"),
    Exempt("commands/renamed.py", "hold", "old option, quoted with the new one"),
    Exempt("commands/renamed.py", "preload", "old option, quoted with the new one"),
    Exempt("procedure/sheet.py", "doubt", "old key, quoted with the new one"),
    Exempt("procedure/traps.py", "invalid", "words of the TOML parser, looked for"),
    Exempt("procedure/traps.py", "illegal", "words of the TOML parser, looked for"),
    Exempt("run/gather/read_line.py", "begun", "name of a kind of draft"),
    Exempt("screens/question_board.py", "kept", "name of a widget"),
)


def _any_of(words: Iterable[str]) -> str:
    """A pattern of whole words; * is any ending."""
    spaced = (re.escape(each.rstrip("*")).replace(r"\ ", r"\s+") + r"\w*" * each.endswith("*") for each in words)
    return rf"(?<!\w)(?:{'|'.join(spaced)})(?!\w)"


WORDS = re.compile(_any_of(NEVER.split(", ")), re.IGNORECASE)
SENSES = re.compile("|".join(NEVER_IN_ANOTHER_SENSE), re.IGNORECASE)
CAPITALS = re.compile(_any_of(NEVER_IN_CAPITALS))


def strings_of(code: str) -> Iterator[tuple[int, str]]:
    """Every string of a module with its line, parts of f-strings too. Docstrings are left out, except those of
    commands: they are printed as help.
    """
    tree = ast.parse(code)
    unsaid = {
        id(node.value) for node in ast.walk(tree) if isinstance(node, ast.Expr) and isinstance(node.value, ast.Constant)
    }
    for node in ast.walk(tree):
        if isinstance(node, ast.FunctionDef) and any("command" in ast.unparse(each) for each in node.decorator_list):
            unsaid.discard(id(node.body[0].value) if isinstance(node.body[0], ast.Expr) else 0)
    for node in ast.walk(tree):
        if isinstance(node, ast.Constant) and isinstance(node.value, str) and id(node) not in unsaid:
            yield node.lineno, node.value


def words_in(text: str) -> set[str]:
    """The words in a text that are never said. A single one may be a code: the sense of it is no sentence's."""
    looked_for = (WORDS, SENSES, CAPITALS) if " " in text else (WORDS, CAPITALS)
    return {found[0].lower() for pattern in looked_for for found in pattern.finditer(text)}


def found_in(package: str) -> list[str]:
    """Each word in a package that is neither allowed nor exempt: its module, line, and the string."""
    modules = sorted((SOURCE / package).rglob("*.py")) if package != "." else sorted(SOURCE.glob("*.py"))
    exempt = {(each.module, each.word) for each in EXEMPT}
    return [
        f"{name}:{line}: {word}: {text[:120]!r}"
        for module in modules
        for name in [module.relative_to(SOURCE).as_posix()]
        for line, text in strings_of(module.read_text(encoding="utf-8"))
        for word in sorted(words_in(text))
        if (name, word) not in exempt
    ]


PACKAGES = (".", *sorted(each.name for each in SOURCE.iterdir() if (each / "__init__.py").exists()))


@pytest.mark.parametrize("package", PACKAGES)
def test_a_package_says_none_of_them(package: str) -> None:
    """Every string is gone through."""
    assert found_in(package) == []


@pytest.mark.parametrize("schema", [of_a_procedure, of_the_tools])
def test_what_an_editor_shows_beside_a_key_says_none_of_them(schema: Callable[[], dict[str, Any]]) -> None:
    """Some of it comes out of docstrings, which are no strings of the program else."""
    assert [] == [(told, word) for told in descriptions(schema()) for word in words_in(told)]


def descriptions(schema: object) -> Iterator[str]:
    """Every description in it."""
    match schema:
        case dict():
            if isinstance(told := schema.get("description"), str):
                yield told
            for value in schema.values():
                yield from descriptions(value)
        case list():
            for value in schema:
                yield from descriptions(value)


@pytest.mark.parametrize("exempt", EXEMPT, ids=lambda each: f"{each.module}-{each.word}")
def test_an_exemption_is_needed(exempt: Exempt) -> None:
    """What nobody says any more leaves the table."""
    code = (SOURCE / exempt.module).read_text(encoding="utf-8")
    assert exempt.word in {word for _, text in strings_of(code) for word in words_in(text)}


SAMPLE = '''\
"""Whatever a docstring says is kept."""

KEY = "fault"
TOLD = f"Line {3} cannot be mended, {KEY}"
SPACED = "Nothing is\\n  set  aside: they are unwanted"


@click.command()
def seal() -> None:
    """Take up the seal."""


def other() -> str:
    """Take up what was let go."""
    return "holds" if KEY else "it holds a sheet, and the run is on hold at a hold point; LOW, low"
'''


def test_a_sample_is_seen_through() -> None:
    """Each planted word is found once, where it is; docstrings that nobody is shown are left alone."""
    found = [(line, sorted(words_in(text))) for line, text in strings_of(SAMPLE) if words_in(text)]
    assert sorted(found) == [
        (3, ["fault"]),
        (4, ["mended"]),
        (5, ["set  aside"]),
        (10, ["take up"]),
        (15, ["holds", "low", "sheet"]),
    ]


@pytest.mark.parametrize("word", [each.rstrip("*") for each in NEVER.split(", ")])
def test_each_word_is_looked_for(word: str) -> None:
    """In capitals and at the end of a sentence too."""
    assert words_in(f"This is {word.upper()}.")
