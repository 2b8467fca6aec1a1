"""The quick look at a book's small files: what it sees is what the careful reader sees, or it sees nothing."""

from __future__ import annotations

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from clampbook.book import peek
from clampbook.book.cover import cover, read_cover
from clampbook.faults import Faulty
from clampbook.people import Person
from clampbook.people_file import read_people
from clampbook.unit_table import UNITS_OF, Kind

LETTERS = st.sampled_from('id name="person format 1[]\n#é\u200b\\t')


class TestCover:
    """book.toml at a glance."""

    def test_a_book_as_it_is_made_is_seen(self) -> None:
        """What the program writes itself needs no careful reader."""
        assert ("k7q2m4xa", "Whinchat, harbour museum") == peek.cover(cover("k7q2m4xa", "Whinchat, harbour museum"))

    @pytest.mark.parametrize("unit", UNITS_OF[Kind.TORQUE])
    def test_paper_and_unit_need_no_careful_reader(self, unit: str) -> None:
        """Every unit that a torque may have, in the careful reader's eyes too."""
        data = cover("k7q2m4xa", "Shed", "letter", unit)

        assert ("k7q2m4xa", "Shed") == peek.cover(data)
        assert ("letter", unit) == (read_cover(data, "book.toml").paper, read_cover(data, "book.toml").unit)

    @pytest.mark.parametrize(
        "text",
        [
            'format = 1\nid = "a"\nname = "b"\nunit = "mm"',
            'format = 1\nid = "a"\nname = "b"\npaper = "A3"',
            'format = 1\nid = "a"\nname = "b"\nunit = 3',
            'format = 3\nid = "a"\nname = "b"',
            'format = true\nid = "a"\nname = "b"',
            'format = 1\nid = "a"',
            "[",
            "\xff",
        ],
    )
    def test_what_is_not_plainly_in_order_is_left_to_the_careful_reader(self, text: str) -> None:
        """No fault is told by the quick look, and none is overlooked."""
        assert peek.cover(text.encode("latin-1")) is None

    @settings(max_examples=200)
    @given(st.text(LETTERS, max_size=20), st.text(LETTERS, max_size=20))
    def test_both_readers_see_the_same(self, id: str, name: str) -> None:
        """Whatever the quick look sees, the careful reader sees too."""
        data = cover(id, name)

        seen = peek.cover(data)

        if seen is not None:
            row = read_cover(data, "book.toml")
            assert (row.id, row.name) == seen


class TestPeople:
    """people.toml at a glance."""

    def test_people_in_their_order_are_seen(self) -> None:
        """Two people of one name stay two people."""
        data = b'[[person]]\nid = "ines"\nname = "Ines"\n[[person]]\nid = "ines-2"\nname = "Ines"\n'

        assert (Person("ines", "Ines"), Person("ines-2", "Ines")) == peek.people(data)

    def test_a_file_without_people_is_in_order(self) -> None:
        """As in a new book."""
        assert () == peek.people(b"# nobody yet\n")

    @settings(max_examples=300)
    @given(st.text(LETTERS, max_size=60))
    def test_both_readers_see_the_same(self, text: str) -> None:
        """Whatever the quick look sees, the careful reader sees too; what that one refuses is never seen."""
        data = f'[[person]]\nid = "ines"\nname = "Ines"\n[[person]]\n{text}'.encode()

        seen = peek.people(data)

        try:
            careful = read_people(data, "people.toml")
        except Faulty:
            careful = None
        assert seen is None or careful == seen
