"""What the map says of each position while a run goes on."""

from __future__ import annotations

from small_joints import (
    READING,
    W7,
    W8,
    align,
    asked,
    bench_for,
    bolts,
    choices,
    inspect,
    locker,
    loosen,
    measure,
    tighten,
    turn,
    value,
    walk_to,
    window,
)

from bench import G1, OKKE, W5, Bench
from clampbook.run import answers as a
from clampbook.run import prompts as ask
from clampbook.run.told import the_round
from clampbook.run.told.words import Read
from clampbook.screens.explaining import help_at


def mark(run: Bench, position: str) -> str:
    """The mark of a position as it stands now."""
    return the_round.marks(run.session, run.prompt)[position]


def reads(run: Bench) -> tuple[Read, ...]:
    """The readings that are drawn in the window at hand."""
    return the_round.of(run.session, run.prompt).reads


def conceded() -> Bench:
    """Two bolts in two rounds and a hold point after them; bolt 1 went over in the first round and was accepted."""
    head = bolts(2)
    run = bench_for(head, tighten(head, rounds=2), inspect(2, hold_point=True))
    walk_to(run, "1.1/1", ask.Tighten)
    value(run, "34")
    run.answer(a.Resolve("concession", reason="looked at", person=OKKE))
    return run


def test_help_holds_the_map_in_words() -> None:
    """Whoever hears the screen or would rather read it finds each position with what became of it."""
    run = conceded()

    told = help_at(run.prompt, run.session)

    assert "from the left: 1 by concession, 2 to do, the one now" in told[told.index("# The map in words") :]


class TestConcession:
    """What was accepted by concession stays in sight for whoever looks at the joint later."""

    def test_it_is_shown_at_the_hold_point(self) -> None:
        """Bolt 1 was within in the second round; the inspector still sees that it was accepted before."""
        run = conceded()

        walk_to(run, "2.1/-", ask.Inspect)

        assert ("concession", "within") == (mark(run, "1"), mark(run, "2"))

    def test_what_must_be_looked_at_now_comes_before_it(self) -> None:
        """Over once more in the second round is over, until it is decided."""
        run = conceded()
        walk_to(run, "1.2/1", ask.Tighten)

        value(run, "35")

        assert "over" == mark(run, "1")

    def test_from_the_beginning_it_is_gone(self) -> None:
        """A fastener that was loosened and done anew has nothing left to concede."""
        run = conceded()
        walk_to(run, "1.2/1", ask.Tighten)
        value(run, "35")
        assert "from the beginning" in choices(run)

        run.answer(a.Resolve("from the beginning", scope="fastener"))
        before = mark(run, "1")
        walk_to(run, "2.1/-", ask.Inspect)

        assert ("to do again", "within") == (before, mark(run, "1"))


class TestLastReadings:
    """What was read last, beside the field, where more of the same is to be read."""

    def test_they_are_those_of_the_stage_at_hand(self) -> None:
        """As a turn begins, the torques before it are no help; then its own angles are."""
        head = bolts(2)
        run = bench_for(head, tighten(head), turn(head))
        walk_to(run, "2.1/1", ask.Turn)
        before = reads(run)
        value(run, "92")

        assert () == before
        assert [("1", "within", "92°")] == [(read.position, read.mark, read.text) for read in reads(run)]

    def test_at_a_slot_only_what_was_read_there_stands(self) -> None:
        """Nut 1 was at its slot already: its pull was read in the stage before. Nut 2 was turned on and read."""
        nuts = bolts(3, "Arm nuts")
        run = bench_for(nuts, tighten(nuts), align(nuts), tools=READING)
        walk_to(run, "2.1/1", ask.Align)
        run.answer(a.Slot("already"))
        run.answer(a.Look("yes"))
        run.answer(a.Slot("turned"))
        value(run, "34")
        run.answer(a.Look("yes"))
        run.answer(a.Slot("turned"))

        assert "2.1/3" == asked(run, ask.Measure).where.id
        assert [("2", "within", "34")] == [(read.position, read.mark, read.text) for read in reads(run)]

    def test_a_round_has_its_own(self) -> None:
        """The second round begins with none."""
        head = bolts(2)
        run = bench_for(head, tighten(head, rounds=2))
        walk_to(run, "1.1/2", ask.Tighten)
        first = [read.position for read in reads(run)]
        walk_to(run, "1.2/1", ask.Tighten)

        assert (["1"], ()) == (first, reads(run))


class TestWorkWithoutAPull:
    """What was done to a fastener stands on the map as soon as the record says so."""

    def test_loosened(self) -> None:
        """By hand, one after the other."""
        head = bolts(2)
        run = bench_for(head, loosen(head, 1), tighten(head, 2))
        walk_to(run, "1.1/2", ask.Loosen)

        assert ("loosened", "to do") == (mark(run, "1"), mark(run, "2"))
        walk_to(run, "2.1/1", ask.Tighten)

        assert ("to do", "to do") == (mark(run, "1"), mark(run, "2"))

    def test_applied(self) -> None:
        """Thread locker on the first of two."""
        head = bolts(2)
        run = bench_for(head, locker(head, 1), tighten(head, 2))
        walk_to(run, "1.1/2", ask.Apply)

        assert ("applied", "to do") == (mark(run, "1"), mark(run, "2"))

    def test_measured(self) -> None:
        """Within its window, with the number and its unit among the last readings."""
        head = bolts(2)
        run = bench_for(head, measure(1, head, asked="each"), tighten(head, 2))
        walk_to(run, "1.1/2", ask.Measure)

        assert ("within", "to do") == (mark(run, "1"), mark(run, "2"))
        assert ["mm"] == [read.unit for read in reads(run)]

    def test_looked_at(self) -> None:
        """As expected."""
        head = bolts(2)
        run = bench_for(head, inspect(1, head, asked="each"), tighten(head, 2))
        walk_to(run, "1.1/2", ask.Inspect)

        assert ("confirmed", "to do") == (mark(run, "1"), mark(run, "2"))


def test_a_click_of_which_nobody_is_sure_is_shown_as_that() -> None:
    """Bolt 1 was read at 30 and pulled again by mistake with W8, set to 30: the reading is not that pull."""
    head = bolts(3)
    run = bench_for(head, tighten(head), tools=(W7, W8))
    walk_to(run, "1.1/1", ask.Tighten)
    value(run, "29")
    run.answer(a.TakeUp("w8"))
    walk_to(run, "1.1/2", ask.Tighten)
    run.answer(a.PulledAnother("1", clicked=None))
    run.answer(a.Resolve("concession", reason="looked at", person=OKKE))

    assert ("concession", ()) == (mark(run, "1"), reads(run))


class TestWhatComesNext:
    """The map hints at where the hand goes after this pull."""

    def test_the_next_two_of_the_stage(self) -> None:
        """In the order of the plan; at its end there are fewer."""
        head = bolts(4)
        run = bench_for(head, tighten(head), turn(head))
        ahead = []
        for number in range(1, 5):
            walk_to(run, f"1.1/{number}", ask.Tighten)
            ahead.append(the_round.of(run.session, run.prompt).ahead)

        assert [("2", "3"), ("3", "4"), ("4",), ()] == ahead

    def test_nothing_while_something_is_decided(self) -> None:
        """Nobody goes on before that."""
        head = bolts(3)
        run = bench_for(head, tighten(head))
        walk_to(run, "1.1/1", ask.Tighten)

        value(run, "36")

        assert () == the_round.of(run.session, run.prompt).ahead


def test_no_angle_stands_on_a_scale_of_torque() -> None:
    """At the torque at the end of a turn the turns before it have no place in its window."""
    head = bolts(2)
    run = bench_for(head, tighten(head), turn(head, final_torque=window("55", "95")), tools=(W5, G1))
    walk_to(run, "2.1/1", ask.Turn)
    value(run, "91")
    walk_to(run, "2.1/1", ask.Measure)

    assert () == reads(run)
