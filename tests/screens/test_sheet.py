"""The start sheet where the same work was done before, on the screen and line by line."""

from __future__ import annotations

import sys
from io import BytesIO, StringIO, TextIOWrapper

import pytest
from small_joints import READING, bolts, procedure, tighten

from at_keyboard import Keyboard, named, onward, played, shown, walking
from bench import Bench
from clampbook import cli, demo
from clampbook.book.book import Book
from clampbook.run import answers as a
from clampbook.run import prompts as ask
from clampbook.run.events import Asked, PartRecorded, read
from clampbook.run.planning import plan
from clampbook.run.questions.items import sheet_at
from clampbook.screens.sheet import answered, form
from clampbook.screens.shown import Shown


async def sheet_filled(keyboard: Keyboard) -> None:
    """Cautions, serial number, no work order, hours, and the lot of the gasket."""
    await keyboard.press("+")
    await keyboard.type("C 47")
    await keyboard.press("-", "enter")
    await keyboard.type("120")
    await keyboard.type("L 9")


def answers(book: Book) -> list[str | None]:
    """What was answered in the run that was opened last, cautions left aside."""
    latest = max(book.runs(), key=lambda run: str((run.first() or {})["at"]))
    return [event.typed for event in map(read, latest.lines()[0]) if isinstance(event, Asked | PartRecorded)]


@played
async def test_one_key_takes_each_answer_of_last_time(book: Book) -> None:
    """Serial number and lot; the hours are read off again, and what was left out is asked as before."""
    async with walking(book, demo.HEAD, by=named(book, "Ines")) as keyboard:
        await sheet_filled(keyboard)
    async with walking(book, demo.HEAD, by=named(book, "Ines")) as keyboard:
        keyboard.time.seconds += 3600
        await keyboard.press("enter", apart=2)  # it was read that the first is open still
        await keyboard.press("+", apart=2)
        offered = await shown(keyboard)
        await keyboard.press("+", apart=2)
        await keyboard.press("-", "enter")
        at_the_hours = await shown(keyboard)
        await keyboard.type("121")
        await keyboard.press("+", apart=2)

        again = [event.typed for event in _events(keyboard) if isinstance(event, Asked | PartRecorded)]

    assert ["C 47", None, "121", "L 9"] == again
    assert ["Last time: C 47.", "+ same"] == [words for words in ("Last time: C 47.", "+ same") if words in offered]
    assert "Last time" not in at_the_hours


def _events(keyboard: Keyboard) -> list[object]:
    return [read(line) for line in keyboard.walk.taken.run.lines()[0]]


def test_line_by_line_it_is_the_same_key(book: Book, monkeypatch: pytest.MonkeyPatch) -> None:
    """Plain mode says what it was, and takes it with a plus."""
    said = [_plainly(book, monkeypatch, clock, lines) for clock, lines in (("09", ["+", "C 47"]), ("10", ["+", "+"]))]

    assert ["C 47"] == answers(book)
    assert ("Last time: C 47." in said[0], "Last time: C 47." in said[1]) == (False, True)
    assert "+ for same" in said[1]


def _plainly(book: Book, monkeypatch: pytest.MonkeyPatch, hour: str, lines: list[str]) -> str:
    """What plain mode says to these lines, from this hour on."""
    given, said = BytesIO("".join(f"{line}\n" for line in lines).encode()), BytesIO()
    monkeypatch.setenv("CLAMPBOOK_CLOCK", f"2026-03-02T{hour}:00:00Z+3s")
    monkeypatch.setattr(sys, "stdin", TextIOWrapper(given, encoding="utf-8"))
    monkeypatch.setattr(sys, "stdout", TextIOWrapper(said, encoding="utf-8", write_through=True))
    monkeypatch.setattr(sys, "stderr", StringIO())
    cli.status(["walk", demo.HEAD, "--as", "Ines", "--book", str(book.root)])
    return said.getvalue().decode()


@played
async def test_what_was_left_out_says_why_nothing_stands_there(book: Book) -> None:
    """Whoever reads the form later sees that it was no slip."""
    async with walking(book, demo.HEAD, by=named(book, "Ines")) as keyboard:
        await onward(keyboard, ask.StartSheet, times=4)
        prompt = keyboard.prompt
        assert isinstance(prompt, ask.StartSheet)
        plan = keyboard.walk.taken.walk.plan

        sheet = sheet_at(plan, prompt)
        items = form(Shown(""), sheet, {"ask:Work order": "left out"}, None).items

    assert ("Engine hours", [("Work order", "(not required by the procedure)")]) == (
        next(line.name for line in sheet if line.here),
        [(item.name, item.remark) for item in items if item.remark],
    )


def test_what_a_form_leaves_blank_is_not_known_and_not_still_to_come() -> None:
    """Nobody ticked that the washers were oiled; the row says so, and is behind."""
    group = bolts(2, prepare=("Washers oiled.",))
    paper = Bench(plan(procedure((group,), (tighten(group),)), "invented", late=True), READING)
    paper.steadily(until=ask.StartSheet)
    paper.answer(a.Blank())

    assert {"prepare:Head bolts": "? nothing on the form"} == answered(paper.events)
