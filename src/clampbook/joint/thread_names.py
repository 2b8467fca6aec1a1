"""Threads by the names that sheets use: `M10`, `M10x1.25 x 91 mm`, `3/8-24 UNF`, `10-32`, `1 1/8-7`."""

from __future__ import annotations

import re
from fractions import Fraction
from functools import cache

from clampbook.joint.standard_sizes import COARSE_PITCH, FINE_PITCHES, NUMBERED, SERIES
from clampbook.joint.threads import Thread
from clampbook.joint.unknown import JointFault, nearest
from clampbook.text import quoted, started

INCH = 0.0254
MM = 0.001
_LONGEST = 60
_NUMBER = r"[0-9]{1,3}(?:[.,][0-9]{1,4})?"
_METRIC = re.compile(rf"M\s*({_NUMBER})(?:\s*[x×*]\s*({_NUMBER})(?![0-9.,/]))?(.*)", re.IGNORECASE | re.DOTALL)
_IN_MM = re.compile(r"\s*mm\b", re.IGNORECASE)
_COARSEST_AS_INCHES = 14  # "1-8" is one inch, "10-32" and "1-64" are numbered sizes


@cache
def _inches() -> re.Pattern[str]:
    """Pattern of an inch thread; put together only where one is met."""
    return re.compile(
        r"(?P<mark>#|no\.?\s*)?(?P<size>[0-9]?\.[0-9]{1,4}|[0-9]{1,2}(?:[ -]+[0-9]{1,2}/[0-9]{1,2}|/[0-9]{1,2})?)"
        r"\s*(?:\"|in\b)?(?:\s*[-–x×]\s*(?P<threads>[0-9]{1,2}(?:\.5|\s*1/2)?)(?![0-9./]))?"
        r"\s*-?\s*(?P<series>UNR?C|UNR?F|NC|NF|UNR?|UNS)?(?P<rest>(?:[^A-Za-z0-9].*)?)",
        re.IGNORECASE | re.DOTALL,
    )


def thread_named(text: str) -> Thread:
    """The thread that a text begins with; what follows (a length, "LH") is of no matter here.

    Range: metric threads up to M300, inch threads up to 3 in. A metric size alone is the coarse thread of ISO 261;
    an inch size needs its threads per inch or its series. Raises JointFault, naming the nearest known ones.
    """
    typed = " ".join(text.split())
    if not typed or len(typed) > _LONGEST:
        raise _unknown(typed)
    if found := _METRIC.fullmatch(typed):
        return _metric(typed, found)
    found = _inches().fullmatch(typed)
    if found is None:
        raise _unknown(typed)
    return _unified(typed, found)


def _unknown(typed: str) -> JointFault:
    return JointFault(f"{quoted(typed)} is not a thread known here. Write it like M10, M10x1.25, 3/8-24 or 1/2-13 UNC.")


def _metric(typed: str, found: re.Match[str]) -> Thread:
    diameter, second = _figure(found[1]), found[2]
    # As much as the diameter or more is no pitch but the length of a bolt of the coarse thread: "M12x40".
    if second is not None and 0 < _figure(second) < diameter / 3:
        return Thread(f"M{diameter:g}×{_figure(second):g}", diameter * MM, _figure(second) * MM)
    if second is not None and 0 < _figure(second) < diameter and not _IN_MM.match(found[3]):
        raise JointFault(
            f"A pitch of {_figure(second):g} mm is not possible for M{diameter:g}: {_pitches(diameter)}. "
            f"A length stands behind the pitch, or with its unit: M{diameter:g} x {_figure(second):g} mm."
        )
    if (found[3][:1].isalnum() and not _IN_MM.match(found[3])) or (second is not None and not _figure(second)):
        raise _unknown(typed)
    if diameter not in COARSE_PITCH:
        near = sorted(COARSE_PITCH, key=lambda size: abs(size - diameter))[:2]
        sizes = " and ".join(f"M{size:g}" for size in sorted(near))
        raise JointFault(
            f"M{diameter:g} has no standard coarse pitch; the nearest sizes are {sizes}. "
            f"Write its pitch too, such as M{diameter:g}x1.5."
        )
    return Thread(f"M{diameter:g}", diameter * MM, COARSE_PITCH[diameter] * MM)


def _pitches(diameter: float) -> str:
    """Say which pitches this size has by standard, or what a pitch has to be."""
    coarse = COARSE_PITCH.get(diameter)
    if coarse is None:
        return "it lies below a third of the diameter"
    *more, last = [f"{coarse:g} (coarse)", *(f"{pitch:g}" for pitch in FINE_PITCHES.get(diameter, ()))]
    return f"known are {', '.join(more)} and {last}" if more else f"known is {last}"


def _figure(text: str) -> float:
    return float(text.replace(",", "."))


def _unified(typed: str, found: re.Match[str]) -> Thread:
    threads = found["threads"]
    per_inch = None if threads is None else _fraction(threads)
    inches, size = _size(typed, found["mark"], found["size"], per_inch)
    series = found["series"]
    wanted = None if series is None else {"C": "UNC", "F": "UNF"}.get(series[-1].upper())
    if per_inch is None:
        if wanted is None:
            raise JointFault(f"{quoted(typed)} needs its threads per inch. {started(_kinds(inches, size))}.")
        per_inch = SERIES[wanted].get(inches)
        if per_inch is None:
            raise JointFault(f"{wanted} has no {size}. {started(_kinds(inches, size))}.")
    elif wanted is not None and SERIES[wanted].get(inches) != per_inch:
        raise JointFault(f"{quoted(typed)} does not agree with itself. {started(_kinds(inches, size))}.")
    if not per_inch:
        raise _unknown(typed)
    tail = next((f" {name}" for name, sizes in SERIES.items() if sizes.get(inches) == per_inch), "")
    return Thread(f"{size}-{float(per_inch):g}{tail}", float(inches) * INCH, INCH / float(per_inch), "unified")


def _size(typed: str, mark: str | None, size: str, per_inch: Fraction | None) -> tuple[Fraction, str]:
    """Diameter in inches and how it is written; a small whole number is a numbered size beside a fine pitch."""
    whole = size.isdigit()
    if mark or (whole and per_inch is not None and per_inch > _COARSEST_AS_INCHES):
        if not whole or int(size) not in NUMBERED:
            known = nearest(size, [str(number) for number in NUMBERED])
            raise JointFault(f"There is no numbered size {quoted(size)} among inch threads. Use {known}.")
        return NUMBERED[int(size)], f"#{int(size)}"
    inches = _fraction(size)
    if not 0 < inches <= 3:
        raise _unknown(typed)
    return inches, _written(inches)


def _fraction(text: str) -> Fraction:
    """ "1 1/8", "1-1/8", "3/8", ".375", "4.5". Raises JointFault for a fraction over nothing."""
    try:
        return sum((Fraction(part) for part in re.split("[ -]+", text)), Fraction(0))
    except ZeroDivisionError:
        raise _unknown(text) from None


def _written(inches: Fraction) -> str:
    whole, rest = divmod(inches, 1)
    if not rest:
        return str(whole)
    part = str(rest) if rest.denominator <= 64 else f"{float(rest):g}"
    return f"{whole} {part}" if whole else part


def _kinds(inches: Fraction, size: str) -> str:
    """Say which threads of the two series this size has, or the nearest size that has some."""
    own = [f"{size}-{float(sizes[inches]):g} {name}" for name, sizes in SERIES.items() if inches in sizes]
    if own:
        return f"known are {' and '.join(own)}"
    near = min(SERIES["UNC"], key=lambda other: abs(other - inches))
    return f"no thread of that size is known, the nearest size is {_written(near)}"
