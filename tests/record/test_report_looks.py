"""The printed pages as somebody sees who leafs through them: few, full, and in letters that the file carries."""

from __future__ import annotations

from datetime import UTC, datetime
from io import BytesIO
from pathlib import Path
from typing import Any, get_args

import pypdf
import pytest

from clampbook.demo import samples
from clampbook.procedure.reader import read_file
from clampbook.record import paper_form, report
from clampbook.record.record import build
from clampbook.record.report import Paper
from clampbook.run.planning import plan
from walks import bad_day

GOLDEN = Path(__file__).parents[1] / "golden"
MOST_PAGES = 5  # of the head's 54 steps
LEAST_FILLED = 2 / 3  # of every page but the last
TOP, BOTTOM = 18 / 25.4 * 72, 16 / 25.4 * 72  # margins: 18 and 16 mm, in points
WORDS, CODES = "LibertinusSerif", "DejaVuSansMono"


def printed(run: str, paper: Paper) -> pypdf.PdfReader:
    """The report of a golden run, or of the bad day."""
    names = ("procedure.toml", "plan.json", "daybook.jsonl")
    if run == "bad day":
        files = bad_day()
    else:
        procedure, plan, daybook = ((GOLDEN / run / name).read_bytes() for name in names)
        files = (procedure, plan, daybook)
    return pypdf.PdfReader(BytesIO(report.make(*files, build(*files), paper=paper)))


def written(page: pypdf.PageObject) -> list[tuple[float, str, str]]:
    """Each piece of text between the margins: how far above the lower one, in which typeface, and what it says."""
    found: list[tuple[float, str, str]] = []
    high = float(page.mediabox[3])

    def visit(text: str, outer: list[float], inner: list[float], font: Any, _size: float) -> None:
        y = inner[4] * outer[1] + inner[5] * outer[3] + outer[5]
        if text.strip() and BOTTOM <= y <= high - TOP:
            found.append((y - BOTTOM, str((font or {}).get("/BaseFont", "")), text.strip()))

    page.extract_text(visitor_text=visit)
    return found


def filled(page: pypdf.PageObject) -> float:
    """The share of the height between the margins down to the last line of text."""
    room = float(page.mediabox[3]) - TOP - BOTTOM
    return 1 - min(y for y, _, _ in written(page)) / room


@pytest.mark.parametrize("paper", get_args(Paper))
def test_the_heads_54_steps_take_at_most_five_pages(paper: Paper) -> None:
    """With ten deviations, a chart for each round, clamp loads, and all that happened in between."""
    assert len(printed("head", paper).pages) <= MOST_PAGES


@pytest.mark.parametrize("paper", get_args(Paper))
@pytest.mark.parametrize("run", [*sorted(path.name for path in GOLDEN.iterdir()), "bad day"])
def test_no_page_but_the_last_is_less_than_two_thirds_full(run: str, paper: Paper) -> None:
    """Charts and short tables stay whole, and leave no large gap before the next page for it."""
    shares = [filled(page) for page in printed(run, paper).pages]

    assert all(share >= LEAST_FILLED for share in shares[:-1]), shares


@pytest.mark.parametrize("paper", get_args(Paper))
@pytest.mark.parametrize("sheet", samples(), ids=lambda path: path.stem)
def test_a_form_to_fill_in_has_full_pages_too(sheet: Path, paper: Paper) -> None:
    """Its tables may be parted, as each page repeats their head."""
    procedure, data = read_file(sheet)
    made = paper_form.pdf(plan(procedure, "sheet"), data, made=datetime(2026, 3, 2, 9, tzinfo=UTC), paper=paper)
    shares = [filled(page) for page in pypdf.PdfReader(BytesIO(made)).pages]

    assert all(share >= LEAST_FILLED for share in shares[:-1]), shares


def test_words_are_proportional_and_codes_alone_in_typewriter_letters() -> None:
    """Both come with the typesetter; the typewriter face draws the marks, too, which the other has not."""
    pages = printed("head", "a4").pages
    pieces = [(font, text) for page in pages for _, font, text in written(page)]
    faces = {font.partition("+")[2].partition("-")[0] for font, _ in pieces}
    codes = [text for font, text in pieces if CODES in font and any(sign.isalnum() for sign in text)]

    assert {WORDS, CODES} == faces
    assert any("daybook.jsonl" in text for text in codes)
    assert not [text for text in codes if "Ines" in text or "N·m" in text or "within" in text]


def test_page_one_says_who_signed_and_with_which_tools_and_shows_where_it_departed() -> None:
    """Whoever reads one page knows how it ended."""
    page = " ".join(printed("head", "a4").pages[0].extract_text().split())

    for told in ("Cylinder head", "4107", "10 deviations", "Tools used", "in date, due", "Sign-offs", "inspector Maud"):
        assert told in page
    assert "Thick ring: deviations at 4–8, 12." in page
