"""Making a record: its work grows with the number of readings, not with their square."""

from decimal import Decimal
from time import perf_counter

from benchmarks.walking import Pair
from clampbook.procedure.model import Group, Tighten
from clampbook.record.record import build
from clampbook.run import events as e
from clampbook.run.plan import encode
from record.daybooks import Daybook
from record.head import PROCEDURE, THIRTY, W5, a_plan


def seconds(count: int) -> float:
    """The better of two times that a record of so many readings takes."""
    positions = tuple(str(number) for number in range(1, count + 1))
    group = Group(name="Hull bolts", positions=positions, order=positions)
    stage = Tighten(number=1, group="Hull bolts", positions=positions, target=Decimal(30), window=THIRTY)
    day = Daybook(a_plan((stage,), (group,)))
    day.add(e.ToolTaken, tool=W5)
    for number, position in enumerate(positions):
        day.reading(f"1.1/{position}", f"{28 + number % 4}.{number % 10}")
    day.add(e.ToolZeroed, tool="w5", state="wrong")
    plan, data = encode(day.plan), day.data
    taken: list[float] = []
    for _ in range(2):
        begun = perf_counter()
        build(PROCEDURE, plan, data)
        taken.append(perf_counter() - begun)
    return min(taken)


def records() -> Pair:
    """A record of 4 000 readings, against eight of 500."""
    return Pair(seconds(4000), 8 * seconds(500))
