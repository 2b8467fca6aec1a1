"""Work on paper without the command line: a form is printed at the bench, and the filled one typed in there."""

from __future__ import annotations

from pathlib import Path

from at_keyboard import START, at_the_bench, daybook, played
from at_tools import choose, rested
from clampbook.book.book import Book
from clampbook.run import prompts as ask
from clampbook.screens.paper_forms import PaperForms
from clampbook.screens.walk import WalkScreen
from museum import museum


def scanned(book: Book) -> Path:
    """A scan of a form, beside the book."""
    path = book.root.parent / "scan.pdf"
    path.write_bytes(b"%PDF-1.7 a scan")
    return path


@played
async def test_a_filled_form_is_typed_in_from_the_bench(tmp_path: Path) -> None:
    """Its code, its beginning, who did the work and its scan are asked; what is no scan is asked for again."""
    book = museum(tmp_path / "book")
    async with at_the_bench(book) as keyboard:
        await rested(keyboard)
        await choose(keyboard, "Paper forms")
        await keyboard.press("1", "enter")
        await choose(keyboard, "Ines")
        assert "at the foot of the form?" in await rested(keyboard)
        await keyboard.press("1", "enter")
        await keyboard.type(f"{START:%Y}-02-27 8:10")
        assert "stands at “Done by”" in await rested(keyboard)
        await choose(keyboard, "Tomas")
        assert "stands next at “Done by”? Enter after the last." in " ".join((await rested(keyboard)).split())
        await keyboard.press("enter")
        await rested(keyboard)
        await keyboard.type(str(book.path("tools.toml")))
        assert "is no scan" in await rested(keyboard)
        await keyboard.press("ctrl+u")
        await keyboard.type(str(scanned(book)))
        assert "Another scan?" in await rested(keyboard)
        await keyboard.type("-")
        await rested(keyboard)
        screen = keyboard.app.screen
        assert isinstance(screen, WalkScreen)
        assert isinstance(keyboard.prompt, ask.StartSheet)
        keyboard.app.leave_run()

    kinds = [line["event"] for line in daybook(book)]
    assert ["opened", "scan_added"] == kinds[:2]
    assert daybook(book)[0]["done_by"] == "tomas"
    (run,) = book.runs()
    assert (run.path / "scan-1.pdf").read_bytes() == b"%PDF-1.7 a scan"


@played
async def test_a_form_without_a_scan_begins_too(tmp_path: Path) -> None:
    """It is left out by one key."""
    book = museum(tmp_path / "book")
    async with at_the_bench(book) as keyboard:
        await rested(keyboard)
        await choose(keyboard, "Paper forms")
        await keyboard.press("1", "enter")
        await choose(keyboard, "Ines")
        await keyboard.press("1", "enter")
        await keyboard.type(f"{START:%Y}-02-27 8:10")
        assert "stands at “Done by”" in await rested(keyboard)
        await choose(keyboard, "Tomas")
        assert "stands next at “Done by”? Enter after the last." in " ".join((await rested(keyboard)).split())
        await keyboard.press("enter")
        await rested(keyboard)
        await keyboard.type("-")
        await rested(keyboard)
        assert isinstance(keyboard.app.screen, WalkScreen)
        keyboard.app.leave_run()

    assert "scan_added" not in [line["event"] for line in daybook(book)]


@played
async def test_a_blank_form_is_printed_from_the_bench(tmp_path: Path) -> None:
    """Into the folder forms of the book; where that is, is told."""
    book = museum(tmp_path / "book")
    async with at_the_bench(book) as keyboard:
        await rested(keyboard)
        await choose(keyboard, "Paper forms")
        screen = keyboard.app.screen
        assert isinstance(screen, PaperForms)
        print_first = next(n for n, (deed, _) in enumerate(screen.rows, 1) if deed.startswith("Print"))
        await keyboard.press(str(print_first), "enter")
        told = await rested(keyboard)

    (form,) = book.path("forms").glob("*-form.pdf")
    assert f"Paper form: forms/{form.name}" in told
    assert form.read_bytes().startswith(b"%PDF")


@played
async def test_esc_leads_back_to_the_list_of_forms(tmp_path: Path) -> None:
    """Another form may be meant."""
    async with at_the_bench(museum(tmp_path / "book")) as keyboard:
        await rested(keyboard)
        await choose(keyboard, "Paper forms")
        await keyboard.press("1", "enter")
        assert "Who are you?" in await rested(keyboard)
        await keyboard.press("escape")
        await rested(keyboard)

        assert isinstance(keyboard.app.screen, PaperForms)
