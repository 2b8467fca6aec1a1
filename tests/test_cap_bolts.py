"""Two cap bolts by stretch, measured with tools of the book, from the list of tools to the sealed record and recall."""

from __future__ import annotations

import csv
import json
import tomllib
from io import StringIO
from pathlib import Path

import pypdf
import pytest

from clampbook import cli
from line_by_line import printed
from museum import museum, own

CAP_BOLTS = (Path(__file__).parent / "cap-bolts.toml").read_text(encoding="utf-8")
CLOCK = "2026-03-02T12:00:00Z+10s"
INSTRUMENTS = """
[[tool]]
id = "m1"
name = "M1"
kind = "micrometer"
unit = "mm"
range = ["75 mm", "100 mm"]
resolution = "0.001 mm"
serial = "HM-0301"
calibrated_on = 2026-01-15
interval_months = 24
certificate = "HM-C-0501 (invented)"
uncertainty = "0.003 mm"

[[tool.certified]]
at = "75 mm"
off_by = "+0.001 mm"
uncertainty = "0.002 mm"

[[tool.certified]]
at = "100 mm"
off_by = "−0.001 mm"
uncertainty = "0.002 mm"

[[tool]]
id = "d1"
name = "D1"
kind = "dial gauge"
unit = "mm"
range = ["0 mm", "10 mm"]
resolution = "0.01 mm"

[[tool]]
id = "f1"
name = "F1"
kind = "feeler gauges"
unit = "mm"
range = ["0.05 mm", "1 mm"]
resolution = "0.05 mm"
"""
LISTED = [
    *("M1", "95.200", "95.300"),  # free lengths
    *("W5", "1", "29.5", "M1", "95.350", "29.5", "95.450"),  # zero, a pull, then what measures its stretch
    *("D1", "0.15"),  # end play
    *("+", "+", "+", "1"),  # three tools put away, closed
]
NOT_LISTED = ["2", "95.200", "95.300", "W5", "1", "29.5", "2", "95.350", "29.5", "95.450", "3", "0.15", "+", "1"]


@pytest.fixture
def book(tmp_path: Path) -> Path:
    """The demo book with instruments and this procedure."""
    museum(tmp_path / "book")
    own(tmp_path / "book", "cap-bolts", CAP_BOLTS)
    tools = tmp_path / "book" / "tools.toml"
    tools.write_text(tools.read_text(encoding="utf-8") + INSTRUMENTS, encoding="utf-8")
    return tmp_path / "book"


def said(book: Path, *words: str, lines: list[str] | None = None) -> str:
    """The output of a command after these lines."""
    return " ".join(printed(CLOCK, book, *words, lines=lines).split())


def walked(book: Path, lines: list[str]) -> str:
    """The walk line by line, in one line."""
    return said(book, "walk", "cap-bolts", "--plain", "--as", "Ines", lines=lines)


def run_of(book: Path) -> Path:
    """The folder of the one run."""
    (folder,) = (book / "runs").glob("*-cap-bolts-*")
    return folder


def report_of(book: Path) -> str:
    """The words of its report, in one line."""
    said(book, "report", run_of(book).name, "--into", str(book / "report.pdf"))
    return " ".join(" ".join(page.extract_text() for page in pypdf.PdfReader(book / "report.pdf").pages).split())


def test_each_reading_names_its_instrument(book: Path) -> None:
    """In the walk, in the record, on the report and in the table of readings; and verifying finds nothing."""
    told = walked(book, LISTED)
    record = tomllib.loads((run_of(book) / "record.toml").read_text(encoding="utf-8"))
    rows = list(csv.DictReader(StringIO(_exported(book))))
    report = report_of(book)

    assert "Pick up a micrometer for cap bolt 1's free length." in told
    assert "Cap bolt 2: measure its length with M1. Type it in mm." in told
    assert "Crankshaft end play: measure with D1, then type it in mm." in told
    assert "done" == record["outcome"]
    assert ["m1", "m1", "w5", "m1", "w5", "m1", "d1"] == [row["tool"] for row in record["reading"]]
    assert {"m1", "w5", "d1"} == {row["tool"] for row in record["tool"]}
    assert ["m1", "m1", "w5", "m1", "w5", "m1", "d1"] == [row["tool"] for row in rows]
    assert "M1 micrometer 75–100 mm HM-0301 in date, due 2028-01-15 4 times" in report
    assert "Certificate points: 75 mm +0.001 ±0.002 mm; 100 mm -0.001 ±0.002 mm".replace("-", "−") in report
    assert "measuring tool not known" not in report
    assert "sealed, intact" in said(book, "verify", run_of(book).name)


def _exported(book: Path) -> str:
    said(book, "export", "--csv", "--into", str(book / "readings.csv"))
    return (book / "readings.csv").read_text(encoding="utf-8")


def test_one_that_is_not_listed_is_not_known(book: Path) -> None:
    """The report says so, and nobody finds it again."""
    told = walked(book, NOT_LISTED)
    record = tomllib.loads((run_of(book) / "record.toml").read_text(encoding="utf-8"))

    assert "The record will say that this measuring tool is not known." in told
    assert [None, None, "w5", None, "w5", None, None] == [row.get("tool") for row in record["reading"]]
    assert "5 measured values, measuring tool not known." in report_of(book)
    assert "sealed, intact" in said(book, "verify", run_of(book).name)


def test_a_bad_one_finds_its_work(book: Path) -> None:
    """A micrometer that was dropped afterwards: four readings in one run."""
    walked(book, LISTED)

    assert "1 run, 4 readings" in said(book, "affected", "M1")
    assert "1 run, 1 reading" in said(book, "affected", "D1")
    assert "nothing" in said(book, "affected", "F1")


def test_no_percentage_says_how_far_it_was_off(book: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """2 % of a length of 95 mm would be 1.9 mm, which no micrometer is."""
    walked(book, LISTED)
    status = cli.status(["affected", "M1", "--deviation", "2", "--book", str(book)])

    assert (2, "") == (status, capsys.readouterr().out)


def test_which_one_suits_is_told_before(book: Path) -> None:
    """The stretch of 0.14 to 0.18 mm wants a micrometer, the end play a dial gauge."""
    ranking = {
        (stage["stage"], stage["what"]): [(each["name"], each["suitable"]) for each in stage["ranking"]]
        for stage in json.loads(said(book, "match", "cap-bolts", "--json"))["stages"]
    }

    assert [("M1", True), ("D1", False), ("F1", False)] == ranking[2, "stretch"]
    assert [("D1", True), ("F1", False), ("M1", False)] == ranking[3, "measure"]


def test_a_script_is_told_which(book: Path) -> None:
    """As JSON each offer has the tool's id, and the question names the one in hand."""
    out = said(book, "walk", "cap-bolts", "--json", "--as", "Ines", lines=["m1", "95.200"])
    decoder = json.JSONDecoder()
    taking, _ = decoder.raw_decode(out[out.index('{"prompt":"take_tool"') :])
    measuring, _ = decoder.raw_decode(out[out.index('{"prompt":"measure"') :])

    assert ["m1", "not-listed", "d1", "f1"] == [choice["value"] for choice in taking["choices"]]
    assert ("m1", "mm") == (measuring["tool"], measuring["unit"])
