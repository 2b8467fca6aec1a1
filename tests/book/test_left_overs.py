"""What a killed program left half written in the folder of a run or a check: swept before the seal, told after it."""

from __future__ import annotations

import json
import signal
import subprocess
import sys
from pathlib import Path

import pytest

from check.book_of_tools import made, said
from clampbook.book.book import Book
from clampbook.book.checks import checks
from clampbook.book.mending import mend
from clampbook.book.soundness.verifying import Verifying
from clampbook.ledger import atomic
from clampbook.ledger.lock import take
from sealing import Shop, sealed, signed, walked

HALF = ".report.pdf.0a1b2c3d.tmp"
CHECKED = ["21,5", "1", *["+"] * 5, "60 N·m", "59.4", "59.5", "59.6", "59.5", "59.4", "-", "1"]

# Checks a tool and is killed by itself when the pages of the report are about to be put in place.
KILLED = """
import os, signal, sys
from pathlib import Path
from clampbook.cli import status
replace = Path.replace
def killed(self, target):
    if Path(target).name == "report.pdf":
        os.kill(os.getpid(), signal.SIGKILL)
    return replace(self, target)
Path.replace = killed
status(sys.argv[1:])
"""


def test_a_check_whose_printing_was_killed_is_sound_after_the_next_start(tmp_path: Path) -> None:
    """The kill leaves half a report; verifying says so and that the seal is still to come, and finds nothing wrong. The
    next start takes it away."""
    book = made(tmp_path / "book")
    arguments = ["check", "W2", "--at", "60", "--as", "Ines", "--book", str(book.root)]
    typed = "\n".join(CHECKED) + "\n"
    done = subprocess.run([sys.executable, "-c", KILLED, *arguments], input=typed.encode(), capture_output=True)
    assert -signal.SIGKILL == done.returncode, done.stderr.decode()
    check = checks(book)[0]
    half = [path.name for path in check.path.iterdir() if path.name.endswith(".tmp")]
    assert 1 == len(half) and atomic.half_written(half[0]) == "report.pdf"

    status, out, _ = said("verify", book=book.root)

    assert " problem" not in out
    assert (1, True) == (status, f"left over: {half[0]}, half written when a program was stopped." in out)
    assert (check.path / half[0]).exists()
    assert (f"{check.id}: {half[0]} was never finished, and is removed.",) == mend(book)
    assert () == mend(book)
    found = Verifying(book).check(check)
    assert (["S517"], ()) == ([each.code for each in found.faults], found.left_over)
    assert 0 == said("seal", check.id, book=book.root)[0]
    assert Verifying(book).check(check).sound


def test_a_left_over_is_swept_before_the_seal(at: Shop) -> None:
    """Nothing half written is sealed in."""
    run = walked(at)
    (run.path / HALF).write_bytes(b"%PDF")

    signed(at, run).seal()

    assert not (run.path / HALF).exists()
    assert (True, ()) == ((found := Verifying(at.book).run(run)).sound, found.left_over)


def test_in_a_sealed_folder_it_is_told_and_stays(at: Shop) -> None:
    """Nothing in a sealed folder changes any more; status 0, in words and as data."""
    run = sealed(at)
    (run.path / HALF).write_bytes(b"%PDF")

    status, out, _ = said("verify", run.id, book=at.book.root)
    as_json = said("verify", run.id, "--json", book=at.book.root)

    assert (0, True) == (status, f"  left over: {HALF}, half written" in out)
    assert (0, [HALF]) == (as_json[0], json.loads(as_json[1])["runs"][0]["left_over"])
    assert () == mend(at.book)
    assert (run.path / HALF).exists()


@pytest.mark.parametrize(
    "name", [".note.txt.0a1b2c3d.tmp", ".report.pdf.0a1b2c3d", "report.pdf.tmp", ".report.pdf.0A1B2C3D.tmp"]
)
def test_what_the_program_never_writes_is_no_left_over(at: Shop, name: str) -> None:
    """Another name in a sealed folder is a problem as before, and the sweeping leaves it alone."""
    run = sealed(at)
    (run.path / name).write_bytes(b"%PDF")

    assert ["S502"] == [each.code for each in Verifying(at.book).run(run).faults]
    assert () == mend(at.book)
    assert (run.path / name).exists()


def test_a_link_of_such_a_name_is_no_left_over(at: Shop, tmp_path: Path) -> None:
    """Only plain files are the program's own."""
    run = walked(at)
    (tmp_path / "elsewhere").write_bytes(b"theirs")
    (run.path / HALF).symlink_to(tmp_path / "elsewhere")

    assert () == mend(at.book)
    assert "S504" in {each.code for each in Verifying(at.book).run(run).faults}
    assert b"theirs" == (tmp_path / "elsewhere").read_bytes()


@pytest.mark.parametrize("held", ["", ".seal"])
def test_where_somebody_is_at_work_nothing_is_swept(at: Shop, held: str) -> None:
    """Half a file may be theirs: it waits for a later start."""
    run = walked(at)
    (run.path / HALF).write_bytes(b"%PDF")

    with take(at.book.path(".locks"), f"{run.id}{held}"):
        assert () == mend(at.book)
        assert (run.path / HALF).exists()
    assert (f"{run.id}: {HALF} was never finished, and is removed.",) == mend(at.book)


def test_a_file_that_was_swept_while_it_was_written_is_written_again(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Another program started at that very moment: nobody is told of it, and the file is whole."""
    replace, swept = Path.replace, [True]

    def while_sweeping(self: Path, target: Path) -> Path:
        if swept.pop() if swept else False:
            self.unlink()
        return replace(self, target)

    monkeypatch.setattr(Path, "replace", while_sweeping)
    atomic.write(tmp_path / "report.pdf", b"%PDF")

    assert b"%PDF" == (tmp_path / "report.pdf").read_bytes()
    assert ["report.pdf"] == [path.name for path in tmp_path.iterdir()]


def test_a_merge_leaves_it_behind(at: Shop, tmp_path: Path) -> None:
    """It is no part of the run, so it neither comes along nor makes two runs of one."""
    run = sealed(at)
    (run.path / HALF).write_bytes(b"%PDF")
    office = Book.create(tmp_path / "office", "Office")

    for _ in range(2):
        status, out, talk = said("merge", str(at.book.root), book=office.root)
        assert 0 == status, out + talk

    assert not (office.root / "runs" / run.id / HALF).exists()
