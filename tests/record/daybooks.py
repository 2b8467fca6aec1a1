"""A small joint of the *Whinchat*'s pattern C engine, and daybooks of it line by line. All values are invented."""

from __future__ import annotations

import hashlib
import tomllib
from datetime import UTC, datetime, timedelta
from decimal import Decimal
from typing import Any

import msgspec

from clampbook.ledger.lines import NOTHING_BEFORE, digest
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
from clampbook.record.record import build
from clampbook.run import events as e
from clampbook.run.plan import DueLater, Plan, Step, encode
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
    Tighten(number=1, group="Head bolts", positions=HEAD, target=Decimal(30), window=THIRTY, sheet="step 4"),
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
        "plan": 1,
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
        "asks": (Ask(name="Engine serial number", answer="text", searched_as="unit", required=True),),
        "parts": (Part(name="Head gasket", record="lot"), Part(name="Washers", record="count", left_over=True)),
        "layout": Layout(kind="rows", places=places),
        "groups": groups,
        "stages": stages,
        "steps": steps(stages),
        "sign_off": (SignOff(role="assembler", required=True), SignOff(role="inspector", required=False)),
        "due_later": (DueLater(title="Check again after first run", after=Decimal(1800), or_use="50 km"),),
    }
    return Plan(**(fields | changes))


class Daybook:
    """The daybook of one run while a test writes it: each line ten seconds after the one before."""

    def __init__(self, plan: Plan | None = None, **opened: Any) -> None:
        self.plan = plan if plan is not None else a_plan()
        self.lines: list[bytes] = []
        self.now = datetime(2026, 3, 2, 8, 0, tzinfo=UTC)
        first: dict[str, Any] = {
            "daybook": 1,
            "run": "20260302-head-k7q2m4xa",
            "book": "harbour-museum",
            "log_head": "ab" * 32,
            "procedure_sha256": hashlib.sha256(PROCEDURE).hexdigest(),
            "plan_sha256": hashlib.sha256(encode(self.plan)).hexdigest(),
            "person": INES,
            "version": "0.1.0",
            "clock": "system",
            "unit": "Whinchat",
        }
        self.add(e.Opened, **(first | opened))

    def add(self, event: Any, **found: Any) -> int:
        """Write one more line and return its number."""
        self.now += timedelta(seconds=10)
        at = self.now.isoformat(timespec="milliseconds").replace("+00:00", "Z")
        fields = {"at": at, "offset": "+01:00", "by": "ines"} | found
        before = digest(self.lines[-1]) if self.lines else NOTHING_BEFORE
        written = event(**fields, seq=len(self.lines) + 1, prev=before)
        self.lines.append(msgspec.json.encode(written, order="sorted"))
        return len(self.lines)

    def reading(self, step: str, value: str, verdict: str = "within", **found: Any) -> int:
        """A reading of W5 in the sheet's unit, window 28 to 32 N·m."""
        fields: dict[str, Any] = {
            "step": step,
            "attempt": 1,
            "tool": "w5",
            "typed": value,
            "value": value,
            "unit": "N·m",
            "at_fastener": value,
            "window": ("28.0", "32.0"),
            "verdict": verdict,
        }
        return self.add(e.ReadingTaken, **(fields | found))

    def released(self, step: str, set_to: str = "30.0", **found: Any) -> int:
        """A release of W2."""
        fields: dict[str, Any] = {
            "step": step,
            "attempt": 1,
            "tool": "w2",
            "set_to": set_to,
            "unit": "N·m",
            "at_fastener": set_to,
            "window": ("28.0", "32.0"),
        }
        return self.add(e.Released, **(fields | found))

    def turned(self, step: str, value: str | None, total: str | None, verdict: str = "within", **found: Any) -> int:
        """A stroke with the gauge; `value` None from mark to mark."""
        fields: dict[str, Any] = {
            "step": step,
            "attempt": 1,
            "tool": "g1",
            "typed": value,
            "value": value,
            "sum": total,
            "window": ("90", "94"),
            "verdict": verdict,
        }
        return self.add(e.Turned, **(fields | found))

    def confirmed(self, first: str, last: str) -> int:
        """Several releases of W2 at 10 N·m in one answer."""
        window = ("9", "11")
        return self.add(
            e.Confirmed, first=first, last=last, tool="w2", set_to="10", unit="N·m", at_fastener="10", window=window
        )

    def measured(self, step: str, value: str, verdict: str = "within", **found: Any) -> int:
        """End play in mm, window 0.10 to 0.25 mm."""
        fields: dict[str, Any] = {
            "step": step,
            "attempt": 1,
            "typed": value,
            "value": value,
            "unit": "mm",
            "result": value,
            "window": ("0.10", "0.25"),
            "verdict": verdict,
        }
        return self.add(e.Measured, **(fields | found))

    def decided(self, about: int, choice: str, cause: str = "over", **found: Any) -> int:
        """A decision about a line."""
        return self.add(e.Decided, about=about, cause=cause, choice=choice, **found)

    def loosened(self, step: str, position: str, attempt: int = 2) -> int:
        """A position is loosened before it is taken from the beginning."""
        return self.add(e.Loosened, step=step, position=position, attempt=attempt, work=True)

    def closed(self, outcome: str = "done", **found: Any) -> int:
        """The last line."""
        return self.add(e.Closed, outcome=outcome, **found)

    @property
    def data(self) -> bytes:
        """The daybook's bytes."""
        return b"".join(line + b"\n" for line in self.lines)

    def text(self) -> str:
        """record.toml as text."""
        return build(PROCEDURE, encode(self.plan), self.data).decode()

    def record(self) -> dict[str, Any]:
        """record.toml as anybody's TOML reader sees it."""
        return tomllib.loads(self.text())


def at_line(rows: list[dict[str, Any]], line: int) -> dict[str, Any]:
    """The one row that a line of the daybook gave."""
    found = [row for row in rows if row.get("line") == line]
    assert 1 == len(found), found
    return found[0]


def a_quantity(value: str, unit: str) -> Quantity:
    """A quantity of the sheet."""
    return Quantity(Decimal(value), unit)
