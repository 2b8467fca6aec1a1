"""Words that the program never says are not on its pages either: README, DEVELOPERS.md and docs/."""

from __future__ import annotations

import re
from pathlib import Path

import pytest

from test_words import words_in

ROOT = Path(__file__).parent.parent
PAGES = [ROOT / "README.md", ROOT / "DEVELOPERS.md", *sorted((ROOT / "docs").glob("*.md"))]
# Blocks of code and of what the program prints are tested where they are made; names of files and keys are no words.
_NO_WORDS = re.compile(r"```.*?```|`[^`\n]*`|\]\([^)]*\)|“[^”]*”", re.DOTALL)


@pytest.mark.parametrize("page", PAGES, ids=lambda page: page.stem)
def test_a_page_says_none_of_them(page: Path) -> None:
    """Every paragraph is gone through, whatever its lines."""
    text = " ".join(_NO_WORDS.sub("", page.read_text(encoding="utf-8")).split())

    assert set() == words_in(text)


def test_what_is_no_code_is_looked_at() -> None:
    """A word in a sentence is found; one in code, in a link and in what somebody typed is not."""
    page = "It is set aside. `set aside` [here](kept.md) “give up”\n```sh\nfault\n```"

    assert {"set aside"} == words_in(_NO_WORDS.sub("", page))
