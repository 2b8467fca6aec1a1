"""Short names for ids and folders."""

import re

import pytest
from hypothesis import given
from hypothesis import strategies as st

from clampbook.slug import drawn, is_slug, slug, unique


class TestSlug:
    """Lower-case letters and digits, joined by hyphens."""

    @pytest.mark.parametrize(
        ("text", "expected"),
        [
            ("Cylinder head, pattern C", "cylinder-head-pattern-c"),
            ("Zoë B.", "zoe-b"),
            ("Straße", "strasse"),
            ("  -- ", "run"),
            ("机头", "run"),
        ],
    )
    def test_text_becomes_a_short_name(self, text: str, expected: str) -> None:
        """Accents are dropped, everything else that is no letter joins words; what leaves nothing has a stand-in."""
        assert expected == slug(text, "run")

    @given(st.text(max_size=100))
    def test_whatever_is_typed_makes_an_id(self, text: str) -> None:
        """The result can always name a folder."""
        assert is_slug(slug(text, "run"))

    @pytest.mark.parametrize("text", ["", "-a", "a-", "A", "a b", "a/b", "..", "a" * 41, "a\n"])
    def test_what_is_no_id(self, text: str) -> None:
        """Nothing that could lead elsewhere or be read in two ways."""
        assert not is_slug(text)


class TestUnique:
    """No id is given twice."""

    def test_the_first_free_number_is_taken(self) -> None:
        """Another Ines is ines-2, a third ines-3."""
        assert "ines" == unique("ines", set())
        assert "ines-3" == unique("ines", {"ines", "ines-2"})

    def test_drawn_letters(self) -> None:
        """Eight of a–z and 2–7, not the same twice."""
        assert re.fullmatch("[a-z2-7]{8}", drawn())
        assert 100 == len({drawn() for _ in range(100)})
