"""What a bad tool touched: found in every run, reckoned again, told to open runs and beside finished ones."""

from __future__ import annotations

import json
import tomllib
from decimal import Decimal
from pathlib import Path

import pypdf
import pytest

from check.book_of_tools import FLANGE, begun, made, said, walk
from clampbook.archive.affected import Span, affected
from clampbook.archive.finding import Query, find
from clampbook.archive.index import Archive
from clampbook.book.book import Book
from clampbook.book.notices import NOTICES, in_question, notices
from clampbook.book.toolbox import tool_named
from clampbook.check.profile import OffAt, Profile, evenly
from clampbook.run_folder import RunFolder
from clampbook.screens.bench import Standing
from clampbook.screens.records import row
from clampbook.tools.identity import Identity, folded
from museum import lines_of, own

PULLS = "W5\n1\n58\n60\n62\n61\n+\n1\n"  # the tool, its zero, four readings, put back, closed


@pytest.fixture
def book(tmp_path: Path) -> Book:
    """A book whose W5 passed a check on 1 March."""
    book = made(tmp_path / "book")
    own(book.root, "flange", FLANGE)
    check(book, "2026-03-01", "59.9,60", "60.1,60")
    return book


def check(book: Book, day: str, *rows: str) -> None:
    """A check of W5 from a file, on a day."""
    file = book.root.parent / "readings.csv"
    file.write_text("\n".join(("reference,indicated", *rows * 5)) + "\n")
    said("check", "w5", "--readings", str(file), "--as", "Ines", book=book.root, clock=f"{day}T09:00:00Z")


def flange(book: Book, day: str, typed: str = PULLS, *more: str) -> RunFolder:
    """A run of the flange on a day, or one that is gone on with; the latest run."""
    return walk(book, day, *(more or ("flange",)), typed=typed)


def listed(book: Book, *more: str) -> tuple[int, dict]:  # type: ignore[type-arg]
    """What `clampbook affected w5 --json` says."""
    status, out, _ = said("affected", "w5", "--json", *more, book=book.root, clock="2026-03-04T09:00:00Z")
    return status, json.loads(out)


def test_every_kept_reading_since_the_last_passed_check_is_reckoned_again(book: Book) -> None:
    """Found at 60 against 56, each reading was 60/56 too high: 58 and 60 were under 57, 62 was not, and 61 was 56.93,
    as near to the end of its window as the check itself may be off."""
    run = flange(book, "2026-03-02")
    check(book, "2026-03-03", "56,60", "56,60")
    status, found = listed(book)
    (affected_run,) = found["runs"]

    assert (1, run.id, 4, 2, 1) == (
        status,
        affected_run["run"],
        found["readings"],
        found["outside"],
        found["undecided"],
    )
    assert {"Flange bolts": ["1", "2", "3", "4"]} == affected_run["positions"]
    assert ["under", "under", "within", "undecided"] == [each["would_have_been"] for each in affected_run["readings"]]
    assert pytest.approx([58 * 56 / 60, 56, 62 * 56 / 60, 61 * 56 / 60]) == [
        each["true"]["value"] for each in affected_run["readings"]
    ]


def test_runs_before_its_last_passed_check_are_left_out(book: Book) -> None:
    """It was good after them."""
    flange(book, "2026-03-02")
    check(book, "2026-03-03", "59.9,60", "60.1,60")
    later = flange(book, "2026-03-04")
    check(book, "2026-03-05", "56,60", "56,60")

    assert [later.id] == [run["run"] for run in listed(book)[1]["runs"]]


def test_runs_after_it_passed_again_are_left_out(book: Book) -> None:
    """What was done between the failure and then is in question, what came later is not."""
    first = flange(book, "2026-03-02")
    check(book, "2026-03-03", "56,60", "56,60")
    check(book, "2026-03-04", "59.9,60", "60.1,60")
    flange(book, "2026-03-05")

    assert [first.id] == [run["run"] for run in listed(book)[1]["runs"]]


def test_a_finished_run_gets_a_notice_beside_it_and_is_not_changed(book: Book) -> None:
    """The notice is shown where the record is printed."""
    run = flange(book, "2026-03-02")
    before = {path.name: path.read_bytes() for path in run.path.iterdir()}
    check(book, "2026-03-03", "56,60", "56,60")
    _, out, talk = said("record", run.id, book=book.root)
    (sentence,) = notices(book, run.id)

    assert before == {path.name: path.read_bytes() for path in run.path.iterdir()}
    assert "4 pulls of this run used it, 2 would have been outside, 1 undecided" in sentence
    assert sentence in talk
    assert tomllib.loads(out)["outcome"] == "done"


def test_an_open_run_hears_of_it_when_it_is_taken_up(book: Book) -> None:
    """Its readings so far get a question mark, and W5 cannot be taken any more, whatever the reason."""
    flange(book, "2026-03-02", "W5\n1\n58\n60\n")
    check(book, "2026-03-03", "56,60", "56,60")
    # position 3 not begun, 1 and 2 as they were left; then a tool is asked for
    _, out, _ = said(
        "walk",
        "--resume",
        "--plain",
        "--as",
        "Ines",
        book=book.root,
        typed="1\n1\n1\nW5\n",
        clock="2026-03-03T10:00:00Z+5s",
    )
    (run,) = book.runs()
    events = lines_of(run)
    in_question = [event for event in events if event["event"] == "tool_suspected"]

    assert ["w5"] == [event["tool"] for event in in_question]
    assert "found it off by +7.14 %" in out
    assert "W5: out of service: failed its check, off by +7.14 %" in " ".join(out.split())
    record = tomllib.loads(said("record", run.id, book=book.root)[1])
    (asked,) = record["in_question"]
    assert [[asked["line"]], [asked["line"]]] == [reading["in_question_at_lines"] for reading in record["reading"]]
    assert ("failed", "2026-03-03") == (asked["why"], asked["on"])


def test_by_hand_a_day_and_a_deviation_can_be_said(book: Book) -> None:
    """No check failed; somebody reckons with five percent too much since a day."""
    flange(book, "2026-03-02")
    run = flange(book, "2026-03-03")
    _, found = listed(book, "--since", "2026-03-03", "--deviation", "+5 %")

    assert [run.id] == [each["run"] for each in found["runs"]]
    assert pytest.approx(60 / 1.05) == found["runs"][0]["readings"][1]["true"]["value"]
    out = said("affected", "w5", "--since", "2026-03-03", book=book.root)[1]
    assert "Affected work from 3 March 2026 on: 1 run, 4 pulls." == out.splitlines()[1]
    assert "check" not in out


def test_without_a_failure_nothing_is_said_against_the_tool(book: Book) -> None:
    """Somebody just wants to know what was done with it."""
    flange(book, "2026-03-02")
    status, out, _ = said("affected", "w5", book=book.root)

    assert 0 == status
    assert "W5: nothing is known against it." == out.splitlines()[0]
    assert "Affected work since its last passed check on 1 March 2026: 1 run, 4 pulls." == out.splitlines()[1]
    assert "suspicion" not in out and "outside" not in out


def test_the_account_is_in_words_of_the_trade(book: Book) -> None:
    """Mean and worst of the check, then bolt, stage and round of each pull that needs a look."""
    flange(book, "2026-03-02")
    check(book, "2026-03-03", "56,60", "57,60")
    _, out, _ = said("affected", "w5", book=book.root)

    assert "off on average by +6.20 % (worst +7.14 %) at 60 N·m" in out
    assert "  position 1 of Flange bolts, stage 1, round 1: 58.00 N·m would have been 54.61 N·m: ▄ under" in out


def test_the_scatter_of_the_pulls_leaves_more_open(book: Book) -> None:
    """60 against 56 and 57: the mean is 6.20 %, and two pulls so far apart say little of a single one, so that 60,
    which would have been 56.5 (under 57), cannot be decided any more."""
    flange(book, "2026-03-02")
    check(book, "2026-03-03", "56,60", "57,60")
    (run,) = listed(book)[1]["runs"]

    assert "undecided" == run["readings"][1]["would_have_been"]


def test_a_tool_that_touched_nothing_says_so(book: Book) -> None:
    """Status 0: nothing to look at."""
    status, found = listed(book)

    assert (0, []) == (status, found["runs"])


def test_the_list_can_be_printed(book: Book, tmp_path: Path) -> None:
    """As a PDF of its own."""
    flange(book, "2026-03-02")
    check(book, "2026-03-03", "56,60", "56,60")
    listed(book, "--pdf", str(tmp_path / "list.pdf"))

    assert (tmp_path / "list.pdf").read_bytes().startswith(b"%PDF")


def test_a_damaged_run_is_told_and_the_others_are_listed(book: Book) -> None:
    """One bad folder does not hide the rest."""
    bad, good = flange(book, "2026-03-02"), flange(book, "2026-03-03")
    bad = next(run for run in book.runs() if run.id != good.id)
    bad.daybook.write_bytes(bad.daybook.read_bytes().replace(b'"typed":"58"', b'"typed":"59"'))
    status, found = listed(book, "--deviation", "1 %")

    assert (1, [good.id]) == (status, [each["run"] for each in found["runs"]])
    assert bad.id in found["unread"][0]


def test_a_share_or_a_day_that_is_none_is_told(book: Book) -> None:
    """In a sentence that shows how it is written."""
    for wrong in (("--deviation", "much"), ("--since", "yesterday")):
        status, _, talk = said("affected", "w5", *wrong, book=book.root)
        assert 2 == status
        assert "Write it like" in talk


def test_between_two_points_the_deviation_lies_on_the_straight_line() -> None:
    """2 % at 20 and 6 % at 60: 4 % at 40; beyond the last as at the last."""
    found = Profile("N·m", (OffAt(Decimal(20), Decimal(2)), OffAt(Decimal(60), Decimal(6), unsure=Decimal("0.5"))))

    assert [Decimal(2), Decimal(4), Decimal(6)] == [found.at(Decimal(torque)) for torque in (10, 40, 100)]
    assert [Decimal(0), Decimal("0.5"), Decimal("0.5")] == [found.unsure_at(Decimal(at)) for at in (10, 40, 100)]


def test_a_span_that_is_over_before_the_run_finds_nothing(book: Book) -> None:
    """The pure part: bytes in, readings out."""
    run = flange(book, "2026-03-02")
    files = run.procedure(), run.plan(), run.daybook.read_bytes()
    tool = tool_named(book, "w5")
    this = Identity(tool.id, frozenset({book.id}), frozenset({folded(tool.serial or "")}))

    assert affected(*files, this, Span(until="2026-03-01T00:00:00.000Z"), evenly("N·m", Decimal(5))) is None
    assert affected(*files, Identity("w9", frozenset({book.id})), Span(), None) is None
    everything = affected(*files, this, Span(), None)
    assert everything is not None
    assert [None] * 4 == [each.now for each in everything.readings]


def test_a_run_at_work_hears_of_it_before_its_next_question(book: Book) -> None:
    """The check failed on another machine of the book while somebody stood at the flange."""
    process = begun("walk", "flange", "--plain", "--as", "Ines", book=book.root, clock="2026-03-02T10:00:00Z+5s")
    assert process.stdin is not None and process.stdout is not None
    process.stdin.write("W5\n1\n58\n")
    process.stdin.flush()
    while "Flange bolt 2:" not in process.stdout.readline():
        pass
    check(book, "2026-03-02", "56,60", "56,60")
    out, talk = process.communicate("60\n", timeout=60)
    events = [json.loads(line)["event"] for line in book.runs()[0].lines()[0]]

    assert "Traceback" not in talk, talk
    assert ["reading_taken", "reading_taken", "tool_suspected", "paused"] == events[-4:]
    assert "? W5: check" in out
    assert "Pick up a torque tool for flange bolt 3" in " ".join(out.split())


def test_a_report_printed_later_tells_the_suspicion_on_page_one(book: Book, tmp_path: Path) -> None:
    """Whoever holds only the paper must read it there; the report that lies in the run's folder stays as it is."""
    run = flange(book, "2026-03-02")
    before = {path.name: path.read_bytes() for path in run.path.iterdir()}
    check(book, "2026-03-03", "56,60", "56,60")
    (sentence,) = notices(book, run.id)
    said("report", run.id, "--into", str(tmp_path / "later.pdf"), book=book.root)

    page = pypdf.PdfReader(tmp_path / "later.pdf").pages[0].extract_text()
    assert _joined(f"Since this run was closed: {sentence}") in _joined(page)
    assert before == {path.name: path.read_bytes() for path in run.path.iterdir()}


def _joined(text: str) -> str:
    """The signs of a text that can be seen, wherever its lines end."""
    return "".join(each for each in text if each.isprintable() and not each.isspace())


def test_the_list_of_records_and_the_bench_say_that_a_tool_is_in_question(book: Book) -> None:
    """Nobody opens an old record without a reason."""
    run = flange(book, "2026-03-02")
    before = in_question(book)
    check(book, "2026-03-03", "56,60", "56,60")
    with Archive(book.root) as archive:
        archive.refresh()
        (hit,) = archive.asked(lambda connection: find(connection, Query())).runs

    assert (frozenset[str](), frozenset({run.id})) == (before, in_question(book))
    assert row(hit, in_question=True).endswith(" · ? a tool in question")
    assert ("Records", "1 closed run · ? 1 with a tool in question", None) in Standing(records=1, in_question=1).rows


def test_a_run_with_a_later_suspicion_is_something_to_look_at_for_whoever_verifies(book: Book) -> None:
    """Its bytes are sound, and status 1 says that there is something to read all the same."""
    run = flange(book, "2026-03-02")
    fine, _, _ = said("verify", run.id, book=book.root)
    check(book, "2026-03-03", "56,60", "56,60")
    status, out, _ = said("verify", run.id, "--json", book=book.root)
    (told,) = json.loads(out)["runs"]

    assert (0, 1, True) == (fine, status, told["intact"])
    assert list(notices(book, run.id)) == told["notices"]


def test_an_addendum_is_no_suspicion_and_a_notice_that_cannot_be_read_is_one(book: Book) -> None:
    """Words added to a run put no tool in question; of a damaged notice nobody knows what it said."""
    run = flange(book, "2026-03-02")
    beside = book.path(NOTICES, run.id)
    beside.mkdir(parents=True)
    (beside / "addendum.toml").write_text('notice = 1\naddendum = "a"\nperson = "Maud"\ntext = "See there."\n')
    added, (status, _, _) = in_question(book), said("verify", run.id, book=book.root)
    (beside / "damaged.toml").write_text("sentence = ")

    assert (frozenset(), 0) == (added, status)
    assert frozenset({run.id}) == in_question(book)


def test_another_tool_of_that_id_is_not_blamed(book: Book, tmp_path: Path) -> None:
    """Another book has a W5 of its own; its pulls are not those of ours, though its runs were merged."""
    theirs = made(tmp_path / "theirs")
    theirs.path("procedures", "flange.toml").write_text(FLANGE)
    tools = theirs.path("tools.toml")
    for each, number in ((theirs, "BS-7"), (book, "HM-5")):
        tools = each.path("tools.toml")
        tools.write_text(tools.read_text().replace('name = "W5"', f'name = "W5"\nserial = "{number}"'))
    flange(book, "2026-03-02")
    flange(theirs, "2026-03-02")
    said("merge", str(theirs.root), book=book.root)
    check(book, "2026-03-03", "50,60", "50,60")

    _, out, _ = said("affected", "w5", "--json", book=book.root, clock="2026-03-04T09:00:00Z")

    assert 2 == len(book.runs())
    assert 1 == len(json.loads(out)["runs"])
