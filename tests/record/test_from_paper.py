"""The files of a run that was typed in from a paper form: its own times beside those of typing, and who vouches."""

from __future__ import annotations

import re
import tomllib
from datetime import timedelta
from hashlib import sha256
from pathlib import Path

import msgspec
import pypdf
import pytest

from clampbook.archive.pulls import NOTHING_SAID, pulls
from clampbook.book.starting.new_run import open_run
from clampbook.book.starting.terms import Terms, work_named
from clampbook.book.starting.walking import conclude, walking
from clampbook.ledger.lines import split
from clampbook.people import NOT_NAMED
from clampbook.plain.helping import taken_up_again
from clampbook.record.frozen import read
from clampbook.record.pages.blocks import Sentences, Table
from clampbook.record.pages.pages import blocks
from clampbook.run import answers as a
from clampbook.run.answers import Accepted
from clampbook.run_folder import RunFolder
from from_paper import typed_in
from sealing import START, Shop, shop, signed, walked

from .flat import flat


@pytest.fixture
def at(tmp_path: Path) -> Shop:
    """A book of the museum."""
    return shop(tmp_path / "book")


def lines(run: RunFolder) -> list[dict[str, object]]:
    """Its daybook."""
    return [msgspec.json.decode(line) for line in split(run.daybook.read_bytes())[0]]


def test_each_line_has_the_time_of_the_form_and_that_of_typing(at: Shop) -> None:
    """The first two hours after the other, and never a time before the line before."""
    said = lines(typed_in(at))

    times = [str(line["at"]) for line in said]
    assert times == sorted(times)
    assert all(str(line["at"]) < str(line["typed_at"]) for line in said)
    assert {line.get("done_by") for line in said if line["event"] in ("left_blank", "paper_time")} == {"-"}


def test_a_walk_has_neither(at: Shop) -> None:
    """Its lines and its plan are as they were before there were forms."""
    run = walked(at)

    assert not [line for line in lines(run) if "typed_at" in line]
    assert b"from_paper" not in run.plan()


def test_the_record_says_so(at: Shop) -> None:
    """In its heading; and the key of who typed signs that, and nothing that stands on the form."""
    run = typed_in(at)
    record = tomllib.loads((run.path / "record.toml").read_text(encoding="utf-8"))

    assert record["from_paper"] is True
    assert record["opened_at"] < record["typed_from"] <= record["typed_to"]
    assert [each["person"] for each in record["sign_off"] if "key" in each] == ["ines"]
    assert [each["role"] for each in record["sign_off"] if "key" in each] == ["typed in by"]


def test_the_code_that_was_agreed_to_is_kept_and_no_walk_has_one(at: Shop) -> None:
    """The first 16 digits of the hash of the procedure, in the first line and in the record."""
    form, walk = typed_in(at), walked(at)
    record = tomllib.loads((form.path / "record.toml").read_text(encoding="utf-8"))

    code = sha256(form.procedure()).hexdigest()[:16]
    assert code == lines(form)[0]["form"] == record["form"]
    assert "form" not in lines(walk)[0]
    assert b"\nform = " not in (walk.path / "record.toml").read_bytes()


def test_page_one_says_so(at: Shop) -> None:
    """With whom nobody named left out of the people."""
    run = typed_in(at)
    signed(at, run).seal()
    page = " ".join(pypdf.PdfReader(run.path / "report.pdf").pages[0].extract_text().split())

    assert "Entered late from paper: " in page
    assert "Last time on the form 2026-03-02" in page
    assert ", then closed." in page
    assert "not named" not in page.partition("People")[2][:40]


def test_its_pages_have_no_seconds_and_say_whose_times_they_are(at: Shop) -> None:
    """Nobody writes seconds on a form; and whoever typed it in signed when it was typed, not when the work was done."""
    run = typed_in(at)
    record = tomllib.loads((run.path / "record.toml").read_text(encoding="utf-8"))
    told = list(flat(blocks(read(run.procedure(), run.plan(), run.daybook.read_bytes()).plan, record, {})))

    texts = [line for each in told if isinstance(each, Sentences) for line in each.lines]
    typed = [f"{record[each].replace('T', ' ')[:16]}" for each in ("typed_from", "typed_to")]
    (order,) = [line for line in texts if line.startswith("Lines stand in the order of typing.")]
    assert "Times are those on the paper form" in order
    assert all(each in order for each in typed)
    cells = [str(cell) for each in told if isinstance(each, Table) for row in each.rows for cell in row]
    assert not [cell for cell in cells if re.search(r"\d\d:\d\d:\d\d", cell)]
    (signed_at,) = [row[4] for each in told if isinstance(each, Table) for row in each.rows if row[0] == "typed in by"]
    assert str(signed_at).startswith(typed[1])


def test_its_pages_say_what_stands_on_the_form_and_not_what_was_seen() -> None:
    """Whoever types a form in saw nobody pick up a tool, read a caution, or pull."""
    folder = Path(__file__).parents[1] / "golden" / "late"
    procedure, plan, daybook = (folder / name for name in ("procedure.toml", "plan.json", "daybook.jsonl"))
    record = tomllib.loads((folder / "record.toml").read_text(encoding="utf-8"))
    of = read(procedure.read_bytes(), plan.read_bytes(), daybook.read_bytes()).plan
    text = str(list(flat(blocks(of, record, {"daybook.jsonl": daybook.read_bytes()}))))

    assert "stands on the form, Tomas, entered by Ines" in text
    assert "Cautions ticked" in text
    assert "Ticked: Coupling bolts" in text
    assert "someone not named, entered by Ines" in text
    assert not re.findall(r"by not named|'not named", text)
    assert re.search(r"'Not done', '[0-9]+.* \((unknown|started|to do)\)'", text)
    assert "Ines, Maud: initials on the form, no signature." in text
    assert "('Form begins', '2026-03-02 08:10 +00:00')" in text
    assert not re.findall(r"picked up|put away|handed over|Cautions read|Prepared|Opened|pulled and did", text)


def test_what_was_rechecked_again_counts_in_an_earlier_round_no_more() -> None:
    """Once over a group is a round, on every page."""
    folder = Path(__file__).parents[1] / "golden" / "flange"
    files = [(folder / name).read_bytes() for name in ("procedure.toml", "plan.json", "daybook.jsonl")]
    record = tomllib.loads((folder / "record.toml").read_text(encoding="utf-8"))
    text = str(list(flat(blocks(read(*files).plan, record, {"daybook.jsonl": files[2]}))))

    assert "earlier round" in text
    assert "earlier pass" not in text
    assert {"earlier round"} == {each.standing for each in pulls(record, NOTHING_SAID)} & {
        "earlier round",
        "earlier pass",
    }


class TestAPauseOfTyping:
    """Whoever types a form in stops for a while; the work on the form did not."""

    def _resumed(self, at: Shop) -> tuple[RunFolder, tuple[str, ...]]:
        terms = Terms(person=at.ines, done_by=NOT_NAMED, on_paper_from=START - timedelta(days=2))
        run = open_run(at.book, work_named(at.book, "cover"), terms, at.clock, "handed in")
        for answer in (a.Pause(), a.GiveUp("lost")):
            before = run.last() or {}
            with walking(at.book, run, clock=at.clock, person=at.ines, exempt=True, fresh=before["seq"] == 1) as walk:
                told = taken_up_again(before, run.last() or {}, walk.session)
                assert isinstance(walk.answer(answer), Accepted)
        conclude(at.book, run)
        return run, told

    def test_is_no_interruption_of_the_work(self, at: Shop) -> None:
        """The record has none."""
        run, _ = self._resumed(at)

        assert {"paused", "resumed"} < {str(line["event"]) for line in lines(run)}
        assert "interruption" not in tomllib.loads((run.path / "record.toml").read_text(encoding="utf-8"))

    def test_ends_with_the_day_of_the_last_answer(self, at: Shop) -> None:
        """It was typed on 2 March, and stands on a form of 28 February."""
        _, told = self._resumed(at)

        assert told[0].startswith("Last answer: 2026-03-02 09:0")
