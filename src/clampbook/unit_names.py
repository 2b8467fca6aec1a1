"""The many ways in which people type a unit, and its one canonical name."""

from __future__ import annotations

from collections.abc import Mapping
from itertools import product
from types import MappingProxyType

from clampbook.text import quoted
from clampbook.unit_table import COUNT, TABLE, UNITS_OF, Kind

EXAMPLE_OF: Mapping[Kind | None, str] = MappingProxyType(
    {
        None: "30 N·m",
        Kind.TORQUE: "30 N·m",
        Kind.ANGLE: "90°",
        Kind.LENGTH: "0.25 mm",
        Kind.FORCE: "18 kN",
        Kind.TIME: "10 min",
        Kind.TEMPERATURE: "20 °C",
        Kind.PRESSURE: "6 bar",
        Kind.SHARE: "30 %",
        Kind.COUNT: "3",
    }
)


class UnitFault(ValueError):  # noqa: N818 - the word of the project
    """A number, unit or quantity that is not taken; `sentence` is for a person, `allowed` and `hint` are short."""

    def __init__(self, sentence: str, *, allowed: str = "", hint: str = "") -> None:
        super().__init__(sentence)
        self.sentence = sentence
        self.allowed = allowed
        self.hint = hint


def kind_of(unit: str) -> Kind:
    """Kind of quantity that a canonical unit measures. Raises UnitFault for any other name."""
    if unit not in TABLE:
        raise UnitFault(f"unknown unit {quoted(unit)}", allowed=", ".join(TABLE))
    return TABLE[unit].kind


def is_known(unit: str) -> bool:
    """True of a unit that can be converted; a procedure may ask for a number in one of its own, such as starts."""
    return unit in TABLE


def with_article(kind: Kind) -> str:
    """The kind in a sentence: "a torque", "an angle"."""
    return f"an {kind}" if kind == Kind.ANGLE else f"a {kind}"


_SIMPLE: dict[str, tuple[str, ...]] = {
    "°": ("deg", "degs", "degree", "degrees", "º", "˚"),
    "rad": ("radian", "radians"),
    "turn": ("turns", "rev", "revs", "revolution", "revolutions"),
    "mm": ("millimetre", "millimetres", "millimeter", "millimeters"),
    "µm": ("μm", "um", "micron", "microns", "micrometre", "micrometres"),
    "cm": ("centimetre", "centimetres", "centimeter", "centimeters"),
    "m": ("metre", "metres", "meter", "meters"),
    "km": ("kilometre", "kilometres", "kilometer", "kilometers"),
    "in": ("inch", "inches", '"', "″", "”", "''", "′′"),
    "ft": ("foot", "feet", "'", "′", "’"),
    "mile": ("miles", "mi"),
    "N": ("newton", "newtons"),
    "kN": ("kilonewton", "kilonewtons"),
    "lbf": ("lbsf", "pound-force", "pounds-force", "pound force", "pounds force"),
    "kgf": ("kp", "kilogram-force", "kilogram force", "kilopond", "kiloponds"),
    "kip": ("kips",),
    "s": ("sec", "secs", "second", "seconds"),
    "min": ("mins", "minute", "minutes"),
    "h": ("hr", "hrs", "hour", "hours"),
    "d": ("day", "days"),
    "°C": ("c", "degc", "deg c", "º c", "ºc", "˚c", "° c", "celsius", "degrees celsius", "degrees c", "℃"),
    "°F": ("f", "degf", "deg f", "º f", "ºf", "˚f", "° f", "fahrenheit", "degrees fahrenheit", "degrees f", "℉"),
    "bar": ("bars",),
    "MPa": ("megapascal", "megapascals", "n/mm²", "n/mm2"),
    "kPa": ("kilopascal", "kilopascals"),
    "psi": ("lbf/in²", "lbf/in2"),
    "%": ("percent", "per cent", "pct"),
    COUNT: (),
}
_FORCES: dict[str, tuple[str, ...]] = {
    "N": ("n", "newton", "newtons"),
    "cN": ("cn", "centinewton", "centinewtons"),
    "kN": ("kn", "kilonewton", "kilonewtons"),
    "lbf": ("lbf", "lbsf", "lb", "lbs", "pound", "pounds", "pound·force", "pounds·force"),
    "kgf": ("kgf", "kg", "kp", "kilogram", "kilograms", "kilopond", "kiloponds", "kilogram·force"),
    "ozf": ("ozf", "oz", "ounce", "ounces", "ounce·force"),
}
_ARMS: dict[str, tuple[str, ...]] = {
    "m": ("m", "metre", "metres", "meter", "meters"),
    "cm": ("cm", "centimetre", "centimetres", "centimeter", "centimeters"),
    "ft": ("ft", "foot", "feet"),
    "in": ("in", "ins", "inch", "inches"),
}
_DOTS = str.maketrans(dict.fromkeys("·.*-×⋅•∙‧_‐‑– \xa0\u2009\u202f", "·"))  # what stands between force and arm


def _squeezed(text: str) -> str:
    """Force and arm with one dot between words, so that "ft-lb", "ft lb" and "ft. lb." are one spelling."""
    return "·".join(part for part in text.translate(_DOTS).split("·") if part)


def _torque_spellings() -> dict[str, str]:
    """Every force with every arm, in both orders, with a separator or without; 1 N·cm is just 1 cN·m."""
    found: dict[str, str] = {}
    for unit in (*UNITS_OF[Kind.TORQUE], "N·cm"):
        force, arm = unit.split("·")
        for f, a in product(_FORCES[force], _ARMS[arm]):
            canonical = "cN·m" if unit == "N·cm" else unit
            found |= dict.fromkeys((f"{f}·{a}", f"{f}{a}", f"{a}·{f}", f"{a}{f}"), canonical)
    del found["mn"], found["mkn"], found["m·n"], found["m·kn"]  # a metre before newton is a prefix or a slip
    return found


_TORQUES = _torque_spellings()
_LONGEST = 60  # no spelling is longer; what is longer is not looked at
_NAMES = {s.casefold(): unit for unit, others in _SIMPLE.items() for s in (unit, *others)}
# Spellings whose capitals would make them another unit, read strictly.
_STRICT = frozenset({"mPa", "Mm", "MN·m", "mN·m"})
_TELL: dict[str, str] = {
    "lb": "can be a mass, a force or half of a torque. Write lbf, lbf·ft or lbf·in",
    "oz": "can be a mass, a force or half of a torque. Write ozf·in",
    "kg": "is a mass. Write kgf for a force, kgf·m or kgf·cm for a torque",
    "g": "is a mass. Write N or kgf for a force",
    "ft/lb": "divides where a torque multiplies. Write lbf·ft",
    "in/lb": "divides where a torque multiplies. Write lbf·in",
    "danm": "is not used here. 1 daN·m is 10 N·m",
    "dnm": "is not used here. 1 dN·m is 10 cN·m",
    "mnm": "can be milli or mega. 1 mN·m is 0.1 cN·m, 1 MN·m is 1000 kN·m",
    "mpa": "is a thousandth of a pascal. Write MPa",
    "thou": "is not used here. 1 thou is 0.001 in",
    "pa": "is not used here. 1000 Pa is 1 kPa",
    "k": "is not used here. Write °C or °F",
}
_TELL |= {"lbs": _TELL["lb"], "pound": _TELL["lb"], "pounds": _TELL["lb"], "#": _TELL["lb"], "kgs": _TELL["kg"]}
_TELL |= {"ounce": _TELL["oz"], "ounces": _TELL["oz"], "kilogram": _TELL["kg"], "kilograms": _TELL["kg"]}
_TELL |= dict.fromkeys(("ft/lbs", "lb/ft", "lbs/ft", "lbf/ft", "ft/lbf"), _TELL["ft/lb"])
_TELL |= dict.fromkeys(("in/lbs", "lb/in", "lbs/in", "lbf/in", "in/lbf"), _TELL["in/lb"])
_TELL |= {"mil": _TELL["thou"], "mils": _TELL["thou"]}


def unit_named(text: str, kind: Kind | None = None, *, whole: str | None = None) -> str:
    """The canonical name of a unit as somebody typed it; with `kind`, only units of that kind.

    `whole` is what a sentence about the wrong kind quotes, where the unit stood behind a number.

    Capitals matter only where they would make another unit. Raises UnitFault for what is unknown, ambiguous or
    of another kind, saying what would be accepted.
    """
    typed = " ".join(text.split())
    unit = _looked_up(typed) if len(typed) <= _LONGEST else None
    if unit is None:
        raise _not_known(typed, kind)
    if kind is not None and TABLE[unit].kind != kind:
        raise wrong_kind(TABLE[unit].kind, kind, whole or typed)
    return unit


def wrong_kind(found: Kind, wanted: Kind, typed: str) -> UnitFault:
    """The fault for a quantity of one kind where another belongs; `typed` as it was written."""
    return UnitFault(
        f"{quoted(typed)} is {with_article(found)}, not {with_article(wanted)}",
        allowed="a whole number without a unit" if wanted is Kind.COUNT else ", ".join(UNITS_OF[wanted]),
        hint=f"write it like {EXAMPLE_OF[wanted]}",
    )


def _looked_up(typed: str) -> str | None:
    if typed in TABLE:
        return typed
    folded = typed.casefold()
    if typed.replace(" ", "") in _STRICT or _squeezed(typed) in _STRICT:
        return None
    return _NAMES.get(folded) or _NAMES.get(folded.rstrip(".")) or _TORQUES.get(_squeezed(folded))


def _not_known(typed: str, kind: Kind | None) -> UnitFault:
    allowed = ", ".join(UNITS_OF[kind] if kind else TABLE)
    if not typed:
        return UnitFault(f"the unit is missing, such as {EXAMPLE_OF[kind]}", allowed=allowed)
    folded = typed[:_LONGEST].casefold().rstrip(".")
    told = _TELL.get(folded) or _TELL.get(folded.replace(" ", "")) or _TELL.get(_squeezed(folded).replace("·", ""))
    wanted = f"a unit of {kind}" if kind else "a unit"
    sentence = f"{quoted(typed)} {told}" if told else f"{quoted(typed)} is not {wanted} known here. Use {allowed}"
    return UnitFault(sentence, allowed=allowed)
