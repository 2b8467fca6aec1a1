"""From a tool and a few wishes to the plan of its check, after ISO 6789-1; what is missing is said in a sentence."""

from __future__ import annotations

from datetime import date
from decimal import ROUND_CEILING, ROUND_FLOOR, Decimal

from clampbook.check.plan import PLAIN, CheckPlan, Direction, Point, Series, Side
from clampbook.ledger.formats import FORMAT
from clampbook.text import TextFault, clean
from clampbook.tools.model import Tool, way_word
from clampbook.tools.setting import scale
from clampbook.units import Kind, convert, kind_of, show

# ISO 6789-1: a fifth, three fifths and all of the maximum; five readings a point, ten for the adjustable tools without
# a scale (type II, classes C and F); type I is loaded to its maximum once and type II five times beforehand. All from
# memory; tests/reference says so.
SHARES = (Decimal(20), Decimal(60), Decimal(100))
_READINGS = 5
_READINGS_WITHOUT_SCALE = 10
_WITHOUT_SCALE = ("C", "F")
_FIXED = ("B", "E")  # type II classes that are set to one torque for good
_EXERCISES = {"indicating": 1, "setting": 5}
TECHNIQUES = (PLAIN, "quick", "hand at the end of the grip", "hand at the middle of the grip", "with an extension")
_DIGITS = 5  # of a point on a reference whose scale is not known
MOST_POINTS, MOST_SERIES, MOST_READINGS = 12, 6, 100
MOST_OF_A_TECHNIQUE = 60  # characters


class NoCheck(ValueError):  # noqa: N818 - the word of the project
    """A tool that cannot be checked in this way; `sentence` says why and what to do."""

    def __init__(self, sentence: str) -> None:
        super().__init__(sentence)
        self.sentence = sentence


def points_of(tool: Tool) -> tuple[Point, ...]:
    """20, 60 and 100 % of the maximum, each once, at the nearest mark of the scale; a tool of one torque has that one.

    Raises NoCheck where the tool has no scale.
    """
    if tool.maximum is None:
        raise NoCheck(f"{tool.name} has no range in tools.toml. Add both ends of its scale")
    if tool.kind == "setting" and tool.iso_class in _FIXED:
        return (Point(tool.maximum, Decimal(100)),)
    found: dict[Decimal, Decimal] = {}
    for share in SHARES:
        found.setdefault(_on_a_mark(tool, tool.maximum * share / 100, tool.maximum), share)
    return tuple(Point(value, share) for value, share in found.items())


def readings_of(tool: Tool) -> int:
    """Count the readings of a point in each direction, by type and class."""
    without = tool.kind == "setting" and tool.iso_class in _WITHOUT_SCALE
    return _READINGS_WITHOUT_SCALE if without else _READINGS


def exercises_of(tool: Tool) -> int:
    """Count the pulls to the maximum that exercise the tool beforehand, unrecorded, in each direction."""
    return _EXERCISES[tool.kind]


def planned(
    tool: Tool,
    reference: Tool | None,
    *,
    targets: tuple[Decimal, ...] = (),
    techniques: tuple[str, ...] = ("slow",),
    directions: tuple[Direction, ...] = ("clockwise",),
    readings: int | None = None,
    held: Side | None = None,
    today: date | None = None,
) -> CheckPlan:
    """The plan of a check at the bench: at the work's `targets` (in the tool's unit), else at the points of ISO 6789.

    Raises NoCheck with a sentence where tool, reference or wishes do not go together.
    """
    permissible = permitted(tool)
    goes_together(tool, reference, directions)
    takes_its_maximum(tool, reference)
    points = tuple(_target(tool, target) for target in targets) or points_of(tool)
    count = readings if readings is not None else readings_of(tool)
    side = held if held is not None else "indicated"
    if tool.kind == "setting" and side != "indicated":
        raise NoCheck(f"{tool.name} is a setting tool. Only the reference is read")
    if not 1 <= count <= MOST_READINGS:
        raise NoCheck(f"{count} readings a point is not possible. Choose 1 to {MOST_READINGS}")
    ways = tuple(map(_technique, techniques))
    series = tuple(Series(technique, direction) for direction in directions for technique in ways)
    _not_too_many(points, series)
    return CheckPlan(
        plan=FORMAT,
        tool=tool,
        reference=reference,
        points=points,
        series=series,
        readings=count,
        exercises=exercises_of(tool),
        permissible=permissible,
        held=side,
        planned_on=None if today is None else today.isoformat(),
    )


def permitted(tool: Tool) -> Decimal:
    """The tool's permissible deviation in percent. Raises NoCheck where it is no torque tool or has none."""
    if tool.kind not in ("setting", "indicating"):
        raise NoCheck(f"{tool.name} is not a torque tool. Only setting and indicating tools are checked")
    if tool.permissible_deviation is None:
        raise NoCheck(f"{tool.name} has no permissible deviation. Add it, or its type and class, to tools.toml")
    return tool.permissible_deviation


def goes_together(tool: Tool, reference: Tool | None, directions: tuple[Direction, ...]) -> None:
    """Raises NoCheck where the tool cannot be checked against this, or does not work in one of these directions."""
    for direction in directions:
        if tool.directions not in ("both", direction):
            raise NoCheck(f"{tool.name} works {way_word(tool.directions)} only")
    if reference is None:
        return
    if reference.id == tool.id:
        raise NoCheck(f"{tool.name} cannot be checked against itself. Choose a reference")
    if reference.kind != "reference" or kind_of(reference.unit) != Kind.TORQUE:
        raise NoCheck(f'{reference.name} is not a torque reference. In tools.toml its kind must be "reference"')


def takes_its_maximum(tool: Tool, reference: Tool | None) -> None:
    """Raises NoCheck where the exercise, which goes to the tool's maximum, would overload the reference."""
    if tool.maximum is not None and beyond(reference, tool, tool.maximum):
        assert reference is not None and reference.maximum is not None
        most, end = show(tool.maximum, tool.unit), show(reference.maximum, reference.unit)
        raise NoCheck(
            f"{reference.name} ends at {end}. Exercising {tool.name} at {most} would overload it. "
            "Choose a reference that reads as far"
        )


def beyond(reference: Tool | None, tool: Tool, torque: Decimal) -> bool:
    """True where a torque in the tool's unit lies beyond the end of the reference's scale."""
    if reference is None or reference.maximum is None:
        return False
    return torque > convert(reference.maximum, reference.unit, tool.unit)


def _target(tool: Tool, value: Decimal) -> Point:
    if tool.maximum is None or value <= 0 or not (tool.minimum or 0) <= value <= tool.maximum:
        raise NoCheck(f"{show(value, tool.unit)} is off the scale of {tool.name} ({scale(tool)})")
    if tool.kind == "setting" and tool.resolution is not None and value % tool.resolution:
        step = show(tool.resolution, tool.unit)
        raise NoCheck(f"{tool.name} cannot be set to {show(value, tool.unit)}: its scale lines are {step} apart")
    return Point(value)


def _technique(written: str) -> str:
    try:
        label = clean(written, what="the technique", most=MOST_OF_A_TECHNIQUE)
    except TextFault as fault:
        raise NoCheck(fault.sentence) from fault
    if not label:
        raise NoCheck("a technique has no name. Type how the tool is pulled, such as slow or quick")
    return label


def _on_a_mark(tool: Tool, value: Decimal, high: Decimal) -> Decimal:
    """The nearest mark that is on the scale; a point below the lowest mark moves up to it, one above the last down."""
    low, step = tool.minimum or Decimal(0), tool.resolution
    if step is None:
        return max(value, low)
    first, last = (low / step).to_integral_value(ROUND_CEILING), (high / step).to_integral_value(ROUND_FLOOR)
    mark = min(max((value / step).to_integral_value(), first, Decimal(1)), last)
    return mark * step if mark > 0 else step


def _not_too_many(points: tuple[Point, ...], series: tuple[Series, ...]) -> None:
    if len(points) > MOST_POINTS:
        raise NoCheck(f"{len(points)} torques are too many. {MOST_POINTS} at most")
    if len({point.value for point in points}) < len(points):
        raise NoCheck("a torque is named twice. Give each once")
    if not 1 <= len(series) <= MOST_SERIES:
        raise NoCheck(f"{len(series)} series are too many. {MOST_SERIES} at most")
    if len(set(series)) < len(series):
        raise NoCheck("a technique is named twice. Give each its own name")


def held_at(plan: CheckPlan, point: Point) -> tuple[Decimal, str]:
    """The number to which the side that is not typed is brought, and its unit: the point on the tool, or the nearest
    line of the reference's scale. What is shown is what counts as held."""
    tool, reference = plan.tool, plan.reference
    if plan.held == "indicated" or reference is None or reference.unit == tool.unit:
        return point.value, tool.unit
    there = convert(point.value, tool.unit, reference.unit)
    step = reference.resolution or Decimal(1).scaleb(there.adjusted() - _DIGITS + 1)
    return (there / step).to_integral_value() * step, reference.unit
