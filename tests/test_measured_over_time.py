"""The end play of an engine, measured in two runs and charted: from the walk to the page."""

from __future__ import annotations

import json
from pathlib import Path

import pypdf
import pytest

import test_cap_bolts
from clampbook import cli
from museum import museum, own
from test_cap_bolts import CAP_BOLTS, INSTRUMENTS, LISTED, said, walked

MAY = [*LISTED[:-5], "0.28", "3", "0.18", "1", *LISTED[-4:]]  # mistyped first, and corrected


@pytest.fixture
def book(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """The demo book with two runs, in March with 0.15 mm and in May with 0.18 mm."""
    root = tmp_path / "book"
    museum(root)
    own(root, "cap-bolts", CAP_BOLTS)
    tools = root / "tools.toml"
    tools.write_text(tools.read_text(encoding="utf-8") + INSTRUMENTS, encoding="utf-8")
    for day, lines in (("2026-03-02", LISTED), ("2026-05-04", MAY)):
        monkeypatch.setattr(test_cap_bolts, "CLOCK", f"{day}T12:00:00Z+10s")
        assert "Run closed: done." in walked(root, lines)
    return root


def test_it_is_followed_from_run_to_run(book: Path) -> None:
    """What was corrected is not in it."""
    told = said(book, "trend", "--measured", "end play")

    assert told.startswith("Crankshaft end play: 2 readings in 2 runs, 2026-03-02 to 2026-05-04 Measured values in mm")
    assert "First 0.15 mm on 2 March 2026, latest 0.18 mm on 4 May 2026." in told
    assert "Window of the latest: 0.10 to 0.25 mm." in told


def test_by_the_gauge_it_was_measured_with(book: Path) -> None:
    """D1 measured both, M1 neither."""
    by_gauge = json.loads(said(book, "trend", "--measured", "Crankshaft end play", "--tool", "D1", "--json"))

    assert [0.15, 0.18] == [each["value"] for each in by_gauge["readings"]]
    assert {"d1"} == {each["tool"] for each in by_gauge["readings"]}
    assert 0 == json.loads(said(book, "trend", "--measured", "end play", "--tool", "M1", "--json"))["count"]


def test_on_paper(book: Path) -> None:
    """The same sentences, and a row for each run."""
    said(book, "trend", "--measured", "end play", "--since", "2026-03-01", "--pdf", str(book / "chart.pdf"))
    (page,) = pypdf.PdfReader(book / "chart.pdf").pages
    text = " ".join(page.extract_text().split())

    assert "Run chart of measured values Crankshaft end play 2 readings in 2 runs, 2026-03-02 to 2026-05-04." in text
    assert "latest 0.18 mm on 4 May 2026" in text
    assert "1 0.15 mm 0.15 mm 0.15 mm" in text
    assert "1 0.18 mm 0.18 mm 0.18 mm" in text


def test_another_kind_of_quantity_is_refused(
    book: Path, capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    """The same name for a pressure in another procedure, in June."""
    monkeypatch.setattr(test_cap_bolts, "CLOCK", "2026-06-01T12:00:00Z+10s")
    pump = CAP_BOLTS.replace("Two cap bolts by stretch", "Oil pump")
    own(book, "oil", pump.replace('["0.10 mm", "0.25 mm"]', '["2 bar", "4 bar"]'))
    lines = ["M1", "95.200", "95.300", "W5", "1", "29.5", "M1", "95.350", "29.5", "95.450", "3", *3 * ["+"], "1"]
    assert "Run closed: done." in said(book, "walk", "oil", "--plain", "--as", "Ines", lines=lines)
    status = cli.status(["trend", "--measured", "end play", "--book", str(book)])

    assert 2 == status
    told = " ".join(capsys.readouterr().err.split())
    assert told.startswith("One chart cannot show a length in mm (“Crankshaft end play”, 20260302-cap-bolts-")
    assert "and a pressure in bar (“Crankshaft end play”, 20260601-oil-" in told
    assert "Crankshaft end play, Two cap: 2 readings" in said(
        book, "trend", "--measured", "end play", "--procedure", "Two cap"
    )


def test_a_gauge_alone_says_how_its_values_are_charted(book: Path) -> None:
    """It has no reading with a target."""
    assert said(book, "trend", "--tool", "D1").endswith("Chart measured values with --measured.")


def test_what_nobody_measured_is_named_with_what_is_there(book: Path) -> None:
    """A slip of the finger."""
    told = said(book, "trend", "--measured", "end paly")

    assert "end paly: no measured values. Measured in this book: Crankshaft end play, Free length." == told
