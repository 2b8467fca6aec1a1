"""Union nuts that no socket goes on, from the procedure to the sealed record: the adapter is asked for and measured."""

from __future__ import annotations

import json
from pathlib import Path

import pypdf
import pytest

from clampbook.procedure.library import sample
from line_by_line import printed
from museum import museum, own

UNIONS = sample("fuel-unions").path.read_text(encoding="utf-8")
CLOCK = "2026-03-02T12:00:00Z+5s"
A3 = '\n[[adapter]]\nid = "a3"\nname = "A3"\nis = ["Open end 19mm", "open end, 3/4 in"]\n'
LONG = 'range = ["10 lbf·ft", "100 lbf·ft"]'
# Cautions; W5 through A3, 62 mm at 30°; below its working range; zero. 30 N·m are 22.13 lbf·ft, × 400 / 453.69 = 19.5.
NUTS = ["+", "1", "1", "62", "30", "1", "1", "19.5", "19.3", "19.6"]
BRACKET = ["1", "22", "1", "+"]  # W1, set, clicked
AGAIN = ["W5", "1", "90", "1", "22.1", "1", "22.2", "1", "22.0", "1"]  # as long as before, at 90°: 22.1 lbf·ft
REST = ["+", "+", "1"]


@pytest.fixture
def book(tmp_path: Path) -> Path:
    """The demo book with this procedure, an open end, and the lever of W5."""
    museum(tmp_path / "book")
    own(tmp_path / "book", "unions", UNIONS)
    tools = tmp_path / "book" / "tools.toml"
    text = tools.read_text(encoding="utf-8")
    assert LONG in text
    tools.write_text(text.replace(LONG, f'{LONG}\nlever = "400 mm"') + A3, encoding="utf-8")
    return tmp_path / "book"


def said(book: Path, *words: str, lines: list[str] | None = None) -> str:
    """The output of a command after these lines, in one line."""
    return " ".join(printed(CLOCK, book, *words, lines=lines).split())


def run_of(book: Path) -> str:
    """The one run of this procedure."""
    (folder,) = (book / "runs").glob("*unions*")
    return folder.name


def test_the_whole_work_is_walked_and_recorded(book: Path) -> None:
    """Through the open end at 30°, then a bolt without it, then the same nuts at 90°."""
    walked = said(book, "walk", "unions", "--plain", "--as", "Ines", lines=[*NUTS, *BRACKET, *AGAIN, *REST])

    assert "Pick up a torque tool with open end, 19 mm, for union nut 1." in walked
    assert "Union nut 1: pull W5+A3 at 30° slowly to 19.5 lbf·ft. Type its reading." in walked
    assert "Pick up a torque tool for bracket bolt 4." in walked
    assert "Union nut 1: pull W5+A3 at 90° slowly to 22.1 lbf·ft. Type its reading." in walked
    record = said(book, "record", run_of(book))
    for line in ('adapter_demanded = "open end, 19 mm"', 'adds_to_lever = "62"', 'angle_degrees = "30"'):
        assert line in record
    assert 'angle_degrees = "90"' in record
    assert 'measured_at_the_bench = "yes"' in record
    assert f"{run_of(book)}: sealed, intact" in said(book, "verify", run_of(book))


def test_the_report_tells_of_the_adapter(book: Path) -> None:
    """What it is, how long, at which angle, and that it was measured."""
    said(book, "walk", "unions", "--plain", "--as", "Ines", lines=[*NUTS, *BRACKET, *AGAIN, *REST])
    report = book / "runs" / run_of(book) / "report.pdf"
    told = " ".join(" ".join(page.extract_text().split()) for page in pypdf.PdfReader(report).pages)

    assert (
        "with A3 (Open end 19mm / open end, 3/4 in), 62 mm longer, at 30°, length or angle measured at the bench"
        in told
    )
    assert "with open end, 19 mm" in told


def test_a_script_reads_which_one_is_asked_for(book: Path) -> None:
    """As JSON the demand stands in a key, the parts have lasting names."""
    out = said(book, "walk", "unions", "--json", "--as", "Ines", lines=NUTS[:5])

    told, _ = json.JSONDecoder().raw_decode(out[out.index('{"prompt":"take_tool"') :])
    assert "open end, 19 mm" == told["needs_adapter"]
    assert '"part":"adapter_length"' in out
    assert '"part":"adapter_angle"' in out


def test_a_book_without_one_says_so_beforehand(book: Path) -> None:
    """Before the work, when there is still time to borrow one."""
    tools = book / "tools.toml"
    tools.write_text(tools.read_text(encoding="utf-8").replace(A3, ""), encoding="utf-8")

    matched = said(book, "match", "unions")
    assert "No open end, 19 mm in tools.toml for stages 1 and 3. Add one first." in matched
    assert "no adapter in tools.toml is “open end, 19 mm”" in said(book, "review", str(book / "procedures/unions.toml"))


def test_the_paper_form_has_room_for_length_and_angle(book: Path, tmp_path: Path) -> None:
    """And says how the setting is worked out by hand."""
    said(book, "form", "unions", "--into", str(tmp_path / "form.pdf"))
    form = " ".join(" ".join(page.extract_text().split()) for page in pypdf.PdfReader(tmp_path / "form.pdf").pages)

    assert "with open end, 19 mm" in form
    assert "torque × lever ÷ (lever + length × cosine of the angle)" in form
