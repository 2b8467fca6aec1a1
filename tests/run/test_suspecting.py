"""A tool that a check found off, that fell or is suspect: what an open run does from the moment it hears of it."""

from __future__ import annotations

import dataclasses
from decimal import Decimal
from typing import Any

from msgspec.structs import replace
from small_joints import (
    SETTING,
    W7,
    asked,
    bench_for,
    bolts,
    refused,
    stored,
    tighten,
    value,
    walk_to,
)

from bench import G1, Bench
from clampbook.run import answers as a
from clampbook.run import events as e
from clampbook.run import prompts as ask
from clampbook.run.in_hand.suspects import Suspect, first_use, flagged, good_again, passed, suspected
from clampbook.tools.against import has_happened, told
from clampbook.tools.model import Trouble, Use

OFF = Suspect(tool="w7", check="20260303-w7-aaaaaaaa", found="2026-03-03T09:00:00.000Z", off=Decimal(7))
FELL = Trouble(kind="dropped", at="2026-03-02T09:10:00.000Z", on="2026-03-02", run="20260302-hub-bbbbbbbb", line=31)


def begun() -> Bench:
    """Two of three bolts are tightened with W7."""
    bench = bench_for(bolts(), tighten(bolts()))
    walk_to(bench, "1.1/3", ask.Tighten)
    return bench


def found(bench: Bench, *suspects: Suspect) -> list[tuple[str, int]]:
    """What the run takes of these suspects as news: each tool, and the first line that is in question."""
    news = suspected(bench.events, bench.session.progress, suspects)
    return [(suspect.tool, since) for suspect, since in news]


def hear(bench: Bench, *suspects: Suspect) -> None:
    """The run hears what the book knows, as at its next prompt."""
    stamp = bench.stamp()
    for suspect, since in suspected(bench.events, bench.session.progress, suspects):
        bench.store(flagged(suspect, since, stamp))
    for tool, at in good_again(bench.session.progress, suspects).items():
        bench.store(passed(tool, at, None, stamp))


def later(bench: Bench, **more: Any) -> Suspect:
    """W7 fell in another run, now."""
    bench.wait(60)
    at = bench.stamp().text
    bench.wait(60)
    trouble = Trouble(kind="dropped", at=at, on=at[:10], run=FELL.run, line=FELL.line)
    return Suspect(tool="w7", trouble=trouble, after=at, **more)


def offered(bench: Bench) -> list[tuple[str, bool, bool]]:
    """The tools that are offered, each with whether it needs a reason, and whether it cannot be taken at all."""
    now = asked(bench, ask.TakeTool)
    return [(each.tool.id, bool(each.against), each.cannot is not None) for each in now.offers]


def test_a_run_that_used_the_tool_since_it_was_good_is_told_from_which_line_on() -> None:
    """From the line that took it up."""
    bench = begun()
    taken = next(event.seq for event in bench.events if isinstance(event, e.ToolTaken))

    assert [("w7", taken)] == found(bench, OFF)


def test_a_run_that_never_had_the_tool_hears_nothing() -> None:
    """Another tool's failure is none of its business."""
    assert [] == found(begun(), Suspect(tool="w99", check="x"))


def test_what_was_pulled_before_its_last_passed_check_is_not_in_question() -> None:
    """The tool was found good after all these lines; in hand as it is, it is laid down all the same."""
    bench = begun()
    lines = len(bench.events)

    assert [("w7", lines + 1)] == found(bench, replace(OFF, after="2027-01-01T00:00:00.000Z"))


def test_a_failure_that_was_over_before_the_run_began_is_no_news() -> None:
    """It failed in January, and passed in January; nothing of March is in question."""
    over = replace(OFF, after="2026-01-01T00:00:00.000Z", good_again="2026-01-20T00:00:00.000Z")

    assert [] == found(begun(), over)


def test_a_failure_is_told_once() -> None:
    """The daybook holds it, and the next start says no more of it."""
    bench = begun()
    hear(bench, OFF)

    assert [] == found(bench, OFF)


def test_a_tool_that_was_found_off_serves_no_further_pull() -> None:
    """Another one is asked for at the same position, and no reason brings it back."""
    bench = begun()
    hear(bench, OFF)

    assert "3" == asked(bench, ask.TakeTool).where.position
    assert [("w7", False, True)] == offered(bench)
    assert "out of service" in refused(bench.answer(a.TakeUp("w7", "no other tool in the house")))


def test_put_right_since_it_is_zeroed_again_when_it_is_taken_up() -> None:
    """It passed a check meanwhile: no reason is wanted, but nobody knows what became of its zero."""
    bench = begun()
    at = bench.events[-1].at
    bench.wait(60)
    hear(bench, replace(OFF, good_again=at))

    assert [("w7", False, False)] == offered(bench)
    bench.answer(a.TakeUp("w7"))
    assert isinstance(bench.prompt, ask.ZeroTool)


def test_a_tool_that_a_person_suspects_is_laid_down() -> None:
    """It is taken up again for a reason only, last in the list, and its zero is looked at."""
    bench = bench_for(bolts(), tighten(bolts()), tools=(W7, replace(W7, id="w9", name="W9"), G1))
    walk_to(bench, "1.1/3", ask.Tighten)
    bench.answer(a.SuspectTool("w7", "readings drift"))

    assert [("w9", False, False), ("w7", True, False)] == offered(bench)
    assert "Give a reason" in refused(bench.answer(a.TakeUp("w7")))
    bench.answer(a.TakeUp("w7", "no other fits here"))
    assert "w7" == asked(bench, ask.ZeroTool).tool.id


def test_a_suspicion_goes_forward_whatever_its_cause() -> None:
    """That its readings drift lies back; only a check can say since when."""
    bench = begun()
    suspicion = stored(bench.answer(a.SuspectTool("w7", "readings drift")), e.ToolSuspected)

    assert len(bench.events) == suspicion.since


def test_a_tool_that_fell_in_another_run_is_laid_down_here() -> None:
    """Nothing was pulled with it since: the question begins with this line."""
    bench = begun()
    hear(bench, later(bench))

    (heard,) = [event for event in bench.events if isinstance(event, e.ToolSuspected)]
    assert (heard.seq, "dropped") == (heard.since, heard.trouble and heard.trouble.kind)
    assert [("w7", True, False)] == offered(bench)


def test_pulls_between_the_drop_and_the_news_are_in_question() -> None:
    """The other run told of it while a bolt was being pulled here."""
    bench = begun()
    fell = later(bench)
    value(bench, "30")
    last = len(bench.events)

    assert [("w7", last)] == found(bench, fell)


def test_what_this_run_told_itself_is_no_news_to_it() -> None:
    """Its own drop comes back from the book's log."""
    bench = begun()
    bench.answer(a.Drop("w7", "it fell onto cloth"))
    (own,) = bench.session.progress.troubles["w7"]

    assert [] == found(bench, Suspect(tool="w7", trouble=own, after=own.at))


def test_a_tool_taken_up_in_spite_of_a_drop_is_not_laid_down_again() -> None:
    """The reason was given when it was taken up."""
    bench = bench_for(bolts(), tighten(bolts()))
    bench.session = dataclasses.replace(bench.session, uses={"w7": Use(troubles=(FELL,))})
    walk_to(bench, "1.1/2", ask.Tighten)

    (taken,) = [event for event in bench.events if isinstance(event, e.ToolTaken)]
    assert ((FELL,), (has_happened(FELL),)) == (taken.troubles, taken.against)
    assert [] == found(bench, Suspect(tool="w7", trouble=FELL, after=FELL.at))


def test_a_passed_check_ends_it() -> None:
    """The tool is ready at the next prompt, without a reason; what was pulled before stays in question."""
    bench = begun()
    bench.answer(a.Drop("w7", "it fell onto cloth"))
    bench.answer(a.Zero("good"))
    value(bench, "30")
    (own,) = bench.session.progress.troubles["w7"]
    hear(bench, Suspect(tool="w7", trouble=own, after=own.at, good_again=bench.stamp().text))

    progress = bench.session.progress
    assert () == tuple(progress.troubles.get("w7", ()))
    assert [(True, True)] == [(each.pulled, each.until is not None) for each in progress.in_question]


def test_a_zero_that_came_back_wrong_puts_the_tool_last() -> None:
    """Whoever asked for another tool is not offered this one first."""
    bench = bench_for(bolts(), tighten(bolts()), tools=(W7, replace(W7, id="w9", name="W9"), G1))
    walk_to(bench, "1.1/1", ask.ZeroTool)
    bench.answer(a.Zero("wrong"))
    bench.answer(a.Resolve("another tool"))

    assert [("w9", False, False), ("w7", True, False)] == offered(bench)
    assert ("W7: its zero is off",) == told("W7", asked(bench, ask.TakeTool).offers[1].against)


def test_a_good_zero_takes_that_back() -> None:
    """Taken up again for a reason, and zeroed: nothing speaks against it."""
    bench = begun()
    bench.answer(a.Drop("w7", "it fell onto cloth"))
    bench.answer(a.Zero("wrong"))
    bench.answer(a.Resolve("zero again"))
    bench.answer(a.Zero("good"))

    assert ["dropped"] == [each.kind for each in bench.session.use("w7").troubles]


def test_clicks_of_a_setting_tool_are_in_question_too() -> None:
    """It let go at another torque than it was set to."""
    bench = bench_for(bolts(), tighten(bolts()), tools=SETTING)
    walk_to(bench, "1.1/2", ask.Tighten)
    clicked = next(event for event in bench.events if isinstance(event, e.Clicked))
    off = Suspect(tool="w8", check="x", after=bench.events[clicked.seq - 2].at)

    assert Decimal(clicked.set_to) > 0
    assert clicked.seq == first_use(bench.events, off)
