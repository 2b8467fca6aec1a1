"""The pages of a check's report, made from its record alone: verdict first, then what it rests on, then every pull."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from decimal import Decimal
from hashlib import sha256

from msgspec import convert

from clampbook.check.at_the_joint import sentences as at_the_joint
from clampbook.check.compared import compared
from clampbook.check.rests_on import RestsOn, sentences
from clampbook.check.surely_off import SurelyOff
from clampbook.check.wording import MARKS, VERIFICATION
from clampbook.record.checks.chart import chart
from clampbook.record.checks.every_pull import every_pull, percent
from clampbook.record.pages.blocks import Block, Facts, Heading, Pages, Sentences, Table, Title
from clampbook.record.pages.front import HANDED_IN
from clampbook.record.pages.pages import encoded
from clampbook.record.pages.proof import before_the_seal
from clampbook.record.pages.telling import Row, day_and_time, universal
from clampbook.record.pages.tools import iso_6789
from clampbook.signing.seal_text import LogHead
from clampbook.statistical import Difference
from clampbook.text import grouped
from clampbook.tools.model import way_word
from clampbook.units import convert as convert_unit
from clampbook.units import show

_KINDS = {  # file: relationship, MIME type, what it is
    "record.toml": ("data", "application/toml", "The record: every reading and what it comes to"),
    "plan.json": ("source", "application/json", "The plan: tool, reference, points and limits"),
    "daybook.jsonl": ("source", "application/x-ndjson", "The daybook: what was done, line by line"),
    "readings.csv": ("source", "text/csv", "The file that the readings came from"),
}
_PROOF = (
    "Names were typed. This shows accidents and clumsy edits, not a rewritten daybook. For that, compare fingerprint "
    "and number of lines with a copy held elsewhere."
)
_SIGNED = (
    "Sealed and signed by the person who closed this check. The seal covers every file and page. Any change shows, if "
    "you know the fingerprint from elsewhere. Other names were typed."
)


def pages(record: Row, attached: Mapping[str, bytes], log: LogHead | None = None, signed: bool | None = None) -> bytes:
    """Give what the template reads, as JSON; `log` is where the book's log stood before the seal, `signed` whether that
    is signed."""
    whole = Pages(
        title=f"Check of {_tools(record)}, {record['check']}",
        run=record["check"],
        fingerprint=grouped(record["last_line_sha256"][:16]),
        made=universal(str(record.get("closed_at", record["opened_at"]))),
        blocks=tuple(_blocks(record, attached, log, signed)),
        attached=tuple((name, *_KINDS[name]) for name in attached),
    )
    return encoded(whole)


def _blocks(record: Row, attached: Mapping[str, bytes], log: LogHead | None, signed: bool | None) -> Iterator[Block]:
    tool = record["tool"]
    ended = f"Closed {day_and_time(record['closed_at'])}." if "closed_at" in record else "Not closed."
    yield Title(
        kind="Check of torque tool",
        title=_tools(record),
        unit=", ".join(_known(tool)),
        outcome=_outcome(record),
        ended=ended + (f" {record['reason']}." if record.get("reason") else ""),
        notices=tuple(_notices(record, signed)),
    )
    yield Facts(tuple(_facts(record)), columns=2)
    yield Heading("Conditions")
    yield Sentences(tuple(sentences(convert(record["rests_on"], RestsOn))))
    for phase in dict.fromkeys(row["phase"] for row in record.get("phase", ())):
        yield from _phase(record, phase)
    yield from _around(record)
    yield from every_pull(record)
    yield from _proof(record, attached, log, signed)


def _tools(record: Row) -> str:
    """The tool and what it was checked against: "W5 against R1"."""
    reference = record.get("reference")
    return str(record["tool"]["name"]) + (f" against {reference['name']}" if reference else "")


def _known(tool: Row) -> Iterator[str]:
    if tool.get("serial"):
        yield f"serial number {tool['serial']}"
    if kind := iso_6789(tool):
        yield f"ISO 6789 {kind}"


def _outcome(record: Row) -> str:
    parts = [
        f"{name}: {MARKS[record[key]]}\u00a0{record[key]}"
        for key, name in (("as_found", "As found"), ("as_left", "As left"))
        if key in record
    ]
    return "; ".join(parts) or "No readings"


def _notices(record: Row, signed: bool | None) -> Iterator[str]:
    yield VERIFICATION
    if signed is False:
        yield "Names were typed. Seal not signed."
    if record["outcome"] == "open":
        yield "Printed before the check ended."
    if record["outcome"] == "abandoned":
        yield "Check abandoned. Only a failure in it counts."
    joint = convert(record.get("at_the_joint", []), list[SurelyOff])
    directions = len({row["direction"] for row in record.get("phase", ())})
    yield from at_the_joint(joint, record["tool"]["kind"], record["unit"], directions)
    if record.get("as_found") == "failed":
        yield "Failed as found. List what it was used on since its last passed check: clampbook affected"
    if record.get("clock"):
        yield HANDED_IN


def _facts(record: Row) -> Iterator[tuple[str, str]]:
    tool, reference = record["tool"], record.get("reference")
    yield "Tool", f"{tool['name']} ({tool['id']}), {tool['kind']}"
    yield "Scale", f"{tool.get('minimum', '0')}–{tool.get('maximum', '?')} {tool['unit']}"
    yield "Allowed", f"±{tool['permissible_percent']}\u00a0% of the reference"
    if reference:
        known = f", ±{reference['uncertainty_percent']}\u00a0%" if "uncertainty_percent" in reference else ""
        yield "Reference", f"{reference['name']} ({reference['id']}){known}"
        yield f"Certificate of {reference['name']}", reference.get("certificate", "none named")
    else:
        yield "Reference", "none named"
    warm = record.get("temperature_celsius")
    yield "Temperature", f"{warm} °C" if warm is not None else "not measured"
    yield "Opened", day_and_time(record["opened_at"])
    yield "People", ", ".join(row["name"] for row in record.get("person", ()))


def _phase(record: Row, phase: str) -> Iterator[Block]:
    yield Heading(phase.capitalize(), aside=_adjusted(record) if phase == "as left" else "")
    for row in record["phase"]:
        if row["phase"] == phase:
            yield from _series(record, row)
    beside = [row for row in record.get("beside", ()) if row["phase"] == phase]
    if beside:
        yield Heading("Techniques compared", level=2)
        rows = tuple(_side_by_side(record, row) for row in beside)
        yield Table(head=("Point", "Direction", "Compared"), widths=(0, 0, 1), rows=rows)


def _adjusted(record: Row) -> str:
    return f"after adjustment: {record['adjusted']}" if record.get("adjusted") else ""


def _series(record: Row, series: Row) -> Iterator[Block]:
    keys = ("phase", "technique", "direction")
    way = tuple(series[key] for key in keys)
    mark = MARKS[series["verdict"]]
    yield Heading(
        f"{series['technique']}, {way_word(series['direction'])}", aside=f"{mark}\u00a0{series['verdict']}", level=2
    )
    rows = [row for row in record.get("reading", ()) if tuple(row.get(key) for key in keys) == way]
    drawn = chart(rows, record["tool"]["permissible_percent"])
    if drawn is not None:
        yield drawn
    points = [row for row in record.get("point", ()) if tuple(row[key] for key in keys) == way]
    yield Table(
        head=("Point", "Verdict", "n", "Mean", "Worst", "Spread", "Std. dev.", "First to last", "Uncertainty"),
        widths=(1, 0, 0, 0, 0, 0, 0, 0, 0),
        points=(2, 3, 4, 5, 6, 7, 8),
        rows=tuple(_point(record, row) for row in points),
    )


def _point(record: Row, row: Row) -> tuple[str, ...]:
    permissible = record["tool"]["permissible_percent"]
    figures = (percent(row, f"{key}_percent", permissible) for key in ("mean", "worst"))
    rest = (percent(row, f"{key}_percent", sign=False) for key in ("spread", "standard_deviation"))
    known = percent(row, "known_to_percent", sign=False)
    return (
        _at(record, row),
        f"{MARKS[row['verdict']]}\u00a0{row['verdict']}",
        str(row["n"]),
        *figures,
        *rest,
        percent(row, "first_to_last_percent"),
        f"±{known}" if known else "not known",
    )


def _at(record: Row, row: Row) -> str:
    """A point, in brackets also as the reference shows it, and its share of the maximum where it is one."""
    own, reference = record["unit"], record.get("reference", {}).get("unit", record["unit"])
    there = () if reference == own else (show(convert_unit(Decimal(row["point"]), own, reference), reference),)
    share = (f"{row['share_of_maximum_percent']}\u00a0%",) if "share_of_maximum_percent" in row else ()
    rest = ", ".join((*there, *share))
    return f"{row['point']} {own}" + (f" ({rest})" if rest else "")


def _side_by_side(record: Row, row: Row) -> tuple[str, ...]:
    ends = (row.get(f"interval_{end}_percent") for end in ("from", "to"))
    low, high = (None if end is None else Decimal(end) for end in ends)
    told = compared(row["beside"], row["technique"], Difference(Decimal(row["difference_percent"]), low, high))
    return _at(record, row), way_word(row["direction"]), told


def _around(record: Row) -> Iterator[Block]:
    names = {row["id"]: row["name"] for row in record.get("person", ())}
    found = [
        (row["line"], _what(record, table, row), row[key], day_and_time(row["at"]), names.get(row["by"], row["by"]))
        for table, key in (("adjustment", "what"), ("zero", "state"), ("note", "text"))
        for row in record.get(table, ())
    ]
    if found:
        yield Heading("Zero, adjustment and notes")
        rows = tuple((*rest, str(line)) for line, *rest in sorted(found))
        head = ("What", "Found", "When", "By", "Line")
        yield Table(head, widths=(0, 1, 0, 0, 0), rows=rows, points=(4,), quiet=(4,))


def _what(record: Row, table: str, row: Row) -> str:
    """Tell what a line is about; a zero is that of one of the two."""
    if table != "zero":
        return {"adjustment": "adjusted", "note": "note"}[table]
    return f"zero of {record.get(row['what'], record['tool'])['name']}, {row['phase']}"


def _proof(record: Row, attached: Mapping[str, bytes], log: LogHead | None, signed: bool | None) -> Iterator[Block]:
    yield Heading("What this record proves")
    yield Sentences((_SIGNED if signed else _PROOF,))
    stands = () if log is None else (before_the_seal(log),)
    yield Facts(
        (
            *stands,
            ("Last line, SHA-256", grouped(record["last_line_sha256"])),
            ("Lines in the daybook", str(record["lines"])),
            ("Book", record["book"]),
            ("Written by", f"Clampbook {record['program']}, record format {record['record']}"),
        ),
        codes=(*range(len(stands) + 1), len(stands) + 2),
    )
    yield Table(
        head=("File", "Bytes", "SHA-256"),
        widths=(0, 0, 1),
        rows=tuple((name, str(len(data)), sha256(data).hexdigest()) for name, data in attached.items()),
        points=(1,),
        codes=(0, 2),
    )
