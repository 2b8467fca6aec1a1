"""A trial assembly, and the work that falls due after a run."""

from __future__ import annotations

from collections.abc import Callable
from decimal import Decimal
from typing import Any

import pytest
from msgspec.structs import replace
from small_joints import (
    asked,
    at,
    bench_for,
    bolts,
    choices,
    events_of,
    follow_up,
    loosen,
    measure,
    recheck,
    refused,
    stored,
    tighten,
    turn,
    value,
    walk_to,
    window,
)

from bench import INES, OKKE, Bench
from clampbook.procedure import model as m
from clampbook.run import answers as a
from clampbook.run import events as e
from clampbook.run import prompts as ask
from clampbook.run.asked import sentence, words
from clampbook.run.gather.parts import choices_at
from clampbook.run.questions import sheet_item
from clampbook.run.recount import recounted
from clampbook.run.use import Meter


class TestTrial:
    """Clearances are measured at the torque alone, then all is undone."""

    def trial(self) -> Bench:
        """A trial of torque, turn (left out), clearance, loosening."""
        head = bolts(2)
        stages = (tighten(head), turn(head, 2, trial_skip=True), measure(3), loosen(head, 4))
        roles = (m.SignOff(role="assembler", required=True),)
        return bench_for(head, *stages, trial=True, sign_off=roles)

    def test_the_turn_is_left_out(self) -> None:
        """No angle when the clearance is measured."""
        run = self.trial()
        run.steadily()

        assert [] == events_of(run, e.Turned)

    def test_it_cannot_be_signed_as_final(self) -> None:
        """Nobody is asked to sign, and it closes as a trial."""
        run = self.trial()
        run.steadily()

        assert ([], "trial") == (events_of(run, e.SignedOff), asked(run, ask.Ended).outcome)

    def test_it_is_a_trial_though_something_was_conceded(self) -> None:
        """A concession does not make it an accepted joint."""
        run = self.trial()
        walk_to(run, "1.1/1", ask.Tighten)
        value(run, "35")
        run.answer(a.Resolve("concession", reason="only a trial", person=OKKE))
        run.steadily()

        assert "trial" == asked(run, ask.Ended).outcome

    def test_its_tightenings_count(self) -> None:
        """Pulled and loosened, a bolt has spent one of its life."""
        run = self.trial()
        run.steadily()

        assert [1, 1] == [at(run, each).tightenings for each in "12"]


class TestFollowUp:
    """It begins with the positions as the first run left them."""

    def test_attempts_and_tightenings_go_on_from_the_first_run(self) -> None:
        """Bolt 2 had been taken from the beginning twice."""
        head = bolts(2)
        run = follow_up(recheck(head, 1), group=head, earlier={"1": (1, 1), "2": (3, 3)})

        assert [(1, 1), (3, 3)] == [(at(run, each).attempt, at(run, each).tightenings) for each in "12"]

    def test_tightening_on_spends_nothing(self) -> None:
        """The bolts are tight: a pull is no new tightening."""
        head = bolts(1)
        run = follow_up(tighten(head), group=head)
        run.steadily(until=ask.Finished)

        assert 1 == at(run, "1").tightenings

    def test_the_attempt_stands_in_each_line(self) -> None:
        """A bolt in its third attempt is rechecked in its third."""
        head = bolts(1)
        run = follow_up(recheck(head, 1), group=head, earlier={"1": (3, 3)})
        walk_to(run, "1.1/1", ask.Recheck)

        assert 3 == stored(run.answer(a.Still(False, "30")), e.Rechecked).attempt

    def test_preparing_is_not_asked_again(self) -> None:
        """The joint is closed."""
        head = bolts(1, prepare=("Holes dry and clean.",))
        run = follow_up(recheck(head, 1), group=head)

        assert isinstance(run.prompt, ask.TakeTool)

    def test_over_offers_concession_the_whole_joint_again_or_hold(self) -> None:
        """A single bolt is not taken from the beginning by stages that only recheck."""
        head = bolts(1)
        run = follow_up(tighten(head), group=head)
        walk_to(run, "1.1/1", ask.Tighten)

        value(run, "35")

        assert ["correct", "concession", "the whole joint again", "hold"] == choices(run)

    def test_a_broken_one_is_never_accepted_as_it_is(self) -> None:
        """Nothing can be pulled on what is no longer there: the next recheck of it would be asked all the same."""
        head = bolts(1)
        run = follow_up(recheck(head, 1), group=head)
        walk_to(run, "1.1/1", ask.Recheck)

        run.answer(a.Broke("broken"))

        assert ["the whole joint again", "hold"] == choices(run)

    def test_still_moving_offers_it_too(self) -> None:
        """A wheel that never stands still needs more than another round."""
        head = bolts(1)
        run = follow_up(recheck(head, 1, at_most=1), group=head)
        walk_to(run, "1.1/1", ask.Recheck)

        run.answer(a.Still(True, "31"))

        assert ["one more pass", "concession", "the whole joint again", "hold"] == choices(run)

    def test_a_gate_outside_offers_no_way_back(self) -> None:
        """There is no earlier stage to go back to but the first run's."""
        head = bolts(1)
        run = follow_up(tighten(head), measure(2), group=head)
        walk_to(run, "2.1/-", ask.Measure)

        value(run, "0.28")

        assert ["measure again", "correct", "concession", "the whole joint again", "hold"] == choices(run)

    def test_a_bad_pull_is_not_taken_from_the_beginning_either(self) -> None:
        """Though the group says so: its stages of the first run are not in this plan."""
        head = bolts(1, after_bad_pull="from the beginning")
        run = follow_up(tighten(head), group=head)
        walk_to(run, "1.1/1", ask.Tighten)

        run.answer(a.BadPull(value="20"))

        assert ["pull again", "correct", "concession", "the whole joint again", "hold"] == choices(run)

    def test_the_whole_joint_again_closes_it_as_not_accepted(self) -> None:
        """With the reason; nobody signs, and tools are put back."""
        head = bolts(2)
        roles = (m.SignOff(role="assembler", required=True),)
        run = follow_up(tighten(head), group=head, sign_off=roles)
        walk_to(run, "1.1/1", ask.Tighten)
        value(run, "35")

        assert "Give a reason" in refused(run.answer(a.Resolve("the whole joint again")))
        run.answer(a.Resolve("the whole joint again", reason="the gasket gave way"))
        run.steadily()

        assert ("not accepted", []) == (asked(run, ask.Ended).outcome, events_of(run, e.SignedOff))

    def test_all_well_is_done_and_signed(self) -> None:
        """A follow-up is signed like a run."""
        head = bolts(1)
        run = follow_up(recheck(head, 1), group=head, sign_off=(m.SignOff(role="assembler", required=True),))
        run.steadily()

        assert ("done", [INES]) == (
            asked(run, ask.Ended).outcome,
            [each.person for each in events_of(run, e.SignedOff)],
        )


def answer(run: Bench, text: str) -> e.Asked:
    """The line of an answer that was taken."""
    return stored(run.answer(a.Value(text)), e.Asked)


class TestMeters:
    """What counts use is asked for again, and never offered from the first run."""

    ASKS = (
        m.Ask(name="Engine hours", answer="number", searched_as="usage", unit="h", low=Decimal(0), required=True),
        m.Ask(name="Work order", answer="text", searched_as="order"),
        m.Ask(name="Engine number", answer="text", searched_as="equipment"),
    )

    def followed(self, *, equipment: str | None = "4107", **known: Any) -> Bench:
        """A follow-up after 10 h of a run that asked for hours, an order and the engine."""
        head = bolts(1)
        return follow_up(recheck(head, 1), group=head, asks=self.ASKS, equipment=equipment, **known)

    def metered(self) -> Bench:
        """The same where 412 h were written down at the first run."""
        return self.followed(meters=(Meter("Engine hours", "412", "h"),), or_use="10 h")

    def test_only_the_meter_is_asked_for(self) -> None:
        """Engine and order are those of the first run."""
        run = self.metered()

        assert "Engine hours?" == sentence(run.prompt)
        answer(run, "423")
        assert isinstance(run.prompt, ask.TakeTool)

    def test_it_is_asked_beside_what_it_showed_then(self) -> None:
        """412 h, and due ten hours later; the same as last time cannot be."""
        run = self.metered()

        assert ("at the first run: 412 h", "due at 422 h") == words(run.prompt).matters[:2]
        assert [] == [each.value for each in choices_at(run.prompt, run.session)]

    def test_how_much_use_went_by_is_told(self) -> None:
        """Eleven hours."""
        run = self.metered()

        event = answer(run, "423")

        assert "Engine hours: 423. 11 h since the first run." == sheet_item.tell(event, run.plan, ())

    def test_a_lower_value_is_unusual(self) -> None:
        """Mistyped, or another meter was fitted since: it is typed once more, and told as lower."""
        run = self.metered()

        unsure = run.answer(a.Value("42"))
        assert isinstance(unsure, a.Unsure)
        assert "42 is lower than at the first run, 412 h. Type it again." == unsure.unusual
        event = answer(run, "42")

        assert "Engine hours: 42. Lower than at the first run, 412 h." == sheet_item.tell(event, run.plan, ())

    def test_words_where_the_first_run_had_a_number_say_nothing_of_use(self) -> None:
        """The sheet asked for words: nothing is offered from the first run, and nothing is worked out."""
        words_of_it = m.Ask(name="Engine hours", answer="text", searched_as="usage")
        head = bolts(1)
        metered = (Meter("Engine hours", "1234", ""),)
        run = follow_up(recheck(head, 1), group=head, asks=(words_of_it,), equipment="4107", meters=metered)

        event = answer(run, "about 1300")

        assert "Engine hours: about 1300." == sheet_item.tell(event, run.plan, ())

    def test_where_the_first_run_wrote_down_nothing_it_is_asked_plainly(self) -> None:
        """Unknown counts as unknown."""
        run = self.followed(or_use="10 h")

        answer(run, "42")

        assert isinstance(run.prompt, ask.TakeTool)

    def test_what_it_is_on_is_asked_where_the_first_run_does_not_know_it(self) -> None:
        """Its record names no engine."""
        run = self.followed(equipment=None)
        answer(run, "42")

        assert "Engine number?" == sentence(run.prompt)

    def test_a_forged_meter_is_found(self) -> None:
        """The line says 422 h, the first line 412."""
        run = self.metered()
        answer(run, "423")
        (answered,) = events_of(run, e.Asked)
        forged = [replace(each, before="422") if each is answered else each for each in run.events]

        assert [(answered.seq, "before is 422, but the first line gives 412")] == list(recounted(run.plan, forged))


class TestPositionsThatTheFirstRunDoesNotKnow:
    """An older revision had other names: unknown counts as unknown, and nothing is refused."""

    @pytest.mark.parametrize("later", [tighten, lambda head: recheck(head, 1)])
    def test_they_are_walked_like_the_others(self, later: Callable[[m.Group], m.Stage]) -> None:
        """To the end, whatever is done with them."""
        head = bolts(2)
        run = follow_up(later(head), group=head, earlier={"1": (1, 1)})

        run.steadily()

        assert "done" == asked(run, ask.Ended).outcome

    def test_nobody_takes_them_for_loose(self) -> None:
        """The joint was closed: how tight they are nobody can tell."""
        head = bolts(2)
        run = follow_up(tighten(head), group=head, earlier={"1": (1, 1)})

        assert ("tight", "not known") == (at(run, "1").fastener.state, at(run, "2").fastener.state)


class TestFoundMoved:
    """A fastener that is not as the first run left it needs a decision, and a cause."""

    def looked_at(self, count: int = 2, **stage: Any) -> Bench:
        """A follow-up that rechecks its bolts once, unless said otherwise."""
        head = bolts(count)
        more = {"until_still": False, "at_most": 1, "window": window("28", "32"), **stage}
        run = follow_up(recheck(head, 1, **more), group=head)
        walk_to(run, "1.1/1", ask.BackOff if more.get("back_off") else ask.Recheck)
        return run

    def test_what_moved_is_decided_at_once(self) -> None:
        """Before the next bolt is touched: accept it, redo the joint, or wait."""
        run = self.looked_at()

        run.answer(a.Still(True, "30"))

        assert ("moved", "1", ["concession", "the whole joint again", "hold"]) == (
            asked(run, ask.Decide).cause,
            asked(run, ask.Decide).position,
            choices(run),
        )

    def test_accepted_it_goes_on_with_the_next(self) -> None:
        """A second person answers for it."""
        run = self.looked_at()
        run.answer(a.Still(True, "30"))

        run.answer(a.Resolve("concession", reason="settled paint", person=OKKE))

        assert ("concession", "1.1/2") == (at(run, "1").outcome, asked(run, ask.Recheck).where.id)

    def test_a_corrected_reading_does_not_unmove_it(self) -> None:
        """30 that was 31: it moved all the same."""
        run = self.looked_at()
        run.answer(a.Still(True, "30"))

        run.answer(a.Correct("31", "the tool still shows it"))

        assert "moved" == asked(run, ask.Decide).cause

    def test_loose_at_first_movement_is_decided(self) -> None:
        """24 of 30 N·m: mistyped, accepted, or the whole joint again."""
        run = self.looked_at(method="first movement")

        run.answer(a.Still(True, "24"))

        assert ("loose", ["correct", "concession", "the whole joint again", "hold"]) == (
            asked(run, ask.Decide).cause,
            choices(run),
        )

    def test_found_under_is_decided_though_it_was_pulled_up(self) -> None:
        """24 of 30 N·m, pulled on to 30, and nothing more moved: it was not as the first run had left it."""
        run = self.looked_at()
        run.answer(a.Value("24"))
        run.answer(a.Still(False, "30"))

        now = asked(run, ask.Decide)
        assert ("found under", "1", "24 N·m") == (now.cause, now.position, now.found)
        assert "Head bolt 1 was found under its window: 24 N·m." == sentence(now)
        assert ["concession", "the whole joint again", "hold"] == choices(run)

    def test_one_that_was_only_mistyped_was_not_found_under(self) -> None:
        """24 that was 30: nothing is to be decided about it, and the next bolt comes."""
        run = self.looked_at()
        run.answer(a.Value("24"))
        run.answer(a.Correct("30", "the tool still shows it"))

        assert "1.1/2" == asked(run, ask.Recheck).where.id

    def test_past_its_mark_is_decided(self) -> None:
        """Backed off and tightened again, it went on past its mark: it had lost its load."""
        run = self.looked_at(method="back off and tighten again", back_off=Decimal(90))
        run.answer(a.Plus())
        walk_to(run, "1.1/1", ask.Tighten)
        value(run, "30")

        run.answer(a.AtMark("past"))

        assert "moved" == asked(run, ask.Decide).cause

    def test_where_rounds_are_allowed_each_round_with_a_move_is_decided(self) -> None:
        """The sheet goes round until all is still, but what came loose on the road is nobody's settling gasket."""
        run = self.looked_at(until_still=True, at_most=4)
        run.answer(a.Still(True, "30"))
        run.answer(a.Still(False, "30"))

        now = asked(run, ask.Decide)
        assert ("still moving", "1 still moved in round 1") == (now.cause, now.found)
        assert ["one more pass", "concession", "the whole joint again", "hold"] == choices(run)

    def test_the_whole_joint_again_closes_it_as_not_accepted(self) -> None:
        """With the reason, and without a signature."""
        run = self.looked_at()
        run.answer(a.Still(True, "30"))

        run.answer(a.Resolve("the whole joint again", reason="two nuts had come loose"))
        run.steadily()

        assert "not accepted" == asked(run, ask.Ended).outcome
