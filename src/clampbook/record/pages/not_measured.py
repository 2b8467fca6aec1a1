"""The things that nobody measured, in the words of the report, so that nobody takes a setting for a reading."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from clampbook.procedure.naming import within_a_sentence
from clampbook.record.pages.telling import Row, Telling, number, quantity
from clampbook.text import counted, started
from clampbook.tools.model import SHOWN_BY
from clampbook.units import Kind, kind_of


def told(found: Row, readings: Sequence[Row] = ()) -> Iterator[str]:
    """One sentence for each kind of thing that gave no number."""
    yield "Clamp load was not measured." + _indicated_by(readings)
    if clicks := found.get("clicks"):
        yield f"{counted(clicks, 'click')} of a setting tool. A click is not a reading."
    if lost := found.get("clicks_on_bad_pulls_or_other_bolts"):
        yield f"{lost} of these on a bad pull or on another bolt."
    if unsure := found.get("clicks_not_known"):
        yield f"{counted(unsure, 'pull')} with a setting tool, click not known."
    if together := found.get("clicks_confirmed_together"):
        yield f"{counted(together, 'click')} confirmed several at once, not pull by pull."
    if missing := found.get("accepted_without"):
        yield f"Accepted by concession without: {', '.join(f'{many} {what}' for what, many in missing.items())}."
    if turns := found.get("turns_by_the_mark"):
        yield f"{counted(turns, 'turn')} by the mark, no angle measured."
    if rechecks := found.get("rechecks_without_torque"):
        yield f"{counted(rechecks, 'recheck')} for movement only, no torque read."
    if found.get("on_paper"):
        yield "Typed in from a paper form. How slowly was pulled, and what nobody wrote down, is not known."
    if blank := found.get("left_blank"):
        yield f"{counted(blank, 'place')} of the form left blank, or ticked without a number."
    if unknown := sum(map(_with_what, readings)):
        yield f"{counted(unknown, 'measured value')}, measuring tool not known."


_OF_TORQUE = ("pull", "recheck", "prevailing torque", "final torque")


def _indicated_by(readings: Sequence[Row]) -> str:
    """Name what there was in its place: torque, angle, or the pressure of a tensioner at a fastener."""
    kinds = {str(row["kind"]) for row in readings}
    tensioned = any(row["kind"] == "measurement" and row.get("position") and _in_pressure(row) for row in readings)
    there = (("torque", not kinds.isdisjoint(_OF_TORQUE)), ("angle", "turn" in kinds), ("pressure", tensioned))
    found = [what for what, is_there in there if is_there]
    if not found:
        return ""
    *others, last = found
    named = f"{', '.join(others)} and {last}" if others else last
    return f" {started(named)} only indicate{'' if others else 's'} it."


def _in_pressure(row: Row) -> bool:
    return kind_of(row["unit"]) is Kind.PRESSURE


def at_slots(telling: Telling) -> Iterator[str]:
    """Name the nuts that nobody read the torque of at their slot, and the limit that so was not checked."""
    for row in telling.record["not_measured"].get("slots_without_torque", ()):
        limit = row.get("limit")
        unchecked = "" if limit is None else f" Limit of {quantity(number(limit), row['limit_unit'])} not checked."
        nuts = within_a_sentence(telling.bolts(row["group"], row["positions"]))
        yield f"Torque at the slot not read: {nuts}.{unchecked}"


def _with_what(row: Row) -> bool:
    """True of a value that some instrument measured, and nobody wrote down which."""
    measured = row["kind"] in ("measurement", "stretch") and "corrects" not in row and not row.get("tool")
    return measured and kind_of(row["unit"]) in SHOWN_BY.values()
