"""The walk on the screen, by real keys from a cold start."""

from __future__ import annotations

from collections.abc import Callable
from io import StringIO
from pathlib import Path
from typing import Any

import pytest

from at_keyboard import Time, at_the_bench, daybook, named, played, shown, steadily, walking
from clampbook import demo
from clampbook.book.book import Book
from clampbook.book.starting.new_run import open_run
from clampbook.book.starting.terms import Terms, work_named
from clampbook.book.starting.walking import walking as walking_plain
from clampbook.plain.loop import Loop
from clampbook.plain.words import Words
from clampbook.run import prompts as ask
from clampbook.screens.app import Clampbook
from clampbook.screens.bench import Bench
from clampbook.screens.gathering import Gathering
from covers import cover
from museum import museum, own

COVER = cover(group='after_bad_pull = "pull again"\n')
TIMES = {"at", "prev", "offset", "lasts", "since"}


@pytest.fixture
def book(book: Book) -> Book:
    """The demo book with a valve cover."""
    own(book.root, "cover", COVER)
    return book


@played
async def test_a_terminal_made_smaller_shows_the_strip_of_the_map(book: Book) -> None:
    """Nothing of the larger picture keeps its rows: the places around the bolt stand below what was said last."""
    async with walking(book, demo.HEAD, by=named(book, "Ines")) as keyboard:
        await steadily(keyboard, until=ask.Tighten)
        await keyboard.slow_pull()
        await keyboard.press("+")
        await keyboard.drawn()
        await keyboard.pilot.resize_terminal(40, 15)
        await keyboard.drawn()
        stands = (await shown(keyboard)).splitlines()

    strip = next(at for at, line in enumerate(stands) if "┃2┃" in line)
    assert "No reading." in stands[strip - 2]
    assert "+ clicked" in stands[strip + 1]


class TestKeysCounted:
    """Paper takes 20 seconds to the first bolt and a tick for each; the screen may not take much more."""

    @played
    async def test_the_demo_by_numeric_pad(self, book: Book) -> None:
        """From the bench: the first pull within 40 keys, one for a click, five for a reading, eight for a tool."""
        async with at_the_bench(book) as keyboard:
            await keyboard.press("5", "enter", "1", "enter", "1", "enter")
            taken = await steadily(keyboard)

        assert 4 + sum(keys for _, keys in taken[: _first_pull(taken)]) <= 40
        assert {1} == {keys for prompt, keys in taken if isinstance(prompt, ask.Tighten) and not prompt.reading}
        assert max(keys for prompt, keys in taken if isinstance(prompt, ask.Measure)) <= 5
        assert max(_tool_changes(taken)) <= 8
        assert "closed" == daybook(book)[-1]["event"]

    @played
    async def test_a_tool_changed_in_the_middle(self, book: Book) -> None:
        """Another tool for the pull at hand, its zero looked at, and the next reading: eight keys and five."""
        async with walking(book, "cover", by=named(book, "Ines")) as keyboard:
            await steadily(keyboard, until=ask.Tighten)
            before = len(keyboard.pressed)
            await keyboard.press("*", "8", "enter", "2", "enter", "1", "enter")

            assert len(keyboard.pressed) - before <= 8
            assert isinstance(keyboard.prompt, ask.Tighten)
            assert ("W5", True) == (keyboard.prompt.tool.name, keyboard.prompt.reading)
            before = len(keyboard.pressed)
            await keyboard.slow_pull()
            await keyboard.type("22.1")

            assert 5 == len(keyboard.pressed) - before
            assert ("reading_taken", "22.1") == (daybook(book)[-1]["event"], daybook(book)[-1]["typed"])


class TestSameAsPlain:
    """Full screen and plain mode are two faces of one walk."""

    @played
    async def test_the_same_lines_give_the_same_events(
        self, book: Book, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
    ) -> None:
        """The demo by keys, and its lines again in plain mode: the same daybook, times aside."""
        lines = _noted(monkeypatch)
        async with walking(book, demo.HEAD, by=named(book, "Ines")) as keyboard:
            await steadily(keyboard)
        other = museum(tmp_path / "other")

        _plainly(other, demo.HEAD, lines)

        assert _without_times(daybook(other)) == _without_times(daybook(book))


class TestComingBack:
    """Esc, Backspace and the end of a run."""

    @played
    async def test_esc_leaves_nothing_behind(self, book: Book) -> None:
        """An answer that was begun and left changes neither the daybook nor the question."""
        async with walking(book, "cover", by=named(book, "Ines")) as keyboard:
            await steadily(keyboard, until=ask.Tighten)
            lines, prompt = daybook(book), keyboard.prompt
            await keyboard.press("*", "3", "enter", "escape", "*", "escape", "/", "escape")

            assert (prompt, None) == (keyboard.prompt, keyboard.walk.gathering.part)
            assert lines == daybook(book)

    @played
    async def test_esc_takes_away_what_was_refused(self, book: Book) -> None:
        """What was wrong with an answer that nobody gives any more is over."""
        async with walking(book, "cover", by=named(book, "Ines")) as keyboard:
            await steadily(keyboard, until=ask.Tighten)
            await keyboard.type("x")
            refused = keyboard.walk.gathering.notice
            await keyboard.press("escape")

            assert refused is not None and refused.refused
            assert keyboard.walk.gathering.notice is None

    @played
    async def test_a_stray_digit_leaves_no_trace(self, book: Book) -> None:
        """No number is typed at a click, so that + says that it clicked, as before."""
        async with walking(book, "cover", by=named(book, "Ines")) as keyboard:
            await steadily(keyboard, until=ask.Tighten)
            await keyboard.slow_pull()
            await keyboard.press("5", "1")
            field = keyboard.walk.field
            await keyboard.press("+")

            assert "" == field
            assert "clicked" == daybook(book)[-1]["event"]

    @played
    async def test_letters_where_a_number_is_typed_are_named(self, book: Book) -> None:
        """They are not shown, and Enter does not say that nothing was typed; nor does it pause."""
        async with walking(book, demo.HEAD, by=named(book, "Ines")) as keyboard:
            await steadily(keyboard, until=ask.SetTool)
            await keyboard.type("pause")
            refused = await shown(keyboard)
            await keyboard.press("enter")
            empty = await shown(keyboard)

        assert "“pause” is not a number. Type the number on W1's scale" in refused
        assert "Nothing typed. Type the number on W1's scale" in empty

    @played
    async def test_a_stage_that_begins_is_told_beside_the_answer_before(self, book: Book) -> None:
        """The first pull of the head comes after the last item of the start checklist."""
        async with walking(book, demo.HEAD, by=named(book, "Ines")) as keyboard:
            await steadily(keyboard, until=ask.TakeTool)

            assert "Stage 1 of 9: tighten head bolts." in await shown(keyboard)

    @played
    async def test_backspace_on_an_empty_field_corrects_the_last_answer(self, book: Book) -> None:
        """The first value stays, and how the right one is known is kept."""
        async with walking(book, "cover", by=named(book, "Ines")) as keyboard:
            await keyboard.press("3", "enter", "1", "enter")
            await keyboard.slow_pull()
            await keyboard.type("21.9")
            await keyboard.press("backspace")
            await keyboard.type("22.1")
            await keyboard.press("1", "enter")

        stored = daybook(book)
        assert ["reading_taken", "corrected", "paused"] == [line["event"] for line in stored[-3:]]
        assert ("22.1", "the tool still shows it") == (stored[-2]["typed"], stored[-2]["known"])

    @played
    async def test_pause_goes_back_to_the_bench_where_the_run_is_listed(self, book: Book) -> None:
        """And from there it goes on with the same question."""
        async with at_the_bench(book) as keyboard:
            await keyboard.press("1", "enter", "1", "enter")
            await keyboard.press("3", "enter", "1", "enter", "*", "0", "enter")
            await keyboard.app.workers.wait_for_complete()
            await keyboard.seen_to()

            assert isinstance(keyboard.app.screen, Bench)
            (run,) = keyboard.app.screen.standing.runs
            assert ("Valve cover", "step 1 of 5 · paused", "Ines") == (run.title, run.where, run.person)
            await keyboard.press("1", "enter", "1", "enter")

            assert isinstance(keyboard.prompt, ask.StepState | ask.Tighten)

    @played
    async def test_an_over_rings_unless_the_bell_is_off(self, book: Book, monkeypatch: pytest.MonkeyPatch) -> None:
        """Once for a reading above its window, never for one within."""
        async with walking(book, "cover", by=named(book, "Ines")) as keyboard:
            rung: list[int] = []
            monkeypatch.setattr(keyboard.app, "bell", lambda: rung.append(1))
            await keyboard.press("3", "enter", "1", "enter")
            await keyboard.slow_pull()
            await keyboard.type("22.1")
            assert [] == rung
            await keyboard.slow_pull()
            await keyboard.type("24.1")

            assert ([1], True) == (rung, isinstance(keyboard.prompt, ask.Decide))


def _first_pull(taken: list[tuple[ask.Prompt, int]]) -> int:
    return next(n for n, (prompt, _) in enumerate(taken) if isinstance(prompt, ask.Tighten))


def _tool_changes(taken: list[tuple[ask.Prompt, int]]) -> list[int]:
    """The keys of each tool change: putting one back, taking one up, setting it, looking at its zero."""
    changes = [0]
    for prompt, keys in taken:
        if isinstance(prompt, ask.TakeTool | ask.SetTool | ask.ZeroTool | ask.ReturnTool):
            changes[-1] += keys
        elif changes[-1]:
            changes.append(0)
    return changes


def _noted(monkeypatch: pytest.MonkeyPatch) -> list[str]:
    lines: list[str] = []
    line: Callable[[Gathering, str, str], None] = Gathering.line

    def noting(self: Gathering, text: str, lost: str = "") -> None:
        lines.append(text)
        line(self, text, lost)

    monkeypatch.setattr(Gathering, "line", noting)
    return lines


@played
async def test_a_list_of_choices_begins_with_its_first(book: Book) -> None:
    """The best tool stands first and is seen first, also where the long start sheet before it was scrolled."""
    async with walking(book, demo.HEAD, by=named(book, "Ines"), size=(40, 15)) as keyboard:
        await steadily(keyboard, until=ask.TakeTool)
        await keyboard.drawn()

        assert "1 W1" in " ".join((await shown(keyboard)).split())


@played
async def test_the_first_question_is_painted_once(book: Book, monkeypatch: pytest.MonkeyPatch) -> None:
    """A whole screen goes to the terminal once, also where that is far away and slow."""
    painted: list[str] = []
    display = Clampbook._display

    def noting(app: Clampbook, screen: Any, what: Any) -> None:
        painted.append(type(what).__name__)
        display(app, screen, what)

    monkeypatch.setattr(Clampbook, "_display", noting)
    async with walking(book, "cover", by=named(book, "Ines")) as keyboard:
        await keyboard.drawn()

        assert "Pick up a torque tool" in " ".join((await shown(keyboard)).split())
        assert 1 == painted.count("LayoutUpdate")


class _Script:
    """Lines one after the other; at a wait its time passes."""

    def __init__(self, lines: list[str], time: Time) -> None:
        self.lines, self.time, self.loop = list(lines), time, None

    def read(self) -> str | None:
        self.time.seconds += 700 if self.lines and self.waits() else 3.25
        return self.lines.pop(0) if self.lines else None

    def waits(self) -> bool:
        return isinstance(self.walk.prompt, ask.Wait)

    def throw_away_waiting(self) -> None:
        """Nothing waits in a list."""

    walk: Any = None


def _plainly(book: Book, procedure: str, lines: list[str]) -> None:
    time = Time()
    work, person = work_named(book, procedure), named(book, "Ines")
    run = open_run(book, work, Terms(person=person, trial=False), time, "system")
    script = _Script(lines, time)
    with walking_plain(book, run, clock=time, person=person, fresh=True) as walk:
        script.walk = walk
        face = Words(StringIO(), width=80, marker=False)
        Loop(walk, face, script, time, book.person_named).run()  # type: ignore[arg-type]


def _without_times(lines: list[dict[str, Any]]) -> list[dict[str, Any]]:
    return [{key: value for key, value in line.items() if key not in TIMES} for line in lines[1:]]
