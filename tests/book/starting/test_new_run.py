"""From a book to a walk and back: what is frozen, what a follow-up takes over, what an ended run leaves."""

from __future__ import annotations

import json
from collections.abc import Callable
from datetime import UTC, datetime
from pathlib import Path

import pytest

from clampbook.book.book import Book
from clampbook.book.runs import abandon
from clampbook.book.starting.frozen import first_event, plan_frozen
from clampbook.book.starting.new_run import open_run, twins
from clampbook.book.starting.terms import Terms, work_named, work_of
from clampbook.book.starting.walking import conclude, walking
from clampbook.book.toolbox import counts
from clampbook.ledger.refusals import LedgerFault, LockHeld
from clampbook.people import Person
from clampbook.run import answers as a
from clampbook.run.events import Abandoned
from clampbook.run_folder import RunFolder
from clampbook.screens.bench_lists import looked_into, open_runs
from covers import LOOKED_AT_LATER, TIGHTENED, cover
from museum import museum, own

INES, MAUD = Person("ines", "Ines"), Person("maud", "Maud")
COVER = cover(TIGHTENED, LOOKED_AT_LATER, top='repeat = ["port", "starboard"]\n')


class Noon:
    """A clock that stands at noon."""

    def now(self) -> datetime:
        """Noon."""
        return datetime(2026, 3, 2, 12, 0, tzinfo=UTC)


Opener = Callable[..., RunFolder]


@pytest.fixture
def book(tmp_path: Path) -> Book:
    """A demo book with a small cover that is made twice."""
    book = museum(tmp_path / "book")
    own(book.root, "cover", COVER)
    return book


@pytest.fixture
def opened(book: Book) -> Opener:
    """Opens a run of the cover on terms of its own."""

    def open_(**terms: object) -> RunFolder:
        known = {"person": INES, "joint": "port", **terms}
        return open_run(book, work_named(book, "cover"), Terms(**known), Noon(), "handed in")  # type: ignore[arg-type]

    return open_


def walked(book: Book, run: RunFolder, *answers: a.Answer) -> None:
    """Walk a run that was just opened, with these answers."""
    with walking(book, run, clock=Noon(), person=INES, exempt=True, fresh=True) as walk:
        for answer in answers:
            assert isinstance(walk.answer(answer), a.Accepted)


PULLS = (a.TakeUp("w1"), a.ScaleShows("30", "N·m"), a.Plus(), a.Plus(), a.Plus(), a.Plus())
END = (a.PutBack(True), a.Finish(accepted=True))


class TestOpening:
    """What a run uses is frozen before its first line."""

    def test_the_procedures_very_bytes_are_frozen(self, opened: Opener) -> None:
        """Whatever becomes of the file in the book, the run keeps what it was made by."""
        assert COVER.encode() == opened().procedure()

    def test_a_file_of_the_book_is_named_without_its_path(self, book: Book, tmp_path: Path) -> None:
        """A name means the book's own sheet, a path any other."""
        other = tmp_path / "other.toml"
        other.write_text(COVER, encoding="utf-8")

        assert ("cover", "other") == (work_named(book, "cover").slug, work_named(book, str(other)).slug)

    def test_a_joint_that_the_sheet_does_not_make_is_refused(self, opened: Opener) -> None:
        """The sentence names those that it makes."""
        with pytest.raises(LedgerFault, match="It has port, starboard"):
            opened(joint="bow")

    def test_a_plan_that_was_changed_is_refused(self, opened: Opener) -> None:
        """The first line holds its hash."""
        run = opened()
        plan = run.path / "plan.json"
        plan.write_bytes(plan.read_bytes().replace(b"Cover screws", b"Cover bolts", 1))

        with pytest.raises(LedgerFault, match="is not the plan that this run was opened with"):
            plan_frozen(run)


class TestTwins:
    """The same joint made several times is one series, each with a run of its own."""

    def test_the_second_joint_joins_the_series_of_the_first(self, opened: Opener) -> None:
        """Port begins a series that bears its run's name, starboard joins it."""
        port, starboard = opened(joint="port"), opened(joint="starboard")

        assert [port.id, port.id] == [event.series for run in (port, starboard) if (event := first_event(run))]

    def test_a_second_run_of_the_same_joint_begins_a_new_series(self, opened: Opener) -> None:
        """Next year's port head belongs to next year's series."""
        first, again = opened(joint="port"), opened(joint="port")

        assert [first.id, again.id] == [event.series for run in (first, again) if (event := first_event(run))]

    def test_the_other_joints_are_found_with_who_did_them(self, book: Book, opened: Opener) -> None:
        """So that the same person doing both can be told."""
        opened(joint="port", person=MAUD)

        found = [(joint, event.person) for joint, event in twins(book, work_named(book, "cover"), "starboard")]

        assert [("port", MAUD)] == found

    def test_a_run_that_is_over_is_read_once_by_a_program(self, book: Book, opened: Opener) -> None:
        """Each start asks several times, and of ten thousand runs each time; one that is open is looked at again."""
        for way in ("over", "open"):
            port = opened(joint="port", person=MAUD)
            if way == "over":
                said = {"event": "abandoned", "at": "2026-03-02T12:00:00.000Z", "offset": "+00:00", "by": MAUD.id}
                abandon(book, port, {**said, "reason": "wrong gasket"})
            before = list(twins(book, work_named(book, "cover"), "starboard"))
            plan = port.path / "plan.json"
            plan.write_bytes(plan.read_bytes().replace(b"Cover screws", b"Cover bolts", 1))
            if way == "over":
                assert [("port", MAUD)] == [(joint, event.person) for joint, event in before]
                assert before == list(twins(book, work_named(book, "cover"), "starboard"))
            else:
                with pytest.raises(LedgerFault, match="is not the plan that this run was opened with"):
                    list(twins(book, work_named(book, "cover"), "starboard"))


class TestFollowUp:
    """Work that falls due later begins with the positions as the first run left them."""

    def test_it_takes_over_attempts_and_tightenings(self, book: Book, opened: Opener) -> None:
        """Four screws tightened once each, named with the run they come from."""
        first = opened()
        walked(book, first, *PULLS, *END)

        event = first_event(opened(follow_up="Look at it again", of=first, joint=None))

        assert event is not None and event.of_run is not None
        assert (first.id, "Look at it again", dict.fromkeys("1234", (1, 1))) == (
            event.of_run.run,
            event.of_run.follow_up,
            event.of_run.positions,
        )

    @pytest.mark.parametrize(("by", "left"), [("", None), ('by = "90°"\n', "90")])
    def test_it_takes_over_which_were_loosened(self, book: Book, opened: Opener, by: str, left: str | None) -> None:
        """The cover is taken off again at the end: the follow-up finds its screws loose, or 90° back."""
        book.path("procedures", "cover.toml").write_text(
            cover(TIGHTENED, '[[stage]]\ndo = "loosen"\n', by, LOOKED_AT_LATER), encoding="utf-8"
        )
        first = opened(joint=None)
        walked(book, first, *PULLS, *(a.Plus(),) * 4, *END)

        event = first_event(opened(follow_up="Look at it again", of=first, joint=None))

        assert event is not None and event.of_run is not None
        assert dict.fromkeys("1234", left) == event.of_run.loosened

    def test_it_is_of_the_same_thing_and_the_same_joint(self, book: Book, opened: Opener) -> None:
        """Nobody names again what the first run was on: Whinchat's port cover, in a series of its own."""
        first = opened(equipment="Whinchat")
        walked(book, first, *PULLS, *END)

        later = opened(follow_up="Look at it again", of=first, joint=None)

        event = first_event(later)
        assert event is not None
        assert ("Whinchat", "port", first.id) == (event.equipment, plan_frozen(later).joint, event.series)

    @pytest.mark.parametrize(
        ("named", "told"), [({"equipment": "Wheatear"}, "Whinchat"), ({"joint": "starboard"}, "port")]
    )
    def test_another_thing_is_refused(self, book: Book, opened: Opener, named: dict[str, str], told: str) -> None:
        """What was done to Whinchat says nothing of another boat."""
        first = opened(equipment="Whinchat")
        walked(book, first, *PULLS, *END)

        with pytest.raises(LedgerFault, match=f"was .* {told}, not "):
            opened(**{"follow_up": "Look at it again", "of": first, "joint": None, **named})

    def test_it_follows_only_a_run_that_was_closed(self, opened: Opener) -> None:
        """An open run has no follow-up yet."""
        with pytest.raises(LedgerFault, match="is still open"):
            opened(follow_up="Look at it again", of=opened(), joint=None)

    def test_it_is_planned_by_the_sheet_as_it_was_then(self, book: Book, opened: Opener) -> None:
        """A sheet changed since does not change what follows."""
        first = opened()
        own(book.root, "cover", "changed")

        assert COVER.encode() == work_of(first).data


class TestEnding:
    """A run that ended gets its record; one that was given up is in the book's log."""

    def test_a_closed_run_is_recorded(self, book: Book, opened: Opener) -> None:
        """The record lies beside the frozen files."""
        run = opened()
        walked(book, run, *PULLS, *END)

        assert run.path / "record.toml" == conclude(book, run)

    def test_its_pulls_stand_in_the_log_once(self, book: Book, opened: Opener) -> None:
        """So that a tool's pulls are known without reading every run again."""
        run = opened()
        walked(book, run, *PULLS, *END)
        conclude(book, run)
        conclude(book, run)

        used = [json.loads(line) for line in book.log_lines() if b'"tools_used"' in line]
        rows = [{"tool": "w1", "serial": "HM-0107", "pulls": {"2026-03-02": 4}}]
        assert [(run.id, rows)] == [(line["run"], line["used"]) for line in used]

    def test_the_pulls_of_an_open_run_count_too(self, book: Book, opened: Opener) -> None:
        """They are read from its daybook until it is over."""
        run = opened()
        walked(book, run, *PULLS[:4], a.Pause())

        assert {"w1": {"2026-03-02": 2}} == counts(book)

    def test_the_pulls_of_a_run_that_was_given_up_count_once(self, book: Book, opened: Opener) -> None:
        """The tool does not know that the run came to nothing."""
        run = opened()
        walked(book, run, *PULLS[:3], a.GiveUp("begun by mistake"))
        before = counts(book)
        conclude(book, run)

        assert {"w1": {"2026-03-02": 1}} == before == counts(book)

    def test_an_open_run_is_not_recorded(self, book: Book, opened: Opener) -> None:
        """Nothing is written while it can still change."""
        run = opened()
        walked(book, run, a.Pause())

        assert conclude(book, run) is None
        assert not (run.path / "record.toml").exists()

    def test_a_run_that_was_given_up_is_in_the_log(self, book: Book, opened: Opener) -> None:
        """The log names its last line."""
        run = opened()
        walked(book, run, a.GiveUp("begun by mistake"))

        conclude(book, run)

        last = json.loads(book.log_lines()[-1])
        assert ("run_abandoned", run.id) == (last["event"], last["run"])
        assert Abandoned.__struct_config__.tag == (run.last() or {})["event"]


def test_after_a_hand_over_the_run_is_open_by_the_one_who_took_it(book: Book, opened: Opener) -> None:
    """Whoever looks at the bench goes to the person who stands there."""
    run = opened()
    with walking(book, run, clock=Noon(), person=INES, fresh=True) as walk:
        before = book.writer(run)
        walk.answer(a.HandTo(MAUD))
        after = book.writer(run)

    assert before is not None and after is not None
    assert ("Ines", "Maud") == (before.who, after.who)
    assert None is book.writer(run)
    assert ["Maud"] == [looked_into(book, one).person for one in open_runs(book)]


def test_one_at_a_time_walks_a_run(book: Book, opened: Opener) -> None:
    """While one walks, another is told who is first."""
    run = opened()

    with (
        walking(book, run, clock=Noon(), person=INES, fresh=True),
        pytest.raises(LockHeld, match="Ines"),
        walking(book, run, clock=Noon(), person=MAUD),
    ):
        pass
