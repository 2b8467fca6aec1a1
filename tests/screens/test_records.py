"""The records: found by words as they are typed, opened, read, printed again; with the keyboard or its number block."""

from __future__ import annotations

import csv
from collections.abc import Callable
from pathlib import Path
from unicodedata import category

import pytest
from rich.segment import Segment
from textual.color import Color
from textual.pilot import Pilot

from archive.book_of_records import CRANK, FLANGE, GIVEN_UP, HEAD, a_record, made
from at_keyboard import Keyboard, Time, at_the_bench, played, seen, shown
from clampbook.book.book import Book
from clampbook.screens.app import Clampbook
from clampbook.screens.bench import Bench
from clampbook.screens.keyboard import Hands
from clampbook.screens.nothing_unseen import NothingUnseen
from clampbook.screens.page import Page
from clampbook.screens.record import Record
from clampbook.screens.records import Records

SIZES = [(40, 15), (80, 24), (120, 36)]


@pytest.fixture
def book(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Book:
    """Four runs that are over, two of them with a gasket; the pictures name the book."""
    monkeypatch.setattr("clampbook.book.new_book.drawn", lambda: "b00k2345")
    return made(tmp_path / "book")


async def rested(keyboard: Keyboard) -> None:
    """What is done aside is done."""
    await keyboard.app.workers.wait_for_complete()
    await keyboard.seen_to()


async def opened(keyboard: Keyboard) -> Records:
    """The list of records, once the index is there."""
    await rested(keyboard)
    bench = keyboard.app.screen
    assert isinstance(bench, Bench)
    number = next(n for n, (section, _, _) in enumerate(bench.standing.rows, 1) if section == "Records")
    await keyboard.press(*str(number), "enter")
    await rested(keyboard)
    return records(keyboard)


def records(keyboard: Keyboard) -> Records:
    """The list on the screen."""
    assert isinstance(keyboard.app.screen, Records)
    return keyboard.app.screen


def listed(keyboard: Keyboard) -> list[str]:
    """The runs in the list, from above."""
    return [hit.run for hit in records(keyboard).hits.runs]


class TestOddRecords:
    """A record that somebody else wrote steers no terminal."""

    @played
    async def test_nothing_of_it_is_painted_that_does_not_show(self, book: Book) -> None:
        """In the list, at a glance, and read line by line."""
        path = book.path("runs", HEAD, "record.toml")
        path.write_text(path.read_text().replace("pattern C", "pattern C \\u202e\\u001b[2J\\u009b1m", 1))
        async with at_the_bench(book) as keyboard:
            await opened(keyboard)
            pages = [await shown(keyboard)]
            await keyboard.type("pattern-c-head")
            await rested(keyboard)
            pages.append(await shown(keyboard))
            await keyboard.press("1", "enter")
            pages.append(await shown(keyboard))
            assert any(isinstance(each, NothingUnseen) for each in keyboard.app.get_line_filters())

        assert all("pattern C" in page for page in pages[:2])
        assert set() == {sign for page in pages for sign in page if category(sign) in ("Cc", "Cf") and sign != "\n"}

    def test_a_line_keeps_its_width(self) -> None:
        """What takes no room is left out, what takes some becomes a question mark."""
        line = [Segment("a\u202eb\x1bc"), Segment("d\ue000e", None), Segment("30 N·m – ok")]

        kept = NothingUnseen().apply(line, Color(0, 0, 0))

        assert ["abc", "d?e", "30 N·m – ok"] == [text for text, _, _ in kept]


class TestFinding:
    """The list follows what is typed."""

    @played
    async def test_all_are_listed_the_latest_first(self, book: Book) -> None:
        """Before anything is typed."""
        async with at_the_bench(book) as keyboard:
            await opened(keyboard)

            assert [GIVEN_UP, CRANK, FLANGE, HEAD] == listed(keyboard)
            assert "4 records" in records(keyboard).heading()

    @played
    async def test_each_letter_makes_the_list_shorter(self, book: Book) -> None:
        """And taking it away makes it longer again."""
        async with at_the_bench(book) as keyboard:
            await opened(keyboard)
            await keyboard.type("gask", enter=False)
            assert [FLANGE, HEAD] == listed(keyboard)
            await keyboard.type(" maud", enter=False)
            assert [HEAD] == listed(keyboard)
            await keyboard.press("ctrl+u")

            assert 4 == len(listed(keyboard))

    @played
    async def test_the_only_one_left_is_opened_by_enter(self, book: Book) -> None:
        """And coming back the words still stand there."""
        async with at_the_bench(book) as keyboard:
            await opened(keyboard)
            await keyboard.type("gasket maud")
            assert isinstance(keyboard.app.screen, Record)
            assert HEAD == keyboard.app.screen.folder.id
            await keyboard.press("escape")

            assert ("gasket maud", [HEAD]) == (records(keyboard).field, listed(keyboard))

    @played
    async def test_a_number_chooses_and_after_a_point_it_is_a_word(self, book: Book) -> None:
        """All on the number block: 3 is the third of the list, .4107 the unit."""
        async with at_the_bench(book) as keyboard:
            await opened(keyboard)
            await keyboard.type(".0031", enter=False)
            assert [FLANGE, HEAD] == listed(keyboard) or [] == listed(keyboard)
            await keyboard.press("ctrl+u")
            await keyboard.type(".4107", enter=False)
            assert 4 == len(listed(keyboard))
            await keyboard.press("ctrl+u")
            await keyboard.type("3")

            assert isinstance(keyboard.app.screen, Record)
            assert FLANGE == keyboard.app.screen.folder.id

    @played
    async def test_the_arrows_choose_within_what_was_found(self, book: Book) -> None:
        """The words stay what they are meanwhile."""
        async with at_the_bench(book) as keyboard:
            await opened(keyboard)
            await keyboard.type("gasket", enter=False)
            await keyboard.press("down", "down", "enter")

            assert isinstance(keyboard.app.screen, Record)
            assert HEAD == keyboard.app.screen.folder.id

    @played
    async def test_several_or_none_are_told(self, book: Book) -> None:
        """Nothing is opened by guess."""
        async with at_the_bench(book) as keyboard:
            await opened(keyboard)
            await keyboard.type("gasket")
            assert "Type more words" in records(keyboard).notice
            await keyboard.type("x")

            assert "No record found. Try fewer words." == records(keyboard).notice

    @played
    async def test_back_leads_to_the_whole_list_and_then_to_the_bench(self, book: Book) -> None:
        """Esc, or on an empty field *."""
        async with at_the_bench(book) as keyboard:
            await opened(keyboard)
            await keyboard.type("gasket", enter=False)
            await keyboard.press("escape")
            assert ("", 4) == (records(keyboard).field, len(listed(keyboard)))
            await keyboard.press("*")

            assert not isinstance(keyboard.app.screen, Records)

    @played
    async def test_hostile_records_are_shown_as_text(self, book: Book) -> None:
        """Markup, escapes and a file that is no record."""
        a_record(
            book, "20260401-odd-bbbbbbbb", 'title = "[red]x[/red] \\u001b[2J"\nclosed_at = "2026-04-01T10:00:00Z"\n'
        )
        a_record(book, "20260401-odd-cccccccc", "title = ")
        async with at_the_bench(book, size=(120, 36)) as keyboard:
            await opened(keyboard)

            assert "[red]x[/red] \\u{1b}[2J" in await shown(keyboard)
            assert "20260401-odd-cccccccc · cannot be read: record.toml cannot be read" in await shown(keyboard)


class TestOneRecord:
    """Read, print, write out."""

    async def _at(self, keyboard: Keyboard) -> Record:
        await opened(keyboard)
        await keyboard.type("pattern-c-head")
        assert isinstance(keyboard.app.screen, Record)
        return keyboard.app.screen

    @played
    async def test_what_it_is_stands_first(self, book: Book) -> None:
        """Title, end, unit, people, tools, parts, what falls due, and whether it is what it was."""
        async with at_the_bench(book, size=(120, 36)) as keyboard:
            await self._at(keyboard)
            stands = await shown(keyboard)

        for words in (
            "accepted, 10 deviations",
            "Equipment: 4107",
            "Ines; Okke",
            "W2 (HM-0031)",
            "Head gasket: 10",
            "Due later",
        ):
            assert words in stands
        assert "Verified: closed, not sealed" in stands

    @played
    async def test_it_is_read_as_it_was_written(self, book: Book) -> None:
        """The very lines of record.toml."""
        async with at_the_bench(book) as keyboard:
            await self._at(keyboard)
            await keyboard.press("1", "enter")

            page = keyboard.app.screen
            assert isinstance(page, Page)
            assert book.path("runs", HEAD, "record.toml").read_text().splitlines() == list(page.lines_shown)

    @played
    async def test_help_and_the_rest_of_the_glance(self, book: Book) -> None:
        """F1 explains; PgDn shows what stands below."""
        async with at_the_bench(book, size=(40, 15)) as keyboard:
            await self._at(keyboard)
            assert "Equipment: 4107" not in await shown(keyboard)
            await keyboard.press("pagedown")
            await keyboard.drawn()
            assert "Equipment: 4107" in seen(keyboard)
            await keyboard.press("f1")

            assert isinstance(keyboard.app.screen, Page)

    @played
    async def test_it_is_printed_beside_the_runs(self, book: Book) -> None:
        """The folder of the run stays as it is."""
        before = sorted(path.name for path in book.path("runs", HEAD).iterdir())
        async with at_the_bench(book) as keyboard:
            record = await self._at(keyboard)
            await keyboard.press("2", "enter")
            await rested(keyboard)

            assert f"Report: {book.path('printed', f'{HEAD}.pdf')}" == record.notice
            assert "Report:" in await shown(keyboard)
        assert b"%PDF" == book.path("printed", f"{HEAD}.pdf").read_bytes()[:4]
        assert before == sorted(path.name for path in book.path("runs", HEAD).iterdir())

    @played
    async def test_its_readings_are_written_out(self, book: Book) -> None:
        """As a table that any program can read."""
        async with at_the_bench(book) as keyboard:
            record = await self._at(keyboard)
            await keyboard.press("3", "enter")
            await rested(keyboard)

            assert "Readings saved to" in record.notice
        with book.path("printed", f"{HEAD}.csv").open(newline="", encoding="utf-8") as file:
            rows = list(csv.DictReader(file))
        assert {HEAD} == {row["run"] for row in rows}
        assert "40.132" in {row["at_fastener"] for row in rows}

    @played
    async def test_one_whose_files_are_damaged_says_why(self, book: Book) -> None:
        """No report, but a sentence; the program goes on."""
        book.path("runs", HEAD, "plan.json").write_bytes(b"{}")
        async with at_the_bench(book) as keyboard:
            record = await self._at(keyboard)
            await keyboard.press("2", "enter")
            await rested(keyboard)

            assert "plan.json" in record.notice
            assert keyboard.runs


@pytest.mark.parametrize("size", SIZES, ids=lambda size: f"{size[0]}x{size[1]}")
@pytest.mark.parametrize(
    ("name", "typed", "words"),
    [
        ("records", "gask", ("2 records", "Cylinder head, pattern C", "accepted, 10 deviations")),
        ("record", "gask maud\n", ("Record · Cylinder head", "accepted, 10 deviations", "1 Read it")),
    ],
    ids=["records", "record"],
)
def test_looks(
    snap_compare: Callable[..., bool],
    book: Book,
    monkeypatch: pytest.MonkeyPatch,
    name: str,
    typed: str,
    words: tuple[str, ...],
    size: tuple[int, int],
) -> None:
    """Words half typed with what they found; one record and what can be done with it."""
    time = Time()
    monkeypatch.setattr(Hands, "now", staticmethod(time.stopwatch))
    told: list[str] = []
    app = Clampbook(lambda _: Records(book))

    async def play(pilot: Pilot[None]) -> None:
        keyboard = Keyboard(pilot, time)
        await rested(keyboard)
        await pilot.pause()
        await keyboard.press(*("enter" if sign == "\n" else sign for sign in typed))
        await rested(keyboard)
        await keyboard.drawn()
        told.append(" ".join(seen(keyboard).split()))

    alike = snap_compare(app, terminal_size=size, run_before=play)

    assert [] == [word for word in words if word not in told[0]], (name, told)
    assert alike
