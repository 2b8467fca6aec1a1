"""What is in question stays in sight to the end of the run, and every list of tools for a step is the same one."""

from __future__ import annotations

import dataclasses
from decimal import Decimal

from msgspec.structs import replace
from small_joints import SETTING, W7, W8, asked, bench_for, bolts, tighten, value, walk_to

from bench import G1, Bench
from clampbook.run import answers as a
from clampbook.run import prompts as ask
from clampbook.run.in_hand.in_question import told
from clampbook.run.in_hand.other_tools import other_tools
from clampbook.run.in_hand.outlook import outlook
from clampbook.screens.heading import heading
from clampbook.tools.model import Adapter, LastCheck, Trouble, Use
from clampbook.units import Quantity

W9 = replace(W7, id="w9", name="W9")
FELL = Trouble(kind="dropped", at="2026-03-01T09:00:00.000Z", on="2026-03-01", run="20260301-hub-bbbbbbbb", line=31)


def fallen() -> Bench:
    """W7 fell at bolt 2, at 10:00 there and some seconds, and is used on."""
    bench = bench_for(bolts(), tighten(bolts()))
    walk_to(bench, "1.1/2", ask.Tighten)
    bench.answer(a.Drop("w7", "it fell onto cloth"))
    bench.answer(a.Zero("good"))
    return bench


def test_before_its_next_pull_it_is_only_said_what_will_be() -> None:
    """Nothing was pulled with it since."""
    assert ("W7 dropped: its next pulls will be in question.",) == told(fallen().session)


def test_after_a_pull_it_is_said_since_when() -> None:
    """By the clock of the place."""
    bench = fallen()
    value(bench, "30")

    assert ("W7 dropped: its pulls since 10:00 are in question.",) == told(bench.session)
    assert "W7 in question" in heading(bench.prompt, bench.session, 78)
    assert "? W7" in heading(bench.prompt, bench.session, 38)


def test_it_stays_in_sight_when_the_tool_was_put_away() -> None:
    """Its pulls are in question to the end."""
    bench = fallen()
    value(bench, "30")
    bench.steadily(until=ask.Finished)

    assert not bench.session.progress.hand
    assert ("W7 dropped: its pulls since 10:00 are in question.",) == told(bench.session)


def test_a_zero_that_is_good_at_once_leaves_nothing_in_question() -> None:
    """Nothing was pulled since it was taken up."""
    bench = bench_for(bolts(), tighten(bolts()))
    walk_to(bench, "1.1/1", ask.ZeroTool)
    bench.answer(a.Zero("wrong"))
    bench.answer(a.Resolve("zero again"))
    bench.answer(a.Zero("good"))

    assert () == told(bench.session)


def test_every_list_of_tools_for_a_step_is_the_same() -> None:
    """What is offered, what can be taken instead, and what the start and suit know: W8 reaches 30 N·m, W7 fell, W9
    failed its check; with an adapter in the book too."""
    tools = (*(replace(tool, lever=Quantity(Decimal(400), "mm")) for tool in (W9, W7, W8)), G1)
    bench = bench_for(bolts(), tighten(bolts()), tools=tools)
    uses = {"w7": Use(troubles=(FELL,)), "w9": Use(last_check=LastCheck(check="c", on="2026-03-01", verdict="failed"))}
    adapters = (Adapter(id="a1", name="A1", extension=Quantity(Decimal(60), "mm")),)
    bench.session = dataclasses.replace(bench.session, uses=uses, adapters=adapters)

    offered = asked(bench, ask.TakeTool).offers
    session = bench.session
    (stage,) = outlook(session.plan, session.stock, session.today)

    assert ["w8", "w7", "w9"] == [offer.tool.id for offer in offered]
    ranked = [each for each in stage.ranking if each.tool.kind != "angle gauge"]
    assert [(offer.tool.id, offer.against, offer.cannot) for offer in offered] == [
        (each.tool.id, each.fit.against, each.fit.cannot) for each in ranked
    ]
    bench.answer(a.TakeUp("w8"))
    walk_to(bench, "1.1/1", ask.Tighten)
    assert ["w8", "w7", "w9"] == [offer.tool.id for offer in other_tools(bench.prompt, bench.session)]


def test_a_setting_tool_that_is_suspect_is_set_anew() -> None:
    """Taken up again for a reason, its scale is typed back."""
    bench = bench_for(bolts(), tighten(bolts()), tools=SETTING)
    walk_to(bench, "1.1/2", ask.Tighten)
    bench.answer(a.SuspectTool("w8", "overloaded"))
    bench.answer(a.TakeUp("w8", "no other tool here"))

    assert "w8" == asked(bench, ask.SetTool).tool.id
