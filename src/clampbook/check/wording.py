"""The words of a check for what it asks, saves and finds, in sentences for a person; numbers rounded only here."""

from __future__ import annotations

from collections.abc import Sequence
from decimal import Decimal
from typing import assert_never

from clampbook.check import events as e
from clampbook.check import prompts as ask
from clampbook.check.at_the_joint import told_at_the_joint
from clampbook.check.compared import compared
from clampbook.check.figures import Figures
from clampbook.check.judging import AtPoint, Beside, Judgement, OfSeries
from clampbook.check.outlying import FAR, far_lines
from clampbook.check.percents import allowed, percent
from clampbook.check.plan import PLAIN, CheckPlan, Point, Series
from clampbook.check.progress import Progress
from clampbook.figures import show_exactly
from clampbook.text import started
from clampbook.tools.model import CheckVerdict, way_word
from clampbook.tools.permitted import beyond
from clampbook.units import Kind, convert, parse, plain, show

COLDEST, HOTTEST = Decimal(18), Decimal(28)  # °C, ISO 6789-1, from memory
MARKS: dict[CheckVerdict, str] = {"passed": "●", "failed": "!", "undecided": "?"}
FAILED: CheckVerdict = "failed"
VERIFICATION = "A check against a reference of the workshop. It does not replace calibration."
MENU = {  # what can be said at any prompt of a check, in the order of its numbers
    "correct": "Correct the last reading",
    "void": "Void the last pull",
    "abandon": "Abandon the check",
}
NOTHING_TYPED = "Nothing typed."
WHAT_WAS_SHOWN = "What did it show?"
HOW_KNOWN = "How do you know?"
WHAT_WAS_WRONG = "What was wrong with the last pull?"
WHY_ABANDON = "Why abandon the check?"
ABANDONED = "Check abandoned. Only a failure in it counts."
PAUSED = "Paused. Every answer is saved."


def marked(verdict: CheckVerdict) -> str:
    """The verdict as a word with its mark: "passed ●"."""
    return f"{verdict} {MARKS[verdict]}"


def mark_of(off: Decimal, permissible: Decimal) -> str:
    """The mark of one reading beside what is allowed."""
    return MARKS["failed" if beyond(off, permissible) else "passed"]


def way(series: Series) -> str:
    """A series in words: "slow, clockwise"."""
    return f"{series.technique}, {way_word(series.direction)}"


def torque(value: Decimal, units: Sequence[str]) -> str:
    """The torque of a point, in brackets also as the reference shows it: "20 lbf·ft (27.1 N·m)"."""
    own, *others = units
    rest = ", ".join(show(convert(value, own, other), other) for other in others)
    return show(value, own) + (f" ({rest})" if rest else "")


def at(point: Point, units: Sequence[str]) -> str:
    """A point in words: "60.0 N·m (60 %)", "20 lbf·ft (27.1 N·m, 20 %)"."""
    if point.share is None:
        return torque(point.value, units)
    own, *others = units
    rest = [show(convert(point.value, own, other), other) for other in others]
    return f"{show(point.value, own)} ({', '.join([*rest, f'{plain(point.share)} %'])})"


def sentence(prompt: ask.Prompt) -> str:
    """Say what is to be done now, in one sentence."""
    match prompt:
        case ask.Temperature():
            return "How warm are tool and reference, in °C?"
        case ask.Zero():
            return f"With no load, does {prompt.what.name} read zero?"
        case ask.Exercise():
            tool, direction = prompt.tool, way_word(prompt.way.direction)
            most = "its maximum" if tool.maximum is None else show(tool.maximum, tool.unit)
            return f"Exercise {tool.name}: pull {direction} to {most}. {prompt.number} of {prompt.of}."
        case ask.SetTool():
            return f"Set {prompt.tool.name} to {show(prompt.to, prompt.tool.unit)}. Type what its scale shows."
        case ask.Pull():
            return _pull(prompt)
        case ask.Adjust():
            return f"{started(marked(prompt.judgement.verdict))}: {prompt.tool.name} as found. What was adjusted?"
        case ask.Finished():
            return "All pulls done. Close the check?"
        case ask.Ended():
            return {"closed": "Check closed.", "abandoned": ABANDONED}.get(prompt.outcome, PAUSED)
        case _:
            assert_never(prompt)


def _pull(prompt: ask.Pull) -> str:
    where, tool = prompt.where, prompt.tool.name
    shown = prompt.reference.name if prompt.reference is not None else "the reference"
    to = show_exactly(prompt.bring_to, prompt.bring_unit)
    slowly = "slowly" if where.way.technique == PLAIN else f"({where.way.technique})"
    other = "" if where.way.technique == PLAIN else f" ({where.way.technique})"
    back = f" {way_word(where.way.direction)}" if where.way.direction == "anticlockwise" else ""
    if prompt.tool.kind == "setting":
        return f"Pull {tool} {slowly}{back} to one click. Type {shown}'s reading."
    if prompt.type_what == "reference":
        return f"Bring {tool}{back} to {to}{other}. Type {shown}'s reading."
    return f"Bring {shown}{back} to {to}{other}. Type {tool}'s reading."


def details(prompt: ask.Prompt) -> tuple[str, ...]:
    """Short lines below the sentence."""
    match prompt:
        case ask.Pull(where=where):
            here = f"{where.phase}, {way(where.way)}: reading {where.reading} of {where.readings}"
            so_far = ", ".join(percent(value) for value in prompt.so_far) or "none yet"
            limit = f"allowed {allowed(prompt.permissible)} · off by so far: {so_far}"
            return (f"{started(here)} · pull {where.number} of {where.of}{_other_side(prompt)}", started(limit))
        case ask.Adjust(judgement=judgement):
            return (*told(judgement), *told_at_the_joint(judgement, "as found", prompt.tool))
        case ask.Temperature() | ask.Zero() | ask.Exercise() | ask.SetTool() | ask.Finished() | ask.Ended():
            return ()
        case _ as never:
            assert_never(never)


def _other_side(prompt: ask.Pull) -> str:
    """The point on the side that is read, where that has another unit."""
    if len(prompt.units) == 1:
        return ""
    own, unit = prompt.units[0], prompt.unit
    return f" · {show(convert(prompt.where.at.value, own, unit), unit)} on {ask.whose(prompt)}"


def can_be_typed(prompt: ask.Prompt) -> str:
    """Say what a line can be here, in one sentence."""
    match prompt:
        case ask.Temperature():
            return "Type degrees, or - for not measured."
        case ask.Zero():
            return "Choose 1 for yes, 2 for no, 3 for not sure."
        case ask.Exercise():
            return "Press + when done."
        case ask.SetTool():
            return f"Type the number and its unit, such as 30 {prompt.tool.unit}."
        case ask.Pull():
            return f"Type the number in {prompt.unit}, or - for a bad pull."
        case ask.Adjust():
            return "Type it, or - for nothing."
        case ask.Finished():
            return "Choose 1 to close the check."
        case ask.Ended():
            return ""
        case _:
            assert_never(prompt)


def stored(event: e.Event, plan: CheckPlan, progress: Progress) -> str:
    """Tell what was just written, in a few words; a reading with its mark. `progress` is that after it."""
    match event:
        case e.Pulled() | e.Corrected():
            off = Decimal(event.deviation)
            found = f"Off by {percent(off, plan.permissible)} {mark_of(off, plan.permissible)}: {_sides(event, plan)}."
            line = event.of if isinstance(event, e.Corrected) else event.seq
            far = f" {started(FAR)}." if line in far_lines(progress) else ""
            return f"{found} Allowed {allowed(plan.permissible)}.{far}"
        case e.TemperatureRead():
            return _temperature(event.value)
        case e.Zeroed():
            return _zero(event, plan)
        case e.Exercised():
            return "Exercised once."
        case e.ToolSet():
            return f"{plan.tool.name} set to {event.value} {event.unit}."
        case e.Voided():
            return "Void ×: bad pull."
        case e.Adjusted():
            return f"Adjusted: {event.what}. Now check it as left."
        case e.LeftAlone():
            return "Left as found."
        case e.Noted():
            return "Noted."
        case e.Closed():
            return "Check closed."
        case e.Abandoned():
            return ABANDONED
        case e.Paused():
            return PAUSED
        case e.Opened() | e.Resumed() | e.FoundRead():
            return ""
        case _:
            assert_never(event)


def _zero(event: e.Zeroed, plan: CheckPlan) -> str:
    """Tell of a zero; one that is not good is asked for again at once, so that is said too."""
    looked_at = plan.reference if event.what == "reference" and plan.reference is not None else plan.tool
    match event.state:
        case "good":
            return f"{looked_at.name} reads zero."
        case "unknown":
            return f"Zero of {looked_at.name} not sure. Look again, with no load."
        case _:
            return f"{looked_at.name} does not read zero. Zero it, then answer again."


def _sides(event: e.Pulled | e.Corrected, plan: CheckPlan) -> str:
    """Both sides of a pull, the one that was typed in its own unit first."""
    unit = plan.tool.unit
    indicated, reference = show(Decimal(event.indicated), unit), show(Decimal(event.reference), unit)
    if event.unit != unit:
        typed = show(_number(event.typed), event.unit)
        if plan.held == "indicated":
            reference = f"{typed} ({reference})"
        else:
            indicated = f"{typed} ({indicated})"
    name = plan.reference.name if plan.reference is not None else "the reference"
    return f"{plan.tool.name} {indicated}, {name} {reference}"


def _number(typed: str) -> Decimal:
    return parse(typed, Kind.TORQUE, unit="N·m").value


def _temperature(value: str | None) -> str:
    if value is None:
        return "Temperature not measured."
    asked_for = "" if COLDEST <= Decimal(value) <= HOTTEST else f" ISO 6789-1 asks for {COLDEST} to {HOTTEST} °C."
    return f"{value.replace('-', '−')} °C.{asked_for}"


def told(judgement: Judgement) -> tuple[str, ...]:
    """All that a phase came to, line by line: each series, each of its points, and series beside each other."""
    lines: list[str] = []
    for series in judgement.series:
        lines.append(_series(series))
        lines += [_point(each, judgement.units) for each in series.points]
    lines += [_beside(each, judgement.units) for each in judgement.beside]
    return tuple(lines)


def _series(series: OfSeries) -> str:
    found = "no readings" if series.figures is None else figured(series.figures, series.permissible)
    return f"{way(series.series)}: {marked(series.verdict)}, {found}"


def figured(found: Figures, permissible: Decimal | None = None) -> str:
    """Mean, scatter, spread, worst and drift in a few words, none rounded across what is allowed."""
    scatter = "" if found.scatter is None else f", standard deviation {percent(found.scatter, sign=False)}"
    drift = f", first to last {percent(found.drift)}" if found.n > 1 else ""
    spread = f", spread {percent(found.spread, sign=False)}" if found.n > 1 else ""
    mean, worst = percent(found.mean, permissible), percent(found.worst, permissible)
    return f"mean {mean} of {found.n}, worst {worst}{spread}{scatter}{drift}"


def _point(point: AtPoint, units: Sequence[str]) -> str:
    found = "no readings" if point.figures is None else figured(point.figures, point.permissible)
    known = "" if point.guard is None else f", uncertainty ±{percent(point.guard, sign=False)}"
    return f"  {at(point.point, units)}: {marked(point.verdict)}{_too_few(point)}, {found}{known}{_far(point)}"


def _far(point: AtPoint) -> str:
    """Name the readings of a point that lie far from the others, by their numbers there."""
    numbers = ", ".join(str(at + 1) for at in point.far)
    return f", {FAR}: reading{'s' if len(point.far) > 1 else ''} {numbers}" if numbers else ""


def _too_few(point: AtPoint) -> str:
    return f" (too few readings, {point.missing} more needed)" if point.missing else ""


def _beside(each: Beside, units: Sequence[str]) -> str:
    place = f"{at(each.point, units)}, {way_word(each.first.direction)}"
    return f"{compared(each.first.technique, each.second.technique, each.apart, place)}."


def concluded(name: str, found: Judgement | None, left: Judgement | None) -> str:
    """Tell how a check ended, the outcome first: "Passed ●: W5.", "Passed ●: W5 as left, failed ! as found."."""
    latest = left or found
    if latest is None:
        return f"No readings: {name}."
    before = "" if left is None or found is None else f" as left, {marked(found.verdict)} as found"
    return f"{started(marked(latest.verdict))}: {name}{before}.{_by_direction(latest)}"


def _by_direction(judgement: Judgement) -> str:
    """The verdict on each direction, where there are several."""
    verdicts = {each.series.direction: each.verdict for each in judgement.judging}
    told = ", ".join(f"{way_word(direction)} {marked(verdict)}" for direction, verdict in verdicts.items())
    return f" {started(told)}." if len(verdicts) > 1 else ""


def what_it_showed(prompt: ask.Pull) -> str:
    """Ask about a bad pull: the number that the side showed which is typed."""
    shows = prompt.reference if prompt.type_what == "reference" and prompt.reference is not None else prompt.tool
    return f"Bad pull. What did {shows.name} show, in {prompt.unit}?"
