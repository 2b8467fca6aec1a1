"""`clampbook check`: at the bench line by line and from a file, with what follows in the book."""

import json
import tomllib
from pathlib import Path

import pytest

from check.book_of_tools import begun, made, said
from clampbook import cli
from clampbook.book import toolbox
from clampbook.book.book import Book
from clampbook.book.checks import check_named, checks, tool_standing
from clampbook.book.mending import mend
from clampbook.book.news import ToolNews
from clampbook.book.toolbox import counts
from clampbook.commands import checking
from clampbook.record.checks.report import of_check
from clampbook.record.checks.written import record_of
from museum import log_of

BEFORE = ["21,5", "1", *["+"] * 5, "60 N·m"]  # temperature, zero, exercises, the scale


@pytest.fixture
def book(tmp_path: Path) -> Book:
    """The museum's book."""
    return made(tmp_path / "book")


def lines(*typed: str) -> str:
    """Lines as they are typed."""
    return "".join(f"{line}\n" for line in typed)


def test_a_check_at_the_bench_ends_within_and_leaves_its_record(book: Book) -> None:
    """Five pulls at the work's torque, nothing adjusted."""
    pulls = ["59.4", "59.5", "59.6", "59.5", "59.4"]
    typed = lines(*BEFORE, *pulls, "-", "1")
    status, out, _ = said("check", "W2", "--at", "60", "--as", "Ines", "--json", book=book.root, typed=typed)
    (check,) = checks(book)

    assert 0 == status
    assert ("passed", "passed", 5) == (
        json.loads(out)["verdict"],
        tomllib.loads((check.path / "record.toml").read_text())["as_found"],
        len(tomllib.loads((check.path / "record.toml").read_text())["reading"]),
    )
    assert (check.path / "report.pdf").read_bytes().startswith(b"%PDF")


def test_a_tool_found_outside_is_withdrawn_with_the_last_pull(book: Book) -> None:
    """Before anybody says whether it was adjusted; the check itself is still open then."""
    typed = lines(*BEFORE, *["55"] * 5)
    said("check", "W2", "--at", "60", "--as", "Ines", book=book.root, typed=typed)

    assert ["check_opened", "tool_withdrawn"] == [line["event"] for line in log_of(book)]
    assert "failed" == tool_standing(book).last["w2"].verdict


def test_adjusted_and_within_as_left_it_may_be_used_again(book: Book) -> None:
    """Both verdicts are kept; the failure stays known."""
    again = ["1", *["+"] * 5, "60 N·m", *["59.9"] * 5, "1"]
    typed = lines(*BEFORE, *["55"] * 5, "main spring, a quarter turn", *again)
    status, out, _ = said("check", "W2", "--at", "60", "--as", "Ines", "--json", book=book.root, typed=typed)
    standing = tool_standing(book)

    assert 1 == status
    assert ("failed", "passed") == (json.loads(out)["as_found"], json.loads(out)["as_left"])
    assert ("passed", "as left") == (standing.last["w2"].verdict, standing.last["w2"].series)
    assert ["w2"] == [failure.tool for failure in standing.failures]


def test_the_pulls_of_a_check_count_towards_the_tools_interval(book: Book, tmp_path: Path) -> None:
    """Five exercises and five readings at the bench, three of a check that is open still, and two from a file."""
    said("check", "W2", "--at", "60", "--as", "Ines", book=book.root, typed=lines(*BEFORE, *["59.5"] * 5, "-", "1"))
    file = tmp_path / "readings.csv"
    file.write_text("reference,indicated\n60,60\n60,60.1\n")
    said("check", "W5", "--readings", str(file), "--as", "Ines", book=book.root)
    said("check", "W2", "--at", "60", "--as", "Ines", book=book.root, typed=lines("21,5", "1", *["+"] * 3))

    assert {"w2": {"2026-03-02": 13}, "w5": {"2026-03-02": 2}} == counts(book)
    assert 13 == toolbox.stock(book).use("w2").pulls


@pytest.mark.parametrize(("typed", "value"), [(("-", "55"), "55"), (("-", "-"), None), (("- 55",), "55")])
def test_a_bad_pull_asks_what_the_reference_showed(book: Book, typed: tuple[str, ...], value: str | None) -> None:
    """As in a walk, and as on the full screen: its number, or not read."""
    _, out, _ = said("check", "W2", "--at", "60", "--as", "Ines", book=book.root, typed=lines(*BEFORE, *typed))
    (check,) = checks(book)
    voided = [line for line in map(json.loads, check.lines()[0]) if line["event"] == "voided"]

    assert [value] == [line["value"] for line in voided]
    assert (len(typed) > 1) == ("Bad pull. What did R1 show, in N·m?" in out)


def test_on_the_full_screen_no_clock_is_handed_in(book: Book, monkeypatch: pytest.MonkeyPatch) -> None:
    """As in a walk: a time of CLAMPBOOK_CLOCK is for scripts, and the record of a person's work has the machine's."""
    monkeypatch.setenv("CLAMPBOOK_CLOCK", "2026-03-02T09:00:00Z+5s")
    monkeypatch.setattr(checking, "is_a_screen", lambda: True)
    monkeypatch.setattr(checking, "on_screen", lambda _, __, opened, person, ___, **____: opened(person) is None)
    status = cli.status(["check", "W5", "--as", "Ines", "--book", str(book.root)])
    (check,) = checks(book)

    assert 130 == status
    assert ("system", False) == ((check.first() or {})["clock"], (check.first() or {})["at"].startswith("2026-03-02"))


def test_an_open_check_goes_on_as_it_was_begun(book: Book) -> None:
    """Other wishes are refused with what to do; without them it is taken up, with --new-check there is another."""
    said("check", "W2", "--at", "60", "--as", "Ines", book=book.root, typed=lines("21"))
    (begun_first,) = checks(book)
    status, _, talk = said("check", "W2", "--at", "80", "--direction", "both", "--as", "Ines", book=book.root)

    assert 2 == status
    told = " ".join(talk.split())
    assert f"{begun_first.id} is open and keeps its terms. Leave out --at, --direction" in told
    assert 2 == said("check", "W2", "--direction", "clockwise", "--as", "Ines", book=book.root)[0]
    assert 1 == len(checks(book))
    assert "resumed" in said("check", "W2", "--as", "Ines", book=book.root)[2]
    said("check", "W2", "--new-check", "--at", "80", "--as", "Ines", book=book.root)
    assert 2 == len(checks(book))


def test_a_check_that_decides_nothing_does_not_bring_a_failed_tool_back(book: Book, tmp_path: Path) -> None:
    """Neither one with no reference whose uncertainty is known, nor one that is given up before its first pull."""
    said("check", "W2", "--at", "60", "--as", "Ines", book=book.root, typed=lines(*BEFORE, *["55"] * 5, "-", "1"))
    tools = book.path("tools.toml").read_text()
    book.path("tools.toml").write_text(tools.replace('uncertainty = "0.5 %"\n', ""))
    file = tmp_path / "readings.csv"
    file.write_text("reference,indicated\n60,60\n")
    said("check", "W2", "--readings", str(file), "--as", "Ines", book=book.root)
    said("check", "W2", "--at", "60", "--as", "Ines", book=book.root, typed=lines("* 3", "the day is over"))

    assert 3 == len(checks(book))
    assert "failed" == tool_standing(book).last["w2"].verdict
    assert "out of service" in said("tools", book=book.root)[1]


def test_a_check_given_up_before_its_first_pull_says_nothing_of_the_tool(book: Book) -> None:
    """Whoever only looked at what is asked has checked nothing."""
    said("check", "W2", "--at", "60", "--as", "Ines", book=book.root, typed=lines("* 3", "only looked"))

    assert ["check_opened", "tool_checked"] == [line["event"] for line in log_of(book)]
    assert {} == tool_standing(book).last


def test_one_good_pull_of_a_check_that_is_given_up_makes_no_tool_good(book: Book) -> None:
    """Four of the five planned pulls are missing, so nothing is decided, and no last passed check is known."""
    typed = lines(*BEFORE, "59.9", "* 3", "the day is over")
    status, out, _ = said("check", "W2", "--at", "60", "--as", "Ines", "--json", book=book.root, typed=typed)
    (check,) = checks(book)

    assert (1, "undecided") == (status, json.loads(out)["verdict"])
    assert "undecided" == tomllib.loads((check.path / "record.toml").read_text())["as_found"]
    assert {} == tool_standing(book).passed


def test_the_first_check_of_a_book_is_news_to_whoever_asked_before(book: Book) -> None:
    """What is known of the tools is read again then, and not at the first look at a log that has checks already."""
    grown: list[int] = []
    news = ToolNews(book, lambda: grown.append(1))
    assert () == news()
    said("check", "W2", "--at", "60", "--as", "Ines", book=book.root, typed=lines(*BEFORE, *["55"] * 5))

    assert (["w2"], [1]) == ([suspect.tool for suspect in news()], grown)
    assert (["w2"], [1]) == ([suspect.tool for suspect in ToolNews(book, lambda: grown.append(1))()], grown)


def test_a_killed_check_is_taken_up_where_it_was(book: Book) -> None:
    """What was answered is stored; zero and scale are asked again, the pulls are not."""
    process = begun("check", "W2", "--at", "60", "--times", "3", "--as", "Ines", book=book.root)
    assert process.stdin is not None and process.stdout is not None
    process.stdin.write(lines(*BEFORE, "59.4"))
    process.stdin.flush()
    while "+1.01 %" not in (line := process.stdout.readline()):
        assert line, "it ended before the reading was told"
    process.kill()
    process.communicate(timeout=60)
    typed = lines("1", "60 N·m", "59.5", "59.6", "-", "1")
    status, out, _ = said("check", "W2", "--as", "Ines", "--json", book=book.root, typed=typed)

    assert (0, 3) == (status, json.loads(out)["series"][0]["readings"])


def test_what_a_kill_kept_from_the_log_is_written_at_the_next_start(book: Book) -> None:
    """The check's own daybook holds the truth; the book's log follows it."""
    typed = lines(*BEFORE, *["55"] * 5)
    said("check", "W2", "--at", "60", "--as", "Ines", book=book.root, typed=typed)
    whole = book.path("book.jsonl").read_bytes().splitlines(keepends=True)
    book.path("book.jsonl").write_bytes(whole[0])

    told = mend(book)

    assert "tool_withdrawn" == log_of(book)[-1]["event"]
    assert log_of(book)[-1]["late"]
    assert any("its result in the book's log now" in line for line in told)
    assert () == mend(book)


def test_readings_from_a_file_become_a_check_like_any_other(book: Book, tmp_path: Path) -> None:
    """The file lies beside the plan, byte for byte; a second technique is compared and judges nothing."""
    file = tmp_path / "readings.csv"
    data = (
        "reference,indicated,technique\n" + "59.9,60,slow\n" * 3 + "60.1,60,slow\n" * 2 + "66,60,quick\n67,60,quick\n"
    )
    file.write_text(data)
    status, out, _ = said("check", "w2", "--readings", str(file), "--as", "Ines", "--json", book=book.root)
    found = json.loads(out)
    (check,) = checks(book)

    assert (0, "passed") == (status, found["verdict"])
    assert ["passed", "failed"] == [series["verdict"] for series in found["series"]]
    assert data.encode() == check.readings()
    assert -9.8 == round(found["beside"][0]["difference"]["value"], 2)


def test_too_few_readings_of_a_file_make_no_tool_good(book: Book, tmp_path: Path) -> None:
    """The standard wants five at a point; three that lie well decide nothing, and it is said how many are missing."""
    file = tmp_path / "readings.csv"
    file.write_text("reference,indicated\n" + "59.9,60\n" * 3)
    status, out, _ = said("check", "w2", "--readings", str(file), "--as", "Ines", book=book.root)
    (check,) = checks(book)

    assert 1 == status
    assert "too few readings, 2 more needed" in out
    assert "undecided" == tomllib.loads((check.path / "record.toml").read_text())["as_found"]


def test_a_file_that_leaves_a_tool_outside_leaves_it_failed(book: Book, tmp_path: Path) -> None:
    """The readings were taken after an adjustment that did not help."""
    file = tmp_path / "readings.csv"
    file.write_text("reference,indicated\n" + "50,60\n" * 5)
    said("check", "w2", "--readings", str(file), "--as-left", "--as", "Ines", book=book.root)
    failure = tool_standing(book).failure("w2")

    assert failure is not None
    assert None is failure.good_again


def test_a_file_with_faults_leaves_no_check_behind(book: Book, tmp_path: Path) -> None:
    """All faults at once, each with its line, and status 2."""
    file = tmp_path / "readings.csv"
    file.write_text("reference,indicated\n59,9,60\n\n60 N·m,60\n")
    status, _, talk = said("check", "w2", "--readings", str(file), "--as", "Ines", book=book.root)

    assert 2 == status
    assert all(f"readings.csv line {line}, E28" in talk for line in (2, 3, 4))
    assert () == checks(book)


def test_record_and_report_are_made_again_with_the_same_bytes(book: Book, tmp_path: Path) -> None:
    """They are functions of the frozen files."""
    file = tmp_path / "readings.csv"
    file.write_text("reference,indicated\n59.9,60\n60.1,60\n")
    said("check", "w2", "--readings", str(file), "--as", "Ines", book=book.root)
    (check,) = checks(book)

    assert (check.path / "record.toml").read_bytes() == record_of(check)
    assert (check.path / "report.pdf").read_bytes() == of_check(check)


def test_an_unknown_tool_and_one_that_is_no_torque_tool_are_told(book: Book) -> None:
    """A sentence that names what there is."""
    status, _, talk = said("check", "W99", "--as", "Ines", book=book.root)
    other, _, told = said("check", "R1", "--as", "Ines", book=book.root)

    assert (2, 2) == (status, other)
    assert "W2, W5, R1" in talk
    assert "not a torque tool" in told


def test_a_changed_plan_is_not_gone_on_with(book: Book) -> None:
    """What was frozen is named by its hash in the first line."""
    said("check", "W2", "--at", "60", "--as", "Ines", book=book.root, typed=lines(*BEFORE))
    (check,) = checks(book)
    plan = check.path / "plan.json"
    plan.write_bytes(plan.read_bytes().replace(b'"permissible": "4"', b'"permissible": "9"'))
    status, _, talk = said("check", "W2", "--as", "Ines", book=book.root, typed=lines("1"))

    assert 2 == status
    assert "not the plan" in talk


def test_a_check_is_found_by_a_part_of_its_name(book: Book) -> None:
    """As runs are."""
    said("check", "W5", "--at", "60", "--as", "Ines", book=book.root, typed=lines("-"))
    (check,) = checks(book)

    assert check.id == check_named(book, "-w5-").id


@pytest.mark.parametrize("word", ["counterclockwise", "anticlockwise"])
def test_either_word_for_the_direction_is_read(tmp_path: Path, word: str) -> None:
    """Files say anticlockwise, screens counterclockwise: the plan holds the one direction."""
    book = made(tmp_path / "book")

    said("check", "W5", "--direction", word, "--as", "Ines", book=book.root, typed="")

    assert {"anticlockwise"} == {each.direction for each in checks(book)[0].frozen().series}


@pytest.mark.parametrize("beside", [("--direction", "both"), ("--at", "60"), ("--times", "3"), ("--technique", "slow")])
def test_what_a_file_says_itself_is_not_said_beside_it(book: Book, tmp_path: Path, beside: tuple[str, ...]) -> None:
    """An option that would have no effect is refused, and no check is opened."""
    file = tmp_path / "readings.csv"
    file.write_text("reference,indicated\n60,60\n")
    status, _, told = said("check", "W2", "--readings", str(file), *beside, "--as", "Ines", book=book.root)

    assert (2, ()) == (status, checks(book))
    assert beside[0] in told and "--readings" in told
