"""A recipe of DEVELOPERS.md as data: what goes where; and a copy of the program in which recipes were followed."""

from __future__ import annotations

import re
import shutil
from collections.abc import Iterable
from dataclasses import dataclass
from pathlib import Path

HERE = Path(__file__).parent
ROOT = HERE.parent.parent
PACKAGE = Path("src/clampbook")


@dataclass(frozen=True)
class Recipe:
    """Files are named from the package on; those of the tests begin with "tests/".

    `steps`: a file, the line before which a text goes, and the text. `changes`: a file, words of it that stand there
    once, and what stands in their place. `new`: files that were not there, each with the name of its text here.
    """

    steps: tuple[tuple[str, str, str], ...]
    changes: tuple[tuple[str, str, str], ...] = ()
    new: tuple[tuple[str, str], ...] = ()

    @property
    def files(self) -> tuple[frozenset[str], frozenset[str]]:
        """Those of the program that are changed, and those that are new."""
        changed = {name for name, *_ in (*self.steps, *self.changes) if not name.startswith("tests/")}
        return frozenset(changed), frozenset(name for name, _ in self.new)


def followed(recipes: Iterable[Recipe], place: Path) -> Path:
    """A copy of the program, with its tests, in which these recipes were followed."""
    left = shutil.ignore_patterns("__pycache__", "__snapshots__", ".hypothesis")
    for name in ("src", "tests"):
        shutil.copytree(ROOT / name, place / name, ignore=left)
    shutil.copy(ROOT / "pyproject.toml", place)
    for recipe in recipes:
        for name, before, text in recipe.steps:
            _put(_path(place, name), re.compile(before, re.MULTILINE), text)
        for name, old, new in recipe.changes:
            change(_path(place, name), old, new)
        for name, text in recipe.new:
            assert not _path(place, name).exists(), name
            shutil.copy(HERE / text, _path(place, name))
    return place


def change(path: Path, old: str, new: str) -> None:
    """Other words in the place of those that stand there once."""
    source = path.read_text(encoding="utf-8")
    assert 1 == source.count(old), f"{path.name}: {old!r}"
    path.write_text(source.replace(old, new), encoding="utf-8")


def _path(place: Path, name: str) -> Path:
    return place / name if name.startswith("tests/") else place / PACKAGE / name


def _put(path: Path, before: re.Pattern[str], text: str) -> None:
    source = path.read_text(encoding="utf-8")
    found = before.search(source)
    assert found is not None, f"{path.name}: {before.pattern}"
    path.write_text(source[: found.start()] + text + source[found.start() :], encoding="utf-8")
