"""The demo book: made whole, left alone when it is there, and walked."""

from __future__ import annotations

import json
import os
import subprocess
import sys
from datetime import date
from pathlib import Path

import pytest

from clampbook import cli, demo
from clampbook.book import toolbox
from clampbook.book.book import Book
from clampbook.demo import samples
from clampbook.ledger.refusals import LedgerFault
from clampbook.procedure.reader import read_file
from clampbook.run.in_hand.demands import demands
from clampbook.run.planning import plan as plan_of
from clampbook.tools.fitness import fitness
from clampbook.tools.state import state


class TestMaking:
    """`clampbook demo` makes a book that a person can try everything in."""

    def test_it_has_the_museums_people_and_tools(self, tmp_path: Path) -> None:
        """Four people by first names; setting tools in two units, one of them past its calibration and one too large
        for the engine, an indicating tool, a gauge, a reference, and an adapter."""
        book, _ = demo.make(tmp_path / "book")

        assert ["Ines", "Tomas", "Maud", "Okke"] == [person.name for person in book.people()]
        assert [
            ("setting", "N·m"),
            ("setting", "lbf·ft"),
            ("indicating", "lbf·ft"),
            ("setting", "N·m"),
            ("setting", "N·m"),
            ("angle gauge", "°"),
            ("reference", "N·m"),
        ] == [(tool.kind, tool.unit) for tool in book.tools()]
        assert ["A1"] == [adapter.name for adapter in toolbox.stock(book).adapters]

    @pytest.mark.parametrize("today", [date(2026, 3, 2), date(2031, 7, 1)])
    def test_all_tools_but_one_are_in_date_whenever_it_is_made(self, tmp_path: Path, today: date) -> None:
        """Whoever tries the demo years from now still finds exactly one tool past its calibration."""
        book, _ = demo.make(tmp_path / "book", today)

        found = {tool.name: state(tool, today).word for tool in book.tools()}
        assert {"W7": "calibration past"} == {name: word for name, word in found.items() if word != "fit"}

    def test_it_has_every_sample_procedure(self, tmp_path: Path) -> None:
        """The head, the flange and the others, byte for byte."""
        book, _ = demo.make(tmp_path / "book")

        assert [path.read_bytes() for path in samples()] == [path.read_bytes() for path in book.procedures()]
        assert demo.HEAD in [path.stem for path in book.procedures()]

    @pytest.mark.parametrize("sheet", samples(), ids=lambda path: path.stem)
    def test_its_tools_can_do_every_sample(self, tmp_path: Path, sheet: Path) -> None:
        """Each torque of a sample can be set or read on one of the museum's tools, and nobody has to say why."""
        tools = demo.make(tmp_path / "book")[0].tools()
        plan = plan_of(read_file(sheet)[0], "sample")

        wanted = [each.demand for each in demands(plan) if each.demand.need != "measure"]
        assert [] == [each for each in wanted if not any(fitness(tool, each).suits for tool in tools)]

    @pytest.mark.parametrize("sheet", samples(), ids=lambda path: path.stem)
    def test_every_sample_says_that_its_values_are_invented(self, sheet: Path) -> None:
        """A sample must never be taken for a real machine's sheet."""
        procedure, _ = read_file(sheet)

        assert "draft" == procedure.status
        assert any("invented" in caution for caution in procedure.cautions)

    def test_a_book_that_is_there_is_left_alone(self, tmp_path: Path) -> None:
        """Making it twice changes nothing."""
        demo.make(tmp_path / "book")
        before = {path: path.read_bytes() for path in (tmp_path / "book").rglob("*") if path.is_file()}

        _, new = demo.make(tmp_path / "book")

        assert not new
        assert before == {path: path.read_bytes() for path in (tmp_path / "book").rglob("*") if path.is_file()}

    def test_a_folder_with_something_else_in_it_is_refused(self, tmp_path: Path) -> None:
        """Nothing of anybody's is written over."""
        (tmp_path / "letter.txt").write_text("Dear Maud", encoding="utf-8")

        with pytest.raises(LedgerFault, match="is not empty"):
            demo.make(tmp_path)

    def test_only_make_makes_and_asks_nothing(self, tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
        """--only-make is quiet on standard output."""
        status = cli.status(["demo", "--into", str(tmp_path / "book"), "--only-make"])

        assert (0, "") == (status, capsys.readouterr().out)
        assert "Whinchat, harbour museum" == Book.open(tmp_path / "book").name


class TestWalking:
    """`clampbook demo` goes straight to the cylinder head."""

    def test_it_opens_the_head_and_later_goes_on_with_it(self, tmp_path: Path) -> None:
        """The first time a run is opened, the second time it is taken up, through the program's own pipe."""
        first = _demo(tmp_path / "book", "+\nC 4711\n")
        second = _demo(tmp_path / "book", "")

        assert first[-1]["run"] == second[-1]["run"]
        assert "start_sheet" == first[0]["prompt"]
        assert ("paused", "paused") == (first[-1]["finished"], second[-1]["finished"])


def _demo(book: Path, lines: str) -> list[dict[str, object]]:
    done = subprocess.run(
        [sys.executable, "-m", "clampbook.cli", "demo", "--into", str(book), "--as", "Ines", "--json"],
        input=lines.encode(),
        capture_output=True,
        check=True,
        env={**os.environ, "CLAMPBOOK_CLOCK": "2026-03-02T09:00:00Z+3s"},
        timeout=60,
    )
    return [json.loads(line) for line in done.stdout.splitlines()]
