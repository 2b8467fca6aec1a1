"""Runs with a damaged daybook, closed with what is sound of them; the damaged file itself is never changed."""

from __future__ import annotations

import json
import shutil
import tomllib
from collections.abc import Callable
from pathlib import Path

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from clampbook.book.book import Book
from clampbook.book.damaged.closing_run import ClosedDamaged, close_damaged
from clampbook.book.mending import mend
from clampbook.book.sealing.of_run import Signing
from clampbook.book.soundness.verifying import Verifying
from clampbook.book.starting.new_run import open_run
from clampbook.book.starting.terms import Terms, work_named
from clampbook.book.starting.walking import walking
from clampbook.ledger.chain import chain_faults
from clampbook.ledger.refusals import LedgerFault
from clampbook.run import answers as a
from clampbook.run.answers import Accepted
from clampbook.run_folder import RunFolder
from sealing import Shop, Ticking, shop, walked
from test_damaged_book import program

Damage = Callable[[list[bytes]], bytes]


@pytest.fixture(scope="module")
def begun(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A book with a run of one pull and two notes, in seven lines, not closed."""
    at = shop(tmp_path_factory.mktemp("begun") / "book", keys=False)
    run = open_run(at.book, work_named(at.book, "cover"), Terms(person=at.ines), at.clock, "handed in")
    with walking(at.book, run, clock=at.clock, person=at.ines, exempt=True, fresh=True) as walk:
        for answer in (a.TakeUp("w5"), a.Zero("good"), a.Value("30.1"), a.Note("warm"), a.Note("oiled"), a.Pause()):
            assert isinstance(walk.answer(answer), Accepted)
    return at.book.root


@pytest.fixture
def damaged(begun: Path, tmp_path: Path) -> Callable[[bytes], tuple[Shop, RunFolder]]:
    """Makes a copy of the book whose daybook holds these bytes."""
    numbers = iter(range(10_000))

    def make(data: bytes) -> tuple[Shop, RunFolder]:
        root = tmp_path / str(next(numbers))
        shutil.copytree(begun, root)
        book = Book.open(root)
        run = book.runs()[0]
        run.daybook.write_bytes(data)
        return Shop(book, book.person_named("Ines"), book.person_named("Maud"), Ticking()), run

    return make


def written(root: Path) -> list[bytes]:
    """The lines of the run as they were written."""
    return Book.open(root).runs()[0].lines()[0]


def closed(at: Shop, run: RunFolder) -> ClosedDamaged:
    """Closed by Maud."""
    return close_damaged(at.book, run, at.maud, at.clock)


def whole(lines: list[bytes]) -> bytes:
    """Lines as they stand in a file."""
    return b"".join(line + b"\n" for line in lines)


def garbled(lines: list[bytes]) -> bytes:
    """Line 5 lost its first half."""
    return whole([*lines[:4], lines[4][40:], *lines[5:]])


def note_changed(lines: list[bytes]) -> bytes:
    """The first note, in line 5, is another."""
    assert b"warm" in lines[4]
    return whole([*lines[:4], lines[4].replace(b"warm", b"cold"), *lines[5:]])


def line_cut_out(lines: list[bytes]) -> bytes:
    """Line 5 is not there."""
    return whole([*lines[:4], *lines[5:]])


def zeros(lines: list[bytes]) -> bytes:
    """A block of the disk came back empty from line 5 on."""
    data, begins = whole(lines), len(whole(lines[:4]))
    return data[:begins] + b"\x00" * (len(data) - begins - 1) + b"\n"


def foreign_line(lines: list[bytes]) -> bytes:
    """Something else was written between lines 4 and 5."""
    return whole([*lines[:4], b"copied on 2 March", *lines[4:]])


@pytest.mark.parametrize("damage", [garbled, note_changed, line_cut_out, zeros, foreign_line])
def test_the_lines_before_the_damage_are_kept_and_the_file_is_moved_aside(
    begun: Path, damaged: Callable[[bytes], tuple[Shop, RunFolder]], damage: Damage
) -> None:
    """Byte for byte; two lines are added that say what happened and end the run, and the record tells of it."""
    lines = written(begun)
    data = damage(lines)
    at, run = damaged(data)

    found = closed(at, run)

    kept, torn = run.lines()
    assert data == (run.path / "daybook.damaged-0001").read_bytes()
    assert (lines[:4], 6, 0) == (kept[:4], len(kept), torn)
    assert (4, 5, False) == (found.kept, found.line, found.over)
    assert [] == chain_faults(run.daybook, kept)
    assert "closed" == run.state
    record = tomllib.loads((run.path / "record.toml").read_text(encoding="utf-8"))
    assert "damaged" == record["outcome"]
    assert "daybook.damaged-0001" in json.dumps(record["note"])


def test_a_run_closed_as_damaged_is_sealed_and_sound(
    begun: Path, damaged: Callable[[bytes], tuple[Shop, RunFolder]]
) -> None:
    """The seal covers the damaged file too, and the log knows which line is the last."""
    at, run = damaged(garbled(written(begun)))
    closed(at, run)

    Signing(at.book, run, at.clock).seal()

    assert () == Verifying(at.book).run(run).faults
    assert "daybook.damaged-0001" in (run.path / "seal.sha256").read_text(encoding="utf-8")
    (run.path / "daybook.damaged-0001").write_bytes(b"")
    assert () != Verifying(at.book).run(run).faults


@settings(max_examples=60, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(st.data())
def test_no_changed_line_is_ever_kept(
    begun: Path, damaged: Callable[[bytes], tuple[Shop, RunFolder]], data: st.DataObject
) -> None:
    """Whatever byte before the last line is another, what is kept is a beginning of what was written."""
    lines = written(begun)
    bytes_now = bytearray(whole(lines))
    place = data.draw(st.integers(0, len(whole(lines[:-1])) - 1), label="place")
    bytes_now[place] ^= data.draw(st.integers(1, 255), label="changed by")
    at, run = damaged(bytes(bytes_now))

    try:
        found = closed(at, run)
    except LedgerFault:
        assert bytes(bytes_now) == run.daybook.read_bytes()
        assert place < len(whole(lines[:2]))
        return

    assert lines[: found.kept] == run.lines()[0][: found.kept]
    assert bytes(bytes_now) == (run.path / found.aside).read_bytes()
    assert found.kept >= whole(lines)[:place].count(b"\n") - 1


def test_what_is_whole_is_not_closed_as_damaged(
    begun: Path, damaged: Callable[[bytes], tuple[Shop, RunFolder]]
) -> None:
    """A torn last line is no damage: the run goes on, and it is moved aside then."""
    data = whole(written(begun)) + b'{"at":"2026-03'
    at, run = damaged(data)

    with pytest.raises(LedgerFault, match=f"walk --resume {run.id}"):
        closed(at, run)

    assert data == run.daybook.read_bytes()
    assert [] == list(run.path.glob("daybook.*-0001"))


@pytest.mark.parametrize("data", [b"", b"\x00\x00\n", b"{}\n"])
def test_where_nothing_is_sound_nothing_is_done(
    damaged: Callable[[bytes], tuple[Shop, RunFolder]], data: bytes
) -> None:
    """Without the line that opens it, there is no run that could be closed."""
    at, run = damaged(data)

    with pytest.raises(LedgerFault, match="nothing of it is intact"):
        closed(at, run)

    assert data == run.daybook.read_bytes()


def test_a_sealed_run_is_never_touched(tmp_path: Path) -> None:
    """After the seal nothing changes in the folder, whatever was done to it."""
    at = shop(tmp_path / "book", keys=False)
    run = walked(at)
    Signing(at.book, run, at.clock).seal()
    data = garbled(run.lines()[0])
    run.daybook.write_bytes(data)

    with pytest.raises(LedgerFault, match="is sealed"):
        closed(at, run)

    assert data == run.daybook.read_bytes()


def test_a_run_that_had_ended_stays_as_it_ended(tmp_path: Path) -> None:
    """Something foreign behind the last line: the run was done before, and is."""
    at = shop(tmp_path / "book", keys=False)
    run = walked(at)
    before = run.daybook.read_bytes()
    run.daybook.write_bytes(before + b"\xff\xff\n")

    found = closed(at, run)

    assert found.over
    assert before == run.daybook.read_bytes()
    assert before + b"\xff\xff\n" == (run.path / found.aside).read_bytes()


def test_after_a_crash_it_is_done_again(begun: Path, damaged: Callable[[bytes], tuple[Shop, RunFolder]]) -> None:
    """The copy was moved aside already, and the power went: it is not moved aside a second time."""
    data = garbled(written(begun))
    at, run = damaged(data)
    (run.path / "daybook.damaged-0001").write_bytes(data)

    closed(at, run)

    assert ["daybook.damaged-0001"] == [path.name for path in run.path.glob("*damaged*")]


def test_the_log_is_told_of_it_at_the_next_start(
    begun: Path, damaged: Callable[[bytes], tuple[Shop, RunFolder]]
) -> None:
    """The power went before the log's line was written."""
    at, run = damaged(garbled(written(begun)))
    log = at.book.path("book.jsonl")
    before = log.read_bytes()
    closed(at, run)
    log.write_bytes(before)

    assert (f"{run.id} was closed as damaged. The book's log now says so.",) == mend(at.book)
    assert () == mend(at.book)
    assert "run_damaged" == json.loads(at.book.log_lines()[-1])["event"]


def test_a_damaged_run_is_told_wherever_it_is_met(
    begun: Path, damaged: Callable[[bytes], tuple[Shop, RunFolder]]
) -> None:
    """In the list of runs, and by whoever takes it up, with the command that closes it."""
    at, run = damaged(garbled(written(begun)))
    told = f"clampbook close-damaged {run.id}"

    _, listed, _ = program(at.book.root, "runs")
    status, _, talk = program(at.book.root, "walk", "--resume", run.id, "--plain", "--as", "Ines")
    assert told in listed
    assert (2, True) == (status, told in talk)

    status, said, _ = program(at.book.root, "close-damaged", run.id, "--as", "Ines")
    assert 1 == status
    assert "The first 4 of 7 lines are intact" in said
    assert (0, "No open runs.\n") == program(at.book.root, "runs")[:2]


def test_a_run_whose_last_line_is_unreadable_is_not_overlooked(
    begun: Path, damaged: Callable[[bytes], tuple[Shop, RunFolder]]
) -> None:
    """It is neither open nor closed, and stands in the list all the same."""
    at, run = damaged(whole([*written(begun)[:-1], b"\x00\x00"]))

    _, listed, _ = program(at.book.root, "runs")

    assert run.id in listed
    assert "line 7: this line is damaged and cannot be read" in listed
