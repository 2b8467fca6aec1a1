"""The words of a check for what it asks, stores and finds, in sentences for a person; numbers rounded only here."""

from __future__ import annotations

from decimal import Decimal
from typing import assert_never

from clampbook.check import events as e
from clampbook.check import prompts as ask
from clampbook.check.figures import Figures
from clampbook.check.judging import AtPoint, Beside, Judgement, OfSeries
from clampbook.check.plan import CheckPlan, Point, Series
from clampbook.tools.model import CheckVerdict
from clampbook.tools.permitted import beyond, in_short
from clampbook.units import Kind, parse, plain, show

COLDEST, HOTTEST = Decimal(18), Decimal(28)  # °C, ISO 6789-1, from memory
MARKS: dict[CheckVerdict, str] = {"within": "●", "outside": "▀", "cannot be decided": "?"}
VERIFICATION = (
    "This is a verification: a comparison with a reference of the workshop. It is no calibration and replaces none."
)


def percent(value: Decimal, permissible: Decimal | None = None, *, sign: bool = True) -> str:
    """A share for reading: two places, with its sign, such as "+1.52 %"; more where it would else be rounded across
    what is permitted."""
    short = in_short(value, permissible)
    text = plain(abs(short))
    lead = "−" if short < 0 else "+" if sign and short > 0 else ""
    return f"{lead}{text} %"


def marked(verdict: CheckVerdict) -> str:
    """The verdict as a word with its mark."""
    return f"{MARKS[verdict]} {verdict}"


def as_permitted(off: Decimal, permissible: Decimal) -> str:
    """Tell what one reading is beside what is permitted, as words with their mark."""
    return (
        f"{MARKS['outside']} beyond what is permitted"
        if beyond(off, permissible)
        else f"{MARKS['within']} as permitted"
    )


def way(series: Series) -> str:
    """A series in words: "slow, clockwise"."""
    return f"{series.technique}, {series.direction}"


def at(point: Point, unit: str) -> str:
    """A point in words: "60.0 N·m (60 %)"."""
    return show(point.value, unit) + (f" ({plain(point.share)} %)" if point.share is not None else "")


def sentence(prompt: ask.Prompt) -> str:
    """Say what is to be done now, in one sentence."""
    match prompt:
        case ask.Temperature():
            return "How warm are tool and reference, in °C?"
        case ask.Zero():
            return f"With no load on it, is the zero of {prompt.what.name} good?"
        case ask.Preload():
            name, direction = prompt.tool.name, prompt.way.direction
            most = "" if prompt.tool.maximum is None else f" ({show(prompt.tool.maximum, prompt.tool.unit)})"
            return f"Load {name} to its maximum{most}, {direction}, and let it go: {prompt.number} of {prompt.of}."
        case ask.SetTool():
            return f"Set {prompt.tool.name} to {show(prompt.to, prompt.tool.unit)}, then type what its scale shows."
        case ask.Pull():
            return _pull(prompt)
        case ask.Adjust():
            found = marked(prompt.judgement.verdict)
            return f"{prompt.tool.name} as found: {found}. Was it adjusted, or left as it was?"
        case ask.Finished():
            return "All is pulled. Close the check?"
        case ask.Ended():
            return f"The check is {prompt.outcome}."
        case _:
            assert_never(prompt)


def _pull(prompt: ask.Pull) -> str:
    where, tool = prompt.where, prompt.tool.name
    shown = prompt.reference.name if prompt.reference is not None else "the reference"
    to, manner = show(prompt.bring_to, prompt.bring_unit), way(where.way)
    if prompt.tool.kind == "setting":
        do = f"pull {tool} at {to} ({manner}) until it lets go, once; type what {shown} shows"
    elif prompt.type_what == "reference":
        do = f"pull {tool} ({manner}) until it shows {to}; type what {shown} shows"
    else:
        do = f"pull {tool} ({manner}) until {shown} shows {to}; type what {tool} shows"
    return f"{where.phase.capitalize()}, reading {where.reading} of {where.readings}: {do}."


def details(prompt: ask.Prompt) -> tuple[str, ...]:
    """Short lines below the sentence."""
    match prompt:
        case ask.Pull(where=where):
            so_far = ", ".join(percent(value) for value in prompt.so_far) or "none yet"
            limit = f"permitted {percent(prompt.permissible, sign=False)} either way"
            return (f"pull {where.number} of {where.of}; {limit}", f"deviations here so far: {so_far}")
        case ask.Adjust(judgement=judgement):
            return told(judgement, prompt.tool.unit)
        case ask.Temperature() | ask.Zero() | ask.Preload() | ask.SetTool() | ask.Finished() | ask.Ended():
            return ()
        case _ as never:
            assert_never(never)


def can_be_typed(prompt: ask.Prompt) -> str:
    """Say what a line can be here, in one sentence."""
    match prompt:
        case ask.Temperature():
            return "Type degrees, or - where nobody measured it."
        case ask.Zero():
            return "1 good, 2 came back wrong, 3 unknown."
        case ask.Preload():
            return "+ when it is done."
        case ask.SetTool():
            return f"Type the number and its unit, such as 30 {prompt.tool.unit}."
        case ask.Pull():
            return f"Type what {ask.whose(prompt)} shows, in {prompt.unit}; - for a bad pull."
        case ask.Adjust():
            return "- left as it was; or type what was adjusted."
        case ask.Finished():
            return "+ to close it."
        case ask.Ended():
            return ""
        case _:
            assert_never(prompt)


def stored(event: e.Event, plan: CheckPlan) -> str:
    """Tell what was just written, in a few words; a deviation as a word with its mark."""
    match event:
        case e.Pulled() | e.Corrected():
            off = Decimal(event.deviation)
            return f"{percent(off, plan.permissible)}: {_sides(event, plan)}, {as_permitted(off, plan.permissible)}."
        case e.TemperatureRead():
            return _temperature(event.value)
        case e.Zeroed():
            return f"Zero: {event.state}."
        case e.Preloaded():
            return "Loaded once."
        case e.ToolSet():
            return f"Set to {event.value} {event.unit}."
        case e.Voided():
            return "× void: a bad pull."
        case e.Adjusted():
            return f"Adjusted: {event.what}. Now it is checked as left."
        case e.LeftAlone():
            return "Left as it was found."
        case e.Noted():
            return "Noted."
        case e.Closed():
            return "The check is closed."
        case e.Abandoned():
            return "The check is given up; what was found still counts."
        case e.Paused():
            return "Paused; everything answered is stored."
        case e.Opened() | e.Resumed() | e.FoundRead():
            return ""
        case _:
            assert_never(event)


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
        return "Temperature: not measured."
    if COLDEST <= Decimal(value) <= HOTTEST:
        return f"Temperature {value} °C."
    return f"Temperature {value} °C; ISO 6789-1 wants tools checked between {COLDEST} and {HOTTEST} °C."


def told(judgement: Judgement, unit: str) -> tuple[str, ...]:
    """All that a phase came to, line by line: each series, each of its points, and series beside each other."""
    lines: list[str] = []
    for series in judgement.series:
        lines.append(_series(series))
        lines += [_point(each, unit) for each in series.points]
    lines += [_beside(each, unit) for each in judgement.beside]
    return tuple(lines)


def _series(series: OfSeries) -> str:
    found = "no readings" if series.figures is None else figured(series.figures, series.permissible)
    return f"{way(series.series)}: {marked(series.verdict)}; {found}"


def figured(found: Figures, permissible: Decimal | None = None) -> str:
    """Mean, scatter, spread, worst and drift in a few words, none rounded across what is permitted."""
    scatter = "" if found.scatter is None else f", standard deviation {percent(found.scatter, sign=False)}"
    drift = f", first to last {percent(found.drift)}" if found.n > 1 else ""
    spread = f", spread {percent(found.spread, sign=False)}" if found.n > 1 else ""
    mean, worst = percent(found.mean, permissible), percent(found.worst, permissible)
    return f"mean {mean} of {found.n}, worst {worst}{spread}{scatter}{drift}"


def _point(point: AtPoint, unit: str) -> str:
    found = "no readings" if point.figures is None else figured(point.figures, point.permissible)
    known = "" if point.guard is None else f"; known to ± {percent(point.guard, sign=False)}"
    return f"  {at(point.point, unit)}: {marked(point.verdict)}{_too_few(point)}; {found}{known}"


def _too_few(point: AtPoint) -> str:
    return f" (too few readings: {point.missing} more wanted)" if point.missing else ""


def _beside(each: Beside, unit: str) -> str:
    known = "" if each.uncertainty is None else f" (± {percent(each.uncertainty, sign=False)})"
    first, second = each.first.technique, each.second.technique
    place = f"{at(each.point, unit)}, {each.first.direction}"
    return f"{second} beside {first} at {place}: {percent(each.difference)} on average{known}"


def concluded(name: str, found: Judgement | None, left: Judgement | None) -> str:
    """Tell how a check ended, in one sentence."""
    parts = [f"as {word} {marked(each.verdict)}" for word, each in (("found", found), ("left", left)) if each]
    return f"{name}: {'; '.join(parts) or 'no reading was taken'}."


def what_it_showed(prompt: ask.Pull) -> str:
    """Ask about a bad pull: the number that the side showed which is typed."""
    shows = prompt.reference if prompt.type_what == "reference" and prompt.reference is not None else prompt.tool
    return f"Bad pull: what did {shows.name} show, in {prompt.unit}?"
