"""A sample for an inspector: drawn once by a number and the daybook's last line, and larger after a failure."""

from __future__ import annotations

import shutil
import subprocess
from decimal import Decimal
from typing import Any

import pytest
from msgspec.structs import replace
from small_joints import asked, bench_for, bolts, inspect, measure, recheck, refused, stored, tighten, value, window

from bench import INES, OKKE, Bench
from clampbook.procedure.model import Joints, Sample
from clampbook.run import answers as a
from clampbook.run import asked as of_prompt
from clampbook.run import events as e
from clampbook.run import prompts as ask
from clampbook.run.fold.sampling import in_order
from clampbook.run.gather.draft import Draft, Part
from clampbook.run.gather.parts import begin, next_part
from clampbook.run.recount import recounted
from clampbook.run.told import the_round

HEAD = "4569ac9e277799f8fdbabf2ea64af17ce3996a8e620286607739d5a492bbb455"
TWO_OF_TEN = Sample(share=Decimal(10), least=2)


def at_the_draw(sample: Sample = TWO_OF_TEN, count: int = 10, **more: Any) -> Bench:
    """A run of ten bolts that are tightened, before a sample of them is drawn to be looked at."""
    flange = bolts(count, name="Flange bolts")
    look = inspect(2, flange, asked="each", hold_point=True, sample=sample, **more)
    run = bench_for(flange, tighten(flange), look)
    run.steadily(ask.DrawSample)
    return run


def looked_at(run: Bench, *fails: int) -> list[str]:
    """The positions that are asked about to the end; the look of these numbers fails, and is accepted as it is."""
    found: list[str] = []
    while isinstance(run.prompt, ask.Inspect):
        found.append(run.prompt.where.position or "")
        bad = len(found) in fails
        assert not refused_at_all(run.answer(a.Look("no" if bad else "yes", inspector=OKKE)))
        if bad:
            assert not refused_at_all(
                run.answer(a.Resolve("concession", reason="agreed with the person in charge", person=OKKE))
            )
    return found


def refused_at_all(outcome: object) -> bool:
    return isinstance(outcome, a.Refused)


def draw(run: Bench, number: str = "4711") -> e.SampleDrawn:
    return stored(run.answer(a.Draw(number, OKKE)), e.SampleDrawn)


class TestHowMany:
    """So many of so many; common practice, no source: contracts and site rules name share and number."""

    @pytest.mark.parametrize(
        ("sample", "of", "drawn"),
        [
            (Sample(share=Decimal(10), least=2), 20, 2),
            (Sample(share=Decimal(10), least=2), 21, 3),  # a part of a bolt is a bolt
            (Sample(share=Decimal(10), least=2), 8, 2),
            (Sample(share=Decimal("2.5")), 100, 3),
            (Sample(share=Decimal(100)), 7, 7),
            (Sample(least=3), 20, 3),
            (Sample(share=Decimal(10), least=5), 4, 4),  # never more than there are
        ],
    )
    def test_share_and_number(self, sample: Sample, of: int, drawn: int) -> None:
        """A tenth, at least two."""
        assert drawn == sample.of(of)


class TestTheDraw:
    """Chance that anybody can follow afterwards."""

    @pytest.mark.skipif(shutil.which("sha256sum") is None, reason="wants the command sha256sum")
    def test_anybody_can_draw_it_again(self) -> None:
        """With a command that is on every bench's laptop, and no line of this program."""

        def digest(text: str) -> str:
            made = subprocess.run(["sha256sum"], input=text.encode(), capture_output=True, check=True)
            return made.stdout.decode().split()[0]

        positions = [str(number) for number in range(1, 21)]
        seed = digest(f"{HEAD} 271828")
        expected = sorted(positions, key=lambda each: digest(f"{seed} {each}"))

        assert tuple(expected) == in_order(HEAD, "271828", positions)

    def test_another_number_or_another_line_draws_others(self) -> None:
        """Neither who types nor who walked can choose the bolts alone."""
        positions = [str(number) for number in range(1, 101)]
        drawn = {in_order(HEAD, number, positions)[:10] for number in ("1", "2", "3")}

        assert 3 == len(drawn)
        assert in_order(HEAD[::-1], "1", positions)[:10] not in drawn

    def test_every_bolt_comes_about_equally_often(self) -> None:
        """Of 20 bolts 2 are drawn 6000 times, each about 600 times; 500 to 700 are 4 deviations."""
        positions = [str(number) for number in range(1, 21)]
        counted = dict.fromkeys(positions, 0)
        for number in range(6000):
            for each in in_order(HEAD, str(number), positions)[:2]:
                counted[each] += 1

        assert all(500 < each < 700 for each in counted.values()), counted

    def test_the_number_comes_after_the_name(self) -> None:
        """It says how many of how many, and that whoever is alone can try numbers."""
        run = at_the_draw()
        prompt = asked(run, ask.DrawSample)

        assert (2, 10) == (prompt.size, prompt.of)
        assert any("try numbers" in line for line in of_prompt.details(prompt))
        assert "whole number" in refused(run.answer(a.Draw("seven", OKKE)))
        assert "Ines did this work" in refused(run.answer(a.Draw("7", INES)))

    def test_the_same_person_gives_a_reason_and_it_departs(self) -> None:
        """Ines inspects what she pulled: told as what it is, once for the whole sample."""
        run = at_the_draw()
        drawn = stored(run.answer(a.Draw("7", INES, "nobody else here")), e.SampleDrawn)

        assert not drawn.independent
        assert 1 == run.session.progress.deviations

    def test_it_is_one_line_and_never_drawn_again(self) -> None:
        """What was drawn stands there, and all others in the order in which they would be added."""
        run = at_the_draw()
        drawn = draw(run)

        assert (2, 8) == (len(drawn.sample), len(drawn.if_one_fails))
        assert {str(number) for number in range(1, 11)} == {*drawn.sample, *drawn.if_one_fails}
        assert drawn.sample == in_order("", "4711", [str(number) for number in range(1, 11)])[:2]
        looked_at(run)
        assert 1 == sum(isinstance(each, e.SampleDrawn) for each in run.events)

    def test_another_sample_in_the_line_is_found(self) -> None:
        """A bolt that somebody wrote in its place."""
        run = at_the_draw()
        draw(run)
        run.steadily()
        assert [] == list(recounted(run.plan, run.events))
        place = next(at for at, each in enumerate(run.events) if isinstance(each, e.SampleDrawn))
        line = run.events[place]
        assert isinstance(line, e.SampleDrawn)
        forged = replace(line, sample=line.if_one_fails[:2], if_one_fails=(*line.sample, *line.if_one_fails[2:]))
        events = [*run.events[:place], forged, *run.events[place + 1 :]]

        told = [sentence for number, sentence in recounted(run.plan, events) if number == line.seq]

        assert any(sentence.startswith("sample is") for sentence in told), told


class TestWhatIsLookedAt:
    """The drawn ones, in the order of the work."""

    def test_only_the_sample(self) -> None:
        """Two of ten, and the run goes on to its end."""
        run = at_the_draw()
        drawn = draw(run)

        assert sorted(drawn.sample, key=int) == looked_at(run)
        run.steadily()
        assert isinstance(run.prompt, ask.Ended)

    def test_one_that_fails_brings_as_many_again(self) -> None:
        """The next two of the order, also where they stand before the one that failed."""
        run = at_the_draw()
        drawn = draw(run)

        found = looked_at(run, 1)

        assert {*drawn.sample, *drawn.if_one_fails[:2]} == set(found)
        assert 4 == len(found)

    def test_two_that_fail_of_the_same_draw_bring_as_many_once(self) -> None:
        """What was added is there already."""
        run = at_the_draw()
        drawn = draw(run)
        first, second = sorted(drawn.sample, key=int)
        places = {first, second}
        found: list[str] = []
        while isinstance(run.prompt, ask.Inspect):
            here = run.prompt.where.position or ""
            found.append(here)
            run.answer(a.Look("no" if here in places else "yes", inspector=OKKE))
            if here in places:
                run.answer(a.Resolve("concession", reason="agreed with the person in charge", person=OKKE))

        assert {*drawn.sample, *drawn.if_one_fails[:2]} == set(found)

    def test_where_all_follow_all_are_looked_at(self) -> None:
        """`if_one_fails = "all"`."""
        run = at_the_draw(Sample(least=2, then="all"))
        draw(run)

        assert 10 == len(looked_at(run, 2))

    def test_a_look_that_is_made_again_brings_none(self) -> None:
        """Only what stands as a failure is one."""
        run = at_the_draw()
        drawn = draw(run)
        run.answer(a.Look("no", inspector=OKKE))
        run.answer(a.Resolve("look again"))

        assert sorted(drawn.sample, key=int) == looked_at(run)

    def test_a_bolt_that_is_started_over_is_looked_at_again(self) -> None:
        """Its failure brings more, and it comes back to the same question."""
        run = at_the_draw()
        drawn = draw(run)
        failed = asked(run, ask.Inspect).where.position
        run.answer(a.Look("no", inspector=OKKE))
        run.answer(a.Resolve("from the beginning", scope="fastener"))
        run.steadily(ask.Finished)

        looks = [each for each in run.events if isinstance(each, e.Inspected) and each.step.startswith("2.1/")]
        assert 2 == sum(each.position == failed and each.work is None for each in looks)
        assert {*drawn.sample, *drawn.if_one_fails[:2]} == {each.position for each in looks if each.work is None}

    def test_measured_bolts_are_drawn_as_well(self) -> None:
        """An end outside its window, accepted as it is, brings the next ones."""
        flange = bolts(10)
        run = bench_for(flange, tighten(flange), measure(2, flange, asked="each", sample=TWO_OF_TEN))
        run.steadily(ask.DrawSample)
        drawn = draw(run)
        run.steadily(ask.Measure)
        value(run, "0.30")
        run.answer(a.Resolve("concession", reason="agreed with the person in charge", person=OKKE))
        run.steadily()

        at = {
            run.plan.steps[run.plan.index_of[each.step]].position for each in run.events if isinstance(each, e.Measured)
        }
        assert {*drawn.sample, *drawn.if_one_fails[:2]} == at

    def test_a_nut_that_moves_at_its_recheck_brings_all(self) -> None:
        """A sampled recheck with the torque tool."""
        flange = bolts(6)
        again = recheck(flange, 2, until_still=False, at_most=1, sample=Sample(least=2, then="all"))
        run = bench_for(flange, tighten(flange), again)
        run.steadily(ask.DrawSample)
        draw(run)
        run.steadily(ask.Recheck)
        steady = run.steady()
        assert isinstance(steady, a.Still)
        run.answer(a.Still(True, steady.text))
        run.steadily()

        at = {
            run.plan.steps[run.plan.index_of[each.step]].position
            for each in run.events
            if isinstance(each, e.Rechecked)
        }
        assert {str(number) for number in range(1, 7)} == at

    def test_until_still_goes_round_the_sample_again(self) -> None:
        """Only what was drawn is rechecked in each round."""
        flange = bolts(6)
        run = bench_for(flange, tighten(flange), recheck(flange, 2, sample=Sample(least=2)))
        run.steadily(ask.DrawSample)
        drawn = draw(run)
        run.steadily(ask.Recheck)
        steady = run.steady()
        assert isinstance(steady, a.Still)
        run.answer(a.Still(True, steady.text))  # the first round
        run.steadily()

        at = [
            run.plan.steps[run.plan.index_of[each.step]].position
            for each in run.events
            if isinstance(each, e.Rechecked)
        ]
        assert {*drawn.sample, *drawn.if_one_fails[:2]} == set(at)
        assert 8 == len(at)


class TestWhatIsAFailure:
    """Found to be wrong, however it came to light; not what is merely asked about."""

    def at_the_recheck(self, then: Any = "as many again") -> tuple[Bench, e.SampleDrawn]:
        """Two of eight are drawn to be rechecked."""
        flange = bolts(8)
        again = recheck(
            flange, 2, until_still=False, at_most=1, sample=Sample(least=2, then=then), window=window("28", "36")
        )
        run = bench_for(flange, tighten(flange), again)
        run.steadily(ask.DrawSample)
        drawn = draw(run)
        run.steadily(ask.Recheck)
        return run, drawn

    def rechecked(self, run: Bench) -> set[str]:
        run.steadily()
        at = (each for each in run.events if isinstance(each, e.Rechecked))
        return {run.plan.steps[run.plan.index_of[each.step]].position or "" for each in at}

    def test_a_skipped_bolt_is_none(self) -> None:
        """It is done later, and brings nothing."""
        run, drawn = self.at_the_recheck()
        run.answer(a.Skip("no room for the tool"))
        run.steadily(ask.Decide)
        run.answer(a.Resolve("do it now"))

        assert set(drawn.sample) == self.rechecked(run)

    def test_a_bad_pull_is_none(self) -> None:
        """The tool stays on the same bolt."""
        run, drawn = self.at_the_recheck()
        here = asked(run, ask.Recheck).where.position
        run.answer(a.BadPull(value="20"))
        run.answer(a.Resolve("pull again"))

        assert here == asked(run, ask.Recheck).where.position
        assert set(drawn.sample) == self.rechecked(run)

    def test_a_reading_corrected_to_under_is_one(self) -> None:
        """It was typed as within, and the bolt was loose."""
        run, drawn = self.at_the_recheck()
        run.answer(a.Still(False, "30"))
        run.answer(a.Correct("20", "the tool still shows it"))

        assert {*drawn.sample, *drawn.if_one_fails[:2]} == self.rechecked(run)

    def test_the_last_one_corrected_once_the_stage_seems_over_is_one(self) -> None:
        """The walk goes back for what is added."""
        flange = bolts(8)
        run = bench_for(flange, tighten(flange), measure(2, flange, asked="each", sample=Sample(least=2)), inspect(3))
        run.steadily(ask.DrawSample)
        drawn = draw(run)
        for _ in range(2):
            run.steadily(ask.Measure)
            value(run, "0.20")
        run.answer(a.Correct("0.30", "the tool still shows it"))
        run.answer(a.Resolve("concession", reason="agreed with the person in charge", person=OKKE))
        run.steadily()

        at = {
            run.plan.steps[run.plan.index_of[each.step]].position for each in run.events if isinstance(each, e.Measured)
        }
        assert {*drawn.sample, *drawn.if_one_fails[:2]} == at

    def test_the_last_one_voided_and_pulled_again_is_one_if_it_moves(self) -> None:
        """A click that did not count says nothing; the pull in its place does."""
        run, drawn = self.at_the_recheck()
        for _ in range(2):
            run.steadily(ask.Recheck)
            run.answer(a.Still(False, "30"))
        run.answer(a.VoidStored("jerk or chatter"))
        run.steadily(ask.Recheck)
        run.answer(a.Still(True, "30"))

        assert {*drawn.sample, *drawn.if_one_fails[:2]} == self.rechecked(run)


def test_the_inspector_of_the_joint_before_is_offered() -> None:
    """Okke inspects two injectors: one key names him again, the number is typed anew."""
    clamp = bolts(4, name="Clamp bolts")
    look = inspect(2, clamp, asked="each", hold_point=True, sample=Sample(least=1))
    two = Joints(one="Injector", names=("1", "2"), walk="one after the other")
    run = bench_for(clamp, tighten(clamp), look, joints=two)
    run.steadily(ask.DrawSample)
    first = asked(run, ask.DrawSample)
    draw(run)
    looked_at(run)
    run.steadily(ask.DrawSample)
    again = asked(run, ask.DrawSample)

    assert (None, OKKE) == (first.last, again.last)
    assert [("+", "Okke again")] == [(each.key, each.text) for each in of_prompt.keys(again).choices]
    begun = begin(again, "+")
    assert isinstance(begun, Draft)
    part = next_part(again, run.session, begun)
    assert isinstance(part, Part)
    assert "Okke, type any whole number. It draws the sample." == part.text
    assert (a.Draw("42", OKKE),) == next_part(again, run.session, begun.adding("number", "42"))


def test_the_map_hints_at_the_next_bolt_that_was_drawn_however_far_it_is() -> None:
    """Of twenty bolts two are drawn: the second is hinted at, and none that was not drawn."""
    run = at_the_draw(Sample(share=Decimal(10), least=2), count=20)
    first, second = sorted(draw(run, "3").sample, key=int)
    assert int(second) - int(first) > 12

    assert (second,) == the_round.of(run.session, run.prompt).ahead
