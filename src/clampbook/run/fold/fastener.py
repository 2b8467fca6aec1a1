"""The physical state of one fastener, folded from every act on it and everything told of it.

Torques are at the fastener, in the plan's unit; angles are in degrees; lines are numbers of daybook lines. What a plan
wants of it, and whether a step of it is done, is told elsewhere: this is what the metal knows.
"""

from __future__ import annotations

from decimal import Decimal
from typing import Literal

from msgspec import Struct
from msgspec.structs import replace

from clampbook.run.fold.verdict import Judged

State = Literal["not known", "loose", "snug", "tight", "broken", "removed"]
Teller = Literal["reading", "setting", "bad pull", "recheck", "correction", "another position", "break-off"]


class Held(Struct, frozen=True):
    """The greatest torque that a fastener was told to have had since it was loose, what told it, and in which line."""

    torque: Decimal
    told_by: Teller
    line: int


class Turning(Struct, frozen=True):
    """The turn begun last: the plan step (from 0) whose mark it has, and how far from that mark; None: not known.

    `stroke` is the latest of its strokes, where it was typed. Of a bad turn that was told in degrees, `before` is how
    far it had been turned until then.
    """

    step: int
    degrees: Decimal | None
    stroke: Decimal | None = None
    before: Decimal | None = None


class Over(Struct, frozen=True):
    """It was told to be over its window: in which line, at which plan step (from 0), and by what; `judged` has what it
    has in truth, and the window."""

    line: int
    step: int
    found: str
    judged: Judged | None = None


class Conceded(Struct, frozen=True):
    """It was accepted though over: in which line, what line `of` told; `torque` is what it had then, None where that
    was not told as one."""

    line: int
    of: int
    torque: Decimal | None


class Fastener(Struct, frozen=True, kw_only=True):
    """`snug`: on its seat, by a torque that nobody knows; `tight`: by a torque that was told, or so at the start.

    `loosened_by` degrees since it was last pulled; `used` once a turn of it began, until a new one is fitted;
    `prevailing` is the torque that turned its nut before it seated. `over` lasts until it is loosened fully, replaced,
    or accepted by concession: nothing that is said or pulled later takes it away. So does `unread`: a pull was made of
    which nobody knows how far it went, and it may be over. `conceded` lasts until it is loosened fully or replaced.
    `tensioned`: pressure was put on it by a tensioner, and it was not let down since.
    """

    state: State = "not known"
    held: Held | None = None
    turning: Turning | None = None
    loosened_by: Decimal | None = None
    prevailing: Decimal | None = None
    used: bool = False
    over: Over | None = None
    unread: bool = False
    conceded: Conceded | None = None
    tensioned: bool = False


# the cause of a decision about a turn from a fastener that nothing has seated
NOT_SNUG: Literal["not snug"] = "not snug"

NOT_KNOWN = Fastener()
LOOSE = Fastener(state="loose")
AT_THE_START = Fastener(state="tight")


def holds(fastener: Fastener) -> Decimal | None:
    """The torque that it is known to hold; None where nobody can tell."""
    return fastener.held.torque if fastener.held is not None and seated(fastener) else None


def turned_so_far(fastener: Fastener, step: int) -> Decimal | None:
    """Give the angle that it was turned from the mark of the turn at this plan step; None where that turn was
    never begun, or nobody knows how far it went.
    """
    turning = fastener.turning
    return turning.degrees if turning is not None and turning.step == step else None


def known_loose(fastener: Fastener) -> bool:
    """True where nothing need be loosened: fully loosened, put in by hand, or taken out, and no tensioner has put
    pressure on it since."""
    return fastener.state in ("loose", "removed") and not fastener.tensioned


def seated(fastener: Fastener) -> bool:
    """True where it sits on its seat, so that a turn from here means something."""
    return fastener.state in ("snug", "tight")


def pulled(fastener: Fastener, torque: Decimal | None, told_by: Teller, line: int) -> Fastener:
    """After a pull of which this torque is told; None: nobody knows how far it went.

    A tool on a fastener that holds more moves nothing: the greatest torque since it was loose stands.
    """
    held = fastener.held
    if torque is not None and (held is None or torque > held.torque):
        held = Held(torque, told_by, line)
    return replace(fastener, state="tight" if held is not None else _on_its_seat(fastener), held=held, loosened_by=None)


def put_right(fastener: Fastener, torque: Decimal, line: int, of: int) -> Fastener:
    """After what was told in line `of` was put right: that torque was never there, this one was."""
    if fastener.held is None or fastener.held.line != of:
        return pulled(fastener, torque, "correction", line)
    return replace(fastener, held=Held(torque, "correction", line))


def snugged(fastener: Fastener) -> Fastener:
    """After somebody said that it is snug, though no pull was told."""
    return replace(fastener, state=_on_its_seat(fastener))


def turned(fastener: Fastener, step: int, degrees: Decimal | None, stroke: Decimal | None) -> Fastener:
    """After a stroke of the turn at a plan step: so far from its mark in all; None: nobody knows."""
    seat = _on_its_seat(fastener)
    return replace(fastener, state=seat, turning=Turning(step, degrees, stroke), used=True, loosened_by=None)


def turned_badly(fastener: Fastener, step: int, before: Decimal | None) -> Fastener:
    """After a stroke that lost its place: nobody knows how far it is turned; `before` it, it was so far."""
    return replace(turned(fastener, step, None, None), turning=Turning(step, None, before=before))


def _on_its_seat(fastener: Fastener) -> State:
    return fastener.state if seated(fastener) else "snug"


def loosened(fastener: Fastener, by: Decimal | None = None) -> Fastener:
    """After it was loosened, fully or by so many degrees; what was told over is undone by loosening it fully alone."""
    if by is None:
        return Fastener(state="loose", used=fastener.used)
    state: State = fastener.state if known_loose(fastener) else "snug"
    return replace(fastener, state=state, held=None, turning=None, loosened_by=by)


def let_down(fastener: Fastener) -> Fastener:
    """After the pressure of a tensioner was let down: what no wrench ever seated is loose."""
    return replace(fastener, tensioned=False, state=fastener.state if seated(fastener) else "loose")


def broke(fastener: Fastener, torque: Decimal | None, line: int) -> Fastener:
    """After it broke or stripped, at this torque where it is known: it holds none any more, and none is asked of it."""
    held = fastener.held if torque is None else Held(torque, "break-off", line)
    return replace(fastener, state="broken", held=held)


def taken_out() -> Fastener:
    """After what was left of it was taken out."""
    return Fastener(state="removed")


def not_known(fastener: Fastener) -> Fastener:
    """After it was found otherwise than it was left: what was told of it before no longer says how it is."""
    return replace(fastener, state="not known", held=None, turning=None, loosened_by=None)


def told_over(fastener: Fastener, line: int, step: int, found: str) -> Fastener:
    """After a torque or an angle was told that lies over the window of the step it was told for."""
    return replace(fastener, over=Over(line, step, found))


def accepted(fastener: Fastener, line: int) -> Fastener:
    """After a second person accepted it as it is, in this line: nobody asks about it any more, and it is over."""
    over, held = fastener.over, fastener.held
    if over is None:
        return replace(fastener, unread=False)
    torque = held.torque if held is not None and held.line == over.line else None
    return replace(fastener, over=None, unread=False, conceded=Conceded(line, over.line, torque))


def not_over(fastener: Fastener, of: int) -> Fastener:
    """After it came out that what line `of` told was never there, and so was not over either."""
    conceded = fastener.conceded if fastener.conceded is not None and fastener.conceded.of != of else None
    return replace(fastener, over=None, conceded=conceded)


def over_all_the_same(fastener: Fastener, window: tuple[str | None, str | None] | None) -> Conceded | None:
    """The concession by which it is over this window (None: nothing is judged), whatever a pull that did nothing to it
    showed."""
    conceded, high = fastener.conceded, None if window is None else window[1]
    if conceded is None or high is None:
        return None
    return conceded if conceded.torque is None or conceded.torque > Decimal(high) else None
