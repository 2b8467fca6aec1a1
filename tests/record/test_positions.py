"""How each position stands when the last line is written."""

from typing import Any

import pytest

from clampbook.record.pages.blocks import Facts
from clampbook.record.pages.joint import joint
from clampbook.record.pages.telling import Telling
from clampbook.run import events as e

from .daybooks import Daybook
from .flat import flat
from .head import a_plan


def position(day: Daybook, name: str) -> dict[str, Any]:
    """The table of one position."""
    return dict(next(row for row in day.record()["position"] if row["position"] == name))


def a_short_plan() -> Daybook:
    """A run whose only stages are the torque and the turn of the head bolts, and the look at all of them."""
    return Daybook(a_plan(steps=tuple(step for step in a_plan().steps if step.stage in (1, 2, 5))))


class TestOutcome:
    """One word for each step of a position."""

    def test_nothing_done_is_to_do(self) -> None:
        """Every step is listed from the first line on."""
        assert {"1.1/1": "to do", "2.1/1": "to do"} == position(a_short_plan(), "1")["outcome"]

    def test_each_step_has_the_word_of_what_was_kept(self) -> None:
        """A click and a turn within."""
        day = a_short_plan()
        day.clicked("1.1/1")
        day.turned("2.1/1", "92", "92")

        found = position(day, "1")

        assert {"1.1/1": "clicked", "2.1/1": "within"} == found["outcome"]
        assert "done" == found["state"]

    def test_a_confirmed_position_says_so(self) -> None:
        """It is never called clicked one by one."""
        day = Daybook()
        day.confirmed("6.1/11", "6.1/12")

        assert "confirmed together" == position(day, "12")["outcome"]["6.1/12"]

    def test_after_starting_over_the_steps_are_to_do_again(self) -> None:
        """What was done before does not count any more."""
        day = a_short_plan()
        line = day.reading("1.1/1", "33.0", "over")
        day.decided(line, "from the beginning", step="1.1/1", position="1", scope="fastener")

        found = position(day, "1")

        assert {"1.1/1": "to do again", "2.1/1": "to do again"} == found["outcome"]
        assert ("to do again", 2) == (found["state"], found["attempts"])

    def test_a_bad_pull_leaves_its_step_void(self) -> None:
        """Until it is pulled again."""
        day = a_short_plan()
        day.add(e.Voided, step="1.1/1", attempt=1, of=None, cause="bad pull")
        assert "void" == position(day, "1")["outcome"]["1.1/1"]

        day.clicked("1.1/1")

        assert "clicked" == position(day, "1")["outcome"]["1.1/1"]

    def test_a_void_stroke_leaves_its_turn_unknown(self) -> None:
        """How far it was turned cannot be told any more."""
        day = a_short_plan()
        day.clicked("1.1/1")
        line = day.turned("2.1/1", "60", "60", "under")
        day.add(e.Voided, step="2.1/1", attempt=1, of=line, cause="the socket slipped")

        found = position(day, "1")

        assert ("unknown", "unknown") == (found["outcome"]["2.1/1"], found["state"])

    def test_a_lost_mark_leaves_its_turn_unknown(self) -> None:
        """The strokes before it do not help."""
        day = a_short_plan()
        day.turned("2.1/1", "60", "60", "under")
        day.add(e.StepState, step="2.1/1", state="mark lost")

        assert "unknown" == position(day, "1")["outcome"]["2.1/1"]

    def test_what_was_skipped_stays_so_until_it_is_done(self) -> None:
        """Taken up again it is simply to do."""
        day = a_short_plan()
        line = day.add(e.Skipped, step="1.1/1", position="1", reason="no room for the tool")
        assert ("skipped", "skipped") == (position(day, "1")["state"], position(day, "1")["outcome"]["1.1/1"])

        day.decided(line, "do it now", "skipped", step="1.1/1", position="1")
        assert "to do" == position(day, "1")["outcome"]["1.1/1"]

        day.clicked("1.1/1")
        assert "clicked" == position(day, "1")["outcome"]["1.1/1"]

    def test_what_was_skipped_can_stay_so_by_concession(self) -> None:
        """It never was pulled, and somebody took that on."""
        day = a_short_plan()
        line = day.add(e.Skipped, step="1.1/1", position="1", reason="no room for the tool")
        day.decided(line, "concession", "skipped", step="1.1/1", position="1", reason="agreed")

        assert "by concession" == position(day, "1")["outcome"]["1.1/1"]

    @pytest.mark.parametrize("how", ["broken", "stripped"])
    def test_a_lost_fastener_is_named_for_what_happened_to_it(self, how: str) -> None:
        """Until a new one is in."""
        day = a_short_plan()
        line = day.add(e.Broken, step="1.1/1", position="1", attempt=1, how=how)
        assert (how, how) == (position(day, "1")["state"], position(day, "1")["outcome"]["1.1/1"])

        day.decided(line, "new fastener", how, step="1.1/1", position="1", scope="fastener")

        assert "to do again" == position(day, "1")["state"]

    def test_one_concession_marks_the_whole_position(self) -> None:
        """Done, and not as the sheet wants it."""
        day = a_short_plan()
        line = day.reading("1.1/1", "33.0", "over")
        day.decided(line, "concession", step="1.1/1", position="1", reason="agreed")
        day.turned("2.1/1", "92", "92")

        assert "done, by concession" == position(day, "1")["state"]

    def test_a_last_torque_outside_is_the_word_of_its_turn(self) -> None:
        """The angle was right and the bolt may have yielded."""
        day = a_short_plan()
        day.turned("2.1/1", "92", "92")
        day.measured("2.1/1", "41", "under", part="final torque", unit="N·m", window=("55", "95"))

        assert "under" == position(day, "1")["outcome"]["2.1/1"]

    def test_a_look_at_all_of_them_marks_those_that_it_found_wanting(self) -> None:
        """Only the named ones, and only until a look finds them right."""
        day = a_short_plan()
        day.add(e.Inspected, step="5.1/-", answer="no", as_expected=False, positions=("2",))
        assert "not as expected" == position(day, "2")["outcome"]["5.1/-"]
        assert "5.1/-" not in position(day, "1")["outcome"]

        day.add(e.Inspected, step="5.1/-", answer="yes", as_expected=True)

        assert "5.1/-" not in position(day, "2")["outcome"]


class TestSpent:
    """What a fastener has been through."""

    def test_a_torque_and_a_turn_are_one_tightening(self) -> None:
        """It goes from loose to tight once."""
        day = a_short_plan()
        day.clicked("1.1/1")
        day.turned("2.1/1", "92", "92")

        assert 1 == position(day, "1")["tightenings"]

    def test_each_loosening_costs_another(self) -> None:
        """Undoing and doing again spends a bolt."""
        day = a_short_plan()
        over = day.reading("1.1/1", "33.0", "over")
        day.decided(over, "from the beginning", step="1.1/1", position="1")
        day.loosened("1.1/1", "1")
        day.reading("1.1/1", "30.0", attempt=2)

        found = position(day, "1")

        assert (2, 2) == (found["attempts"], found["tightenings"])

    def test_a_bad_pull_costs_as_much_as_a_good_one(self) -> None:
        """The bolt does not know that the pull was bad."""
        day = a_short_plan()
        day.add(e.Voided, step="1.1/1", attempt=1, of=None, cause="bad pull")

        assert 1 == position(day, "1")["tightenings"]

    def test_a_new_fastener_begins_at_nothing(self) -> None:
        """The position has its attempts, the new bolt has its own life."""
        day = a_short_plan()
        line = day.reading("1.1/1", "33.0", "over")
        day.decided(line, "new fastener", step="1.1/1", position="1", scope="fastener")
        day.loosened("1.1/1", "1")
        day.add(e.Inspected, step="1.1/1", answer="yes", as_expected=True, work="new fastener", position="1")
        day.reading("1.1/1", "30.0", attempt=2)

        found = position(day, "1")

        assert (2, 1) == (found["attempts"], found["tightenings"])
        pages = flat(joint(day.plan, Telling(day.record()), drawn=True))
        told = [pair for block in pages if isinstance(block, Facts) for pair in block.rows]
        assert ("Tightened", "1, once since a new one was fitted") in told
        assert ("Tightened", "2–4, never") in told

    def test_a_follow_up_goes_on_from_what_was_spent(self) -> None:
        """Pulling a tight fastener further is no new tightening."""
        earlier = e.Earlier(run="20260301-head-aaaaaaaa", follow_up="Check again", positions={"1": (2, 3)})
        day = Daybook(of_run=earlier)
        day.clicked("1.1/1", attempt=2)

        found = position(day, "1")

        assert (2, 2, 3) == (found["attempts"], found["attempts_before_this_run"], found["tightenings"])

    @pytest.mark.parametrize(("left", "by"), [("fully loosened", None), ("backed off", "30")])
    def test_one_that_was_left_loosened_is_tightened_again(self, left: str, by: str | None) -> None:
        """What the first run ended with counts: from loose, or from 30° back, a pull is a tightening."""
        earlier = e.Earlier(
            run="20260301-head-aaaaaaaa", follow_up="Check again", positions={"1": (2, 3)}, loosened={"1": by}
        )
        day = Daybook(of_run=earlier)
        day.clicked("1.1/1", attempt=2)

        assert 4 == position(day, "1")["tightenings"], left


def test_each_position_says_what_fits_there() -> None:
    """Bolts of different lengths in one joint are told apart in the record too."""
    day = Daybook()

    assert ("M10x1.25 x 91 mm", "M10x1.25") == (position(day, "1")["fits"], position(day, "2")["fits"])
