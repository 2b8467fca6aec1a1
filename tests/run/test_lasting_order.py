"""What is asked next does not hang on how a map lies in memory: another start of the program asks the same."""

from __future__ import annotations

from decimal import Decimal

from small_joints import asked, at_first_pull, bench_for, bolts, loosen, measure, tighten, value, walk_to

from clampbook.run import answers as a
from clampbook.run import events as e
from clampbook.run import prompts as ask
from clampbook.tools.model import Tool


def test_what_was_skipped_is_asked_in_that_order() -> None:
    """Eight bolts skipped are asked for one after the other, first to last."""
    head = bolts(9)
    run = at_first_pull(head, tighten(head))
    for _ in range(8):
        run.answer(a.Skip("no room for the tool"))
    value(run, "30")

    order = []
    while isinstance(run.prompt, ask.Decide):
        order.append(run.prompt.position)
        run.answer(a.Resolve("do it now"))
        value(run, "30")

    assert [str(number) for number in range(1, 9)] == order


def test_tools_are_put_back_in_the_order_they_were_taken() -> None:
    """Six tools one after the other, then all of them put back, first taken first."""
    tools = tuple(
        Tool(
            id=f"t{number}",
            name=f"T{number}",
            kind="indicating",
            unit="N·m",
            minimum=Decimal(2),
            maximum=Decimal(100),
            resolution=Decimal("0.1"),
        )
        for number in (4, 1, 6, 2, 5, 3)
    )
    head = bolts(6)
    run = bench_for(head, tighten(head), tools=tools)
    for number, tool in enumerate(tools, 1):
        run.answer(a.TakeUp(tool.id))
        walk_to(run, f"1.1/{number}", ask.Tighten)
        value(run, "30")

    run.steadily()

    assert [tool.id for tool in tools] == [event.tool for event in run.events if isinstance(event, e.ToolReturned)]


class TestWhatADecisionIsAbout:
    """A question that a step brings with it is about no line: the line before it may be anything, a new start too."""

    def test_a_used_up_budget(self) -> None:
        """A bolt that may be tightened once, and is loosened on the way, is asked about before the next pull."""
        head = bolts(1, tightenings_at_most=1)
        run = bench_for(head, tighten(head), loosen(head, 2), tighten(head, 3))

        question = walk_to(run, "3.1/1", ask.Decide)

        assert ("budget used up", 0) == (question.cause, question.about)

    def test_a_gate_that_is_met_again(self) -> None:
        """A measuring in the middle that is met again on the way back is no matter of the pull before it."""
        head = bolts(2)
        run = bench_for(head, tighten(head), measure(2), tighten(head, 3))
        walk_to(run, "3.1/1", ask.Tighten)
        value(run, "36")
        run.answer(a.Resolve("from the beginning", scope="fastener"))
        walk_to(run, "2.1/-", ask.Decide)

        question = asked(run, ask.Decide)

        assert ("again at a gate", 0) == (question.cause, question.about)
