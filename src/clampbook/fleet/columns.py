"""The columns of the dataset: what each holds, of which key of a record, and how the engine reads it."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from decimal import Decimal
from enum import StrEnum

from clampbook.unit_table import TABLE, Kind

_SCALED = 16  # places of a factor: with the 18 digits of a value they make the 38 that the engine reckons in


class Holds(StrEnum):
    """The kind of value in a column, as the engine names it."""

    TEXT = "VARCHAR"
    TEXTS = "VARCHAR[]"
    WHOLE = "BIGINT"
    YES_OR_NO = "BOOLEAN"
    MOMENT = "TIMESTAMP WITH TIME ZONE"
    DAY = "DATE"
    NUMBER = "DECIMAL(18,6)"


@dataclass(frozen=True, slots=True)
class Column:
    """One column. It holds the value under the key of its own name, unless `read` is an expression of others; `reads`
    are then the keys that this one asks for."""

    name: str
    holds: Holds
    says: str
    read: str = ""
    reads: tuple[str, ...] = ()

    @property
    def expression(self) -> str:
        """As the engine reads it from a row of texts."""
        if self.read:
            return self.read
        own = f'"{self.name}"'
        return own if self.holds in (Holds.TEXT, Holds.TEXTS) else f"TRY_CAST({own} AS {self.holds})"


@dataclass(frozen=True, slots=True)
class Table:
    """One table of the dataset, and what a row of it is."""

    name: str
    says: str
    columns: tuple[Column, ...]

    @property
    def keys(self) -> Mapping[str, Holds]:
        """The keys that a row is read from, each a text or a list of them."""
        return {key: holds for column in self.columns for key, holds in _keys(column)}


def _keys(column: Column) -> Iterator[tuple[str, Holds]]:
    if column.read:
        yield from ((key, Holds.TEXT) for key in column.reads)
    else:
        yield column.name, Holds.TEXTS if column.holds is Holds.TEXTS else Holds.TEXT


def text(name: str, says: str) -> Column:
    """A text as it stands in the record, also of a number."""
    return Column(name, Holds.TEXT, says)


def texts(name: str, says: str) -> Column:
    """A list of texts."""
    return Column(name, Holds.TEXTS, says)


def whole(name: str, says: str) -> Column:
    """A whole number."""
    return Column(name, Holds.WHOLE, says)


def yes_or_no(name: str, says: str) -> Column:
    """True or false."""
    return Column(name, Holds.YES_OR_NO, says)


def moment(name: str, says: str) -> Column:
    """A moment in UTC."""
    return Column(name, Holds.MOMENT, says)


def offset(name: str, of: str) -> Column:
    """The hours that a clock showed beyond UTC when a moment was written."""
    read = f"""CASE WHEN "{of}" LIKE '%Z' THEN '+00:00' ELSE right("{of}", 6) END"""
    return Column(name, Holds.TEXT, f"Of the clock by which {of} was written", read, (of,))


def day(name: str, says: str) -> Column:
    """A day."""
    return Column(name, Holds.DAY, says)


def number(name: str, says: str) -> Column:
    """A number without a unit, or with the one in its name."""
    return Column(name, Holds.NUMBER, says)


_UNITS = {"_nm": "N·m", "_deg": "°", "_mm": "mm", "_kn": "kN"}


def quantity(name: str, says: str, of: tuple[str, ...], units: tuple[str, ...], kind: str | None = None) -> Column:
    """The first of these keys that is there, in the unit that the name of the column ends with, where the first of the
    units that is there is of that kind; of one kind of act only, where that is given."""
    value, own = (f"coalesce({', '.join(map(_quoted, keys))}, NULL)" for keys in (of, units))
    unit = _UNITS[name[name.rindex("_") :]]
    factors = " ".join(f"WHEN '{each}' THEN {by}" for each, by in _factors(unit))
    share = f"CAST(CASE {own} {factors} END AS DECIMAL(20,{_SCALED}))"
    read = f"TRY_CAST(TRY_CAST({value} AS DECIMAL(18,6)) * {share} AS {Holds.NUMBER})"
    if kind is None:
        return Column(name, Holds.NUMBER, says, read, (*of, *units))
    return Column(name, Holds.NUMBER, says, f"CASE WHEN kind = '{kind}' THEN {read} END", (*of, *units, "kind"))


def _quoted(key: str) -> str:
    return f'"{key}"'


def _factors(unit: str) -> Iterator[tuple[str, Decimal]]:
    """Each unit of the kind of this one, and how many of this one it is; a mile of bolts there is not."""
    one = TABLE[unit]
    for each in TABLE.values():
        size = each.size / one.size
        if each.kind == one.kind and size < (10**6 if one.kind != Kind.LENGTH else 10**4):
            yield each.name, Decimal(round(size * 10**_SCALED)).scaleb(-_SCALED)
