"""Scans of a paper form: in the folder and the report of their run with their SHA-256, and never read."""

from __future__ import annotations

from hashlib import sha256
from pathlib import Path

import pytest

from clampbook.book.scans import MOST, add, read_scan
from clampbook.book.starting.new_run import open_run
from clampbook.book.starting.terms import Terms, work_named
from clampbook.book.starting.walking import walking
from clampbook.ledger.refusals import LedgerFault
from clampbook.record.sealed.attachments import attached
from from_paper import typed_in
from sealing import Shop, shop, signed, walked

PDF = b"%PDF-1.7\nscanned at the harbour\n%%EOF\n"
PNG = b"\x89PNG\r\n\x1a\n" + b"\0" * 40
JPEG = b"\xff\xd8\xff\xe0" + b"\0" * 40


@pytest.fixture
def at(tmp_path: Path) -> Shop:
    """A book of the museum."""
    return shop(tmp_path / "book")


def test_a_scan_lies_in_folder_and_report_and_its_line_has_its_hash(at: Shop, tmp_path: Path) -> None:
    """Byte for byte, by its place among the scans and its kind."""
    for name, data in (("a.pdf", PDF), ("photo", JPEG), ("b.png", PNG)):
        (tmp_path / name).write_bytes(data)

    run = typed_in(at, tmp_path / "a.pdf", tmp_path / "photo", tmp_path / "b.png")
    signed(at, run).seal()

    named = {"scan-1.pdf": PDF, "scan-2.jpg": JPEG, "scan-3.png": PNG}
    assert named == {name: (run.path / name).read_bytes() for name in named}
    carried = attached((run.path / "report.pdf").read_bytes())
    assert named == {name: carried[name] for name in named}
    for name, data in named.items():
        digest = sha256(data).hexdigest()
        assert f"{digest}  {name}\n" in (run.path / "facts.sha256").read_text()
        assert digest.encode() in run.daybook.read_bytes()


@pytest.mark.parametrize(
    ("data", "told"),
    [
        (b"a letter", "is no scan. A PDF, PNG or JPEG file can be added"),
        (b"", "is no scan. A PDF, PNG or JPEG file can be added"),
        (b"%PDF-" + b"\0" * MOST, "is larger than 20 MB. Scan it with fewer dots per inch"),
    ],
    ids=["a text", "empty", "too large"],
)
def test_what_is_no_scan_is_refused_before_there_is_a_run(tmp_path: Path, data: bytes, told: str) -> None:
    """By its first bytes, whatever it is called."""
    (tmp_path / "scan.pdf").write_bytes(data)

    with pytest.raises(LedgerFault) as refused:
        read_scan(tmp_path / "scan.pdf")

    assert refused.value.sentence.endswith(told)


def test_a_file_that_is_not_there_is_refused(tmp_path: Path) -> None:
    """With the system's own reason."""
    with pytest.raises(LedgerFault, match="could not be read"):
        read_scan(tmp_path / "scan.pdf")


def test_a_run_that_is_walked_has_no_scan(at: Shop, tmp_path: Path) -> None:
    """A scan shows what was on paper."""
    (tmp_path / "a.pdf").write_bytes(PDF)
    run = open_run(at.book, work_named(at.book, "cover"), Terms(person=at.ines), at.clock, "handed in")

    with (
        walking(at.book, run, clock=at.clock, person=at.ines, fresh=True) as walk,
        pytest.raises(LedgerFault, match="Only such a run has a scan"),
    ):
        add(run, walk, (read_scan(tmp_path / "a.pdf"),))


def test_a_scan_that_no_line_tells_of_is_taken_away_before_the_seal(at: Shop) -> None:
    """A program that was killed between file and line left it."""
    run = typed_in(at)
    (run.path / "scan-1.pdf").write_bytes(PDF)

    signed(at, run).seal()

    assert not (run.path / "scan-1.pdf").exists()


def test_a_file_beside_a_run_that_was_walked_is_not_taken_for_a_scan(at: Shop) -> None:
    """Whoever put it there takes it away: nothing of theirs is removed unasked."""
    run = walked(at)
    (run.path / "scan-1.pdf").write_bytes(PDF)

    with pytest.raises(LedgerFault, match=r"scan-1\.pdf' does not belong to the run\. Remove it first"):
        signed(at, run).seal()


@pytest.mark.parametrize("change", ["other", "gone", "more"])
def test_verify_names_a_scan_that_is_not_as_its_line_tells(at: Shop, tmp_path: Path, change: str) -> None:
    """Changed, missing, or told of by no line."""
    from clampbook.record.sealed.folder import lying
    from clampbook.record.sealed.known_keys import Keys
    from clampbook.record.sealed.sums import digests
    from clampbook.record.sealed.verify import Logged, verify

    (tmp_path / "a.pdf").write_bytes(PDF)
    run = typed_in(at, tmp_path / "a.pdf")
    match change:
        case "other":
            (run.path / "scan-1.pdf").write_bytes(PDF + b" ")
        case "gone":
            (run.path / "scan-1.pdf").unlink()
        case _:
            (run.path / "scan-2.png").write_bytes(PNG)

    there = lying(run.path)
    verified = verify(there, digests(there.files), Logged(), Keys())
    found = [each for each in verified.faults if each.code == "S530"]

    assert ["scan-2.png" if change == "more" else "scan-1.pdf"] == [str(each.path) for each in found]
