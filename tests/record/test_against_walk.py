"""Record against walk: whatever happens at the bench, both say the same of every step, and each pull is there once."""

from __future__ import annotations

import os
import sys
from pathlib import Path
from typing import Any

from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

sys.path.insert(0, str(Path(__file__).parents[1] / "run"))

from invented import procedures, slips, ways

from bench import Bench, resolved
from clampbook.procedure import model as m
from clampbook.record.agreement import disagrees_at
from clampbook.record.deviations import deviations
from clampbook.record.frozen import Frozen
from clampbook.record.history import tell
from clampbook.record.positions import positions
from clampbook.run import answers as a
from clampbook.run import events as e
from clampbook.run import prompts as ask
from clampbook.run.answers import Accepted
from clampbook.run.planning import plan as make_plan

EXAMPLES = int(os.environ.get("CLAMPBOOK_ACTS_EXAMPLES", "75"))  # of each kind of hands
DONE = ("done", "done, by concession", "no work in this run", "found moved", "found under")
PULLS = (e.ReadingTaken, e.Clicked, e.Turned, e.PrevailingRead, e.Rechecked)


class Tally:
    """Somebody beside the bench who counts the pulls as they are made, a stroke each."""

    def __init__(self, procedure: m.Procedure) -> None:
        self.bench = Bench(make_plan(procedure, "invented"))
        self.pulls = 0

    def answer(self, answer: a.Answer) -> bool:
        """Give an answer, and count what was pulled by it; whether it was taken."""
        asked = self.bench.prompt
        outcome = self.bench.answer(answer)
        if not isinstance(outcome, Accepted):
            return False
        match outcome.event:
            case e.Confirmed(last=last) if isinstance(asked, ask.Confirm):
                self.pulls += asked.positions.index(last.rpartition("/")[2]) + 1
            case e.Measured(tool=tool) if tool is not None:
                self.pulls += 1
            case e.Voided(of=None):
                self.pulls += 1
            case e.Rechecked(mark=str()):  # a look at a mark: its pull was a line of its own
                pass
            case event if isinstance(event, PULLS):
                self.pulls += 1
            case _:
                pass
        return True

    def steadily(self, most: int) -> None:
        """Fitting answers, at most so many, until the run is over."""
        for _ in range(most):
            asked = self.bench.prompt
            if isinstance(asked, ask.Ended):
                return
            if isinstance(asked, ask.Wait):
                self.bench.wait(float(asked.lasts) + 100)
            # a value that is unusual is typed again, as one at a slot that is less than the nut was tightened to
            assert self.answer(self.bench.steady()) or self.answer(self.bench.steady()), asked

    @property
    def frozen(self) -> Frozen:
        """The run as its files would tell it."""
        events = tuple(self.bench.events)
        opened, last = events[0], events[-1]
        assert isinstance(opened, e.Opened)
        ended = last if isinstance(last, e.Closed | e.Abandoned) else None
        return Frozen(self.bench.plan, events, opened, ended, "0" * 64, "0" * 64, "0" * 64)


def held_against_each_other(run: Tally) -> None:
    """What must hold of any run that was walked to its end."""
    frozen = run.frozen
    history = tell(frozen)

    assert isinstance(run.bench.prompt, ask.Ended)
    assert disagrees_at(frozen, history) is None
    departed: list[Any] = [row["departed"] for row in deviations(frozen, history)]
    assert "not done" not in [each["kind"] for several in departed for each in several]
    assert [] == [row for row in positions(frozen, history) if row["state"] not in DONE]
    assert run.pulls == sum(act.used for act in history.acts)


@settings(max_examples=EXAMPLES, deadline=None, suppress_health_check=list(HealthCheck))
@given(procedures())
def test_steady_hands_leave_nothing_undone(procedure: m.Procedure) -> None:
    """Nothing goes wrong: every position is done, and each pull stands there once."""
    run = Tally(procedure)
    run.steadily(3000)

    held_against_each_other(run)


@settings(max_examples=EXAMPLES, deadline=None, suppress_health_check=list(HealthCheck))
@given(procedures(), st.data())
def test_clumsy_hands_leave_nothing_undone_either(procedure: m.Procedure, data: st.DataObject) -> None:
    """Whatever went wrong on the way, the end is the walk's, and every pull was one of a tool."""
    run = Tally(procedure)
    wrong = slips(tuple(run.bench.plan.group_of))
    for _ in range(data.draw(st.integers(1, 25))):
        run.steadily(data.draw(st.integers(0, 9)))
        asked = run.bench.prompt
        if isinstance(asked, ask.Ended | ask.Finished):
            break
        if isinstance(asked, ask.Decide):
            run.answer(resolved(data.draw(st.sampled_from(ways(asked)))))
        else:
            run.answer(data.draw(wrong[data.draw(st.integers(0, len(wrong) - 1))]))
    if run.bench.session.progress.stopped:
        run.bench.resume()
    run.steadily(3000)

    held_against_each_other(run)
