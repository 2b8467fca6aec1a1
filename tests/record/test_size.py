"""Large joints: the work of making a record grows with the number of readings and not faster."""

from decimal import Decimal
from time import perf_counter

from clampbook.procedure.model import Group, Tighten
from clampbook.record.record import build
from clampbook.run import events as e
from clampbook.run.plan import encode

from .daybooks import Daybook
from .head import PROCEDURE, THIRTY, W5, a_plan


def seconds(count: int) -> float:
    """The better of two times that a record of so many readings takes."""
    positions = tuple(str(number) for number in range(1, count + 1))
    group = Group(name="Hull bolts", positions=positions, order=positions)
    stage = Tighten(number=1, group="Hull bolts", positions=positions, target=Decimal(30), window=THIRTY)
    day = Daybook(a_plan((stage,), (group,)))
    day.add(e.ToolTaken, tool=W5)
    for number, position in enumerate(positions):
        day.reading(f"1.1/{position}", f"{28 + number % 4}.{number % 10}")
    day.add(e.ToolZeroed, tool="w5", state="came back wrong")
    plan, data = encode(day.plan), day.data
    taken: list[float] = []
    for _ in range(2):
        begun = perf_counter()
        build(PROCEDURE, plan, data)
        taken.append(perf_counter() - begun)
    return min(taken)


def test_eight_times_the_readings_take_no_more_than_some_eight_times_as_long() -> None:
    """Twice that is allowed for, because machines are busy; work that grows with the square would take 64 times."""
    assert seconds(4000) <= 16 * seconds(500)
