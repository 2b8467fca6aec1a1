"""A new book: what it begins with, and what is left where making it was cut off."""

from __future__ import annotations

from decimal import Decimal
from pathlib import Path

import pytest

from clampbook.book.book import Book
from clampbook.book.new_book import NewBook, can_become_a_book, make
from clampbook.faults import Faulty
from clampbook.ledger import atomic
from clampbook.ledger.refusals import LedgerFault
from clampbook.people import Person
from clampbook.text import TextFault
from clampbook.tools.editing import Value

W2: dict[str, Value] = {
    "id": "w2",
    "name": "W2",
    "kind": "setting",
    "unit": "N·m",
    "range": ["20 N·m", "100 N·m"],
    "resolution": "1 N·m",
}
SHED = NewBook(name="Shed", people=("Ines", "Jonas"), paper="letter", unit="N·m", tools=(W2,))


def test_it_holds_what_was_said(tmp_path: Path) -> None:
    """People, paper, unit and tools, as if each had been added by hand."""
    book = make(tmp_path / "shed", SHED)

    assert ("Shed", "letter", "N·m") == (book.name, book.paper(), book.unit())
    assert (Person("ines", "Ines"), Person("jonas", "Jonas")) == book.people()
    (tool,) = book.tools()
    assert ("w2", Decimal(100)) == (tool.id, tool.maximum)
    assert tool.kind == "setting"


def test_a_unit_that_is_none_is_an_error_of_its_cover(tmp_path: Path) -> None:
    """Whoever wrote it reads which ones there are."""
    cover = make(tmp_path / "shed", SHED).root / "book.toml"
    cover.write_text(cover.read_text(encoding="utf-8").replace("N·m", "mm"), encoding="utf-8")

    with pytest.raises(Faulty) as faulty:
        Book.open(cover.parent)
    assert ["unit"] == [fault.key for fault in faulty.value.faults]
    assert "lbf·ft" in faulty.value.faults[0].allowed


@pytest.mark.parametrize(
    "wrong",
    [
        NewBook(name="Shed", people=("Ines", "INES")),
        NewBook(name="Shed", people=("",)),
        NewBook(name="x" * 81),
        NewBook(name="Shed", tools=({**W2, "range": ["20 N·m"]},)),
        NewBook(name="Shed", tools=(W2, W2)),
    ],
)
def test_what_cannot_be_is_refused_before_anything_is_written(tmp_path: Path, wrong: NewBook) -> None:
    """Not even the folder is there."""
    with pytest.raises((TextFault, Faulty)):
        make(tmp_path / "shed", wrong)
    assert not (tmp_path / "shed").exists()


@pytest.mark.parametrize("written", range(4))
def test_one_that_was_cut_off_is_no_book_and_can_be_made_again(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, written: int
) -> None:
    """After any of its files."""
    left = iter([*([True] * written), False])
    whole = atomic.write

    def cut(path: Path, data: bytes) -> None:
        if not next(left, True):
            raise KeyboardInterrupt
        whole(path, data)

    with monkeypatch.context() as cutting:
        cutting.setattr(atomic, "write", cut)
        if written < 3:
            with pytest.raises(KeyboardInterrupt):
                make(tmp_path / "shed", SHED)
            assert not (tmp_path / "shed" / "book.toml").exists()
        else:
            make(tmp_path / "shed", SHED)
            (tmp_path / "shed" / "book.toml").unlink()

    assert (Person("ines", "Ines"), Person("jonas", "Jonas")) == make(tmp_path / "shed", SHED).people()


def test_whether_a_folder_can_become_one_is_told_without_touching_it(tmp_path: Path) -> None:
    """Missing or empty it can, with something in it not."""
    can_become_a_book(tmp_path / "missing")
    can_become_a_book(tmp_path)
    assert [] == list(tmp_path.iterdir())

    (tmp_path / "holiday.jpg").write_bytes(b"")
    with pytest.raises(LedgerFault, match="is not empty"):
        can_become_a_book(tmp_path)


def test_a_folder_that_is_a_book_already_is_called_one(tmp_path: Path) -> None:
    """Whoever looks for their book has found it."""
    make(tmp_path / "shed", SHED)

    with pytest.raises(LedgerFault, match="is not empty: it is a book"):
        can_become_a_book(tmp_path / "shed")
