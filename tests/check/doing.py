"""A check in memory for tests: invented tools, and a hand whose every pull shows what a test says."""

from __future__ import annotations

from dataclasses import dataclass, field
from datetime import UTC, datetime, timedelta
from decimal import Decimal
from typing import Any, TypeVar

from msgspec.structs import replace

from clampbook.check import answers as a
from clampbook.check import events as e
from clampbook.check import prompts as ask
from clampbook.check.answers import Accepted, Outcome, Unsure
from clampbook.check.deciding import Session, decide
from clampbook.check.plan import CheckPlan
from clampbook.check.planning import planned
from clampbook.check.progress import Progress, apply
from clampbook.ledger.stamp import Stamp
from clampbook.tools.model import Tool
from clampbook.units import plain

Asked = TypeVar("Asked")
START = datetime(2026, 3, 2, 9, 0, tzinfo=UTC)
R1 = Tool(
    id="r1",
    name="R1",
    kind="reference",
    unit="N·m",
    minimum=Decimal(2),
    maximum=Decimal(200),
    resolution=Decimal("0.01"),
    certificate="V-17 (invented)",
    uncertainty=Decimal("0.5"),
)
W2 = Tool(
    id="w2",
    name="W2",
    kind="setting",
    unit="N·m",
    minimum=Decimal(20),
    maximum=Decimal(100),
    resolution=Decimal(1),
    iso_type="II",
    iso_class="A",
    permissible_deviation=Decimal(4),
    permissible_from="ISO 6789-1:2017",
)
W5 = replace(W2, id="w5", name="W5", kind="indicating", iso_type="I", iso_class="B", resolution=Decimal("0.1"))


@dataclass
class Bench:
    """`answer` decides, numbers the event, and folds it."""

    plan: CheckPlan
    progress: Progress = field(default_factory=Progress)
    unusual: bool = False
    events: list[e.Event] = field(default_factory=list)
    at: datetime = START

    @property
    def prompt(self) -> ask.Prompt:
        """What is asked now."""
        return ask.prompt(self.plan, self.progress)

    def answer(self, answer: a.Answer) -> Outcome:
        """Give an answer; what is accepted is folded."""
        self.at += timedelta(seconds=5)
        outcome = decide(Session(self.plan, self.progress, self.unusual), answer, Stamp(self.at, "+01:00", "ines"))
        self.unusual = isinstance(outcome, Unsure)
        if isinstance(outcome, Accepted):
            self.store(outcome.event)
        return outcome

    def store(self, event: e.Event) -> None:
        """Fold an event as the next line."""
        stored = replace(event, seq=self.progress.seq + 1)
        self.events.append(stored)
        self.progress = apply(self.plan, self.progress, stored)

    def to(self, kind: type[Asked], reference: str = "1", most: int = 500) -> Asked:
        """Go on until a prompt of this kind; every pull shows `reference` times the point."""
        for _ in range(most):
            now = self.prompt
            if isinstance(now, kind):
                return now
            outcome = self.answer(steady(now, Decimal(reference)))
            assert isinstance(outcome, Accepted), (now, outcome)
        raise AssertionError("it is never asked")

    def shows(self, text: str) -> Outcome:
        """Pull, and this is shown."""
        return self.answer(a.Value(text))


def bench(tool: Tool = W2, reference: Tool | None = R1, **wishes: Any) -> Bench:
    """A check just opened."""
    return Bench(planned(tool, reference, **wishes))


def steady(now: ask.Prompt, share: Decimal = Decimal(1)) -> a.Answer:
    """A fitting answer to every prompt; a pull shows `share` of the point."""
    match now:
        case ask.Temperature():
            return a.Value("21.5")
        case ask.Zero():
            return a.ZeroIs("good")
        case ask.Exercise():
            return a.Plus()
        case ask.SetTool():
            return a.ScaleShows(plain(now.to), now.tool.unit)
        case ask.Pull():
            return a.Value(f"{plain((now.where.at.value * share).quantize(Decimal('0.001')))} N·m")
        case ask.Adjust():
            return a.NotAdjusted()
        case ask.Finished():
            return a.Finish()
        case ask.Ended():
            raise AssertionError("nothing is asked")
