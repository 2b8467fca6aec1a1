"""Bytes as a terminal sends them, and as none does: keys and pastes come of them, or nothing, and never an error."""

from __future__ import annotations

import random

import pytest
from textual import events

from clampbook.screens.keystrokes import PASTE_LONGEST, PASTE_QUIET, Keystrokes
from endurance.bytes_at_random import BROKEN, bytes_at_random

F2 = b"\x1bOQ"


def pressed(data: bytes, strokes: Keystrokes | None = None, at: float = 0.0) -> list[str]:
    """The keys that these bytes are; a paste is its text."""
    found = (strokes or Keystrokes()).take(data, at)
    return [each.text if isinstance(each, events.Paste) else getattr(each, "key", "") for each in found]


@pytest.mark.parametrize(
    ("data", "keys"),
    [
        (b"1+\r", ["1", "plus", "enter"]),
        ("é·".encode(), ["é", "middle_dot"]),
        (b"\xff\xfe1", ["replacement_character"] * 2 + ["1"]),
        (b"\xed\xa0\x801", ["replacement_character"] * 3 + ["1"]),
        (b"\x1b[55296u1", ["1"]),
        (b"\x1b[1114112u1", ["1"]),
        (b"\x1b[999999999;5u1", ["1"]),
        (b"\x1b[1;1;1114113u1", ["1"]),
        (b"\x1b[48;99999;99999;0;0t1", ["1"]),
        (b"\x1b[?2048;1$y1", ["1"]),
        (b"\x1b[<0;10;10M1", ["1"]),
        (b"\x1b[999;999R1", ["1"]),
        (b"\x1b[I\x1b[O1", ["1"]),
        (b"\x1b[99;5u", ["ctrl+c"]),
        (b"\x1b[200~22.1\x1b[201~", ["22.1"]),
    ],
)
def test_what_bytes_mean(data: bytes, keys: list[str]) -> None:
    """A sequence that is none, or that nobody asked for, takes nothing with it."""
    assert keys == pressed(data)


@pytest.mark.parametrize("data", ["é·1".encode(), F2, b"\x1b[200~22.1\x1b[201~", b"\x1b[99;5u"])
def test_bytes_that_come_one_by_one_mean_the_same(data: bytes) -> None:
    """A slow line cuts a sign or a sequence at any place."""
    strokes = Keystrokes()

    assert pressed(data) == [key for at in range(len(data)) for key in pressed(data[at : at + 1], strokes)]


@pytest.mark.parametrize("broken", BROKEN)
def test_a_key_after_something_broken_is_a_key(broken: bytes) -> None:
    """Once nothing more came for a while, F2 is F2."""
    strokes = Keystrokes()
    pressed(broken, strokes)

    list(strokes.wait(PASTE_QUIET + 0.1))

    assert "f2" in pressed(b"\x1b" + F2, strokes, 2.0)


def test_a_paste_without_an_end_is_thrown_away() -> None:
    """The keys are keys again a second after its last sign, or five after its first."""
    strokes = Keystrokes()
    assert [] == pressed(b"\x1b[200~22", strokes, 0.0)
    list(strokes.wait(PASTE_QUIET))
    assert [] == pressed(b".1", strokes, PASTE_QUIET)
    list(strokes.wait(2 * PASTE_QUIET + 0.1))

    assert ["1"] == pressed(b"1", strokes, 3.0)

    for tenth in range(10 * int(PASTE_LONGEST) + 1):
        assert [] == pressed(b"\x1b[200~" if tenth == 0 else b"x", strokes, 10 + tenth / 10)
        list(strokes.wait(10 + tenth / 10))
    list(strokes.wait(10.1 + PASTE_LONGEST))
    assert ["1"] == pressed(b"1", strokes, 10.2 + PASTE_LONGEST)


def test_a_paste_of_megabytes_is_one_paste_however_long_it_takes() -> None:
    """As pieces come, cut at any place, for longer than a paste without an end is waited for."""
    text = "# a line of no use\n" * 500_000
    data = b"\x1b[200~" + text.encode() + b"\x1b[201~" + F2
    strokes, found = Keystrokes(), []
    for number, at in enumerate(range(0, len(data), 4093)):
        found += pressed(data[at : at + 4093], strokes, number / 100)
        list(strokes.wait(number / 100))

    assert [text, "f2"] == found


@pytest.mark.parametrize("cut", range(1, 13))
def test_the_end_of_a_paste_may_be_cut_anywhere(cut: int) -> None:
    """A slow line does that."""
    data = b"\x1b[200~" + b"x" * 300 + b"\x1b[201~1"
    strokes = Keystrokes()

    assert ["x" * 300, "1"] == pressed(data[:-cut], strokes) + pressed(data[-cut:], strokes)


def test_ctrl_c_among_the_bytes_of_a_paste_is_one_of_them() -> None:
    """A pasted binary has any byte, and nothing of it is a key."""
    binary = "".join(chr(sign) for sign in range(1, 27)) * 20

    assert [binary] == pressed(b"\x1b[200~" + binary.encode() + b"\x1b[201~")


def test_ctrl_c_ends_a_paste_without_an_end() -> None:
    """Whoever wants to leave can."""
    assert ["ctrl+c"] == pressed(b"\x1b[200~22\x03")


def test_bytes_at_random_never_break_it() -> None:
    """And F2 works afterwards."""
    strokes = Keystrokes()
    at = 0.0
    for number in range(5_000):
        at += 0.01
        pressed(bytes_at_random(random.Random(f"bytes {number}")), strokes, at)
        list(strokes.wait(at))

    list(strokes.wait(at + PASTE_LONGEST + 1))
    assert "f2" in pressed(b"\x1b" + F2, strokes, at + PASTE_LONGEST + 2)
