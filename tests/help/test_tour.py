"""The notes of the tour are short, and each is about something of its own."""

from __future__ import annotations

import pytest

from clampbook.help import tour as notes
from clampbook.paragraphs import laid

NOTES = [
    note
    for value in vars(notes).values()
    for note in (value.values() if isinstance(value, dict) else [value])
    if isinstance(note, notes.Note)
]


@pytest.mark.parametrize("note", NOTES, ids=lambda note: note.place)
def test_a_note_leaves_the_first_lines_of_a_small_screen(note: notes.Note) -> None:
    """At 40 × 15 there is room for five lines, with the word before it."""
    assert len(laid(f"Tour: {note.text}", 38)) <= 5
    assert note.text.endswith(".")


def test_each_has_a_place_of_its_own() -> None:
    """Else one would keep the other from being shown."""
    places = [note.place for note in NOTES]

    assert sorted(set(places)) == sorted(places)
    assert len(places) >= 12
