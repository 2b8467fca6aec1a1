"""What a way to go on costs, worked out from the plan before it is chosen."""

from __future__ import annotations

from typing import Any

from small_joints import bench_for, bolts, measure, tighten, value, walk_to, window

from bench import Bench
from clampbook.procedure import model as m
from clampbook.run import answers as a
from clampbook.run import prompts as ask
from clampbook.run.gather.draft import Draft, Part
from clampbook.run.questions.decision import complete

BOLTS = bolts(3)


def over(count: int, rounds: int, at: str) -> Bench:
    """So many bolts in so many rounds to 30 N·m, and one of them pulled to 36."""
    head = bolts(count)
    run = bench_for(head, tighten(head, rounds=rounds))
    walk_to(run, at, ask.Tighten)
    value(run, "36")
    return run


def costs(run: Bench) -> dict[str, str]:
    """What each way costs."""
    assert isinstance(run.prompt, ask.Decide)
    return {way.choice: way.costs for way in run.prompt.choices}


def scopes(run: Bench) -> dict[str, str]:
    """What it costs to start over, by how far that reaches."""
    return {choice.value: choice.costs for choice in how_far(run).choices}


def how_far(run: Bench, way: str = "from the beginning") -> Part:
    """The question how far a way to start over reaches."""
    assert isinstance(run.prompt, ask.Decide)
    begun = a.Resolve(way)
    part = complete(run.prompt, run.session, begun, Draft("", begun=begun))
    assert isinstance(part, Part)
    return part


def test_one_bolt_alone_in_the_second_round_has_both_its_pulls_again() -> None:
    """It is loosened, and pulled in the first round and in the second."""
    assert "loosens 1 bolt, about 2 pulls" == costs(over(3, 2, "1.2/2"))["from the beginning"]


def test_what_loosens_nothing_and_pulls_nothing_costs_nothing() -> None:
    """A correction, a concession and a hold."""
    found = costs(over(3, 2, "1.2/2"))

    assert ["", "", ""] == [found[way] for way in ("correct", "concession", "hold")]


def test_each_scope_says_what_it_costs() -> None:
    """Bolt 2 of 4 in the second round: alone, with 1 and 3, or all four; 1 has two pulls behind it, 3 and 4 one."""
    found = scopes(over(4, 2, "1.2/2"))

    assert "loosens 1 bolt, about 2 pulls" == found["fastener"]
    assert "loosens 3 bolts, about 5 pulls" == found["neighbours"]
    assert "loosens 4 bolts, about 6 pulls" == found["group"]


def nut(**more: Any) -> Bench:
    """The only nut of a hub, over its window."""
    hub = bolts(1, "Hub nut", one="Hub nut")
    run = bench_for(hub, tighten(hub), **more)
    walk_to(run, "1.1/1", ask.Tighten)
    value(run, "36")
    return run


def test_the_only_nut_is_asked_no_scope_and_called_a_nut() -> None:
    """Alone, with its neighbours, the group and the joint are the same: it is loosened, and nothing else."""
    run = nut()
    begun = a.Resolve("from the beginning")
    assert isinstance(run.prompt, ask.Decide)

    assert "loosens 1 nut, about 1 pull" == costs(run)["from the beginning"]
    assert a.Resolve("from the beginning", "fastener") == complete(
        run.prompt, run.session, begun, Draft("", begun=begun)
    )


def test_the_only_nut_of_a_joint_with_a_gasket_has_the_whole_joint_beside_it() -> None:
    """With new consumables more is done than at the nut alone."""
    assert ["fastener", "joint"] == list(scopes(nut(parts=(m.Part(name="Gasket", record="lot"),))))


def test_all_are_loosened_first_where_something_is_tight() -> None:
    """Before any pull nothing is, and nothing is said of it."""
    length = measure(1, BOLTS, what="Free length", asked="each", window=window("94.80", "95.60", "mm"))
    free = bench_for(BOLTS, length, tighten(BOLTS, 2))
    free.steadily(until=ask.Measure)
    free.answer(a.Value("95.712"))

    tight = how_far(over(3, 2, "1.2/2")).text
    assert "Start over with which bolts? All are loosened before any is tightened." == tight
    assert "Start over with which bolts?" == how_far(free, "new fastener").text


def test_the_cost_is_what_is_done_then() -> None:
    """Who takes the way has exactly these pulls before the walk is where it was."""
    run = over(3, 2, "1.2/2")
    run.answer(a.Resolve("from the beginning", scope="fastener"))
    pulls = []
    for _ in range(20):
        now = run.prompt
        if isinstance(now, ask.Tighten):
            if now.where.position == "3":
                break
            pulls.append(now.where.id)
        run.answer(run.steady())

    assert ["1.1/2", "1.2/2"] == pulls
