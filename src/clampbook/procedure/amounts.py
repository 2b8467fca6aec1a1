"""Single quantities of a procedure file, exact: torques in the sheet's unit, angles in degrees, times in seconds."""

from __future__ import annotations

from dataclasses import dataclass
from decimal import Context, Decimal

from clampbook.procedure.codes import Code
from clampbook.procedure.slips import KeyPath, Slips
from clampbook.procedure.washing import UNREAD
from clampbook.text import quoted
from clampbook.units import Kind, Quantity, UnitFault, convert, duration, kind_of, number, parse, show, with_article

EXACT = Context(prec=90)
"""Sums and shares of typed numbers, which have 30 digits at most, stay exact in it."""

TENSIONED = (
    'read a tensioner at a stage with do = "measure", asked = "each", tensions = true'
    ' and limits such as between = ["590 bar", "610 bar"]'
)
MOST_SHARE = Decimal(200)
_OF_USE = ("km", "mile")  # lengths that count use; "10 m" is more likely a slip for 10 min; common practice, no source


@dataclass(frozen=True, slots=True)
class Reading:
    """The needs that the parts of a file share while it is read: where slips go, and the sheet's torque unit."""

    slips: Slips
    unit: str


def quantity(
    reading: Reading, at: KeyPath, text: str | None, kind: Kind | None, *, unit: str | None = None
) -> Quantity | None:
    """The quantity as typed, a number alone in `unit`; None where there is none, or none that can be understood."""
    if text is None or text == UNREAD:
        return None
    try:
        return parse(text, kind, unit=unit)
    except UnitFault as fault:
        hint = fault.hint
        if kind is Kind.TORQUE and _is_pressure(text):
            hint = TENSIONED
        reading.slips.add(_code(text, kind), at, fault.sentence, found=text, allowed=fault.allowed, hint=hint)
        return None


def _is_pressure(text: str) -> bool:
    try:
        parse(text, Kind.PRESSURE)
    except UnitFault:
        return False
    return True


def above_zero(reading: Reading, at: KeyPath, text: str | None, kind: Kind) -> Quantity | None:
    """The same, refused where it is zero or less."""
    read = quantity(reading, at, text, kind)
    if read is None or read.value > 0:
        return read
    reading.slips.add(
        Code.NOT_POSSIBLE,
        at,
        f"{show(read.value, read.unit)} is not above zero",
        found=text or "",
        allowed="above zero",
        hint=f"write {with_article(kind)} above zero",
    )
    return None


def torque(reading: Reading, at: KeyPath, text: str | None) -> Decimal | None:
    """A torque above zero in the sheet's unit."""
    read = above_zero(reading, at, text, Kind.TORQUE)
    return None if read is None else convert(read.value, read.unit, reading.unit)


def angle(reading: Reading, at: KeyPath, text: str | None) -> Decimal | None:
    """An angle above zero in degrees."""
    read = above_zero(reading, at, text, Kind.ANGLE)
    return None if read is None else convert(read.value, read.unit, "°")


def seconds(reading: Reading, at: KeyPath, text: str | None, *, zero: bool = False) -> Decimal | None:
    """A time such as "1 h 30 min" in seconds; above zero unless `zero` allows it."""
    if text is None or text == UNREAD:
        return None
    try:
        lasts = duration(text)
    except UnitFault as fault:
        reading.slips.add(
            _code(text, Kind.TIME), at, fault.sentence, found=text, allowed=fault.allowed, hint=fault.hint
        )
        return None
    if lasts > 0 or (zero and lasts == 0):
        return lasts
    reading.slips.add(
        Code.NOT_POSSIBLE,
        at,
        "the time is not above zero",
        found=text,
        allowed="above zero",
        hint="write a time such as 10 min",
    )
    return None


def counted_use(reading: Reading, at: KeyPath, text: str | None, hint: str) -> bool:
    """Tell of a distance where a time belongs, and say with `hint` where use is counted; True where it is one."""
    try:
        read = None if text is None else parse(text)
    except UnitFault:
        return False
    if text is None or read is None or read.unit not in _OF_USE or read.value <= 0:
        return False
    reading.slips.add(
        Code.WRONG_KIND,
        at,
        f"{quoted(text)} is a distance, not a time",
        found=text,
        allowed="a time such as 10 min",
        hint=hint,
    )
    return True


def torque_or_share(
    reading: Reading, at: KeyPath, text: str | None, whole: Quantity | None, *, known: bool
) -> tuple[Decimal | None, str | None]:
    """A torque in the sheet's unit, and the share as written where it is one of the group's target `whole`.

    `known` False: the group itself has a slip, so that a missing target is not told.
    """
    if text is None or text == UNREAD or not text.rstrip().endswith("%"):
        return torque(reading, at, text), None
    part = above_zero(reading, at, text, Kind.SHARE)
    if part is None:
        return None, text
    if part.value > MOST_SHARE:
        reading.slips.add(
            Code.NOT_POSSIBLE,
            at,
            f"{text} is more than twice the target",
            found=text,
            allowed="up to 200 %",
            hint="write 200 % or less",
        )
    if whole is None:
        if known:
            reading.slips.add(
                Code.SHARE_WITHOUT_TARGET,
                at,
                f"{text} is a share of a target, and the group has none",
                found=text,
                allowed="a share where the group has a target",
                hint='add a line like target = "30 N·m" to the group, or write the torque itself',
            )
        return None, text
    return share(convert(whole.value, whole.unit, reading.unit), part.value), text


def share(whole: Decimal, percent: Decimal) -> Decimal:
    """So many percent of a value, exact."""
    return EXACT.divide(EXACT.multiply(whole, percent), Decimal(100))


def _code(text: str, kind: Kind | None) -> Code:
    """Tell what is wrong with a text that was refused: no unit, another kind, no possible value, or nothing is
    clear."""
    try:
        number(text)
    except UnitFault:
        pass
    else:
        return Code.NO_UNIT
    try:
        found = kind_of(parse(text).unit)
    except UnitFault:
        return Code.NOT_UNDERSTOOD
    return Code.NOT_POSSIBLE if found == kind else Code.WRONG_KIND
