"""The things shown of a question beside its sentence: figures for the hand, what help explains, facts for a script."""

from __future__ import annotations

from dataclasses import dataclass
from decimal import Decimal

from msgspec import Struct

from clampbook.run.told.marks import Mark
from clampbook.tools.aim import Aim
from clampbook.tools.lever import STRAIGHT, Reach
from clampbook.units import Quantity

Window = tuple[Quantity | None, Quantity | None]


class Figure(Struct, frozen=True):
    """A text for the large figures, with its unit, what stands beside it, and what it is.

    `framed` is a place on the joint, which no number for the hand may be taken for; `kind` tells two kinds of fastener
    apart there: "long" or "short".
    """

    text: str
    beside: str = ""
    caption: str = ""
    unit: str = ""
    framed: bool = False
    kind: str = ""


class Read(Struct, frozen=True):
    """The number of one pull: `text` as the tool showed it, in `unit`; `value` is where that stands on a band."""

    position: str
    mark: Mark
    text: str
    unit: str
    value: Decimal


class Band(Struct, frozen=True):
    """The window of what is read, on the scale it is read from: its ends, and where to stop. `through` is how that
    scale reaches the fastener; `found` is what the question itself knows of, else it is what the round read.
    """

    low: Decimal | None
    high: Decimal | None
    unit: str
    target: Decimal | None = None
    through: Reach = STRAIGHT
    found: tuple[Read, ...] | None = None


@dataclass(frozen=True, slots=True)
class Field:
    """The text before the field in which it is typed, and the unit behind it."""

    label: str
    unit: str = ""


@dataclass(frozen=True, slots=True)
class Until:
    """A time that runs while it is asked: `since` (as in the daybook), so many seconds, and what it is for."""

    since: str
    lasts: Decimal
    lead: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class Facts:
    """The facts that a script is told of a question beside its words; None where it has none of it.

    Target and window are at the fastener, in the sheet's unit; `set_tool_to` and `stop_at` are on the tool's scale, and
    `unit` is that of what is typed. `direction` is seen from the tool. `lasts` in seconds.
    """

    target: Quantity | None = None
    window: Window | None = None
    set_tool_to: Quantity | None = None
    stop_at: Quantity | None = None
    turned: Quantity | None = None
    unit: str | None = None
    tool: str | None = None
    adapter: str | None = None
    adapter_offset: Quantity | None = None
    needs_adapter: str | None = None
    left_hand: bool | None = None
    direction: str | None = None
    positions: tuple[str, ...] | None = None
    group: str | None = None
    work: str | None = None
    since: str | None = None
    lasts: Decimal | None = None


@dataclass(frozen=True, slots=True)
class Words:
    """The words shown at a question: the sentence, and the short lines under it.

    `hand` is the number for the hand and `position` where it belongs, both large. `about` are the positions at hand,
    where these are others than that of its place. `band` is the window of what is read.
    `field` is None where nothing is typed but the number of a choice.
    `picture`: the map belongs to it, though its place is no position. `terms` are the words that help explains.
    """

    sentence: str
    matters: tuple[str, ...] = ()
    hand: Figure | None = None
    position: Figure | None = None
    about: tuple[str, ...] = ()
    field: Field | None = None
    until: Until | None = None
    band: Band | None = None
    picture: bool = False
    terms: tuple[str, ...] = ()
    facts: Facts = Facts()


def window_in(window: tuple[Decimal | None, Decimal | None] | None, unit: str) -> Window | None:
    """A window with its unit; None where nothing is judged."""
    if window is None:
        return None
    low, high = window
    return None if low is None else Quantity(low, unit), None if high is None else Quantity(high, unit)


def band_of(aim: Aim) -> Band | None:
    """Give the window on the scale of a tool that shows a number."""
    return Band(*aim.on_tool, aim.tool.unit, aim.mark, aim.through) if aim.reading else None


def held(aim: Aim) -> Facts:
    """With which tool, through which adapter, which way round, and where to stop."""
    return Facts(
        stop_at=None if aim.stop_at is None else Quantity(aim.stop_at, aim.tool.unit),
        tool=aim.tool.id,
        adapter=aim.adapter_id,
        adapter_offset=None if aim.adapter is None else Quantity(aim.adapter.offset or Decimal(0), "°"),
        left_hand=aim.left_hand,
        direction=aim.direction,
    )
