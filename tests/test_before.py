"""A run of an earlier format: never called damaged, never changed, and in nobody's way."""

from __future__ import annotations

import json
import shutil
from hashlib import sha256
from io import BytesIO, StringIO, TextIOWrapper
from pathlib import Path

import pytest

from clampbook import cli, demo
from clampbook.book.book import Book
from museum import museum

BEFORE = Path(__file__).parent / "before" / "head"
CLOSED, OPEN = "20260302-whinchat-pattern-c-head-uqatvlzp", "20260301-whinchat-pattern-c-head-aaaaaaaa"


class Shed:
    """A book, and what the commands say of it."""

    def __init__(self, root: Path, patches: pytest.MonkeyPatch) -> None:
        self.root = root
        self._patches = patches

    @classmethod
    def on(cls, root: Path, patches: pytest.MonkeyPatch, clock: str) -> Shed:
        """Commands on this book at this time."""
        patches.setenv("CLAMPBOOK_CLOCK", clock)
        patches.setenv("COLUMNS", "400")
        return cls(root, patches)

    def said(self, *words: str, typed: str = "") -> tuple[int, str, str]:
        """Status, output and talk of a command."""
        out, talk = BytesIO(), StringIO()
        with self._patches.context() as patch:
            patch.setattr("sys.stdin", TextIOWrapper(BytesIO(typed.encode()), encoding="utf-8"))
            patch.setattr("sys.stdout", TextIOWrapper(out, encoding="utf-8", write_through=True))
            patch.setattr("sys.stderr", talk)
            status = cli.status([*words, "--book", str(self.root)])
            return status, out.getvalue().decode(), talk.getvalue()


@pytest.fixture
def shed(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Shed:
    """A book with a run of format 1 that ended, and one that was left open."""
    monkeypatch.setenv("CLAMPBOOK_CLOCK", "2026-03-02T09:00:00Z+3s")
    monkeypatch.setenv("COLUMNS", "400")
    museum(tmp_path / "book")
    book = Book.open(tmp_path / "book")
    shutil.copytree(BEFORE, book.path("runs", CLOSED))
    shutil.copytree(BEFORE, book.path("runs", OPEN))
    daybook = book.path("runs", OPEN) / "daybook.jsonl"
    daybook.write_bytes(b"".join(daybook.read_bytes().splitlines(keepends=True)[:40]))
    (book.path("runs", OPEN) / "record.toml").unlink()
    return Shed(book.root, monkeypatch)


def bytes_of(root: Path) -> dict[str, str]:
    """Every file of its runs by its hash."""
    files = (path for path in (root / "runs").rglob("*") if path.is_file())
    return {str(path): sha256(path.read_bytes()).hexdigest() for path in files}


def test_verify_says_that_it_is_not_checked(shed: Shed) -> None:
    """Something to look at, and nothing that is damaged; not a byte is changed."""
    before = bytes_of(shed.root)

    status, out, _ = shed.said("verify", CLOSED)

    assert 1 == status
    assert f"{CLOSED}: closed, made before format 2; not checked by this version" in out
    assert " problem" not in out
    assert before == bytes_of(shed.root)


def test_verify_says_so_to_scripts(shed: Shed) -> None:
    """Neither sound nor unsound."""
    [run] = json.loads(shed.said("verify", CLOSED, "--json")[1])["runs"]

    assert (False, False, ["S521"]) == (run["checked"], run["intact"], [each["code"] for each in run["problems"]])


def test_it_is_found_and_listed(shed: Shed) -> None:
    """Its record is read as far as this version knows it."""
    assert CLOSED in shed.said("find", "Whinchat")[1]
    assert CLOSED in shed.said("export", "--csv")[1]
    assert OPEN in shed.said("runs")[1]


@pytest.mark.parametrize("words", [("report", CLOSED), ("record", OPEN), ("walk", "--resume", OPEN, "--plain")])
def test_what_this_version_cannot_do_is_said_in_a_sentence(shed: Shed, words: tuple[str, ...]) -> None:
    """The version that wrote it still can."""
    before = bytes_of(shed.root)

    status, _, talk = shed.said(*words, *(("--as", "ines") if "walk" in words else ()))

    assert 2 == status
    assert "made before format 2" in talk
    assert "the version that wrote it" in talk
    assert before == bytes_of(shed.root)


def test_its_record_is_shown_as_not_checked(shed: Shed) -> None:
    """This version cannot make it anew, so nothing vouches for the stored one, and it says so before all else."""
    before = bytes_of(shed.root)

    status, out, talk = shed.said("record", CLOSED)

    assert 1 == status
    assert out.startswith("# NOT CHECKED: the record cannot be made again.")
    assert "use the version that wrote it" in out.splitlines()[0] and "NOT CHECKED" in talk
    assert (BEFORE / "record.toml").read_text(encoding="utf-8") in out
    assert before == bytes_of(shed.root)


def test_it_is_in_the_way_of_no_new_run(shed: Shed) -> None:
    """A run of the same procedure is begun beside it."""
    status, out, _ = shed.said("walk", demo.HEAD, "--as", "Ines", "--json", typed="+\nC 4711\n")

    assert (0, "paused") == (status, json.loads(out.splitlines()[-1])["finished"])


def test_a_tool_is_said_to_be_on_a_run_that_is_not_looked_through(shed: Shed) -> None:
    """What it did there is not known here."""
    _, out, talk = shed.said("affected", "w2")

    assert "made before format 2" in out + talk
