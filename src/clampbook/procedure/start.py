"""The surroundings of the work in a procedure file: questions, parts, sign-off, and queries that were looked at."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from decimal import Decimal

from clampbook.procedure.amounts import Reading
from clampbook.procedure.codes import Code
from clampbook.procedure.model import Accepted, Ask, Part, SignOff
from clampbook.procedure.sheet import AskTable, PartTable, Sheet
from clampbook.procedure.slips import KeyPath, Slips
from clampbook.procedure.washing import UNREAD
from clampbook.procedure.windows import both
from clampbook.text import quoted
from clampbook.unit_names import is_known
from clampbook.units import UnitFault, kind_of, number, parse, unit_named

_ANOTHER = "required, another person"


def asks(reading: Reading, tables: Sequence[AskTable]) -> tuple[Ask, ...]:
    """The questions with the limits of their numbers."""
    names_once(reading.slips, ((("ask", index, "name"), table.name) for index, table in enumerate(tables)), "question")
    return tuple(_ask(reading, ("ask", index), table) for index, table in enumerate(tables))


def parts(slips: Slips, tables: Sequence[PartTable]) -> tuple[Part, ...]:
    """Consumables, lots and counts."""
    names_once(slips, ((("part", index, "name"), table.name) for index, table in enumerate(tables)), "part")
    return tuple(
        Part(name=table.name, record=table.record, needed=table.needed, left_over=table.left_over) for table in tables
    )


def sign_off(sheet: Sheet) -> tuple[SignOff, ...]:
    """Give the roles that sign at the end."""
    return tuple(
        SignOff(role=role, required=duty != "optional", another_person=duty == _ANOTHER)
        for role, duty in sheet.sign_off.items()
    )


def accepted(sheet: Sheet) -> tuple[Accepted, ...]:
    """Queries of the review that somebody looked at."""
    return tuple(Accepted(query=table.query, because=table.because) for table in sheet.accepted)


def names_once(slips: Slips, named: Iterable[tuple[KeyPath, str | None]], what: str) -> None:
    """Each name of a kind once."""
    seen: dict[str, KeyPath] = {}
    for at, name in named:
        if name is None or name == UNREAD:
            continue
        if name in seen:
            slips.add(
                Code.NAME_TWICE,
                at,
                f"another {what} is already called {quoted(name)}",
                found=name,
                allowed=f"each {what} its own name",
                hint="rename one",
            )
        seen.setdefault(name, at)


def _ask(reading: Reading, at: KeyPath, table: AskTable) -> Ask:
    unit, low, high = _limits(reading, at, table)
    _fitting(reading.slips, at, table)
    return Ask(
        name=table.name,
        answer=table.kind,
        when=table.when,
        required=table.required,
        searched_as=table.searched_as,
        unit=unit,
        low=low,
        high=high,
        choices=tuple(table.choices),
    )


def _fitting(slips: Slips, at: KeyPath, table: AskTable) -> None:
    """Choices belong to a choice, unit and limits to a number."""
    for keys, kind in ((("choices",), "choice"), (("unit", "between", "at_least", "at_most"), "number")):
        for key in keys:
            if key in table.model_fields_set and table.kind != kind and table.name != UNREAD:
                slips.add(
                    Code.ASK,
                    (*at, key),
                    f'{key} does not go with answer = "{table.kind}"',
                    found=f'answer = "{table.kind}"',
                    allowed=f'answer = "{kind}"',
                    hint=f'write answer = "{kind}", or remove {key}',
                )
    if table.kind == "choice" and len(set(table.choices)) < 2:
        slips.add(
            Code.ASK,
            at,
            "a choice needs two different choices or more",
            found=f"{len(set(table.choices))}",
            allowed="two choices or more",
            hint='write choices like ["new", "used"]',
        )
    names_once(slips, (((*at, "choices"), choice) for choice in table.choices), "choice")


def _limits(reading: Reading, at: KeyPath, table: AskTable) -> tuple[str | None, Decimal | None, Decimal | None]:
    """Unit and limits of a number; a unit that is none of the workshop's own is taken as it is written."""
    if table.between is not None:
        for key in ("at_least", "at_most"):
            if getattr(table, key) is not None:
                both(reading, (*at, key), "between", key)
    low_text, high_text = table.between if table.between is not None else (table.at_least, table.at_most)
    unit = _unit(table.unit) or _unit_of(low_text) or _unit_of(high_text)
    low_at = (*at, "between", 0) if table.between is not None else (*at, "at_least")
    high_at = (*at, "between", 1) if table.between is not None else (*at, "at_most")
    low, high = _limit(reading, low_at, low_text, unit), _limit(reading, high_at, high_text, unit)
    if low is not None and high is not None and low >= high:
        reading.slips.add(
            Code.EMPTY_WINDOW,
            low_at[: len(at) + 1],
            "no number lies between the limits",
            found=f"{low_text} … {high_text}",
            allowed="a lower limit below the upper one",
            hint="write the lower limit first",
        )
    return unit, low, high


def _unit(text: str | None) -> str | None:
    if text is None or text == UNREAD:
        return None
    try:
        return unit_named(text)
    except UnitFault:
        return text


def _unit_of(text: str | None) -> str | None:
    try:
        return None if text is None else parse(text).unit
    except UnitFault:
        return None


def _limit(reading: Reading, at: KeyPath, text: str | None, unit: str | None) -> Decimal | None:
    if text is None or text == UNREAD:
        return None
    try:
        if unit is None:
            return number(text)
        if _unit(unit) == unit and is_known(unit):
            return parse(text, kind_of(unit), unit=unit).value if _unit_of(text) in (None, unit) else _other(text, unit)
        return number(text.removesuffix(unit))
    except UnitFault as fault:
        reading.slips.add(Code.NOT_UNDERSTOOD, at, fault.sentence, found=text, allowed=fault.allowed, hint=fault.hint)
        return None


def _other(text: str, unit: str) -> Decimal:
    raise UnitFault(
        f"{quoted(text)} is not in {unit}, the unit of the answer", allowed=unit, hint=f"write it in {unit}"
    )
