"""`clampbook report`: the report again, beside the record or where somebody wants it."""

from __future__ import annotations

import json
from pathlib import Path

import pikepdf
import pytest

from clampbook import cli
from clampbook.record.record import build
from museum import museum
from walks import bad_day

RUN = "20260302-head-aaaaaaaa"


@pytest.fixture
def book(tmp_path: Path) -> Path:
    """The demo book with one closed run in it."""
    made = museum(tmp_path / "book")
    folder = made.root / "runs" / RUN
    folder.mkdir(parents=True)
    _fill(folder, bad_day())
    return made.root


def _fill(folder: Path, files: tuple[bytes, bytes, bytes]) -> None:
    for name, data in zip(("procedure.toml", "plan.json", "daybook.jsonl"), files, strict=True):
        (folder / name).write_bytes(data)


def test_it_is_printed_beside_the_record(book: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """The path is said on standard output; the record attached is the one that belongs to the run."""
    status = cli.status(["report", RUN, "--book", str(book)])

    path = book / "runs" / RUN / "report.pdf"
    assert (0, f"Report: {path}\n") == (status, capsys.readouterr().out)
    with pikepdf.open(path) as opened:
        assert build(*bad_day()) == opened.attachments["record.toml"].get_file().read_bytes()


def test_it_can_go_into_a_file(book: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """Then nothing in the run's folder changes; --json names the file."""
    cli.status(["record", RUN, "--book", str(book)])
    capsys.readouterr()
    before = sorted((book / "runs" / RUN).iterdir())

    status = cli.status(["report", RUN, "--into", str(tmp_path / "head.pdf"), "--json", "--book", str(book)])

    told = json.loads(capsys.readouterr().out)
    assert (0, {"run": RUN, "report": str(tmp_path / "head.pdf")}) == (status, told)
    assert (tmp_path / "head.pdf").read_bytes().startswith(b"%PDF-")
    assert before == sorted((book / "runs" / RUN).iterdir())


def test_an_open_run_is_printed_only_into_a_file(
    book: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """Its folder belongs to the walk; the page says that the run is not finished."""
    procedure, plan, daybook = bad_day()
    _fill(book / "runs" / RUN, (procedure, plan, b"".join(daybook.splitlines(keepends=True)[:-1])))

    refused = cli.status(["report", RUN, "--book", str(book)])
    said = capsys.readouterr().err
    printed = cli.status(["report", RUN, "--into", str(tmp_path / "head.pdf"), "--book", str(book)])

    assert (2, 0) == (refused, printed)
    assert f"Run {RUN} is open. Name a file for its report with --into FILE." in said


def test_a_sealed_run_stays_as_it_is(book: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """After sealing nothing changes in a folder."""
    (book / "runs" / RUN / "seal.sha256").write_bytes(b"")

    status = cli.status(["report", RUN, "--book", str(book)])

    assert 2 == status
    assert "is sealed and stays as it is" in capsys.readouterr().err
    assert not (book / "runs" / RUN / "report.pdf").exists()


def test_a_sealed_run_tells_where_its_report_is(book: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """Whoever looks for the page finds it, and it stays byte for byte."""
    run = book / "runs" / RUN
    (run / "report.pdf").write_bytes(b"signed for")
    (run / "seal.sha256").write_bytes(b"")

    status = cli.status(["report", RUN, "--book", str(book)])

    assert 2 == status
    assert f"Its report is {run / 'report.pdf'}. To make it again, name a file" in capsys.readouterr().err
    assert b"signed for" == (run / "report.pdf").read_bytes()


def test_a_link_out_of_the_book_is_not_printed(book: Path, tmp_path: Path) -> None:
    """What somebody put in the place of a signature to get at another file is left out."""
    (tmp_path / "private").write_text("nobody's business")
    (book / "runs" / RUN / "signoff-1.txt").symlink_to(tmp_path / "private")

    cli.status(["report", RUN, "--into", str(tmp_path / "head.pdf"), "--book", str(book)])

    with pikepdf.open(tmp_path / "head.pdf") as opened:
        assert "signoff-1.txt" not in opened.attachments


def test_a_damaged_run_is_told_in_a_sentence(book: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """What is wrong with which file, and no traceback."""
    path = book / "runs" / RUN / "plan.json"
    path.write_bytes(path.read_bytes()[:-2] + b" \n")

    status = cli.status(["report", RUN, "--book", str(book)])

    assert 2 == status
    assert "plan.json is not the file that this run was opened with" in capsys.readouterr().err


def test_a_place_that_is_not_there_is_told_in_a_sentence(book: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """The folder must be there before the file is."""
    status = cli.status(["report", RUN, "--into", str(book / "nowhere" / "head.pdf"), "--book", str(book)])

    assert 2 == status
    assert "could not be written" in capsys.readouterr().err


@pytest.mark.parametrize("run", ["20260302-head-zzzzzzzz", "../../etc"])
def test_a_run_that_is_not_there_is_told(book: Path, capsys: pytest.CaptureFixture[str], run: str) -> None:
    """By the name that was typed."""
    assert 2 == cli.status(["report", run, "--book", str(book)])
    assert run in capsys.readouterr().err
