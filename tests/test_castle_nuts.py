"""A propeller nut with its split pin and hub nuts with their tab washers, from the procedure to the sealed record."""

from __future__ import annotations

import json
import tomllib
from io import BytesIO
from pathlib import Path

import pypdf
import pytest

from line_by_line import printed
from museum import museum, own

PROPELLER = (Path(__file__).parent / "propeller.toml").read_text(encoding="utf-8")
CLOCK = "2026-03-02T12:00:00Z+5s"
NUT = ["+", "2", "1", "44.3", "2", "61.0", "1"]  # cautions, W5, its zero, its torque, the slot, its reading, the pin
HUB = ["29.5", "29.5", "3", "3", "The next washer is as thick", "Maud", "4", "1"]  # 2 does not align; 3 by a wrench
REST = ["+", "+", "+", "1"]  # two marks, W5 put away, closed


@pytest.fixture
def book(tmp_path: Path) -> Path:
    """The demo book with this procedure."""
    museum(tmp_path / "book")
    own(tmp_path / "book", "propeller", PROPELLER)
    return tmp_path / "book"


def said(book: Path, *words: str, lines: list[str] | None = None) -> str:
    """The output of a command after these lines, in one line."""
    return " ".join(said_as_is(book, *words, lines=lines).split())


def said_as_is(book: Path, *words: str, lines: list[str] | None = None) -> str:
    """The same as it was written."""
    return printed(CLOCK, book, *words, lines=lines)


def run_of(book: Path) -> str:
    """The one run of this procedure."""
    (folder,) = (book / "runs").glob("*propeller*")
    return folder.name


def test_the_whole_work_is_walked_and_recorded(book: Path) -> None:
    """Torque, slot, reading and pin at the propeller; a hub nut accepted as it is, one without a reading; marks."""
    walked = said(book, "walk", "propeller", "--plain", "--as", "Ines", lines=[*NUT, *HUB, *REST])

    assert "turn on counterclockwise to the next slot, not above 62.6 lbf·ft. Never turn back." in walked
    assert "Hub nut 2 does not align below 50 N·m. " in walked
    assert "At the slot ○: hub nut 3. No reading." in walked
    assert "Hub nut 3: tab fitted and secured?" in walked
    assert "Hub nut 2: mark head and part across with yellow paint." in walked
    record = said(book, "record", run_of(book))
    assert '"2.1/1" = "within"' in record
    assert '"4.1/2" = "by concession"' in record
    assert '"5.1/3" = "applied"' in record
    assert 'lock = "split pin"' in record
    assert f"{run_of(book)}: sealed, intact" in said(book, "verify", run_of(book))
    (row,) = tomllib.loads(said_as_is(book, "record", run_of(book)))["not_measured"]["slots_without_torque"]
    assert {"stage": 4, "group": "Hub nuts", "positions": ["3"], "limit": "50", "limit_unit": "N·m"} == row
    report = (book / "runs" / run_of(book) / "report.pdf").read_bytes()
    told = " ".join(" ".join(page.extract_text().split()) for page in pypdf.PdfReader(BytesIO(report)).pages)
    assert "Torque at the slot not read: hub nut 3. Limit of 50 N·m not checked." in told
    assert "Hub nut 2, stage 4 does not align" in told


def test_a_nut_accepted_above_its_limit_stays_by_concession_once_its_pin_is_in(book: Path) -> None:
    """63.0 lbf·ft are 85.4 N·m, more than its 85 N·m: a pin in its place says nothing of the torque."""
    above = [*NUT[:5], "63.0", "4", "The pin fits here", "Maud", NUT[6]]
    said(book, "walk", "propeller", "--plain", "--as", "Ines", lines=[*above, *HUB, *REST])

    record = said(book, "record", run_of(book))
    assert '"2.1/1" = "by concession"' in record
    assert 'position = "1" group = "Propeller nuts" fits = "M20x1.5" state = "done, by concession"' in record


def test_a_script_answers_it_by_words_that_stay(book: Path) -> None:
    """As JSON the answers to the slot have values, and the nut its direction."""
    out = said(book, "walk", "propeller", "--json", "--as", "Ines", lines=NUT[:4])

    told, _ = json.JSONDecoder().raw_decode(out[out.index('{"prompt":"align"') :])
    assert ["already", "turned", "not", "unread"] == [each["value"] for each in told["choices"]]
    assert ("counterclockwise", "1") == (told["direction"], told["position"])


def test_the_paper_form_has_room_for_torque_and_lock(book: Path, tmp_path: Path) -> None:
    """By hand both are written down."""
    said(book, "form", "propeller", "--into", str(tmp_path / "form.pdf"))
    form = " ".join(" ".join(page.extract_text().split()) for page in pypdf.PdfReader(tmp_path / "form.pdf").pages)

    assert "Turn on to the next slot, never back" in form
    assert "then split pin" in form
    assert "Mark head and part across with yellow paint" in form
