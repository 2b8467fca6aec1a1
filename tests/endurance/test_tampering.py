"""Somebody who has the book and the program, and no key: whatever is done is found, or named as not vouched for."""

from __future__ import annotations

from pathlib import Path

import pytest

from endurance.tampering import CASES, Case, Pristine, missed, pristine, verified


@pytest.fixture(scope="module")
def untouched(tmp_path_factory: pytest.TempPathFactory) -> Pristine:
    """The book to which nothing was done."""
    return pristine(tmp_path_factory.mktemp("whinchat") / "book")


def test_what_nobody_touched_is_sound(untouched: Pristine) -> None:
    """With trusted keys and the noted head too."""
    assert () == verified(untouched.root).codes
    assert () == verified(untouched.root, untouched.trusted, untouched.head).codes


@pytest.mark.parametrize("case", CASES, ids=lambda case: str(case.name))
def test_it_is_found_or_named(case: Case, untouched: Pristine, tmp_path: Path) -> None:
    """With no option, with trusted keys, with a noted head."""
    assert [] == missed(case, untouched, tmp_path)
