"""A small head of the *Whinchat*'s pattern C engine: its groups, stages, tools and people. All values are invented."""

from __future__ import annotations

from decimal import Decimal
from typing import Any

from clampbook.people import Person
from clampbook.procedure.model import (
    Apply,
    Ask,
    Group,
    Inspect,
    Layout,
    Loosen,
    Measure,
    Part,
    Place,
    Recheck,
    SignOff,
    Stage,
    Tighten,
    Turn,
    Wait,
    Window,
)
from clampbook.run.plan import DueLater, Plan, Step
from clampbook.tools.model import Tool
from clampbook.units import Quantity

PROCEDURE = b'title = "Cylinder head, pattern C engine"\n'
INES, TOMAS, MAUD, OKKE = (Person(name.lower(), name) for name in ("Ines", "Tomas", "Maud", "Okke"))
W2 = Tool(
    id="w2",
    name="W2",
    kind="setting",
    unit="N·m",
    minimum=Decimal(10),
    maximum=Decimal(60),
    resolution=Decimal("0.5"),
    wound_down=True,
    serial="A-114",
    calibrated_on="2025-09-01",
    calibration_due="2026-09-01",
)
W5 = Tool(id="w5", name="W5", kind="indicating", unit="N·m", maximum=Decimal(80), calibration_due="2026-01-31")
GAUGE = Tool(id="g1", name="G1", kind="angle gauge", unit="°")

HEAD = ("1", "2", "3", "4")
SIDE = ("11", "12")
THIRTY = Window(low=Decimal("28.0"), high=Decimal("32.0"), unit="N·m")
STAGES: tuple[Stage, ...] = (
    Tighten(number=1, group="Head bolts", positions=HEAD, target=Decimal(30), window=THIRTY, manual="step 4"),
    Turn(
        number=2,
        group="Head bolts",
        positions=HEAD,
        target=Decimal(90),
        window=Window(low=Decimal(90), high=Decimal(94), unit="°"),
        in_strokes=True,
    ),
    Measure(
        number=3,
        what="Crankshaft end play",
        unit="mm",
        window=Window(low=Decimal("0.10"), high=Decimal("0.25"), unit="mm"),
    ),
    Wait(number=4, lasts=Decimal(600), as_written="10 min", since="last pull"),
    Inspect(number=5, group="Head bolts", positions=HEAD, ask="Every mark half a turn on?", hold_point=True),
    Tighten(
        number=6,
        group="Side screws",
        positions=SIDE,
        target=Decimal(10),
        window=Window(low=Decimal(9), high=Decimal(11), unit="N·m"),
        confirm="round",
    ),
    Recheck(
        number=7,
        group="Side screws",
        positions=SIDE,
        target=Decimal(10),
        method="tighten on",
        until_still=True,
        at_most=4,
    ),
    Apply(number=8, group="Side screws", positions=SIDE, what="thread locker"),
    Loosen(number=9, group="Side screws", positions=SIDE),
)
GROUPS = (
    Group(name="Head bolts", positions=HEAD, order=HEAD, fits={"1": "M10x1.25 x 91 mm"}, thread="M10x1.25"),
    Group(name="Side screws", positions=SIDE, order=SIDE, thread="M8"),
)


def steps(stages: tuple[Stage, ...] = STAGES) -> tuple[Step, ...]:
    """The stages' steps in order, one round each."""
    found: list[Step] = []
    for stage in stages:
        gate = isinstance(stage, Wait | Inspect) or (isinstance(stage, Measure) and stage.asked == "once")
        for position in (None,) if gate else stage.positions:
            window = getattr(stage, "window", None)
            unit = window.unit if window else None
            found.append(
                Step(
                    number=len(found) + 1,
                    id=f"{stage.number}.1/{position or '-'}",
                    stage=stage.number,
                    kind=type(stage).__name__.lower(),
                    section=stage.number,
                    group=stage.group,
                    position=position,
                    target=getattr(stage, "target", None),
                    window=(window.low, window.high) if window else None,
                    unit=unit,
                )
            )
    return tuple(found)


def a_plan(stages: tuple[Stage, ...] = STAGES, groups: tuple[Group, ...] = GROUPS, **changes: Any) -> Plan:
    """The plan of a run on the head; `changes` are fields that are to be others."""
    places = tuple(
        Place(position=position, x=float(x), y=float(y))
        for y, group in enumerate(groups)
        for x, position in enumerate(group.positions)
    )
    fields: dict[str, Any] = {
        "plan": 2,
        "title": "Cylinder head, pattern C engine",
        "slug": "head",
        "revision": "B",
        "status": "draft",
        "source": "Workshop sheet 12 (invented)",
        "unit": "N·m",
        "trial": False,
        "joint": None,
        "follow_up": None,
        "pause_limit": Decimal(600),
        "cautions": ("Engine cold, below 30 °C.",),
        "asks": (Ask(name="Engine serial number", answer="text", searched_as="equipment", required=True),),
        "parts": (Part(name="Head gasket", record="lot"), Part(name="Washers", record="count", left_over=True)),
        "layout": Layout(kind="rows", places=places),
        "groups": groups,
        "stages": stages,
        "steps": steps(stages),
        "sign_off": (SignOff(role="assembler", required=True), SignOff(role="inspector", required=False)),
        "due_later": (DueLater(title="Check again after first run", after=Decimal(1800), or_use="50 km"),),
    }
    return Plan(**(fields | changes))


def a_quantity(value: str, unit: str) -> Quantity:
    """A quantity of the sheet."""
    return Quantity(Decimal(value), unit)
