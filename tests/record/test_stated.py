"""What a signed text states: the bolt, its reading and window, what was asked and decided, and who pulled."""

from __future__ import annotations

from pathlib import Path

import pytest

from clampbook.book.sealing.of_run import Signing
from sealing import shop, walked
from signers import PHRASE


@pytest.fixture(scope="module")
def texts(tmp_path_factory: pytest.TempPathFactory) -> list[str]:
    """All that is signed of a cover whose first screw was over, as it is read before the passphrase is typed."""
    at = shop(Path(tmp_path_factory.mktemp("whinchat")) / "book")
    signing = Signing(at.book, walked(at, over=True), at.clock)
    found = []
    while (due := signing.wanted) is not None:
        found.append(f"{due.meaning}\n{signing.text()}")
        signing.give(PHRASE)
    return found


def _of(texts: list[str], meaning: str) -> str:
    return next(text for text in texts if text.startswith(meaning))


@pytest.mark.parametrize(
    ("meaning", "line"),
    [
        ("concession", "Bolt:           Cover screw 1, stage 1"),
        ("concession", "Reading:        35 N·m"),
        ("concession", "Window:         28 to 32 N·m"),
        ("concession", "Question:       It is over. What now?"),
        ("concession", "Decision:       accepted as it is, by concession"),
        ("concession", "Reason:         the sheet allows it"),
        ("independently inspected", "Question:       Gasket evenly squeezed?"),
        ("independently inspected", "Answer:         yes, as expected"),
        ("independently inspected", "Worked so far:  Ines"),
        ("performed", "Pulled:         Ines: Cover screws 1, 2"),
        ("performed", "By concession:  Cover screw 1, stage 1, over: Maud, the sheet allows it"),
    ],
)
def test_each_text_states_the_facts(texts: list[str], meaning: str, line: str) -> None:
    """Each on a line of its own."""
    assert line in _of(texts, meaning).splitlines()


def test_no_text_claims_what_nobody_said(texts: list[str]) -> None:
    """That nobody else was there is a reason somebody gives, or it is not in the text."""
    assert not [text for text in texts if "nobody else" in text]
