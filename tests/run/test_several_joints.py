"""Several joints in one run: what is decided at one of them leaves the others alone."""

from __future__ import annotations

from decimal import Decimal
from typing import Any

import pytest
from small_joints import (
    asked,
    at,
    bench_for,
    bolts,
    choices,
    events_of,
    inspect,
    measure,
    procedure,
    steps_of,
    tighten,
    turn,
    value,
    wait,
    walk_to,
    window,
)

from bench import TOMAS, W2, Bench
from clampbook.procedure import model as m
from clampbook.run import answers as a
from clampbook.run import events as e
from clampbook.run import prompts as ask
from clampbook.run.acts.another_position import complete as which_bolt
from clampbook.run.asked import in_short, sentence, step_line
from clampbook.run.gather.asking import which_joints
from clampbook.run.gather.draft import JOINTS, Draft, Part, take
from clampbook.run.lines import stored
from clampbook.run.planning import plan
from clampbook.run.questions.items import start_items
from clampbook.run.recount import recounted
from clampbook.run.told import joints, the_round
from clampbook.run.told.last_three import last_three
from clampbook.run.told.places import fasteners, place, stage_at
from clampbook.run.told.stages import begins, stages

CLAMP = bolts(2, "Clamp bolts")


def injectors(*stages: m.Stage, walk: m.Walked = "one after the other", count: int = 3, **more: Any) -> Bench:
    """A run at so many injectors of two clamp bolts each."""
    several = m.Joints(one="Injector", names=tuple(map(str, range(1, count + 1))), walk=walk)
    return bench_for(more.pop("group", CLAMP), *stages, joints=several, **more)


TWO_STAGES = (tighten(CLAMP), turn(CLAMP))


def test_each_pull_names_its_joint_and_its_bolt() -> None:
    """The sentence fits a line of 80 columns, and says which injector also where it is short."""
    run = injectors(*TWO_STAGES)
    now = walk_to(run, "3.1/2:1", ask.Tighten)

    assert "Injector 2 clamp bolt 1: pull W7 slowly to 30 N·m. Type its reading." == sentence(now)
    assert sentence(in_short(now)).startswith("Injector 2 bolt 1: ")


def test_a_joint_is_done_before_the_next_one_begins() -> None:
    """One after the other: torque and turn of injector 1, then those of injector 2."""
    run = injectors(*TWO_STAGES, count=2)
    run.steadily()

    first = ["pull 1.1/1:1", "pull 1.1/1:2", "turn 2.1/1:1", "turn 2.1/1:2"]
    assert [*first, "pull 3.1/2:1", "pull 3.1/2:2", "turn 4.1/2:1", "turn 4.1/2:2"] == steps_of(run)


def test_interleaved_each_stage_is_done_at_all_joints() -> None:
    """The torque at all injectors before any turn."""
    run = injectors(*TWO_STAGES, count=2, walk="interleaved")
    run.steadily()

    first = ["pull 1.1/1:1", "pull 1.1/1:2", "pull 2.1/2:1", "pull 2.1/2:2"]
    assert [*first, "turn 3.1/1:1", "turn 3.1/1:2", "turn 4.1/2:1", "turn 4.1/2:2"] == steps_of(run)


@pytest.mark.parametrize("walk", ["one after the other", "interleaved"])
def test_starting_the_joint_over_loosens_this_joint_alone(walk: m.Walked) -> None:
    """The whole joint is injector 2: nothing is loosened at 1 or 3."""
    run = injectors(tighten(CLAMP), turn(CLAMP), walk=walk)
    where = next(step.id for step in run.plan.steps if step.kind == "turn" and step.position == "2:2")
    walk_to(run, where, ask.Turn)
    value(run, "99")
    since = len(run.events)
    run.answer(a.Resolve("from the beginning", scope="joint", reason="over"))
    run.steadily()

    told = steps_of(run, since)
    assert ["loosen 2:2", "loosen 2:1"] == [each for each in told if each.startswith("loosen")]
    assert not [each for each in told if "1:" in each and "pull" in each]
    assert at(run, "1:1").attempt == 1 == at(run, "3:2").attempt
    assert at(run, "2:1").attempt == 2


@pytest.mark.parametrize("walk", ["one after the other", "interleaved"])
def test_going_back_from_a_gate_goes_back_at_its_own_joint(walk: m.Walked) -> None:
    """The play of injector 2 is outside: its own stages are offered, and its own bolts start over."""
    run = injectors(tighten(CLAMP), measure(2), walk=walk)
    gate = next(s.id for s in run.plan.steps if s.kind == "measure" and run.plan.joint_of_stage[s.stage].key == "2")
    walk_to(run, gate, ask.Measure)
    value(run, "0.40")
    value(run, "0.40")  # far off, so it is typed twice

    now = asked(run, ask.Decide)
    assert "Injector 2 end play is outside its window: 0.40 mm." == sentence(now)
    back = next(way for way in now.choices if way.choice == "go back")
    assert [run.plan.joint_of_stage[stage].key for stage, _ in back.back_to] == ["2"]
    assert "loosen 1, 2 fully" in back.back_to[0][1]
    since = len(run.events)
    run.answer(a.Resolve("go back", back_to=back.back_to[0][0], reason="not seated"))
    walk_to(run, gate, ask.Measure)
    assert {"loosen 2:1", "loosen 2:2", "inspect 2:1", "inspect 2:2"} <= set(steps_of(run, since))
    assert not [each for each in steps_of(run, since) if "1:" in each.split("/")[-1] or "3:" in each]
    run.steadily()


def test_a_gate_of_another_joint_is_not_asked_again() -> None:
    """Interleaved, the gates of injectors 1 and 3 lie between the stages of 2; starting over 2 leaves them."""
    run = injectors(tighten(CLAMP), measure(2), turn(CLAMP, 3), walk="interleaved")
    where = next(step.id for step in run.plan.steps if step.kind == "turn" and step.position == "2:1")
    walk_to(run, where, ask.Turn)
    value(run, "99")
    since = len(run.events)
    run.answer(a.Resolve("from the beginning", scope="group", reason="over"))
    gates = 0
    while not isinstance(run.prompt, ask.Turn):
        now = run.prompt
        if isinstance(now, ask.Decide):
            assert now.where.joint == "Injector 2"
            gates += 1
            run.answer(a.Resolve("leave", reason="measured before"))
            continue
        run.answer(run.steady())

    assert 1 == gates
    assert not [each for each in steps_of(run, since) if each.startswith("measure")]


def test_interleaved_all_joints_wait_together() -> None:
    """One wait after the last pull of the last injector."""
    run = injectors(tighten(CLAMP), wait(2), turn(CLAMP, 3), walk="interleaved")

    assert 1 == sum(step.kind == "wait" for step in run.plan.steps)
    waits = walk_to(run, "4.1/-", ask.Wait)
    assert (None, "Stage 2") == (waits.where.joint, place(waits.where))
    assert [True, True, True] == [joint.done for joint in joints.row(run.session, run.prompt)]
    run.steadily()


def test_all_joints_wait_anew_after_one_was_done_again() -> None:
    """The play of injector 1 was adjusted: ten minutes count from its new pull, not from the old one of injector 2."""
    adjust = m.Adjust(back_to=1, at_most=3)
    pulls, waits = tighten(CLAMP, id="pull"), wait(2, since="pull")
    run = injectors(pulls, waits, measure(3, adjust=adjust), walk="interleaved", count=2)
    walk_to(run, "4.1/-", ask.Measure)
    run.wait(3600)
    value(run, "0.34")
    run.answer(a.Resolve("adjust"))
    again = walk_to(run, "3.1/-", ask.Wait)

    assert run.session.progress.last_pull == again.since
    assert sentence(again).startswith("Wait 10 min after the end of pull at all joints, until ")
    assert isinstance(run.answer(a.Plus()), a.Refused)


def test_a_wait_after_a_wait_for_all_counts_from_its_end() -> None:
    """A note in between does not start it anew."""
    later = wait(3, since="soak", as_written="20 min", lasts=Decimal(1200))
    run = injectors(tighten(CLAMP), wait(2, id="soak"), later, walk="interleaved", count=2)
    walk_to(run, "3.1/-", ask.Wait)
    run.wait(700)
    run.answer(a.Plus())
    ended = run.events[-1].at
    run.wait(60)
    run.answer(a.Note("Tea."))
    now = asked(run, ask.Wait)

    assert ended == now.since != run.events[-1].at
    assert sentence(now).startswith("Wait 20 min after the end of soak, until ")


def test_a_wait_whose_stage_was_not_done_is_begun_by_hand() -> None:
    """It counts from nothing that nobody did, and says so."""
    run = injectors(tighten(CLAMP), wait(2, since="soak"), walk="interleaved", count=2)
    now = walk_to(run, "3.1/-", ask.Wait)
    assert "Wait 10 min. Press + to start." == sentence(now)
    run.answer(a.Plus())

    assert run.events[-1].at == asked(run, ask.Wait).since


def test_bolts_are_prepared_once_for_all_joints() -> None:
    """The checklist is not typed again for each injector."""
    group = bolts(2, "Clamp bolts", prepare=("Bore clean.",))
    run = injectors(tighten(group), group=group)

    assert ["prepare:Clamp bolts"] == [item.item for item in start_items(run.plan)]


def test_fasteners_counted_are_those_of_all_joints() -> None:
    """Six new bolts at hand, six used, none left: it adds up."""
    part = m.Part(name="Clamp bolts", record="count", left_over=True)
    run = injectors(tighten(CLAMP), parts=(part,))
    run.answer(a.Value("6"))
    while not (isinstance(run.prompt, ask.StartSheet) and run.prompt.when == "end"):
        run.answer(run.steady())
    run.answer(a.Value("0"))

    assert not isinstance(run.prompt, ask.Decide)


def test_new_consumables_at_one_joint_are_those_of_one() -> None:
    """Three washers at hand for three injectors; one joint started over with new ones takes a fourth."""
    from clampbook.run.fold.counts import used

    part = m.Part(name="Washer", record="count", needed=1)
    run = injectors(tighten(CLAMP), parts=(part,))
    run.answer(a.Value("4"))
    walk_to(run, "1.1/1:1", ask.Tighten)
    value(run, "34")
    run.answer(a.Resolve("from the beginning", scope="joint", reason="over"))
    walk_to(run, "1.1/1:1", ask.Tighten)

    assert 4 == used(run.plan, run.session.progress, run.plan.parts[0])


def test_a_bolt_of_this_joint_goes_by_its_own_number() -> None:
    """2 is bolt 2 of the injector at hand; one of another is told by both, also on a numeric pad."""
    run = injectors(*TWO_STAGES)
    now = walk_to(run, "3.1/2:1", ask.Tighten)
    draft = Draft("another position")
    part = which_bolt(now, run.session, draft)
    assert isinstance(part, Part)

    def typed(text: str) -> str:
        taken = take(draft, part, text, lambda name: pytest.fail(name))
        assert isinstance(taken, Draft), taken
        return taken.text("position")

    assert ["2:2", "2:2", "1:1", "1:1", "3:2"] == [typed(text) for text in ("2", "2:2", "1:1", "1.1", "3.2")]


def test_a_look_at_all_bolts_names_those_of_its_joint() -> None:
    """Where not? 1 and 2 are those of the injector that is looked at."""
    run = injectors(tighten(CLAMP), inspect(2, CLAMP, asked="once"))
    walk_to(run, "2.1/-", ask.Inspect)
    assert "Injector 1: every mark a quarter turn on?" == sentence(run.prompt)
    run.answer(a.Look("no", positions=("1:2",)))

    assert "Injector 1 clamp bolt 2: not the expected answer." == sentence(run.prompt)
    assert "concession" in choices(run)


def test_the_map_shows_the_joint_at_hand_as_it_is_drawn() -> None:
    """Its own bolts by their own numbers, and nothing of the others."""
    run = injectors(*TWO_STAGES)
    walk_to(run, "3.1/2:2", ask.Tighten)
    seen = the_round.of(run.session, run.prompt)

    assert {"1": "within", "2": "to do"} == dict(seen.marks)
    assert ("2",) == seen.now
    assert ["1"] == [read.position for read in seen.reads]


@pytest.mark.parametrize(
    ("walk", "step", "done"),
    [
        ("one after the other", "3.1/2:1", [True, False, False]),
        ("one after the other", "6.1/3:2", [True, True, False]),
        ("interleaved", "2.1/2:1", [True, False, False]),
        ("interleaved", "4.1/1:1", [False, False, False]),
    ],
)
def test_joints_are_done_when_nothing_is_left_there(walk: m.Walked, step: str, done: list[bool]) -> None:
    """One after the other all of their stages; interleaved the stage at hand, as the positions of a round."""
    run = injectors(*TWO_STAGES, walk=walk)
    walk_to(run, step, ask.Tighten if "turn" not in run.plan.steps[run.plan.index_of[step]].kind else ask.Turn)
    row = joints.row(run.session, run.prompt)

    assert done == [joint.done for joint in row]
    assert [run.plan.steps[run.plan.index_of[step]].position[0]] == [joint.key for joint in row if joint.now]  # type: ignore[index]


def test_a_bolt_to_do_again_keeps_its_joint_from_being_done() -> None:
    """Pulled by mistake from the next injector, and started over: its joint is not ticked until it is done again."""
    run = injectors(*TWO_STAGES)
    walk_to(run, "3.1/2:1", ask.Tighten)
    run.answer(a.PulledAnother("1:2", "30"))
    assert "Injector 1 clamp bolt 2 was pulled out of turn (30 N·m)." == sentence(run.prompt)
    run.answer(a.Resolve("from the beginning", scope="fastener"))

    assert "Injector 1" == joints.at_hand(run.plan, run.prompt).name  # type: ignore[union-attr]
    assert not joints.row(run.session, run.prompt)[0].done
    walk_to(run, "3.1/2:1", ask.Tighten)
    assert joints.row(run.session, run.prompt)[0].done


def test_interleaved_the_same_pull_at_another_joint_counts_out_of_order() -> None:
    """Asked for injector 2 bolt 1, bolt 1 of injector 3 was pulled, which is due for the same torque: its own pull is
    done, and is not asked for later."""
    run = injectors(tighten(CLAMP), tighten(CLAMP, 2), walk="interleaved")
    walk_to(run, "2.1/2:1", ask.Tighten)
    run.answer(a.PulledAnother("3:1", "30"))
    line = events_of(run, e.ReadingTaken)[-1]

    assert ("3.1/3:1", "within") == (line.step, line.verdict)
    assert "Done out of order. The record says so." in stored(line, run.plan)
    assert "2.1/2:1" == asked(run, ask.Tighten).where.id
    run.steadily()
    pulled = steps_of(run)
    assert 1 == pulled.count("pull 3.1/3:1")
    assert [] == list(recounted(run.plan, run.events))


@pytest.mark.parametrize(
    ("stages", "walk", "at_step", "other"),
    [
        ((tighten(CLAMP), tighten(CLAMP, 2)), "interleaved", "5.1/2:1", "1:1"),
        ((inspect(1), tighten(CLAMP, 2)), "one after the other", "2.1/1:1", "3:1"),
    ],
    ids=["done there already", "looked at first"],
)
def test_a_pull_at_a_joint_that_is_not_due_for_it_is_decided(
    stages: tuple[m.Stage, ...], walk: m.Walked, at_step: str, other: str
) -> None:
    """At a joint that has this stage behind it, or another one before it, the pull does not count."""
    run = injectors(*stages, walk=walk)
    walk_to(run, at_step, ask.Tighten)
    run.answer(a.PulledAnother(other, "30"))

    assert "pulled out of turn" == asked(run, ask.Decide).cause


def test_a_joint_that_is_done_has_the_worst_mark_of_its_bolts() -> None:
    """One bolt by concession marks injector 1; at injector 2 every reading is within."""
    run = injectors(tighten(CLAMP))
    walk_to(run, "1.1/1:1", ask.Tighten)
    value(run, "34")
    run.answer(a.Resolve("concession", reason="no spare", person=TOMAS))
    walk_to(run, "3.1/3:1", ask.Tighten)

    assert ["concession", "within", "to do"] == [joint.mark for joint in joints.row(run.session, run.prompt)]


def test_a_joint_done_by_clicks_is_not_called_within() -> None:
    """Nobody read a value there."""
    run = injectors(tighten(CLAMP), tools=(W2,))
    walk_to(run, "2.1/2:1", ask.Tighten)

    assert ["clicked", "to do", "to do"] == [joint.mark for joint in joints.row(run.session, run.prompt)]


def test_a_joint_without_pulls_is_done_with_no_value() -> None:
    """Its play was measured, and nothing is said of its bolts."""
    run = injectors(measure(1))
    walk_to(run, "2.1/-", ask.Measure)

    assert ["applied", "to do", "to do"] == [joint.mark for joint in joints.row(run.session, run.prompt)]


def test_clamp_loads_are_estimated_at_every_joint() -> None:
    """The same bolts, the same estimate."""
    group = bolts(2, "Clamp bolts", thread="M8", property_class="10.9", nut_factor=(0.12, 0.16))
    stage = tighten(group, target=Decimal(20), window=window("18", "22"))
    several = m.Joints(one="Injector", names=("1", "2"), walk="one after the other")
    found = plan(procedure((group,), (stage,), joints=several), "injectors")

    assert found.clamp_after["1:1", 1, 1][0].likely == found.clamp_after["2:2", 2, 1][0].likely


def test_the_drawing_tells_what_belongs_where_at_every_joint() -> None:
    """Its labels are those of one joint, whichever is at hand."""
    clamps = bolts(2, fits={"1": "M10 x 91 mm", "2": "M10 x 79.5 mm"})
    run = injectors(tighten(clamps), group=clamps)

    assert {"1": "M10 x 91 mm", "2": "M10 x 79.5 mm"} == fasteners(run.plan)


def test_the_last_bolts_are_told_with_their_joint() -> None:
    """Position 2 alone would not say of which injector."""
    run = injectors(*TWO_STAGES)
    walk_to(run, "3.1/2:2", ask.Tighten)

    assert "Injector 2 clamp bolt 1: within ●, last value 30." == last_three(run.plan, run.session.progress)[-1]


def test_a_value_at_a_point_is_told_with_its_joint() -> None:
    """Point a alone would not say of which injector."""
    run = injectors(measure(1, points=("a", "b")))
    walk_to(run, "2.1/b", ask.Measure)
    assert "Injector 2 at b" == place(run.prompt.where)  # type: ignore[union-attr]
    outcome = value(run, "0.15")
    assert isinstance(outcome, a.Accepted)

    assert "Within ●: injector 2 end play at b, 0.15 mm." == stored(outcome.event, run.plan, ())


def test_new_consumables_are_fitted_at_a_joint_that_is_named() -> None:
    """Six injectors lie side by side, and one of them is started over."""
    run = injectors(*TWO_STAGES)
    walk_to(run, "3.1/2:1", ask.Tighten)
    value(run, "34")
    run.answer(a.Resolve("from the beginning", scope="joint", reason="over"))
    while not (isinstance(run.prompt, ask.Inspect) and run.prompt.work == "settle"):
        run.answer(run.steady())

    assert "Injector 2: new consumables fitted, faces clean, parts seated?" == sentence(run.prompt)


def test_a_caution_before_a_stage_says_for_which_joint() -> None:
    """One after the other it is read again at each."""
    run = injectors(tighten(CLAMP, caution="Keep clear."))
    cautions = walk_to(run, "3.1/3:1", ask.Confirm)

    assert "Read this before stage 1 (Injector 3)." == sentence(cautions)


def test_the_stages_shown_are_those_of_the_joint_at_hand() -> None:
    """Six injectors of four stages would fill the line with numbers."""
    run = injectors(*TWO_STAGES)
    walk_to(run, "3.1/2:1", ask.Tighten)

    assert [(1, "tighten", True), (2, "turn", False)] == [
        (each.number, each.word, each.now) for each in stages(run.session, run.prompt)
    ]


def test_a_sample_is_drawn_at_each_joint() -> None:
    """Half of the bolts of an injector are half of its own."""
    drawn = inspect(2, CLAMP, asked="each", sample=m.Sample(share=Decimal(50)))
    run = injectors(tighten(CLAMP), drawn)

    assert [("2:1", "2:2")] == [stage.positions for stage in run.plan.stages if stage.number == 4]


def test_stages_count_from_one_at_each_joint() -> None:
    """As the procedure's file counts them; the wait for all is the second stage of each."""
    in_turn = injectors(*TWO_STAGES).plan
    together = injectors(tighten(CLAMP), wait(2), turn(CLAMP, 3), walk="interleaved").plan

    assert {1: 1, 2: 2, 3: 1, 4: 2, 5: 1, 6: 2} == in_turn.numbered
    assert {1: 1, 2: 1, 3: 1, 4: 2, 5: 3, 6: 3, 7: 3} == together.numbered
    assert ("stage 2, injector 3", "stage 2") == (stage_at(in_turn, 6), stage_at(together, 4))


def test_a_stage_begins_with_its_number_at_its_joint() -> None:
    """ "Stage 5 of 6" would be no stage of the file."""
    run = injectors(*TWO_STAGES)
    walk_to(run, "5.1/3:1", ask.Tighten)
    before = run.prompt
    walk_to(run, "6.1/3:1", ask.Turn)

    assert "Stage 2 of 2, injector 3: turn clamp bolts." == begins(before, run.session, run.prompt)
    assert step_line(asked(run, ask.Turn).where).endswith("step 11 of 12, stage 2, injector 3")


def test_going_back_names_the_stage_of_the_joint() -> None:
    """At injector 2 it is stage 1 that the play leads back to, not stage 3 of the plan."""
    run = injectors(tighten(CLAMP), measure(2), count=2)
    walk_to(run, "4.1/-", ask.Measure)
    value(run, "0.34")
    (back,) = (way for way in asked(run, ask.Decide).choices if way.choice == "go back")

    assert ((3, "Stage 1: tighten, Injector 2 clamp bolts (loosen 1, 2 fully)"),) == back.back_to


AFT = m.Joints(one="Winch", names=("Fwd port", "port 1", "port", "aft"), walk="interleaved")


@pytest.mark.parametrize(
    ("typed", "meant"),
    (
        ("Fwd port", ("Fwd port",)),
        ("fwd port, aft", ("Fwd port", "aft")),
        ("port 1 port", ("port 1", "port")),
        ("Winch port 1; winch aft,", ("port 1", "aft")),
        ("Fwd-port aft", ("Fwd port", "aft")),
        ("ALL", AFT.names),
        ("", AFT.names),
    ),
)
def test_a_joint_is_meant_by_its_name_with_the_blanks_in_it(typed: str, meant: tuple[str, ...]) -> None:
    """The longest name that stands there, in the file's words, as a whole, or as its positions begin."""
    taken = take(Draft("begin"), which_joints(AFT), typed, lambda _: TOMAS)

    assert isinstance(taken, Draft)
    assert meant == taken.positions(JOINTS)


def test_a_name_that_no_joint_has_is_refused_with_those_that_are_taken() -> None:
    """Nothing is taken of a line in which one name is none."""
    taken = take(Draft("begin"), which_joints(AFT), "aft, starboard", lambda _: TOMAS)

    assert isinstance(taken, a.Refused)
    assert taken.sentence.startswith("“starboard” is not a joint here. Type one or more of Fwd-port, port-1, port, aft")
