"""The paper form for where no laptop can go: the same steps, with room to write."""

from __future__ import annotations

from datetime import UTC, datetime
from io import BytesIO
from pathlib import Path

import pikepdf
import pypdf
import pytest

from clampbook import cli
from clampbook.procedure.reader import read_file
from clampbook.record.pages.blank import blocks
from clampbook.record.pages.blocks import Block, Form, Heading, Title
from clampbook.record.paper_form import pdf
from clampbook.run.plan import Plan
from clampbook.run.planning import plan

from .flat import flat

SAMPLES = sorted((Path(__file__).parents[2] / "procedures").glob("*.toml"))
MADE = datetime(2026, 3, 2, 9, 0, tzinfo=UTC)


def planned(name: str, **terms: bool) -> Plan:
    """The plan of a sample."""
    path = next(path for path in SAMPLES if name in path.name)
    return plan(read_file(path)[0], "head", **terms)  # type: ignore[arg-type]


def work(found: list[Block]) -> list[Form]:
    """The tables of the work."""
    return [each for each in found if isinstance(each, Form) and each.head[0] == "Step"]


@pytest.mark.parametrize("path", SAMPLES, ids=lambda path: path.stem)
def test_every_step_has_its_row_in_the_order_of_the_plan(path: Path) -> None:
    """Whatever the procedure, bolt by bolt or round by round."""
    of = plan(read_file(path)[0], "sheet")

    rows = [row for table in work(list(blocks(of))) for row in table.rows]

    assert [str(step.number) for step in of.steps] == [row[0] for row in rows]


def test_target_and_window_stand_in_both_units_and_the_rest_is_empty() -> None:
    """Reading, tool, time and initials are for the pencil."""
    first = work(list(blocks(planned("head"))))[0].rows[0]

    torque = (("30.0 N·m", "22.1 lbf·ft"), ("28.0–32.0 N·m", "20.7–23.6 lbf·ft"))
    assert ("1", "1", *torque, "", "", "", "") == first


def test_cautions_and_preparations_come_before_the_work_and_signatures_after() -> None:
    """In the order in which they are needed at the bench."""
    heads = [each.text for each in flat(blocks(planned("head"))) if isinstance(each, Heading) and each.level == 1]

    assert [
        "Cautions",
        "Prepare: Head bolts",
        "The joint",
        "Tools",
        "The work",
        "Deviations and decisions",
        "At the end",
        "Sign-offs",
    ] == heads


def test_a_draft_says_that_it_is_one() -> None:
    """On its first page, as the record would."""
    title = next(each for each in blocks(planned("head")) if isinstance(each, Title))

    assert ("Revision B, draft", ("Draft procedure.",)) == (title.outcome, title.notices)


def test_a_trial_says_that_it_is_one() -> None:
    """It is not signed as a final one."""
    title = next(each for each in blocks(planned("head", trial=True)) if isinstance(each, Title))

    assert "Trial assembly, not final." in title.notices


def test_it_is_a_pdf_of_either_paper(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """Letter paper is 612 by 792 points; the footer names the bytes of the procedure."""
    into = tmp_path / "head.pdf"
    status = cli.status(["form", str(SAMPLES[-1]), "--into", str(into), "--paper", "letter"])

    page = pypdf.PdfReader(into).pages[0]
    assert (0, f"Paper form: {into}\n") == (status, capsys.readouterr().out)
    assert ([612, 792], True) == (
        [round(float(end)) for end in page.mediabox[2:]],
        "SHA-256 of the procedure" in page.extract_text(),
    )


def test_the_same_sheet_has_the_same_bytes_and_attaches_nothing() -> None:
    """It is a form of a day and no record."""
    made = pdf(planned("head"), b"", made=MADE)

    assert made == pdf(planned("head"), b"", made=MADE)
    with pikepdf.open(BytesIO(made)) as opened:
        assert {} == dict(opened.attachments)


def test_a_file_with_faults_gives_no_sheet(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """What cannot be walked cannot be done on paper either."""
    faulty = tmp_path / "head.toml"
    faulty.write_text("format = 2\n", encoding="utf-8")

    assert 2 == cli.status(["form", str(faulty), "--into", str(tmp_path / "head.pdf")])
    assert "title" in capsys.readouterr().err
    assert not (tmp_path / "head.pdf").exists()
