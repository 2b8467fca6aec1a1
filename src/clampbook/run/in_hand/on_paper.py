"""Tools that stand on a filled paper form: what they did is done, whether they suited or not."""

from __future__ import annotations

from datetime import date
from decimal import Decimal

from msgspec.structs import replace

from clampbook.run.in_hand.offers import ToolOffer, ToolWay
from clampbook.run.progress import InHand
from clampbook.tools.against import Ahead, Cannot, One, OutOfService
from clampbook.tools.aim import Aim, aim_at, tightening
from clampbook.tools.demand import Demand
from clampbook.tools.guard import accepted
from clampbook.tools.lever import STRAIGHT
from clampbook.tools.model import WORKING, Tool
from clampbook.tools.setting import window_on_tool

NOT_ON_FORM = Tool(id="not-on-form", name="a tool that is not known", kind="not listed", unit="")


def not_on_form(demand: Demand) -> Tool:
    """Whatever was used where no tool stands on the form: it showed the procedure's unit, as far as anybody knows."""
    return replace(NOT_ON_FORM, unit="°" if demand.need == "angle" else demand.unit or "")


def for_this(demand: Demand, held: InHand) -> InHand:
    """The same tool in hand; one that is not known shows whatever is wanted here."""
    return replace(held, tool=not_on_form(demand)) if held.tool.id == NOT_ON_FORM.id else held


def as_it_was_used(offer: ToolOffer, day: date | None, *, in_hand: bool) -> ToolOffer:
    """A tool as it is offered for what stands on a form of this day: what it cannot do was done with it all the same.
    What is dated after that day says nothing against it, and a later calibration nothing for it."""
    since = tuple(
        f"calibrated since, on {one.on}: how it stood is not known" for one in offer.against if isinstance(one, Ahead)
    )
    return replace(
        offer,
        against=_against(offer, day),
        notes=(*offer.notes, *since),
        cannot=None,
        ways=tuple(replace(way, against=_against(way, day), cannot=None) for way in offer.ways),
        last=in_hand,
        on_form=True,
    )


def _against(one: ToolOffer | ToolWay, day: date | None) -> tuple[One, ...]:
    then = tuple(each for each in one.against if not _later(each, day))
    return then if one.cannot is None else (*then, Cannot())


def _later(one: One, day: date | None) -> bool:
    """True of a calibration that was still to come on the day, and of a tool that was taken out of service after it."""
    gone = isinstance(one, OutOfService) and day is not None and one.since > day.isoformat()
    return gone or isinstance(one, Ahead)


def aimed_as_used(demand: Demand, held: InHand) -> Aim:
    """The aim of a pull that was made: what judges it is the procedure's, whatever the tool was good for; the mark is
    what it was set to, where that stands on the form."""
    found = aim_at(demand, held.tool, held.adapter)
    aim = found if isinstance(found, Aim) else _all_the_same(demand, held)
    if held.tool.kind != "setting":
        return aim
    mark = None if held.set_to is None else Decimal(held.set_to)
    return replace(aim, mark=mark, applied=None if mark is None else aim.there(mark))


def _all_the_same(demand: Demand, held: InHand) -> Aim:
    assert demand.unit is not None
    tool, through = held.tool, held.through if held.adapter is not None else STRAIGHT
    window = accepted(demand.accept, tool, demand.target, demand.window, demand.unit, through) or demand.window
    torque = tool.kind in WORKING or tool.id == NOT_ON_FORM.id
    return Aim(
        unit=demand.unit,
        target=demand.target,
        allowed=demand.window,
        window=window,
        tool=tool,
        adapter=held.adapter,
        through=through,
        on_tool=window_on_tool(window, demand.unit, tool, through) if torque else window,
        mark=None,
        applied=None,
        direction=tightening(demand.anticlockwise),
    )
