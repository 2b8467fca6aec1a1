"""What is told where a stage or one of its rounds begins."""

from __future__ import annotations

from small_joints import at_first_pull, bench_for, bolts, choices, locker, measure, tighten, turn, value, wait

from bench import OKKE, Bench
from clampbook.procedure import model as m
from clampbook.run import answers as a
from clampbook.run import prompts as ask
from clampbook.run.asked import details
from clampbook.run.told.stages import begins


def told(run: Bench, answer: a.Answer) -> str | None:
    """What is said of a new stage after an answer."""
    before = run.prompt
    run.answer(answer)
    return begins(before, run.session, run.prompt)


def test_the_first_question_of_a_stage_says_so() -> None:
    """Bolt 2 was the last of the first stage; after it comes the end play, once for the joint."""
    head = bolts(2)
    run = at_first_pull(head, tighten(head), measure(2), wait(3))

    assert [None, "Stage 2 of 3: measure."] == [told(run, a.Value("30")), told(run, a.Value("30"))]
    assert "Stage 3 of 3: wait." == told(run, a.Value("0.2"))


def test_a_second_round_is_told_though_its_question_reads_alike() -> None:
    """Two turns of 90° are not one of 180°."""
    head = bolts(1)
    run = at_first_pull(head, tighten(head), turn(head, rounds=2))

    assert "Stage 2 of 2, round 1 of 2: turn head bolts." == told(run, a.Value("30"))
    while type(run.prompt).__name__ != "Turn":  # the gauge is picked up and zeroed within the same round
        assert told(run, run.steady()) is None
    assert "Stage 2 of 2, round 2 of 2: turn head bolts." == told(run, a.Value("92"))


def test_what_is_applied_is_named() -> None:
    """Nobody applies a bolt."""
    head = bolts(1)
    run = bench_for(head, locker(head), tighten(head, 2), cautions=("Eye protection on.",))

    assert "Stage 1 of 2: apply thread locker." == told(run, a.Plus())


def test_work_that_is_done_again_begins_no_stage() -> None:
    """Bolt 2 went over and starts over: the others of its stage are where they were."""
    head = bolts(3)
    run = at_first_pull(head, tighten(head), tighten(head, 2))
    for reading in ("30", "30", "30", "30"):
        value(run, reading)
    value(run, "45")
    assert "from the beginning" in choices(run)

    said = [told(run, a.Resolve("from the beginning", scope="fastener"))]
    while run.prompt.where.position == "2" or run.prompt.where.again is not None:  # type: ignore[union-attr]
        said.append(told(run, run.steady()))

    assert {None} == set(said)


def test_after_a_concession_in_the_last_step_the_next_stage_is_told() -> None:
    """The question between them belongs to the stage before."""
    head = bolts(1)
    run = at_first_pull(head, tighten(head), measure(2))
    value(run, "45")

    assert "Stage 2 of 2: measure." == told(run, a.Resolve("concession", reason="agreed", person=OKKE))


def test_a_question_about_parts_comes_before_the_first_stage() -> None:
    """One washer is missing: no bolt is tightened until that is settled, and none is named."""
    head = bolts(2)
    washers = m.Part(name="Washers", record="count", needed=2)
    run = bench_for(head, tighten(head), parts=(washers,))

    assert [None, None, None] == [told(run, a.Value("1")), told(run, a.Resolve("ask again")), told(run, a.Value("1"))]
    assert not any(line.startswith(("step ", "fastener:")) for line in details(run.prompt))
    assert "Stage 1 of 1: tighten head bolts." == told(run, a.Resolve("go on", reason="the rest comes later"))


def test_a_bolt_pulled_out_of_turn_begins_no_stage() -> None:
    """Bolt 2 of the sump is asked about while the head is tightened."""
    head, sump = bolts(2), bolts(2, name="Sump bolts", first=3)
    run = at_first_pull((head, sump), tighten(head), tighten(sump, 2))
    value(run, "30")

    assert told(run, a.PulledAnother("4", "30")) is None
    assert isinstance(run.prompt, ask.Decide)
