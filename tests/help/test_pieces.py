"""A topic is read in pieces, none of them too long to be laid out at once."""

from __future__ import annotations

import pytest

from clampbook.help.pieces import piece_with, pieces
from clampbook.help.topics import TOPICS, Topic


@pytest.mark.parametrize("topic", TOPICS, ids=lambda topic: topic.name)
def test_the_pieces_are_the_whole_page(topic: Topic) -> None:
    """In its order, each from a heading on."""
    made = pieces(topic)

    assert topic.text.splitlines() == [line for piece in made for line in piece.lines]
    assert all(piece.lines[0].startswith("#") for piece in made)


@pytest.mark.parametrize("topic", TOPICS, ids=lambda topic: topic.name)
def test_every_line_is_in_its_piece(topic: Topic) -> None:
    """A place that was found is shown in the piece that has it."""
    made = pieces(topic)

    for at, line in enumerate(topic.text.splitlines()):
        piece = made[piece_with(at, made)]
        assert line == piece.lines[at - piece.first]


def test_a_long_page_has_several_pieces() -> None:
    """The keys of a procedure file would take a second to lay out."""
    (procedures,) = [topic for topic in TOPICS if topic.name == "procedures"]

    assert all(len(piece.lines) <= 75 for piece in pieces(procedures))
    assert len(pieces(procedures)) > 4
