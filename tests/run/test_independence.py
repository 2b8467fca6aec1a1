"""One rule of independence: whoever pulled, typed readings, or signed for the work does not vouch for it as another."""

from __future__ import annotations

import pytest
from msgspec.structs import replace
from small_joints import asked, bench_for, bolts, choices, events_of, inspect, refused, stored, tighten, turn, value
from small_joints import walk_to as to

from bench import INES, MAUD, OKKE, TOMAS, Bench
from clampbook.people import Person
from clampbook.procedure import model as m
from clampbook.record.frozen import read
from clampbook.record.record import build
from clampbook.run import answers as a
from clampbook.run import events as e
from clampbook.run import prompts as ask
from clampbook.run.fold.independence import LOOKED_BEFORE
from clampbook.run.lines import stored as told
from clampbook.run.recount import recounted
from walks import frozen

ASSEMBLER = m.SignOff(role="assembler", required=True)
INSPECTOR = m.SignOff(role="inspector", required=True, another_person=True)


def handed_over(*roles: m.SignOff) -> Bench:
    """Bolt 1 pulled by Ines, bolt 2 by Tomas, at the sign-offs."""
    head = bolts(2)
    run = bench_for(head, tighten(head), sign_off=roles)
    to(run, "1.1/1", ask.Tighten)
    value(run, "30")
    run.answer(a.HandTo(TOMAS))
    run.steadily(until=ask.SignOff)
    return run


def pages_of(run: Bench) -> str:
    """The record of what was walked, closed."""
    return build(*frozen(run)).decode()


class TestOnePersonAndTwoSignatures:
    """ "I tightened these", and a second later "I inspected these. I did none of the work"."""

    def test_whoever_signed_as_assembler_is_never_independent(self) -> None:
        """Okke pulled nothing and answers for it, with a reason; then Okke cannot inspect it as another person."""
        run = handed_over(ASSEMBLER, INSPECTOR)
        stored(run.answer(a.Sign(OKKE, "both went home")), e.SignedOff)
        run.answer(a.SkipSignOff())

        assert OKKE.id in asked(run, ask.SignOff).not_by
        assert "Okke signed for this work" in refused(run.answer(a.Sign(OKKE)))

    def test_nor_where_the_inspector_signs_first(self) -> None:
        """Maud vouches as another person; as assembler somebody who pulled signs."""
        run = handed_over(INSPECTOR, ASSEMBLER)
        stored(run.answer(a.Sign(MAUD)), e.SignedOff)

        assert "Maud was the second person in this run" in refused(run.answer(a.Sign(MAUD, "nobody else")))
        assert "performed" == stored(run.answer(a.Sign(INES)), e.SignedOff).meaning

    def test_nor_who_typed_what_another_pulled(self) -> None:
        """Ines types, Tomas pulls: neither of them is another person."""
        head = bolts(1)
        run = bench_for(head, tighten(head), sign_off=(ASSEMBLER, INSPECTOR))
        to(run, "1.1/1", ask.Tighten)
        run.answer(a.HandTo(INES, TOMAS))
        run.steadily(until=ask.SignOff)
        stored(run.answer(a.Sign(TOMAS)), e.SignedOff)

        assert (TOMAS.id, INES.id) == (run.session.progress.shares.pulled[0], run.session.progress.shares.typed[0])
        assert "Ines typed readings of this work" in refused(run.answer(a.Sign(INES)))


class TestRequiredInspector:
    """A required inspector who did the work is no clean end."""

    def test_it_is_a_deviation_and_stands_on_page_one(self) -> None:
        """Done, with one deviation that says who, as what, and why."""
        head = bolts(1)
        run = bench_for(head, tighten(head), sign_off=(ASSEMBLER, INSPECTOR))
        run.steadily(until=ask.SignOff)
        run.answer(a.Sign(INES))
        run.answer(a.Sign(INES, "nobody else in the house"))

        assert 1 == asked(run, ask.Finished).deviations
        run.steadily()
        record = pages_of(run)
        assert "deviations = 1" in record
        assert 'kind = "inspected by the same person"' in record
        assert 'reason = "nobody else in the house"' in record


class TestConcession:
    """A second person accepts, never who pulled it too tight."""

    def test_who_went_over_and_handed_over_cannot_grant_it(self) -> None:
        """Ines went over; Tomas has taken over and asks Ines."""
        head = bolts(2)
        run = bench_for(head, tighten(head))
        to(run, "1.1/1", ask.Tighten)
        value(run, "35")
        run.answer(a.HandTo(TOMAS))

        assert "concession" in choices(run)
        said = refused(run.answer(a.Resolve("concession", reason="agreed", person=INES)))
        assert "Ines did this work. Ask a second person" in said
        assert "Tomas is at this work" in refused(run.answer(a.Resolve("concession", reason="agreed", person=TOMAS)))
        assert OKKE == stored(run.answer(a.Resolve("concession", reason="agreed", person=OKKE)), e.Decided).person


class TestHandOvers:
    """One assembler does not sign for everybody."""

    def test_each_who_pulled_is_asked_to_sign(self) -> None:
        """After Ines, Tomas."""
        run = handed_over(ASSEMBLER, INSPECTOR)
        run.answer(a.Sign(INES))

        assert (TOMAS,) == asked(run, ask.SignOff).left
        assert "Type Tomas" in refused(run.answer(a.Sign(INES)))
        signed = stored(run.answer(a.Sign(TOMAS)), e.SignedOff)
        assert ("assembler", "performed", "inspector") == (signed.role, signed.meaning, asked(run, ask.SignOff).role)

    def test_page_one_names_who_did_not(self) -> None:
        """Tomas went home without signing."""
        run = handed_over(ASSEMBLER)
        run.answer(a.Sign(INES))
        run.answer(a.SkipSignOff())
        run.steadily()

        assert 'pulled_not_signed = [\n    "Tomas",\n]' in pages_of(run)

    def test_the_assembler_is_one_of_those_who_pulled_or_a_reason_is_asked(self) -> None:
        """Okke did not pull: with a reason it is called what it is, and departs from the procedure."""
        run = handed_over(ASSEMBLER)

        assert "Okke made no pull in this run" in refused(run.answer(a.Sign(OKKE)))
        signed = stored(run.answer(a.Sign(OKKE, "both went home")), e.SignedOff)
        assert ("answers for the work of others", 1) == (signed.meaning, run.session.progress.deviations)


class TestLookedAndThenWorked:
    """Whoever vouched as another person and lays hands on the work afterwards."""

    def looked(self) -> Bench:
        """Ines pulled, Maud looked at the hold point, the turn is still to come."""
        head = bolts(2)
        run = bench_for(head, tighten(head), inspect(2, head, hold_point=True), turn(head, 3), sign_off=(ASSEMBLER,))
        to(run, "2.1/-", ask.Inspect)
        run.answer(a.Look("yes", inspector=MAUD))
        return run

    @pytest.mark.parametrize(("who", "expected"), [(MAUD, (MAUD,)), (TOMAS, ())])
    def test_it_is_told_when_the_run_is_handed_over(self, who: Person, expected: tuple[Person, ...]) -> None:
        """Before the first pull, and only to whoever looked."""
        run = self.looked()

        handed = stored(run.answer(a.HandTo(who)), e.HandedOver)

        assert expected == handed.looked
        assert bool(expected) == ("was the second person in this run" in told(handed, run.plan))

    def test_it_is_recorded_with_the_first_work(self) -> None:
        """Once, as a deviation that names the line of the look."""
        run = self.looked()
        run.answer(a.HandTo(MAUD))
        run.steadily()

        noted = [event.seq for event in run.events if "worked on it after looking at it" in event.noted]
        line = events_of(run, e.Inspected)[0].seq
        assert 1 == len(noted)
        told = "".join(pages_of(run).split())
        assert "".join(LOOKED_BEFORE.split()) in told and f"vouched_at_lines=[{line},]" in told


class TestVerify:
    """Who vouches is worked out again from the lines, whatever a line says of itself."""

    def test_a_meaning_that_the_lines_do_not_bear_out_is_named(self) -> None:
        """Ines pulled, and the line calls Ines independent."""
        run = handed_over(ASSEMBLER, INSPECTOR)
        run.answer(a.Sign(INES))
        run.answer(a.Sign(TOMAS))
        run.answer(a.Sign(INES, "nobody else"))
        run.steadily()
        plan = read(*frozen(run)).plan
        changed = [
            replace(each, meaning="independently inspected") if getattr(each, "role", "") == "inspector" else each
            for each in run.events
        ]

        assert [] == list(recounted(plan, run.events))
        assert ["but who pulled, typed and signed gives inspected again by the same person"] == [
            said.partition(", ")[2] for _, said in recounted(plan, changed)
        ]
