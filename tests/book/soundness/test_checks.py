"""Verifying a check of a tool: whatever is done to its files, or to what the log says of it, is found and named."""

from __future__ import annotations

import shutil
from collections.abc import Callable
from pathlib import Path

import pytest

from check.book_of_tools import made, said
from clampbook.book.book import Book
from clampbook.book.checks import checks, mend_checks, tool_standing
from clampbook.book.mending import mend
from clampbook.book.settled import Settled
from clampbook.book.soundness.found import Soundness
from clampbook.book.soundness.verifying import Verifying, checks_over
from clampbook.check.folder import CheckFolder
from clampbook.ledger import lines
from clampbook.record.checks.written import write

BEFORE = ["21,5", "1", *["+"] * 5, "60 N·m"]
TYPED = [*BEFORE, "59.4", "59.5", "59.6", "56.5", "*1", "59.5", "1", "59.4", "-", "1"]  # the fourth is put right


@pytest.fixture(scope="module")
def pristine(tmp_path_factory: pytest.TempPathFactory) -> Book:
    """A book with one check at the bench, and one from a file, to which nothing was done."""
    folder = tmp_path_factory.mktemp("whinchat")
    book = made(folder / "book")
    said("check", "W2", "--at", "60", "--as", "Ines", book=book.root, typed="\n".join(TYPED) + "\n")
    (folder / "readings.csv").write_text("reference,indicated\n" + "60,60.1\n" * 5)
    said("check", "W5", "--readings", str(folder / "readings.csv"), "--as", "Ines", book=book.root)
    assert ["closed", "closed"] == [check.state for check in checks(book)]
    return book


@pytest.fixture
def book(pristine: Book, tmp_path: Path) -> Book:
    """A copy to tamper with."""
    shutil.copytree(pristine.root, tmp_path / "book")
    return Book.open(tmp_path / "book")


def of(book: Book, tool: str) -> CheckFolder:
    """The check of a tool."""
    return next(check for check in checks(book) if f"-{tool}-" in check.id)


def verified(book: Book, tool: str = "w2") -> Soundness:
    """The check of a tool as it is found now."""
    return Verifying(book).check(of(book, tool))


def found(book: Book, tool: str = "w2") -> set[tuple[str, str]]:
    """Code and file of each fault."""
    return {(each.code, each.path.rpartition("/")[2]) for each in verified(book, tool).faults}


def written_anew(check: CheckFolder, change: Callable[[int, dict[str, object]], None]) -> None:
    """The daybook as somebody makes it who knows how its lines hang together, with a record that fits."""
    whole, before = check.lines()[0], lines.NOTHING_BEFORE
    made_up = []
    for number, line in enumerate(whole, start=1):
        fields = lines.decode(line)
        change(number, fields)
        made_up.append(lines.encode(fields, number, before))
        before = lines.digest(made_up[-1])
    check.daybook.write_bytes(b"".join(line + b"\n" for line in made_up))
    write(check)


def test_checks_to_which_nothing_was_done_are_sound(book: Book) -> None:
    """One at the bench, one from a file; the book knows both."""
    verifying = Verifying(book)

    assert [("sealed", ()), ("sealed", ())] == [
        (each.state, each.faults) for each in map(verifying.check, checks_over(book))
    ]
    assert () == verifying.book()


@pytest.mark.parametrize("tool", ["w2", "w5"])
def test_any_changed_byte_of_any_file_is_found(book: Book, tool: str) -> None:
    """Of a daybook, a plan, a record, a file of readings; every seventh byte, and the last."""
    folder = of(book, tool).path
    for file in sorted(path for path in folder.iterdir() if path.name != "report.pdf"):
        data = file.read_bytes()
        for at in {*range(0, len(data), max(7, len(data) // 40)), len(data) - 1}:
            file.write_bytes(data[:at] + bytes([data[at] ^ 1]) + data[at + 1 :])
            assert verified(book, tool).faults, (file.name, at)
        file.write_bytes(data)

    assert verified(book, tool).sound


def test_a_verdict_that_was_made_up_is_found_though_all_hashes_fit(book: Book) -> None:
    """The readings give another; and the log knows another last line."""

    def better(_: int, fields: dict[str, object]) -> None:
        if fields["event"] == "closed":
            fields["as_found"] = "failed"

    written_anew(of(book, "w2"), better)

    assert ("S508", "daybook.jsonl") in found(book)
    assert any("as found is said to be failed, but the readings give passed" in f.text for f in verified(book).faults)


def test_a_deviation_that_was_made_up_is_found_though_all_hashes_fit(book: Book) -> None:
    """What was typed gives another."""

    def smaller(_: int, fields: dict[str, object]) -> None:
        if fields["event"] == "pulled":
            fields["deviation"] = "0.01"

    written_anew(of(book, "w2"), smaller)
    told = [each.text for each in verified(book).faults]

    assert any(text.startswith("deviation is 0.01, but what was typed gives 1.0101") for text in told), told


def test_a_whole_check_that_was_made_up_is_not_the_one_that_the_log_knows(book: Book) -> None:
    """Every figure fits every other, but for the hash of the last line."""

    def other_name(_: int, fields: dict[str, object]) -> None:
        if fields["event"] == "temperature_read":
            fields["typed"], fields["value"] = "20", "20"

    for name in ("report.pdf", "seal.sha256", "seal.txt"):
        (of(book, "w2").path / name).unlink()
    written_anew(of(book, "w2"), other_name)

    places = [(each.path.rpartition("/")[2], each.line) for each in verified(book).faults]
    assert [("daybook.jsonl", 17), ("seal.sha256", None), ("seal.sha256", None)] == places  # gone, and still to come


def test_a_cut_tail_is_found(book: Book) -> None:
    """Without its last line the check would be open again, and the log knows that it ended."""
    check = of(book, "w2")
    check.daybook.write_bytes(b"".join(line + b"\n" for line in check.lines()[0][:-1]))

    assert any(each.path.endswith("daybook.jsonl") for each in verified(book).faults)


def test_a_check_that_vanished_is_told(book: Book) -> None:
    """The log says that it was opened."""
    gone = of(book, "w2")
    shutil.rmtree(gone.path)

    assert [f"the check {gone.id} was opened and is not there"] == [each.text for each in Verifying(book).book()]


def test_what_does_not_belong_to_a_check_is_told(book: Book) -> None:
    """A file that is none of a check's, and a link in place of one that is."""
    folder = of(book, "w2").path
    (folder / "note.txt").write_text("all fine")
    (folder / "record.toml").rename(folder.parent / "record.toml")
    (folder / "record.toml").symlink_to(folder.parent / "record.toml")

    assert {("S502", "note.txt"), ("S504", "record.toml")} <= found(book)


def test_a_report_with_another_record_inside_is_told(book: Book) -> None:
    """Only that of this check carries its files."""
    (of(book, "w2").path / "report.pdf").write_bytes((of(book, "w5").path / "report.pdf").read_bytes())

    assert {("S503", "report.pdf"), ("S513", "report.pdf")} == found(book)


def test_verify_tells_of_checks_beside_runs(book: Book) -> None:
    """All of the book, or one by a part of its name; something that does not fit ends with status 1."""
    of(book, "w5").path.joinpath("readings.csv").write_text("reference,indicated\n60,60\n")
    all_of_it = said("verify", book=book.root)
    one = said("verify", "w2-", book=book.root)

    assert (1, 0) == (all_of_it[0], one[0])
    assert f"{of(book, 'w2').id}: sealed, intact: typed names" in one[1]
    assert f"checks/{of(book, 'w5').id}/readings.csv" in all_of_it[1]


def test_a_check_that_was_made_up_is_not_printed_without_a_word(book: Book, tmp_path: Path) -> None:
    """The pages are made, and beside it stands that the log knows another last line; status 1."""

    def better(_: int, fields: dict[str, object]) -> None:
        if fields["event"] == "closed":
            fields["as_found"] = "failed"

    check = of(book, "w2")
    assert 0 == said("report", check.id, "--into", str(tmp_path / "a.pdf"), book=book.root)[0]
    written_anew(check, better)
    status, _, talk = said("report", check.id, "--into", str(tmp_path / "b.pdf"), book=book.root)

    assert 1 == status
    assert f"{check.id}: sealed: " in talk


def test_a_check_that_a_crash_kept_out_of_the_log_is_told_there(tmp_path: Path) -> None:
    """Killed once its folder was in place and before the log named it: the next start says so, once."""
    book = made(tmp_path / "book")
    said("check", "W2", "--at", "60", "--as", "Ines", book=book.root, typed="21,5\n")
    (check,) = checks(book)
    *before, last = book.log_lines()
    assert b'"check_opened"' in last, last
    (book.root / "book.jsonl").write_bytes(b"".join(line + b"\n" for line in before))

    assert "S516" in {fault.code for fault in Verifying(book).check(check).faults}  # put there, or lines are missing

    assert (f"{check.id} was opened. The book's log now says so.",) == mend(book)
    assert () == mend(book)
    assert {"S501"} == {fault.code for fault in Verifying(book).check(check).faults}  # it is still open: no record yet


def test_a_check_that_is_opened_meanwhile_stands_in_the_log_once(tmp_path: Path) -> None:
    """The folder is seen before the line is there; once the log is free, it is."""
    book = made(tmp_path / "book")
    said("check", "W2", "--at", "60", "--as", "Ines", book=book.root, typed="21,5\n")

    assert [] == list(mend_checks(book, Settled()))  # as the log was read before the check was opened
    assert 1 == sum(b'"check_opened"' in line for line in book.log_lines())


def test_a_check_that_a_merge_brings_in_counts_at_once(book: Book, tmp_path: Path) -> None:
    """The log of this book tells of it before the merge is over, and both books stay sound."""
    here = made(tmp_path / "office")
    status, _, talk = said("merge", str(book.root), book=here.root)

    assert 0 == status
    assert f"{of(book, 'w2').id} has its result in the book's log now." in talk
    assert {"passed"} == {check.verdict for check in tool_standing(here).last.values()}
    assert [(), ()] == [Verifying(here).check(check).faults for check in checks_over(here)]
