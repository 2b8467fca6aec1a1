"""The place at which somebody types, in a text that is half typed: marked in each text by a ▏."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from clampbook.help.at_cursor import Spot, offered, spot

TEXT = """\
format = 2
ti▏

[layout]
rows = ["1 2 3 4"]

[[group]]
name = "Cover bolts"
thread = "M6"

[[stage]]
do = "tighten"
to = "9 N·m"
"""
STAGE = '[[group]]\nname = "Cover bolts"\n\n[[stage]]\ndo = "tighten"\n'


def at(text: str) -> tuple[list[str], int, int]:
    """The lines, and where the mark stood."""
    lines = text.split("\n")
    row = next(number for number, line in enumerate(lines) if "▏" in line)
    column = lines[row].index("▏")
    lines[row] = lines[row].replace("▏", "")
    return lines, row, column


def found(text: str) -> Spot:
    """The spot of the mark."""
    return spot(*at(text))


def names(text: str) -> list[str]:
    """What is offered at the mark."""
    lines, row, column = at(text)
    return [each.name for each in offered(spot(lines, row, column), lines, row)]


@pytest.mark.parametrize(
    ("text", "table", "key"),
    [
        ("title = ▏", "procedure", "title"),
        ("ti▏tle = 3", "procedure", "title"),
        ("[[group]]\nthr▏ead = ", "group", "thread"),
        ('[[group]]\nthread = "M▏6"', "group", "thread"),
        ("[[group]]\nfriction = { thr▏", "group.friction", "thr"),
        ("[[group]]\nfriction = { thread = [0.1, ▏", "group.friction", "thread"),
        ("[layout]\ncir▏", "layout", "cir"),
        ("[layout.edges]\nab▏ove", "layout.edges", "above"),
        ('[layout]\nrows = [\n  "1 2▏', "layout", "rows"),
        ('[[stage]]\ndo = "turn"\nby = "9▏', "stage.turn", "by"),
        ('[[stage]]\nby = "9▏\ndo = "turn"', "stage.turn", "by"),
        ('[[stage]]\nfor_each = "position"\nste▏ps', "stage.for_each", "steps"),
        (
            '[[stage]]\nfor_each = "position"\nsteps = [\n  { do = "turn", by = "9▏0°" },\n]',
            "stage.turn",
            "by",
        ),
        ('[[follow_up]]\ntitle = "x"\n\n[[follow_up.stage]]\ndo = "recheck"\nme▏', "stage.recheck", "me"),
        ('cautions = [\n  "One [ here",\n  "▏', "procedure", "cautions"),
    ],
)
def test_table_and_key_are_known(text: str, table: str, key: str) -> None:
    """Also in braces, in a list over several lines, and before the stage says what it does."""
    assert (table, key) == (found(text).table, found(text).key)


def test_in_a_comment_nothing_is_offered() -> None:
    """Whatever stands there."""
    assert [] == names("# ti▏")
    assert [] == names('[[stage]]\ndo = "tighten" # wit▏')


class TestKeys:
    """Of the table, by their beginning."""

    def test_what_begins_so_is_offered(self) -> None:
        """None of another table."""
        assert ["title"] == names(TEXT)
        assert {"to", "together", "trial"} == set(names(f"{STAGE}t▏"))

    def test_what_is_there_already_is_not_offered_again(self) -> None:
        """On another line of the same table."""
        assert "within" in names(f'{STAGE}to = "9 N·m"\n▏')
        assert "to" not in names(f'{STAGE}to = "9 N·m"\n▏')

    def test_a_key_that_is_there_whole_is_not_offered(self) -> None:
        """Enter is a new line then."""
        assert [] == names(f"{STAGE}within▏")

    def test_a_text_comes_with_its_quotes_and_the_cursor_between_them(self) -> None:
        """A number without."""
        lines, row, column = at(f"{STAGE}▏")
        every = {each.name: each for each in offered(spot(lines, row, column), lines, row)}

        assert ('to = ""', 1) == (every["to"].text, every["to"].back)
        assert ("rounds = ", 0) == (every["rounds"].text, every["rounds"].back)


class TestValues:
    """The words that a key takes."""

    def test_the_kinds_of_work(self) -> None:
        """By their beginning, within quotes or before them."""
        assert {"tighten", "turn"} >= set(names('[[stage]]\ndo = "t▏')) - {"for_each"}
        assert "recheck" in names('[[stage]]\ndo = "▏')

    def test_words_of_a_key(self) -> None:
        """All of them, and those alone."""
        assert ["each", "each four", "round"] == names(f'{STAGE}confirm = "▏')
        assert ["true", "false"] == names(f"{STAGE}may_repull = ▏")

    def test_a_group_is_one_of_those_in_the_text(self) -> None:
        """Which nobody has to spell again."""
        assert ["Cover bolts"] == names(f'{STAGE}group = "C▏')

    def test_a_wait_counts_from_a_stage_of_the_text(self) -> None:
        """By its id."""
        assert ["warm"] == names('[[stage]]\ndo = "wait"\nid = "warm"\n\n[[stage]]\ndo = "wait"\nsince = "▏')


def test_headers_are_offered_in_their_own_brackets() -> None:
    """Once each."""
    assert ["[[group]]"] == names("[[g▏")
    assert "[layout]" in names("[l▏") and "[[stage]]" in names("[[▏")


@given(st.text(alphabet="ab=[]{}\",'#\\ \n.1", max_size=80), st.data())
def test_no_text_is_too_strange(text: str, data: st.DataObject) -> None:
    """Wherever the cursor stands in it."""
    lines = text.split("\n")
    row = data.draw(st.integers(0, len(lines) - 1))
    column = data.draw(st.integers(0, len(lines[row])))
    here = spot(lines, row, column)

    assert isinstance(offered(here, lines, row), tuple)


@pytest.mark.parametrize(
    ("text", "taken"),
    [
        ('[[group]]\nfastener = "use again▏', ['use again if measured"', 'use again"']),
        ('[[group]]\nfastener = "use again▏"', ["use again if measured", "use again"]),
        ("[[group]]\nfastener = use again▏", ['"use again if measured"', '"use again"']),
    ],
)
def test_a_value_is_taken_with_the_quotes_that_it_lacks(text: str, taken: list[str]) -> None:
    """A closing quote that was lost comes back; one that is there stays the only one."""
    lines, row, column = at(text)

    assert taken == [each.text for each in offered(spot(lines, row, column), lines, row)]
