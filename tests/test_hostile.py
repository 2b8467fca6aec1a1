"""Files that mean harm, and the real program: shown as text or refused with a sentence, and nothing is done."""

from __future__ import annotations

import io
import shutil
from pathlib import Path

import pypdf
import pytest

from clampbook import demo
from clampbook.book.sealing.of_run import Signing
from clampbook.book.soundness.verifying import Verifying
from clampbook.book.starting.new_run import open_run
from clampbook.book.starting.terms import Terms, work_named
from clampbook.book.starting.walking import walking
from clampbook.run import answers as a
from museum import museum, own
from sealing import COVER, shop, walked
from test_damaged_book import program

MARKUP = '#read("/etc/passwd") $ x $ *b* @here <t> `raw` \\\\ // #while true {}'


@pytest.fixture(scope="module")
def made(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The demo book."""
    return museum(tmp_path_factory.mktemp("made") / "book").root


@pytest.fixture
def book(made: Path, tmp_path: Path) -> Path:
    """A copy of it for one test."""
    shutil.copytree(made, tmp_path / "book", symlinks=True)
    return tmp_path / "book"


@pytest.mark.parametrize(
    ("old", "new"),
    [
        pytest.param("Valve cover", "Valve\\u001b[2Jcover", id="a code that clears the screen"),
        pytest.param("Valve cover", "Valve\\u202ecover", id="text that runs backwards"),
        pytest.param("Valve cover", "Valve\x1b]0;x\x07", id="a raw code"),
        pytest.param("30 N·m", "9" * 5000 + " N·m", id="a number of five thousand digits"),
        pytest.param("30 N·m", "1e999999999 N·m", id="a number with a huge exponent"),
        pytest.param('"1-2"', '"1-999999"', id="more positions than there is room for"),
        pytest.param("±2 N·m", "±1e-999999999 N·m", id="a window with a huge exponent"),
        pytest.param("format = 2", "format = " + "[" * 20_000, id="nesting without end"),
    ],
)
def test_a_hostile_procedure_is_refused(book: Path, old: str, new: str) -> None:
    """With its line and what is wrong; no code reaches the terminal, no run is opened."""
    assert old in COVER
    own(book, "cover", COVER.replace(old, new, 1))

    for command in (("walk", "cover", "--as", "Ines"), ("review", str(book / "procedures" / "cover.toml"))):
        status, out, talk = program(book, *command) if command[0] == "walk" else reviewed(book, command[1])
        assert 2 == status
        assert "\x1b" not in out + talk and "\u202e" not in out + talk
        assert "cover.toml" in out + talk
    assert [] == [path for path in (book / "runs").iterdir() if not path.name.startswith(".")]


def reviewed(book: Path, file: str) -> tuple[int, str, str]:
    """The same file, only looked over."""
    return program(book, "review", file)


def test_markup_of_the_typesetter_is_text(tmp_path: Path) -> None:
    """Titles, names, notes and the thing worked on stand in the report as they were typed, and do nothing."""
    at = shop(tmp_path / "book", keys=False)
    sheet = COVER.replace("Valve cover", MARKUP.replace('"', "'")).replace("Cover screws", "#panic()")
    own(at.book.root, "cover", sheet)
    run = walked(at)
    Signing(at.book, run, at.clock).seal()

    pages = pypdf.PdfReader(io.BytesIO((run.path / "report.pdf").read_bytes())).pages
    text = "".join(page.extract_text() for page in pages)
    assert "#read(" in text and "#panic()" in text
    assert "root:" not in text
    assert () == Verifying(at.book).run(run).faults


def test_markup_in_a_note_is_text(tmp_path: Path) -> None:
    """What somebody types at the bench is no markup either."""
    at = shop(tmp_path / "book", keys=False)
    terms = Terms(person=at.ines, equipment="#include")
    run = open_run(at.book, work_named(at.book, "cover"), terms, at.clock, "handed in")
    with walking(at.book, run, clock=at.clock, person=at.ines, exempt=True, fresh=True) as walk:
        walk.answer(a.Note(MARKUP))
        walk.answer(a.GiveUp("#panic(1)"))

    status, _, talk = program(at.book.root, "report", run.id)

    text = "".join(page.extract_text() for page in pypdf.PdfReader(run.path / "report.pdf").pages)
    assert (0, True) == (status, "#panic(1)" in text), talk


@pytest.mark.parametrize(
    "place", ["runs", "procedures", "book.jsonl", "people.toml", "tools.toml", "keys", "notices", ".locks"]
)
def test_a_link_out_of_the_book_is_not_followed(book: Path, tmp_path: Path, place: str) -> None:
    """Whatever part of the book leads elsewhere: a sentence, and nothing is read there or written."""
    outside = tmp_path / "outside"
    if (book / place).exists():
        (book / place).rename(outside)
    else:
        outside.mkdir()
    (book / place).symlink_to(outside)
    before = sorted(outside.rglob("*")) if outside.is_dir() else outside.read_bytes()

    commands = {
        "keys": ("keys", "make", "Ines"),
        "notices": ("verify",),
        "tools.toml": ("tools",),
    }
    status, out, talk = program(
        book,
        *commands.get(place, ("walk", demo.HEAD, "--as", "Zed", "--new-person")),
        lines="a long phrase\na long phrase\n",
    )

    assert 2 == status or (place, 0) == ("notices", status)
    assert place == "notices" or "leads out of the book" in talk + out or "links are not followed" in talk + out
    assert before == (sorted(outside.rglob("*")) if outside.is_dir() else outside.read_bytes())


@pytest.mark.parametrize(
    "command",
    [("plan",), ("walk", "--plain", "--as", "Ines"), ("release", "--as", "Ines", "--compared-with", "sheet 4")],
)
def test_a_procedure_that_is_a_link_out_of_the_book_is_refused(
    book: Path, tmp_path: Path, command: tuple[str, ...]
) -> None:
    """Called by its name in the book it is neither planned, walked nor released, though it is a good one."""
    elsewhere = tmp_path / "elsewhere.toml"
    elsewhere.write_text(COVER, encoding="utf-8")
    (book / "procedures" / "linked.toml").symlink_to(elsewhere)

    status, out, talk = program(book, command[0], "linked", *command[1:])

    assert (2, "") == (status, out)
    assert "leads out of the book: put the file there, not a link" in talk
    assert COVER == elsewhere.read_text(encoding="utf-8")


@pytest.mark.parametrize("name", ["../outside", "/etc/passwd", "..", "runs/../../outside"])
def test_paths_do_not_lead_out_of_the_book(book: Path, name: str) -> None:
    """Runs and people are named, never reached by a path."""
    before = sorted(path for path in book.parent.rglob("*"))

    for command in ("record", "report", "verify", "seal"):
        status, out, talk = program(book, command, name)
        assert (2, "") == (status, out)
        assert "There is no run" in talk
    assert before == sorted(path for path in book.parent.rglob("*"))


def test_a_hostile_record_does_no_harm_in_the_archive(tmp_path: Path) -> None:
    """Somebody else's record with codes and huge numbers: found and shown as text, or left out."""
    at = shop(tmp_path / "book", keys=False)
    run = walked(at)
    record = run.path / "record.toml"
    text = record.read_text(encoding="utf-8").replace('"Valve cover"', '"Valve \\u001b[2J \\u202e cover"')
    record.write_text(text.replace("deviations = 0", "deviations = " + "9" * 4000), encoding="utf-8")

    for command in (("find", "cover"), ("find", '"'), ("export", "--csv"), ("trend",)):
        status, out, talk = program(at.book.root, *command)
        assert status in (0, 1)
        assert "\x1b" not in out + talk and "\u202e" not in out + talk
