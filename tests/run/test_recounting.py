"""Judged lines answered once more: honest runs give the same figures again, a changed figure is found on its line."""

from __future__ import annotations

from pathlib import Path

import pytest
from hypothesis import HealthCheck, settings
from msgspec.structs import replace
from test_model import WalkOfAnything

from clampbook.record.frozen import Frozen, read
from clampbook.run import events as e
from clampbook.run.events import Event
from clampbook.run.recount import recounted
from walks import bad_day

GOLDEN = Path(__file__).parent.parent / "golden"


class Recounted(WalkOfAnything):
    """A run of a random procedure in which everything goes wrong, recounted at its end."""

    def teardown(self) -> None:
        """Whatever happened, each figure is the one that its answer gives."""
        if hasattr(self, "bench"):
            assert [] == list(recounted(self.bench.plan, self.bench.events))


TestAnyWalk = Recounted.TestCase
TestAnyWalk.settings = settings(
    max_examples=25, stateful_step_count=30, deadline=None, suppress_health_check=list(HealthCheck)
)


@pytest.mark.parametrize("name", sorted(path.name for path in GOLDEN.iterdir()))
def test_golden_runs_are_recounted(name: str) -> None:
    """Also those of earlier versions."""
    procedure, plan, daybook = (
        (GOLDEN / name / file).read_bytes() for file in ("procedure.toml", "plan.json", "daybook.jsonl")
    )
    run = read(procedure, plan, daybook)

    assert [] == list(recounted(run.plan, run.events))


@pytest.fixture(scope="module")
def day() -> Frozen:
    """The head on a day on which everything goes wrong."""
    return read(*bad_day())


def _changed(day: Frozen, kind: type[Event], **fields: object) -> tuple[int, list[tuple[int, str]]]:
    """The number of the first line of this kind, and what is found once some of its fields were changed."""
    line = next(event for event in day.events if isinstance(event, kind))
    other = replace(line, **fields)
    return line.seq, list(recounted(day.plan, [other if event is line else event for event in day.events]))


@pytest.mark.parametrize(
    ("kind", "fields", "told"),
    [
        (e.ReadingTaken, {"verdict": "over"}, "verdict is over, but what was typed gives within"),
        (e.ReadingTaken, {"at_fastener": "30.000"}, "at_fastener is 30.000, but what was typed gives "),
        (e.ReadingTaken, {"window": ("1", "99")}, "window is 1 to 99, but what was typed gives "),
        (e.ReadingTaken, {"value": "30"}, "value is 30, but what was typed gives "),
        (e.Turned, {"verdict": "under"}, "verdict is under, but what was typed gives "),
        (e.Turned, {"sum": "1"}, "sum is 1, but what was typed gives "),
        (e.Corrected, {"verdict": "over"}, "verdict is over, but what was typed gives within"),
        (e.Measured, {"verdict": "over"}, "verdict is over, but what was typed gives "),
    ],
    ids=lambda value: value.__name__ if isinstance(value, type) else "",
)
def test_a_changed_figure_is_named(day: Frozen, kind: type[Event], fields: dict[str, object], told: str) -> None:
    """With its line, the figure that stands there, and the one that belongs there."""
    line, found = _changed(day, kind, **fields)

    assert (line, True) == (found[0][0], found[0][1].startswith(told))


def test_what_cannot_have_come_there_ends_it(day: Frozen) -> None:
    """A step that the plan does not know has no place, and nothing after it has any ground."""
    line, found = _changed(day, e.ReadingTaken, step="9.9/99")

    assert line == found[-1][0]
    assert "cannot have come at this place" in found[-1][1]
