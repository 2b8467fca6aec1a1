"""The tools of a book: their pulls counted, and their file changed without treading on anybody's toes."""

from __future__ import annotations

from datetime import date
from pathlib import Path

import pytest

from clampbook.book import toolbox
from clampbook.book.book import TOOLS, Book
from clampbook.book.toolbox import add_pulls, counts, put_tools, tools_file
from clampbook.faults import Faulty
from clampbook.ledger.refusals import LedgerFault
from clampbook.tools.editing import changed

W2 = """\
# the blue one
[[tool]]
id = "w2"
name = "W2"
kind = "setting"
unit = "N·m"
range = ["20 N·m", "100 N·m"]
resolution = "0.5 N·m"
calibrated_on = 2026-01-12
"""
STAMP = {"at": "2026-03-02T09:00:00.000Z", "offset": "+01:00", "by": "ines"}


@pytest.fixture
def shop(book: Book) -> Book:
    """A book with one tool."""
    book.path(TOOLS).write_text(W2, encoding="utf-8")
    return book


class TestCycles:
    """Pulls done outside the program, entered by hand."""

    def test_they_add_up_in_the_log(self, shop: Book) -> None:
        """Forty and two, on two days."""
        tool = shop.tools()[0]
        add_pulls(shop, tool, 40, date(2026, 3, 2), STAMP)
        add_pulls(shop, tool, 2, date(2026, 3, 3), STAMP)

        assert {"w2": {"2026-03-02": 40, "2026-03-03": 2}} == counts(shop)
        assert 42 == toolbox.stock(shop).use("w2").pulls

    def test_what_was_pulled_before_the_calibration_does_not_count(self, shop: Book) -> None:
        """A calibration begins the count anew."""
        tool = shop.tools()[0]
        add_pulls(shop, tool, 4000, date(2025, 12, 1), STAMP)
        add_pulls(shop, tool, 7, date(2026, 1, 12), STAMP)

        assert 7 == toolbox.stock(shop).use("w2").pulls

    @pytest.mark.parametrize("count", [0, -3, 1_000_001])
    def test_a_number_that_cannot_be(self, shop: Book, count: int) -> None:
        """Nothing is written then."""
        with pytest.raises(LedgerFault, match="is not a number of pulls"):
            add_pulls(shop, shop.tools()[0], count, date(2026, 3, 2), STAMP)

        assert {} == counts(shop)


class TestChanging:
    """tools.toml put back changed."""

    def test_a_change_is_written(self, shop: Book) -> None:
        """The remark above the tool is still there."""
        before = tools_file(shop)
        put_tools(shop, before, changed(before, "tool", "w2", {"calibrated_on": date(2026, 3, 1)}))

        assert "2026-03-01" == shop.tools()[0].calibrated_on
        assert shop.path(TOOLS).read_text(encoding="utf-8").startswith("# the blue one\n[[tool]]\n")

    def test_what_somebody_wrote_meanwhile_is_not_overwritten(self, shop: Book) -> None:
        """The file on the disk is no longer the one that was read: a sentence, and it stays as it is."""
        before = tools_file(shop)
        by_hand = W2.replace("0.5 N·m", "1 N·m")
        shop.path(TOOLS).write_text(by_hand, encoding="utf-8")

        with pytest.raises(LedgerFault, match="Nothing saved"):
            put_tools(shop, before, changed(before, "tool", "w2", {"note": "new socket"}))

        assert by_hand == shop.path(TOOLS).read_text(encoding="utf-8")

    def test_a_change_that_would_be_a_fault_is_not_written(self, shop: Book) -> None:
        """All faults are told, and the file stays as it is."""
        before = tools_file(shop)

        with pytest.raises(Faulty) as faulty:
            put_tools(shop, before, changed(before, "tool", "w2", {"resolution": "0.5", "lever": "long"}))

        assert ["E201", "E201"] == [fault.code for fault in faulty.value.faults]
        assert before == tools_file(shop)


class TestABrokenFile:
    """The book stays usable."""

    def test_the_faults_are_one_sentence_beside_an_empty_stock(self, shop: Book) -> None:
        """What needs tools is told why there are none."""
        shop.path(TOOLS).write_text(W2.replace('"0.5 N·m"', '"0.5"').replace('"100 N·m"', '"lots"'), encoding="utf-8")

        stock, told = toolbox.stock_or_fault(shop)

        assert () == stock.tools
        assert told is not None
        assert told.startswith("tools.toml, line 7, ")
        assert told.endswith("and 1 more: clampbook tools lists them")


class TestTheExample:
    """What a new book's tools.toml shows behind its comment signs."""

    def test_it_can_be_used_as_it_stands(self, tmp_path: Path) -> None:
        """Whoever takes the comment signs away has a tool and an adapter."""
        made = Book.create(tmp_path / "new", "Shed")
        shown = made.path(TOOLS).read_text(encoding="utf-8").splitlines()[1:]
        made.path(TOOLS).write_text("\n".join(line.removeprefix("#") for line in shown), encoding="utf-8")

        stock = toolbox.stock(made)

        assert (["W2"], ["A1"]) == ([tool.name for tool in stock.tools], [one.name for one in stock.adapters])
