"""The front of the form: what it is of, who works on what, cautions, preparations, and the tools."""

from __future__ import annotations

import re
from collections.abc import Iterator

from clampbook.figures import show_day
from clampbook.procedure.model import Ask, Group, Pulled
from clampbook.record.form.blocks import Block, Box, Boxes, Drawing, Head, Rows, Section
from clampbook.record.form.chosen import Taken
from clampbook.record.form.places import packed
from clampbook.record.pages.widths import wide
from clampbook.run.fold.counts import counted_new
from clampbook.run.fold.tools import WANTS_ZERO
from clampbook.run.plan import Plan
from clampbook.run.told.places import named
from clampbook.tools.model import Tool
from clampbook.tools.state import due_on

_NAME, _THEIRS = Box("Done by", wide=30), Box("Initials", wide=14)
_WHO = (  # whoever is alone leaves the second row
    (Box("Done by", wide=38), _THEIRS, Box("Day", wide=19), Box("Time", wide=17)),
    (_NAME, _THEIRS, _NAME, _THEIRS),
)
_TOOLS = 4  # rows for tools that are picked up
_SHORT, _HALF, _WHOLE = 29, 44, 88  # millimetres
_NAMES_ITSELF = re.compile(r"class|grade|gr\.|sae", re.IGNORECASE)
_NO_ZERO = "no zero"  # in 13 mm
_EM = 2.82  # millimetres, of the type in boxes
_LONG = 24  # signs of answers that need a whole row, half of those of a name


def front(plan: Plan, taken: Taken) -> Iterator[Block]:
    """Give all that stands before the work."""
    yield _head(plan)
    yield Boxes((*_WHO, *packed(tuple(_asked(plan, "start")))))
    if plan.cautions:
        yield Section("Cautions", lines=_ticked(plan.cautions))
    for name, (group, *_) in plan.alike.items():
        if group.prepare and plan.follow_up is None:
            yield Section(f"Prepare: {name}", lines=_ticked(group.prepare))
    yield Section("Fasteners", lines=tuple(_fastener(name, group) for name, (group, *_) in plan.alike.items()))
    yield Drawing()
    yield from _tools(taken)
    yield from _adapters(plan)


def _head(plan: Plan) -> Head:
    draft = "Withdrawn procedure" if plan.status == "withdrawn" else "Draft procedure"
    notices = [f"{draft}: {plan.not_released}." if plan.not_released else f"{draft}."]
    notices = [] if plan.status == "released" else notices
    notices += ["Trial assembly, not final."] if plan.trial else []
    notices += [f"Compare with the manual again by {show_day(plan.look_again_by)}."] if plan.look_again_by else []
    on = [each for each in (plan.joint, plan.follow_up and f"Follow-up: {plan.follow_up}") if each]
    return Head(
        kind="Paper form, to fill in by hand",
        title=plan.title,
        on=" · ".join(on),
        revision=f"Revision {plan.revision}, {plan.status}{f' {plan.released}' if plan.released else ''}",
        source=plan.source or "",
        notices=tuple(notices),
    )


def at_the_end(plan: Plan) -> tuple[Box, ...]:
    """The questions of the end."""
    return tuple(_asked(plan, "end"))


def _asked(plan: Plan, when: str) -> Iterator[Box]:
    """The questions of the procedure and its parts, each with a place for the answer."""
    yield from (_question(each) for each in plan.asks if each.when == when)
    for part in plan.parts:
        if when == "start" or part.left_over:
            new = when == "start" and bool(counted_new(plan, part))
            what = "left over" if when == "end" else "count of new ones, they are one-use" if new else part.record
            needed = f", {part.needed} needed" if part.needed and when == "start" else ""
            yield _of_its_length(f"{part.name}: {what}{needed}")
    if when == "start":
        for group in plan.asked_new or ():
            yield Box(f"{group}: all new? They are one-use.", "□ yes    □ no", _WHOLE)


def _question(ask: Ask) -> Box:
    choices = ask.choices or (("yes", "no") if ask.answer == "yes" else ())
    answers = "    ".join(f"□ {each}" for each in choices)
    return _of_its_length(f"{ask.name}, {ask.unit}" if ask.unit else ask.name, answers)


def _of_its_length(name: str, answers: str = "") -> Box:
    """Give what is written below its name a line of its own; a tick needs none."""
    across = len(answers) > _LONG or len(name) > 2 * _LONG or (not answers and wide(name) * _EM > _HALF - 2)
    return Box(name, answers, _WHOLE if across else _HALF)


def _ticked(lines: tuple[str, ...]) -> tuple[str, ...]:
    return tuple(f"□ {line}" for line in lines)


def _fastener(name: str, group: Group) -> str:
    told = [_kinds(group), _strength(group), group.lubrication, group.fastener]
    left = ["left-hand thread"] if group.left_hand else []
    return f"{name}: {' · '.join(part for part in (*told, *left) if part)}"


def _strength(group: Group) -> str | None:
    """The property class in words, as a bare "10.9" says nothing to whoever does not know; others have their names."""
    name = group.property_class
    if name is None or group.strength is not None or _NAMES_ITSELF.search(name):
        return name
    return f"property class {name}"


def _kinds(group: Group) -> str:
    """Tell what belongs where: "M10x1.25 x 91 mm at 1–4, M10x1.25 at 5, 6"; without positions where it is the same
    at all."""
    at: dict[str | None, list[str]] = {}
    for position in group.positions:
        at.setdefault(group.fits_at(position), []).append(position)
    if len(at) == 1:
        return next(iter(at)) or ""
    return ", ".join(f"{fits} at {named(where)}" for fits, where in at.items() if fits)


def _tools(taken: Taken) -> Iterator[Block]:
    yield Section("Tools", "as marked on each. Does it read zero with no load?")
    known = dict.fromkeys(each.tool for each in taken.choices)
    rows = [(tool.name, tool.serial or "", tool.unit, _due(tool, taken), *_zeros(tool)) for tool in known]
    rows += [("",) * 6] * max(2, _TOOLS - len(rows))
    head = ("Tool", "Serial number", "Unit", "Calibration due", "Zero before", "Zero after")
    yield Rows(head, (14, 20, 11, 17, 13, 13), tuple(rows))


def _due(tool: Tool, taken: Taken) -> str:
    """Its calibration's last day, and what speaks against the tool on the day of the form."""
    return ", ".join(filter(None, (str(due_on(tool) or ""), taken.against.get(tool.id, ""))))


def _zeros(tool: Tool) -> tuple[str, str]:
    """Boxes for its zero, before and after; of a setting tool, that it has none to read."""
    return ("", "") if tool.kind in WANTS_ZERO else (_NO_ZERO, _NO_ZERO)


def _adapters(plan: Plan) -> Iterator[Block]:
    """Give room for what an adapter does to a setting, for each that the procedure asks for."""
    asked = dict.fromkeys(each.through for each in plan.stages if isinstance(each, Pulled) and each.through)
    if not asked:
        return
    yield Section("Adapters", "length from drive to the middle of the opening, angle to the tool: 0 is straight on")
    names = ("On tool", "Tool’s lever", "Length", "Angle", "Torque", "Set tool to")
    for each in asked:
        yield Boxes(packed((Box("Adapter", each, _WHOLE), *(Box(name, wide=_SHORT) for name in names))))
    how = "Set the tool to: torque × lever ÷ (lever + length × cosine of the angle). At 90°, the torque itself."
    yield Section("", lines=(how,))
