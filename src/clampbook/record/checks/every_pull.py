"""Every pull of a check as a compact table: what all have in common is said once, and stands in no column."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from decimal import Decimal

from clampbook.check.outlying import FAR
from clampbook.record.pages.blocks import Block, Heading, Sentences
from clampbook.record.pages.laid import side_by_side
from clampbook.record.pages.signs import drawn
from clampbook.record.pages.telling import Row, signed
from clampbook.text import counted
from clampbook.tools.model import way_word
from clampbook.tools.permitted import in_short

_DIGITS = 5
_MOST_ROWS = 300  # readings printed one by one; more are in the attached record
_COMMON = ("Phase", "Technique", "Direction", "Standing")
_NUMBERS = ("Indicated", "Reference", "Off by", "Line", "Row")


def every_pull(record: Row) -> Iterator[Block]:
    """The part of the report, with as many panels beside each other as there is room for."""
    rows = record.get("reading", ())
    if len(rows) > _MOST_ROWS:
        yield Heading("All pulls", aside=counted(len(rows), "row"))
        yield Sentences((f"{len(rows)} readings are too many to print. They are in the attached record.",))
        return
    columns = {name: [drawn(cell) for cell in cells] for name, cells in _columns(record, rows).items()}
    common = {name: columns[name][0] for name in _COMMON if len(set(columns[name])) == 1}
    columns = {name: cells for name, cells in columns.items() if name not in common and any(cells)}
    yield Heading("All pulls", aside=", ".join([counted(len(rows), "row"), *filter(None, common.values())]))
    if columns:
        points = tuple(at for at, name in enumerate(columns) if name in _NUMBERS or name.startswith("Point"))
        yield side_by_side(tuple(columns), list(zip(*columns.values(), strict=True)), points)


def _columns(record: Row, rows: Sequence[Row]) -> dict[str, list[str]]:
    of_file = bool(rows) and all("row" in row for row in rows)
    typed = [f"{row['typed']} {row['typed_unit']}" if "typed_unit" in row else row.get("value", "") for row in rows]
    return {
        "Phase": [row.get("phase", "") for row in rows],
        "Technique": [row.get("technique", "") for row in rows],
        "Direction": [way_word(row.get("direction", "")) for row in rows],
        f"Point, {record['unit']}": [row.get("point", "") for row in rows],
        **({} if of_file else {"Typed": typed}),  # a file was not typed
        "Indicated": alike([row.get("indicated", "") for row in rows]),
        "Reference": alike([row.get("reference", "") for row in rows]),
        "Off by": [_beyond(row) + percent(row, "deviation_percent") for row in rows],
        "Standing": [_standing(row) for row in rows],
        "Row" if of_file else "Line": [str(row.get("line", row.get("row", ""))) for row in rows],
    }


def _standing(row: Row) -> str:
    if row.get("cause"):
        return f"×\u00a0void: {row['cause']}"
    return f"{row['standing']}, {FAR}" if row.get("far_from_others") else str(row["standing"])


def _beyond(row: Row) -> str:
    """The mark of a pull that lies beyond what is allowed, above or below."""
    if not row.get("beyond") or row["standing"] != "counts":
        return ""
    return "▄\u00a0" if Decimal(row["deviation_percent"]) < 0 else "▀\u00a0"


def percent(row: Row, key: str, permissible: str | None = None, *, sign: bool = True) -> str:
    """A share with two places, and more where it would else be rounded across what is allowed; nothing where there
    is none."""
    found = row.get(key)
    if found is None:
        return ""
    share = in_short(Decimal(found), None if permissible is None else Decimal(permissible))
    return signed(f"{share if share else abs(share):{'+' if sign and share else ''}f}\u00a0%")


def alike(values: Sequence[str]) -> list[str]:
    """Numbers of one column with as many decimals each, and no more than five digits tell anything of a torque."""
    short = [_five(Decimal(value)) if value else None for value in values]
    places = max((-int(value.as_tuple().exponent) for value in short if value is not None), default=0)
    return ["" if value is None else f"{value:.{max(places, 0)}f}" for value in short]


def _five(value: Decimal) -> Decimal:
    """At most five digits, without zeroes that only a conversion has left behind."""
    if len(value.as_tuple().digits) <= _DIGITS:
        return value
    return round(value, _DIGITS - 1 - value.adjusted())
