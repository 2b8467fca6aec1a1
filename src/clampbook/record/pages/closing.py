"""The pages after the stages: fasteners, tools, people, what came between, what was not measured, and the sign-offs."""

from __future__ import annotations

from collections.abc import Iterator
from decimal import Decimal

from clampbook.record.pages import not_measured
from clampbook.record.pages.blocks import Block, Facts, Heading, Sentences, Table
from clampbook.record.pages.stages import inspected_by
from clampbook.record.pages.telling import Row, Telling, corrected, day_and_time, lasted, number, quantity
from clampbook.record.pages.tools import adapter_told, against, cause, iso_6789, last_check
from clampbook.run.in_hand.measuring import NOT_LISTED
from clampbook.run.in_hand.on_paper import NOT_ON_FORM
from clampbook.text import started
from clampbook.tools.model import SHOWN_BY

Named = tuple[str, str]
_OF_TYPING = ("paused", "resumed")
_ASKED = "asked"  # why it was paused: somebody chose to
_INSPECTION = "awaiting inspection"  # the one thing a run is on hold for that its reason need not say


def closing(telling: Telling) -> Iterator[Block]:
    """All that stands between the stages and the proof."""
    yield from _tools(telling)
    yield from _people_and_parts(telling)
    yield from _between(telling)
    yield Heading("What was not measured")
    told = not_measured.told(telling.record["not_measured"], telling.rows("reading"))
    yield Sentences((*told, *not_measured.at_slots(telling)))
    yield from _answered(telling)
    yield from _later(telling)


def _tools(telling: Telling) -> Iterator[Block]:
    """Tell of each tool what page one does not: what else was known of it, and all that happened to it."""
    rows = telling.rows("tool")
    if not rows:
        return
    yield Heading("Tools in detail")
    yield Table(
        head=("Tool", "Data", "In this run"),
        widths=(0, 2, 3),
        rows=tuple((row["name"], tuple(_known(row)), tuple(_happened(telling, row))) for row in rows),
    )


def _known(row: Row) -> Iterator[str]:
    facts = [
        ("Certificate", row.get("certificate")),
        ("ISO 6789", iso_6789(row)),
        ("Uncertainty", _uncertainty(row)),
        ("Certificate points", "; ".join(_points(row))),
        ("Permissible deviation", _share(row.get("permissible_deviation_percent"))),
        ("Lever", row.get("lever")),
        ("Direction", f"{row['directions']} only" if row.get("directions") else None),
        ("Scale lines", quantity(number(row["resolution"]), row["unit"]) if row.get("resolution") else None),
        ("Note", row.get("note")),
    ]
    yield from (f"{name}: {value}" for name, value in facts if value)


def _points(row: Row) -> Iterator[str]:
    """Tell of each point of a certificate where it is, how far the tool was off there, and how well that is known."""
    unit = row["unit"] if row["kind"] in SHOWN_BY else "%"
    for point in row.get("certified", ()):
        at, off = quantity(number(point["point"]), row["unit"]), number(f"{Decimal(point['off_by']):+f}")
        yield f"{at} {off} ±{quantity(number(point['uncertainty']), unit)}"


def _uncertainty(row: Row) -> str | None:
    """Tell what a certificate says of what measures."""
    found = row.get("certificate_uncertainty")
    return None if found is None else f"±{quantity(number(found), row['unit'])}"


def _share(percent: str | None) -> str | None:
    return None if percent is None else f"±{percent}\u00a0%"


_NOT_NAMED = (NOT_ON_FORM.name, NOT_LISTED.name)  # the tools that stand for one that no form names


def _happened(telling: Telling, tool: Row) -> Iterator[str]:
    lines = [
        (row["line"], kind, row)
        for kind in ("taken", "set", "zero", "dropped", "suspected", "returned")
        for row in tool.get(kind, ())
    ]
    for _, kind, row in sorted(lines, key=lambda each: each[0]):
        if kind == "taken" and tool["name"] in _NOT_NAMED and telling.from_paper:
            yield f"{telling.at(row)}\u2002not named on the form, {telling.by(row)}"
            continue
        yield f"{telling.at(row)}\u2002{_what(telling, kind, row)}, {telling.by(row)}"


def _what(telling: Telling, kind: str, row: Row) -> str:
    reason = f", reason: {row['reason']}" if row.get("reason") else ""
    match kind:
        case "taken":
            unsuitable = f", though {'; '.join(told)}" if (told := against(row)) else ""
            adapter = f" with {adapter_told(row['adapter'])}" if row.get("adapter") else ""
            check = f", last check {last_check(row['last_check'])}" if row.get("last_check") else ""
            taken = "stands on the form" if telling.from_paper else "picked up"
            return f"{taken}{adapter}{unsuitable}{reason}{check}"
        case "set":
            set_to, there = quantity(number(row["to"]), row["unit"]), row.get("set_to_at_fastener")
            unit = telling.record["sheet_unit"]
            if there is None or (row["unit"] == unit and Decimal(there) == Decimal(row["to"])):
                return f"set to {set_to}"
            return f"set to {set_to} ({quantity(number(there), unit)} at the fastener)"
        case "zero":
            return f"zero{' after the work' if row.get('after') else ''}: {row['found']}"
        case "dropped":
            return f"dropped, {'used again' if row['gone_on_with'] else 'not used again'}{reason}"
        case "suspected":
            return f"suspect since line {row['since_line']}, reason: {cause(row)}"
        case _:
            wound = row.get("wound_down")
            return "put away" if wound is None else f"put away, {'wound down' if wound else 'not wound down'}"


def _people_and_parts(telling: Telling) -> Iterator[Block]:
    yield Heading("People and parts")
    facts: list[Named] = [
        ("People", telling.people),
    ]
    for row in telling.rows("part"):
        if not row.get("corrected_at_line"):
            facts.append((f"{row['part']}, {row.get('recorded', 'recorded')}", f"{row['what']}{_counted(row)}"))
    yield Facts(tuple(facts), columns=2)
    read, prepared = ("Cautions ticked", "Ticked") if telling.from_paper else ("Cautions read", "Prepared")
    said = [*((read, row.get("read", ()), row) for row in telling.rows("caution"))]
    said += [(f"{prepared}: {row['group']}", row.get("done", ()), row) for row in telling.rows("prepared")]
    said.sort(key=lambda each: int(each[2]["line"]))
    if said:
        yield Table(
            head=("Time", "What", "", "By"),
            widths=(0, 0, 1, 0),
            rows=tuple((telling.at(row), what, " ".join(lines), telling.by(row)) for what, lines, row in said),
        )


def _counted(row: Row) -> str:
    """Give what stands behind a count: how many were needed and used, or how many nobody can account for."""
    needed = f", {row['needed']} needed" if row.get("needed") else ""
    spent, at_hand = row.get("used"), str(row.get("value") or row["what"])
    enough = spent is not None and not (at_hand.isdecimal() and int(at_hand) < spent)
    used = f", {spent} used" if enough else ""  # of fewer than the work takes nobody knows how many it took
    off = [f", {row[key]} {key.replace('_', ' ')}" for key in ("missing", "too_many") if row.get(key)]
    again = ", asked again" if row.get("asked_again_at_line") else ""
    return "".join((corrected(row), needed, used, *off, again))


def _between(telling: Telling) -> Iterator[Block]:
    """Interruptions, notes, and work before starting over, line by line."""
    rows = telling.rows("interruption")
    if telling.from_paper:  # whoever types a form in may pause, and the work knows nothing of it
        rows = [row for row in rows if row["what"] not in _OF_TYPING]
    found = [(row["line"], row, _interruption(telling, row)) for row in rows]
    found += [(row["line"], row, _note(telling, row)) for row in telling.rows("note")]
    found += [(row["line"], row, _before(telling, row)) for row in telling.rows("inspection") if row.get("work")]
    found += [
        (row["line"], row, f"{telling.bolt(row['position'])}: {row['outcome']} before starting over")
        for row in telling.rows("reading")
        if row.get("before_starting_over")
    ]
    yield Heading("Interruptions and notes")
    if not found:
        yield Sentences(("None.",))
        return
    found.sort(key=lambda each: each[0])
    lines = tuple((_when(telling, row), started(what), _who(telling, row), str(line)) for line, row, what in found)
    yield Table(head=("Time", "What", "By", "Line"), widths=(0, 1, 0, 0), rows=lines, points=(3,), quiet=(3,))


def _when(telling: Telling, row: Row) -> str:
    """The time of a line; of a row of a form the one that stands beside it."""
    return telling.clock(row["time_on_form"]) if "note" in row and "time_on_form" in row else telling.at(row)


def _who(telling: Telling, row: Row) -> str:
    """Whoever did it and wrote it down; of a row of a form whose initials stand there."""
    if "note" not in row or "time_on_form" not in row:
        return telling.by(row)
    return f"{row.get('initials_name', 'no initials')}, entered by {telling.name(row['by'])}"


def _before(telling: Telling, row: Row) -> str:
    at = f"{telling.bolt(row['position'])}: " if row.get("position") else ""
    person = f", {inspected_by(telling, row)}" if inspected_by(telling, row) else ""
    return f"{at}{row['work']}: {row['answer']}, {'as expected' if row['as_expected'] else 'not as expected'}{person}"


def _interruption(telling: Telling, row: Row) -> str:
    match row["what"]:
        case "paused":
            return f"paused by {telling.name(row['by'])}" if row["cause"] == _ASKED else f"paused: {row['cause']}"
        case "held":
            words = ["on hold", row["cause"] if row["cause"] == _INSPECTION else None, row.get("reason")]
            return ": ".join(word for word in words if word)
        case "resumed":
            torn = f", {row['torn_bytes']} bytes of a torn line" if "torn_bytes" in row else ""
            person = f", by {row['person_name']}" if "person_name" in row else ""
            after = f" after {lasted(row['gap_seconds'])}" if "gap_seconds" in row else ""
            clock = f", clock {row['clock']}" if row["clock"] != "plausible" else ""
            return f"resumed{after}{clock}{person}{torn}"
        case "handed over":
            hands = f", done by {row['done_by_person_name']}" if "done_by_person_name" in row else ""
            return f"{'typed in from here on by' if telling.from_paper else 'handed over to'} {row['to_name']}{hands}"
        case "looked back":
            return f"{telling.bolt(row['position'])}: {row['found']}"
        case _:
            return f"{telling.where(row)}: {row['state']}"


def _note(telling: Telling, row: Row) -> str:
    at = f"step {row['step']}: " if row.get("step") else ""
    if "note" in row and "time_on_form" in row:
        of = f"{telling.bolt(row['position'])}, " if "position" in row else ""
        return f"{of}row of the form: {row['note']}"
    if "note" in row:
        return f"note, {at}{row['note']}"
    if "typed_wrong" in row:
        line = row["typed_wrong"]
        what = row.get("typed") or ("time or initials" if line == "paper_time" else line.replace("_", " "))
        return f"typed wrong, taken back: {at}{what}"
    if "arrived_unasked" in row:
        return f"arrived unasked, {at}{row['arrived_unasked']} (belongs to {row['belongs_to']})"
    below = ", seen from below" if row.get("from_below") else ""
    return f"map turned clockwise by {row['map_turned_degrees']}°{below}"


def _answered(telling: Telling) -> Iterator[Block]:
    rows = telling.rows("accepted_query")
    if rows:
        yield Heading("Queries answered in the procedure")
        yield Facts(tuple((row["query"], row["because"]) for row in rows))


def _later(telling: Telling) -> Iterator[Block]:
    rows = telling.rows("follow_up")
    if rows and not isinstance(rows, str):  # in a follow-up's own record the key is its title
        yield Heading("Follow-up")
        yield Facts(tuple((row["title"], _due(row)) for row in rows))


def _due(row: Row) -> str:
    due = [f"by {day_and_time(row['due_at'])}"] if row.get("due_at") else []
    due += [f"after {row['or_use']} of use"] if row.get("or_use") else []
    return ", or ".join(due) + (", whichever comes first" if len(due) > 1 else "")
