"""A belt and a thrust block that are adjusted and looked at again, from the procedure to the sealed record."""

from __future__ import annotations

import json
import tomllib
from pathlib import Path

import pypdf
import pytest

from clampbook.procedure.library import sample
from line_by_line import printed
from museum import museum, own

BELT = sample("alternator-belt").path.read_text(encoding="utf-8")
CLOCK = "2026-03-02T12:00:00Z+5s"
FIRST = ["+", "+", "+", "1", "W5", "1", "22.1", "22.2", "15"]  # cautions, loosened, moved, W5 and its zero: 15 mm
ADJUSTED = ["1", "+", "+", "1", "22.0", "22.3", "10"]  # back to stage 1, once: 10 mm
CAPS = ["+", "+", "29.5", "29.4", "0.30", "1", "+", "+", "29.6", "29.5", "0.20", "0.18"]  # the front once as well
REST = ["+", "1"]  # W5 put away, closed


@pytest.fixture
def book(tmp_path: Path) -> Path:
    """The demo book with this procedure."""
    museum(tmp_path / "book")
    own(tmp_path / "book", "belt", BELT)
    return tmp_path / "book"


def said(book: Path, *words: str, lines: list[str] | None = None) -> str:
    """The output of a command after these lines."""
    return printed(CLOCK, book, *words, lines=lines)


def walked(book: Path) -> str:
    """The whole work line by line, in one line."""
    lines = [*FIRST, *ADJUSTED, *CAPS, *REST]
    return " ".join(said(book, "walk", "belt", "--plain", "--as", "Ines", lines=lines).split())


def run_of(book: Path) -> Path:
    """The folder of the one run of this procedure."""
    (folder,) = (book / "runs").glob("*belt*")
    return folder


def test_the_whole_work_is_walked_and_recorded(book: Path) -> None:
    """Belt and thrust block each need a second go; nothing of it departs from the procedure."""
    told = walked(book)

    assert "Belt deflection is outside its window: 15 mm." in told
    assert "1 Adjust, time 1 of 2: back to stage 1 · loosens 2 bolts, about 2 pulls" in told
    assert "again 1 of 6 (adjusting)" in told
    assert "Run closed: done." in told
    record = tomllib.loads((run_of(book) / "record.toml").read_text(encoding="utf-8"))
    assert 0 == record["deviations"]
    assert [(1, 1), (5, 1)] == [(each["back_to_stage"], each["time"]) for each in record["decision"]]
    measured = [
        (each["step"], each["value"], each["standing"]) for each in record["reading"] if "mm" == each.get("unit")
    ]
    assert [
        ("4.1/-", "15", "adjusted since"),
        ("4.1/-", "10", "counts"),
        ("7.1/front", "0.30", "adjusted since"),
        ("7.1/front", "0.20", "counts"),
        ("7.1/rear", "0.18", "counts"),
    ] == measured
    assert f"{run_of(book).name}: sealed, intact" in said(book, "verify", run_of(book).name)


def test_the_report_shows_each_time_and_which_one_counts(book: Path) -> None:
    """The value before, why it counts no longer, and when it was gone back."""
    walked(book)
    pages = pypdf.PdfReader(run_of(book) / "report.pdf").pages
    told = " ".join(" ".join(page.extract_text().split()) for page in pages)

    assert "Done, no deviations" in told
    assert "Adjusted, time 1 of 2: back to stage 1." in told
    assert "adjusted since" in told


def test_a_run_that_is_resumed_on_the_way_back_goes_on_there(book: Path) -> None:
    """The power went while the belt was slack."""
    said(book, "walk", "belt", "--plain", "--as", "Ines", lines=[*FIRST, *ADJUSTED[:2]])
    rest = ["+", "1", "1", "22.0", "22.3", "10", *CAPS, *REST]
    told = " ".join(said(book, "walk", "--resume", run_of(book).name, "--plain", "--as", "Ines", lines=rest).split())

    assert "again 2 of 6 (adjusting)" in told


def test_a_script_chooses_it_by_a_word_that_stays(book: Path) -> None:
    """As JSON the way back has a value, and what it costs."""
    out = said(book, "walk", "belt", "--json", "--as", "Ines", lines=FIRST)
    objects = [json.loads(line) for line in out.splitlines()]
    told = next(each for each in objects if each.get("prompt") == "decide")

    assert ("adjust", "loosens 2 bolts, about 2 pulls") == (told["choices"][0]["value"], told["choices"][0]["costs"])


def test_the_paper_form_has_room_for_each_time(book: Path, tmp_path: Path) -> None:
    """And says back to where."""
    said(book, "form", "belt", "--into", str(tmp_path / "form.pdf"))
    form = " ".join(" ".join(page.extract_text().split()) for page in pypdf.PdfReader(tmp_path / "form.pdf").pages)

    assert "outside: back to stage 1, 2 × at most" in form
    assert "In mm In mm, 2 In mm, 3" in form


def test_only_what_counts_is_charted_over_time(book: Path) -> None:
    """The trend has the last value of each run."""
    walked(book)
    rows = said(book, "export", run_of(book).name, "--csv")

    assert 5 == sum("measurement" in row for row in rows.splitlines())
    assert 2 == sum("measurement" in row and "adjusted since" in row for row in rows.splitlines())
