"""A hold point: another person looks and signs in one act, or the run waits for one."""

from __future__ import annotations

from small_joints import asked, bench_for, bolts, choices, inspect, refused, stored, tighten, turn, walk_to

from bench import INES, MAUD, OKKE, Bench
from clampbook.procedure import model as m
from clampbook.run import answers as a
from clampbook.run import events as e
from clampbook.run import prompts as ask
from clampbook.run.gather.draft import Draft, Part, take
from clampbook.run.gather.parts import next_part


def at_the_hold_point() -> Bench:
    """A run that Ines pulled, at the look of another person before the turn."""
    head = bolts(2)
    run = bench_for(head, tighten(head), inspect(2, head, hold_point=True), turn(head, 3))
    walk_to(run, "2.1/-", ask.Inspect)
    return run


class TestAnotherPerson:
    """Somebody who did no work in this run."""

    def test_inspection_and_signature_are_one_answer(self) -> None:
        """Who looked and with what meaning stand in the same line as the answer."""
        looked = stored(at_the_hold_point().answer(a.Look("yes", inspector=MAUD)), e.Inspected)

        assert (MAUD, "independently inspected", True) == (looked.inspector, looked.meaning, looked.as_expected)

    def test_without_a_name_it_is_refused(self) -> None:
        """The sentence says what to do where nobody is there: hold the run."""
        said = refused(at_the_hold_point().answer(a.Look("yes")))

        assert "Say who looked" in said
        assert "put the run on hold" in said

    def test_whoever_pulled_needs_a_reason(self) -> None:
        """Ines cannot look at her own work independently."""
        run = at_the_hold_point()

        assert "Ines did this work" in refused(run.answer(a.Look("yes", inspector=INES)))

    def test_with_a_reason_it_is_called_what_it_is(self) -> None:
        """Inspected again by the same person, and a deviation."""
        run = at_the_hold_point()

        looked = stored(run.answer(a.Look("yes", inspector=INES, reason="nobody else in the house")), e.Inspected)

        assert ("inspected again by the same person", "nobody else in the house", 1) == (
            looked.meaning,
            looked.reason,
            run.session.progress.deviations,
        )

    def test_not_as_expected_is_decided_with_the_inspector_named(self) -> None:
        """Maud finds bolt 2 without a mark."""
        run = at_the_hold_point()

        looked = stored(run.answer(a.Look("no", ("2",), MAUD)), e.Inspected)

        assert (MAUD, "2") == (looked.inspector, asked(run, ask.Decide).position)


class TestNobodyThere:
    """The run stands unfinished on the bench."""

    def test_it_is_held_awaiting_inspection(self) -> None:
        """With the reason; nothing more is asked today."""
        run = at_the_hold_point()

        held = stored(run.answer(a.Hold("Maud comes tomorrow")), e.Held)

        assert ("awaiting inspection", "held", "Maud comes tomorrow") == (
            held.cause,
            asked(run, ask.Ended).outcome,
            asked(run, ask.Ended).reason,
        )

    def test_the_next_day_the_same_look_is_asked(self) -> None:
        """After looking back, the hold point stands where it stood."""
        run = at_the_hold_point()
        run.answer(a.Hold("Maud comes tomorrow"))
        run.resume(gap=80_000)
        while isinstance(run.prompt, ask.Inspect) and run.prompt.work == "look back":
            run.answer(a.Look("yes"))

        assert ("2.1/-", True) == (asked(run, ask.Inspect).where.id, asked(run, ask.Inspect).hold_point)

    def test_holding_needs_a_reason(self) -> None:
        """Whoever finds the run reads why it waits."""
        assert "Type why" in refused(at_the_hold_point().answer(a.Hold("")))


class TestSignOff:
    """At the end each role signs with its meaning."""

    def at_the_end(self) -> Bench:
        """A run that Ines pulled, at its sign-off by an assembler and by another person."""
        head = bolts(1)
        roles = (
            m.SignOff(role="assembler", required=True),
            m.SignOff(role="inspector", required=True, another_person=True),
        )
        run = bench_for(head, tighten(head), sign_off=roles)
        run.steadily(until=ask.SignOff)
        return run

    def test_who_did_the_work_signs_performed(self) -> None:
        """By typed name; no key is claimed."""
        signed = stored(self.at_the_end().answer(a.Sign(INES)), e.SignedOff)

        assert ("assembler", "performed", None) == (signed.role, signed.meaning, signed.key)

    def test_another_person_signs_independently_inspected(self) -> None:
        """Maud did not pull."""
        run = self.at_the_end()
        run.answer(a.Sign(INES))

        assert "independently inspected" == stored(run.answer(a.Sign(MAUD)), e.SignedOff).meaning

    def test_the_same_person_needs_a_reason_and_gets_another_meaning(self) -> None:
        """Inspected again by the same person, with the reason."""
        run = self.at_the_end()
        run.answer(a.Sign(INES))

        assert "Ines did this work" in refused(run.answer(a.Sign(INES)))
        signed = stored(run.answer(a.Sign(INES, "nobody else in the house")), e.SignedOff)
        assert ("inspected again by the same person", "nobody else in the house") == (signed.meaning, signed.reason)

    def test_a_required_role_is_not_left_out(self) -> None:
        """It can be held, never skipped."""
        assert "Type the name" in refused(self.at_the_end().answer(a.SkipSignOff()))

    def test_nobody_there_to_sign_holds_the_run(self) -> None:
        """Awaiting inspection, like at a hold point."""
        assert "awaiting inspection" == stored(self.at_the_end().answer(a.Hold("tomorrow")), e.Held).cause

    def test_not_accepted_needs_a_reason(self) -> None:
        """A run can always be closed as not accepted, and says why."""
        run = self.at_the_end()
        run.answer(a.Sign(INES))
        run.answer(a.Sign(OKKE))

        assert "Type why" in refused(run.answer(a.Finish(False)))
        assert "not accepted" == stored(run.answer(a.Finish(False, "wrong gasket")), e.Closed).outcome

    def test_nothing_is_written_after_the_end(self) -> None:
        """A closed run takes no more lines."""
        run = self.at_the_end()
        run.steadily()

        assert "This run is over" in refused(run.answer(a.Note("one more thing")))


def test_a_concession_at_a_hold_point_needs_somebody_else_than_who_works() -> None:
    """Ines works; Okke may accept what Maud did not."""
    run = at_the_hold_point()
    run.answer(a.Look("no", (), MAUD))

    assert "concession" in choices(run)
    assert "Ask a second person" in refused(run.answer(a.Resolve("concession", reason="agreed", person=INES)))
    stored(run.answer(a.Resolve("concession", reason="agreed", person=OKKE)), e.Decided)


class TestTheNextJoint:
    """Whoever looked at one joint mostly looks at the next."""

    def at_the_first_look(self) -> Bench:
        """The first of two injectors, tightened."""
        clamp = bolts(2, name="Clamp bolts")
        two = m.Joints(one="Injector", names=("1", "2"), walk="one after the other")
        run = bench_for(clamp, tighten(clamp), inspect(2, hold_point=True), joints=two)
        walk_to(run, "2.1/-", ask.Inspect)
        return run

    def who(self, run: Bench) -> Part:
        """The question for whoever looked."""
        part = next_part(run.prompt, run.session, Draft("begun", begun=a.Look("yes")))
        assert isinstance(part, Part)
        return part

    def test_the_one_who_looked_before_is_offered_first(self) -> None:
        """+ and Enter name Maud again; at the first joint there is nobody to offer."""
        run = self.at_the_first_look()
        assert ["1", "2", "3"] == [each.key for each in self.who(run).choices]
        run.answer(a.Look("yes", inspector=MAUD))
        walk_to(run, "4.1/-", ask.Inspect)
        part = self.who(run)
        named = take(Draft("begun", begun=a.Look("yes")), part, "+", lambda _: INES)

        assert ("+", "Maud again") == (part.choices[0].key, part.choices[0].text)
        assert isinstance(named, Draft)
        assert MAUD == named.person("person")

    def test_not_once_that_one_has_a_share_in_the_work(self) -> None:
        """Maud pulled at the second injector, and is another person there no longer."""
        run = self.at_the_first_look()
        run.answer(a.Look("yes", inspector=MAUD))
        walk_to(run, "3.1/2:1", ask.Tighten)
        run.answer(a.HandTo(MAUD))
        walk_to(run, "4.1/-", ask.Inspect)

        assert ["1", "2", "3"] == [each.key for each in self.who(run).choices]
