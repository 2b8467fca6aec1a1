"""The real program in a real pseudo-terminal: walked by the keys of a numeric pad, and safe from all else.

The whole cylinder head at both sizes, its ten minutes' wait included, runs where CLAMPBOOK_TERMINAL_FULL is set.
"""

from __future__ import annotations

import os
import signal
import time
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest

from at_terminal import BENCH, LEAST_PULL, PAD, Person, terminal
from clampbook.book.book import Book
from covers import SIGNED_OFF, SQUEEZED, TIGHTENED, cover
from museum import lines_of, museum, own

SIZES = ((80, 24), (40, 15))
FULL = bool(os.environ.get("CLAMPBOOK_TERMINAL_FULL"))
COVER = cover(TIGHTENED, SQUEEZED, SIGNED_OFF, title="Cylinder head cover", name="Head bolts")


@pytest.fixture
def book(tmp_path: Path) -> Book:
    """The demo book with a cover of four bolts."""
    made = museum(tmp_path / "book")
    own(made.root, "cover", COVER)
    return made


@pytest.fixture
def walk(book: Book) -> Iterator[Person]:
    """Somebody at the first question of the cover."""
    with terminal(book.root, "walk", "cover", "--as", "Ines", size=(80, 24)) as person:
        person.wait_for("Pick up a torque tool")
        yield person


def events(book: Book) -> list[dict[str, Any]]:
    """The lines of the only run."""
    (run,) = book.runs()
    return lines_of(run)


def names(book: Book) -> list[str]:
    """What happened in the only run."""
    return [event["event"] for event in events(book)]


def at_a_release(person: Person) -> None:
    """The first bolt is asked for, with a tool that lets go."""
    person.tool = ""
    person.until("to one click")
    person.look(0.5)


def at_a_reading(person: Person) -> None:
    """The first bolt is asked for, with a tool that shows the torque."""
    person.until("Type its reading")
    person.look(0.5)


def at_a_decision(person: Person) -> None:
    """The first bolt went over."""
    at_a_reading(person)
    person.press("24.1\r")
    person.wait_for("is over: ")


def printed(book: Book, person: Person) -> Path:
    """The report, once it is told; the program is left."""
    person.wait_for(r"Report: ")
    person.press("\r")
    (run,) = book.runs()
    return run.path / "report.pdf"


class TestFromTheBenchToTheReport:
    """The demo from its first screen to the printed report, on a numeric pad."""

    def test_the_cylinder_head_at_80_by_24(self, book: Book) -> None:
        """A trial assembly, which leaves out the ten minutes' wait."""
        with terminal(book.root, size=(80, 24)) as person:
            person.wait_for(BENCH)
            person.until("Run closed: trial")
            report = printed(book, person)
            person.wait_for(BENCH)
            person.press("0\r")
            status = person.to_its_end()

        assert (0, b"%PDF-") == (status, report.read_bytes()[:5])
        assert {key for _, key in person.pressed} <= PAD
        assert (24, 13, 4) == tuple(names(book).count(name) for name in ("turned", "measured", "clicked"))

    def test_a_cover_at_40_by_15(self, book: Book) -> None:
        """Four bolts and a look; on so small a screen nothing that is needed is hidden."""
        with terminal(book.root, size=(40, 15)) as person:
            person.procedure = "Cylinder head cover"
            person.wait_for(BENCH)
            person.until("Run closed: done")
            report = printed(book, person)

        assert b"%PDF-" == report.read_bytes()[:5]
        assert {key for _, key in person.pressed} <= PAD
        assert 4 == names(book).count("reading_taken")


if FULL:

    class TestTheWholeHead:
        """The final assembly with its wait and its sign-offs, with the tools that stand first."""

        @pytest.mark.parametrize("size", SIZES)
        def test_by_numeric_pad(self, book: Book, size: tuple[int, int]) -> None:
            """Tells keys and seconds a bolt, from the first question about a position to the wait."""
            with terminal(book.root, size=size, tool="") as person:
                person.trial = False
                person.wait_for(BENCH)
                person.until("Pick up")
                begun, keys = time.monotonic(), len(person.pressed)
                person.until("^Wait ")
                took, pressed = time.monotonic() - begun, len(person.pressed) - keys
                person.until("Run closed: done")
                report = printed(book, person)

            print(f"\n{size}: {took / 14:.1f} s and {pressed / 14:.1f} keys for each of 14 bolts, {keys} keys before")
            assert b"%PDF-" == report.read_bytes()[:5]
            assert {key for _, key in person.pressed} <= PAD


class TestAHeldKey:
    """A resting elbow is no answer."""

    def test_a_held_space_bar_releases_at_most_one_bolt_a_least_pull_time(self, walk: Person, book: Book) -> None:
        """Repeated thirty times a second, six seconds long."""
        at_a_release(walk)
        begun = time.monotonic()
        while time.monotonic() < begun + 6:
            walk.send(" ")
            time.sleep(0.033)
        walk.look()

        assert names(book).count("clicked") <= (time.monotonic() - begun) / LEAST_PULL

    def test_a_space_bar_pressed_again_and_again_waits_for_the_least_pull_time(self, walk: Person, book: Book) -> None:
        """Every 0.9 seconds, which is no held key any more."""
        at_a_release(walk)
        begun = time.monotonic()
        for _ in range(7):
            walk.press(" ")
        walk.look()

        assert 1 <= names(book).count("clicked") <= (time.monotonic() - begun) / LEAST_PULL

    def test_it_never_passes_a_decision(self, walk: Person, book: Book) -> None:
        """Three seconds of space, and three of Enter."""
        at_a_decision(walk)
        for key in (" ", "\r"):
            for _ in range(90):
                walk.send(key)
                time.sleep(0.033)
        walk.look()

        assert "is over: " in walk.asked
        assert "decided" not in names(book)


class TestTypedAhead:
    """What was typed before a question could be seen answers nothing that counts."""

    def test_no_release(self, walk: Person, book: Book) -> None:
        """The plus comes in one burst with the answer before it."""
        walk.tool = ""
        walk.until("Type what its scale shows")
        walk.press("30\r")
        walk.look()
        walk.send("1\r+")
        time.sleep(LEAST_PULL + 0.5)
        walk.look()

        assert "clicked" not in names(book)

    def test_no_decision(self, walk: Person, book: Book) -> None:
        """Enter, the choice, and its Enter, all before the question is painted."""
        at_a_reading(walk)
        walk.press("24.1")
        walk.send("\r1\r")
        walk.wait_for("Over ▀: (head bolt|cover screw|screw) 1, 24.1")
        walk.look(0.5)

        assert "decided" not in names(book)

    def test_no_sign_off(self, walk: Person, book: Book) -> None:
        """The name comes in one burst with the answer to the last look."""
        walk.until("Gasket evenly squeezed")
        walk.until("Put W5 away")
        walk.send("+1\r")
        walk.look(0.5)

        assert "signed_off" not in names(book)


class TestAToolThatTypes:
    """Its line comes in one burst."""

    def test_where_a_reading_is_asked_it_is_one(self, walk: Person, book: Book) -> None:
        """As typed."""
        at_a_reading(walk)
        walk.send("22.1\r")
        walk.wait_for("Head bolt 2:")

        assert ("reading_taken", "22.1") == (events(book)[-1]["event"], events(book)[-1]["typed"])

    def test_elsewhere_it_is_kept_as_it_arrived(self, walk: Person, book: Book) -> None:
        """At a click it is asked which position it belongs to."""
        at_a_release(walk)
        walk.send("22.1\r")
        walk.wait_for("22.1 came in")
        walk.press("2\r")
        walk.look()

        assert "clicked" not in names(book)
        assert "arrived_unasked" == names(book)[-1]


class TestEndings:
    """However the program is ended, the run can be taken up."""

    def taken_up(self, book: Book) -> None:
        """Another start asks how the step at hand was left."""
        with terminal(book.root, "walk", "--resume", "--as", "Ines", size=(80, 24)) as person:
            person.wait_for("how was it left")

    def test_ctrl_c_is_a_safe_pause(self, walk: Person, book: Book) -> None:
        """Status 130."""
        at_a_reading(walk)
        walk.send("\x03")

        assert 130 == walk.to_its_end()
        assert "paused" == names(book)[-1]
        self.taken_up(book)

    def test_the_signal_that_ends_programs_is_a_safe_pause(self, walk: Person, book: Book) -> None:
        """As at a shutdown."""
        at_a_reading(walk)
        walk.program.kill(signal.SIGTERM)

        assert 130 == walk.to_its_end()
        assert "paused" == names(book)[-1]
        self.taken_up(book)

    def test_a_closed_window_is_a_safe_pause(self, walk: Person, book: Book) -> None:
        """The terminal goes away under the program."""
        at_a_reading(walk)
        walk.program.ptyproc.fileobj.close()
        until = time.monotonic() + 10
        while walk.program.isalive() and time.monotonic() < until:
            time.sleep(0.1)

        assert not walk.program.isalive()
        assert ("paused", "terminal closed") == (names(book)[-1], events(book)[-1]["cause"])
        self.taken_up(book)
