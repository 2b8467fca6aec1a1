"""What a follow-up takes over from the first run, however that ended, and however little of it can be read."""

from __future__ import annotations

import json
import tomllib
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest

from book.starting.test_new_run import END, INES, PULLS, Noon, walked
from clampbook.archive.follow_ups import waiting
from clampbook.archive.index import Archive
from clampbook.book.book import Book
from clampbook.book.starting.followed_up import told_before, work_followed
from clampbook.book.starting.new_run import open_run
from clampbook.book.starting.terms import Terms, work_named
from clampbook.book.starting.walking import conclude, walking
from clampbook.ledger.refusals import LedgerFault
from clampbook.record.frozen import read
from clampbook.record.pages.pages import blocks
from clampbook.run import answers as a
from clampbook.run import prompts as ask
from clampbook.run.asked import details
from clampbook.run.prompts import Prompt
from clampbook.run_folder import RunFolder
from covers import LOOKED_AT_LATER, TIGHTENED, cover
from from_paper import typed_in
from museum import museum, own
from sealing import Shop, shop

HOURS = '[[ask]]\nname = "Engine hours"\nanswer = "number"\nunit = "h"\nis = "usage"\n'
RECHECKED = 'do = "recheck"\nat = "30 N·m"\nmethod = "tighten on"\nwithin = "±2 N·m"'
COVER = cover(TIGHTENED, HOURS, LOOKED_AT_LATER.replace('after = "14 d"', 'after = "14 d"\nor_use = "10 h"'))


@pytest.fixture
def book(tmp_path: Path) -> Book:
    """A demo book with a small cover whose engine counts hours."""
    book = museum(tmp_path / "book")
    own(book.root, "cover", COVER)
    return book


def first(book: Book, *answers: a.Answer, **terms: object) -> RunFolder:
    """A run of the cover on engine 4107 at 412 h that ended with these answers."""
    known = Terms(person=INES, equipment="4107", **terms)  # type: ignore[arg-type]
    run = open_run(book, work_named(book, "cover"), known, Noon(), "handed in")
    walked(book, run, a.Value("412"), *answers)
    conclude(book, run)
    return run


def follow(book: Book, run: RunFolder, **terms: object) -> tuple[RunFolder, tuple[str, ...]]:
    """Its follow-up, opened, and what was told before."""
    known = Terms(person=INES, follow_up="Look at it again", of=run, **terms)  # type: ignore[arg-type]
    work = work_followed(book, run)
    told = told_before(book, work, known)
    return open_run(book, work, known, Noon(), "handed in"), told


def asked_at_once(book: Book, run: RunFolder) -> Prompt:
    """The first question of a run."""
    with walking(book, run, clock=Noon(), person=INES, exempt=True, fresh=True) as walk:
        return walk.prompt


def test_thing_meter_and_use_are_carried_over(book: Book) -> None:
    """Nobody is asked again which engine it is; the hours are asked, beside the 412 of then."""
    run, told = follow(book, first(book, *PULLS, *END))

    line = run.first() or {}
    assert () == told
    assert ("4107", [{"name": "Engine hours", "value": "412", "unit": "h"}], "10 h") == (
        line["equipment"],
        line["of_run"]["meters"],
        line["of_run"]["or_use"],
    )
    question = asked_at_once(book, run)
    assert isinstance(question, ask.StartSheet)
    assert ("ask:Engine hours", "412", "422") == (question.item, str(question.before), str(question.due_at))


def test_a_meter_that_was_answered_in_words_is_kept_and_counts_nothing(book: Book) -> None:
    """The sheet wants words of it; 1300 is put right to 1300 h, and the record tells of no use that went by."""
    own(book.root, "cover", COVER.replace('answer = "number"\nunit = "h"', 'answer = "text"'))
    run, _ = follow(book, first(book, *PULLS, *END))

    walked(
        book, run, a.Value("1300"), a.Correct("1300 h", "from a second look"), a.Look("yes"), a.Finish(accepted=True)
    )
    record = conclude(book, run)

    assert record is not None
    assert [("1300", "888"), ("1300 h", None)] == [
        (row["answer"], row.get("since_first_run")) for row in tomllib.loads(record.read_text("utf-8"))["answer"]
    ]


def test_a_run_that_was_abandoned_can_be_followed_up(book: Book) -> None:
    """It is told, with the reason, and what was left undone is not taken for tight."""
    run, told = follow(book, first(book, *PULLS[:3], a.GiveUp("parts unusable")))

    assert ["abandoned: parts unusable. What it left undone is not known. Inspect every position first."] == [
        each.partition(" was ")[2] for each in told
    ]
    assert isinstance(asked_at_once(book, run), ask.StartSheet)


def test_a_run_that_was_not_accepted_can_be_followed_up(book: Book) -> None:
    """It is told, with the reason."""
    refused = (a.PutBack(True), a.Finish(accepted=False, reason="a bolt is not to the procedure"))
    _, told = follow(book, first(book, *PULLS, *refused))

    assert ["closed as not accepted: a bolt is not to the procedure. Inspect every position first."] == [
        each.partition(" was ")[2] for each in told
    ]


def test_a_trial_can_be_followed_up(book: Book) -> None:
    """It had no final stages, which is told."""
    _, told = follow(book, first(book, *PULLS, *END, trial=True))

    assert ["a trial assembly, without its final stages. Inspect every position first."] == [
        each.partition(" was ")[2] for each in told
    ]


@pytest.mark.parametrize(
    "line", [2, -2, -1], ids=["a line at its beginning", "the line before the last", "the last line"]
)
def test_a_run_whose_daybook_is_damaged_can_be_followed_up(book: Book, line: int) -> None:
    """Unknown counts as unknown: the least that there were, no meter, and a sentence."""
    run = first(book, *PULLS, *END)
    lines = run.daybook.read_bytes().splitlines()
    lines[line] = lines[line][:-9] + b"#" * 8 + b"}"
    run.daybook.write_bytes(b"\n".join(lines) + b"\n")

    later, told = follow(book, run)

    of_run = (later.first() or {})["of_run"]
    assert ({}, True, "meters" in of_run) == (of_run["positions"], of_run["damaged"], False)
    assert "4107" == (later.first() or {})["equipment"]
    assert "How often each bolt was tightened is not known. Inspect every position first." in told[0]
    assert isinstance(asked_at_once(book, later), ask.StartSheet)


@pytest.mark.parametrize("name", ["plan.json", "procedure.toml"])
def test_a_run_whose_frozen_files_are_gone_is_followed_up_by_the_books_procedure(book: Book, name: str) -> None:
    """The one of its name, as it is now."""
    run = first(book, *PULLS, *END)
    (run.path / name).unlink()

    later, _ = follow(book, run)

    assert COVER.encode() == later.procedure()


def test_positions_of_another_revision_are_told(book: Book) -> None:
    """The first run knows no screws 5 and 6, and nothing is refused for that."""
    run = first(book, *PULLS, *END)
    later = COVER.replace("1-4", "1-6").replace('do = "inspect"\nask = "Still even?"', RECHECKED)
    own(book.root, "cover", later)
    known = Terms(person=INES, follow_up="Look at it again", of=run)

    told = told_before(book, work_followed(book, run, "cover"), known)

    assert [f"{run.id} does not know these positions: 5, 6. How often they were tightened is not known."] == list(told)


RENAMED = COVER.replace("Look at it again", "Look at it after two weeks")


def renamed(book: Book, run: RunFolder, procedure: str, title: str) -> RunFolder:
    """The follow-up of a run by a newer revision, which calls it so, opened."""
    own(book.root, "cover", procedure)
    work = work_followed(book, run, "cover")
    return open_run(book, work, Terms(person=INES, follow_up=title, of=run), Noon(), "handed in")


def due_then(book: Book) -> list[str]:
    """What is still to be done after the runs of the book."""
    with Archive(book.root) as archive:
        archive.refresh()
        return [each.title for each in archive.asked(waiting)]


def test_a_follow_up_that_a_newer_revision_renamed_is_done(book: Book) -> None:
    """It is listed by the title of then until then, and no more once the run of the new title is closed."""
    run = first(book, *PULLS, *END)
    before = due_then(book)

    later = renamed(book, run, RENAMED, "Look at it after two weeks")
    told = told_before(book, work_followed(book, run), Terms(person=INES, follow_up="Look at it again", of=run))
    walked(book, later, a.Value("423"), a.Look("yes"), a.Finish(accepted=True))
    record = conclude(book, later)

    assert (["Look at it again"], []) == (before, due_then(book))
    assert (f"Run {later.id} of this follow-up is open. Resume it, or start a second one.",) == told
    assert record is not None
    assert 'of_follow_up = "Look at it again"' in record.read_text("utf-8")
    assert "10 h" == (later.first() or {})["of_run"]["or_use"]


def test_a_follow_up_that_a_newer_revision_added_does_none_of_the_first_run(book: Book) -> None:
    """The old one is still to be done."""
    run = first(book, *PULLS, *END)

    later = renamed(book, run, COVER + LOOKED_AT_LATER.replace("again", "in a year"), "Look at it in a year")
    walked(book, later, a.Value("423"), a.Look("yes"), a.Finish(accepted=True))
    record = conclude(book, later)

    assert ["Look at it again"] == due_then(book)
    assert record is not None
    assert "of_follow_up" not in record.read_text("utf-8")


def test_the_same_follow_up_under_way_is_told(book: Book) -> None:
    """Somebody began it: it is resumed, or begun a second time."""
    run = first(book, *PULLS, *END)
    begun, _ = follow(book, run)

    _, told = follow(book, run)

    assert (f"Run {begun.id} of this follow-up is open. Resume it, or start a second one.",) == told


def test_an_open_run_is_closed_first(book: Book) -> None:
    """Its record knows that it is still open."""
    known = Terms(person=INES, equipment="4107")
    run = open_run(book, work_named(book, "cover"), known, Noon(), "handed in")

    with pytest.raises(LedgerFault, match=f"still open. Close it first: clampbook walk --resume {run.id}"):
        follow(book, run)


def test_another_engine_is_refused(book: Book) -> None:
    """The record knows which one it was."""
    with pytest.raises(LedgerFault, match="was on 4107, not 0815"):
        follow(book, first(book, *PULLS, *END), equipment="0815")
    assert json.loads(book.log_lines()[-1])["event"] != "run_opened"


class TestAfterAPaperForm:
    """The form of a cover, on which nothing stands, was typed in; both screws are rechecked later."""

    @pytest.fixture
    def at(self, tmp_path: Path) -> Shop:
        """The book, the form typed in."""
        found = shop(tmp_path / "book")
        again = f'[[follow_up]]\ntitle = "Look at it again"\nafter = "14 d"\n\n[[follow_up.stage]]\n{RECHECKED}\n'
        own(found.book.root, "cover", cover(TIGHTENED, again, screws="1-2"))
        return found

    def _follow(self, at: Shop) -> tuple[RunFolder, RunFolder, tuple[str, ...]]:
        form = typed_in(at)
        terms = Terms(person=at.ines, follow_up="Look at it again", of=form)
        work = work_followed(at.book, form)
        told = told_before(at.book, work, terms)
        return form, open_run(at.book, work, terms, at.clock, "handed in"), told

    def test_what_it_left_open_is_told_before(self, at: Shop) -> None:
        """Nobody starts to recheck a screw without knowing that nothing is known of it."""
        form, _, told = self._follow(at)

        assert (f"{form.id} was typed in from a paper form. Not known: cover screws 1, 2.",) == told

    def test_and_again_at_each_bolt(self, at: Shop) -> None:
        """Beside the question about it."""
        _, run, _ = self._follow(at)

        with walking(at.book, run, clock=at.clock, person=at.ines, exempt=True, fresh=True) as walk:
            assert "the first run: not known" in details(walk.prompt)

    def test_and_on_page_one_of_the_later_record(self, at: Shop) -> None:
        """Its own work may have no deviation, and is no proof of the work before."""
        form, run, _ = self._follow(at)

        with walking(at.book, run, clock=at.clock, person=at.ines, exempt=True, fresh=True) as walk:
            assert isinstance(walk.answer(a.GiveUp("rain")), a.Accepted)
        conclude(at.book, run)
        data = run.path / "record.toml"
        record = tomllib.loads(data.read_text(encoding="utf-8"))
        assert ["1", "2"] == record["of_run_left_unknown"]
        page = str(next(pages_of(run, record)))
        assert f"Run {form.id} was typed in from a paper form. Not known: cover screws 1, 2." in page


def pages_of(run: RunFolder, record: dict[str, Any]) -> Iterator[Any]:
    """The blocks of its report."""
    plan = read(run.procedure(), run.plan(), run.daybook.read_bytes()).plan
    return iter(blocks(plan, record, {}))


def test_a_walked_run_left_nothing_open_to_be_told(book: Book) -> None:
    """Its first line stays as it was before there were forms."""
    run, told = follow(book, first(book, *PULLS, *END))

    assert () == told
    assert "left_open" not in (run.first() or {})["of_run"]
