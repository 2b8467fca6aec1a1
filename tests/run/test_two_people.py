"""Two people at one joint: who did it, who typed it, and who takes over."""

from __future__ import annotations

from small_joints import asked, at_first_pull, bolts, refused, stored, tighten, value

from bench import INES, MAUD, OKKE, TOMAS, Bench
from clampbook.ledger.stamp import Stamp
from clampbook.run import answers as a
from clampbook.run import events as e
from clampbook.run import prompts as ask
from clampbook.run.answers import Accepted, Refused, Unsure
from clampbook.run.decide import decide
from clampbook.run.gather.draft import Draft, Part
from clampbook.run.gather.parts import begin, next_part


def run_of() -> Bench:
    """A run of three bolts at its first pull."""
    head = bolts(3)
    return at_first_pull(head, tighten(head))


def texts(part: Part) -> list[str]:
    """The choices as they are read."""
    return [choice.text for choice in part.choices]


def typed_for(run: Bench, hands: str, answer: a.Answer) -> Accepted | Unsure | Refused:
    """Ines types what somebody else did."""
    run.wait(3)
    outcome = decide(run.session, answer, Stamp(run.now, "+01:00", INES.id, hands))
    if isinstance(outcome, Accepted):
        run.store(outcome.event)
    return outcome


class TestDoneBy:
    """Events hold who did it and who entered it."""

    def test_both_are_kept_where_they_differ(self) -> None:
        """Tomas pulls, Ines types."""
        taken = stored(typed_for(run_of(), TOMAS.id, a.Value("30")), e.ReadingTaken)

        assert ("ines", "tomas") == (taken.by, taken.done_by)

    def test_alone_there_is_one_name(self) -> None:
        """Ines pulls and types: nothing is said twice."""
        taken = stored(typed_for(run_of(), INES.id, a.Value("30")), e.ReadingTaken)

        assert ("ines", None) == (taken.by, taken.done_by)

    def test_whoever_pulled_is_the_one_who_worked(self) -> None:
        """Tomas did the work that another person must inspect; typing is not pulling."""
        run = run_of()
        typed_for(run, TOMAS.id, a.Value("30"))

        assert (("tomas",), ("ines",)) == (run.session.progress.shares.pulled, run.session.progress.shares.typed)

    def test_neither_of_the_two_can_concede(self) -> None:
        """A concession needs somebody beside the hands and the keyboard."""
        run = run_of()
        typed_for(run, TOMAS.id, a.Value("35"))

        for one in (INES, TOMAS):
            wanted = a.Resolve("concession", reason="agreed", person=one)
            assert "Ask a second person" in refused(typed_for(run, TOMAS.id, wanted))
        stored(typed_for(run, TOMAS.id, a.Resolve("concession", reason="agreed", person=OKKE)), e.Decided)


class TestHandOver:
    """Another person goes on."""

    def test_it_names_who_takes_over(self) -> None:
        """Possible at any step."""
        run = run_of()

        handed = stored(run.answer(a.HandTo(TOMAS)), e.HandedOver)

        assert (TOMAS, "tomas") == (handed.to, run.session.progress.by)

    def test_a_second_pair_of_hands_is_named_too(self) -> None:
        """Tomas types, Maud pulls."""
        run = run_of()

        assert stored(run.answer(a.HandTo(TOMAS, MAUD)), e.HandedOver).done_by_person == MAUD

    def test_to_oneself_it_is_none(self) -> None:
        """Ines is doing this already."""
        assert "Ines has this run already" in refused(run_of().answer(a.HandTo(INES)))

    def test_nobody_is_asked_to_take_over_from_themselves(self) -> None:
        """Ines is at it: the others are on the list, and that she stays while another person pulls."""
        run = run_of()
        begun = begin(run.prompt, "*10")
        assert isinstance(begun, Draft)

        who = next_part(run.prompt, run.session, begun)

        assert isinstance(who, Part)
        assert ["Tomas", "Maud", "nobody: Ines stays, another person pulls"] == texts(who)
        pulls = next_part(run.prompt, run.session, Draft("hand over", (("person", TOMAS),)))
        assert isinstance(pulls, Part)
        assert "no one else" in texts(pulls)
        assert "Tomas" not in texts(pulls)

    def test_whoever_stays_names_who_pulls_now(self) -> None:
        """Tomas pulls, Ines types; from now on it is somebody else, or Ines alone."""
        run = run_of()
        run.answer(a.HandTo(INES, TOMAS))

        pulls = next_part(run.prompt, run.session, Draft("hand over", (("person", "nobody"),)))

        assert isinstance(pulls, Part)
        assert "Who pulls now?" == pulls.text
        assert {"Ines", "Maud"} <= set(texts(pulls))
        assert "Tomas" not in texts(pulls)

    def test_the_next_pull_waits_for_zero_and_a_look(self) -> None:
        """Who takes over looks at what was done, and at the tool."""
        run = run_of()
        value(run, "30")
        run.answer(a.HandTo(TOMAS))
        run.answer(a.Found("not started"))

        assert "look back" == asked(run, ask.Inspect).work
        run.answer(a.Look("yes"))
        assert isinstance(run.prompt, ask.ZeroTool)

    def test_in_the_middle_of_a_decision_it_stays_open(self) -> None:
        """The question is handed over with the rest."""
        run = run_of()
        value(run, "35")

        run.answer(a.HandTo(TOMAS))

        assert "over" == asked(run, ask.Decide).cause


class TestNotes:
    """A note at any step changes nothing but the daybook."""

    def test_it_stands_at_the_step_at_hand(self) -> None:
        """And the same prompt is asked again."""
        run = run_of()
        before = run.prompt

        noted = stored(run.answer(a.Note("thread felt dry")), e.Noted)

        assert ("1.1/1", "thread felt dry", before) == (noted.step, noted.text, run.prompt)

    def test_it_can_be_about_an_older_line(self) -> None:
        """Which must be there."""
        run = run_of()
        value(run, "30")

        assert 4 == stored(run.answer(a.Note("that was bolt 1", about=4)), e.Noted).about
        assert "no line 99" in refused(run.answer(a.Note("that was bolt 1", about=99)))


class TestArrivedUnasked:
    """A tool that types like a keyboard, where nothing was asked."""

    def test_the_line_is_kept_with_the_position_it_belongs_to(self) -> None:
        """Nothing is counted as a pull."""
        run = run_of()
        before = run.prompt

        arrived = stored(run.answer(a.Arrived("30.2", "2")), e.ArrivedUnasked)

        assert ("30.2", "2", before) == (arrived.text, arrived.belongs_to, run.prompt)

    def test_it_may_belong_to_none(self) -> None:
        """Somebody pressed the button while the tool lay on the bench."""
        assert None is stored(run_of().answer(a.Arrived("0.0")), e.ArrivedUnasked).belongs_to
