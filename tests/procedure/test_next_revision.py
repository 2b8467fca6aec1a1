"""The name of the revision after another, as people count."""

from __future__ import annotations

import pytest

from clampbook.procedure.next_revision import next_revision


@pytest.mark.parametrize(
    ("revision", "following"),
    [
        ("A", "B"),
        ("3", "4"),
        ("9", "10"),
        ("09", "10"),
        ("1.4", "1.5"),
        ("B2", "B3"),
        ("2026-a", "2026-b"),
        ("Z", "AA"),
        ("AZ", "BA"),
        ("z", "aa"),
        ("3Z", "3AA"),
        ("issue +", "issue + 2"),
    ],
)
def test_letters_and_numbers_go_on(revision: str, following: str) -> None:
    """The last of them counts."""
    assert following == next_revision(revision)


def test_one_that_is_taken_is_passed_over() -> None:
    """No two texts have one name."""
    assert "D" == next_revision("A", {"B", "C"})
