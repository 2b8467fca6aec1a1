"""The words of the report for when, who and how much; the record is the only thing it knows."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Iterator, Mapping, Sequence
from datetime import UTC, datetime
from decimal import ROUND_DOWN, ROUND_HALF_EVEN, Context, Decimal, InvalidOperation
from typing import Any

from clampbook.figures import digits_beside
from clampbook.people import NOT_NAMED
from clampbook.procedure.model import Measure, Stage
from clampbook.record.pages.given import Given
from clampbook.run.told.places import at_one_joint, bolt_named, bolts_named
from clampbook.text import started
from clampbook.units import behind, show_duration

Row = Mapping[str, Any]
_EXACT = Context(prec=320, rounding=ROUND_HALF_EVEN)
_DIGITS = 4
_TYPED = 8  # signs; more come out of a machine, and are shown as any other number
_FINEST = 12
_IN_FULL = 10  # seconds
NO_TIME = "time not known"  # it does not stand on the form
_OF_A_FORM = ("time_on_form", "on_form_since", "on_form_until", "no_time_on_form")


class Telling:
    """The words of one record: names of people and tools, and times as short as they can be and still be clear."""

    def __init__(
        self,
        record: Row,
        given: Given | None = None,
        numbered: Mapping[int, int] | None = None,
        stages: Sequence[Stage] = (),
        silences: Mapping[int, Decimal] | None = None,
    ) -> None:
        self.record = record
        self.silences = silences or {}  # seconds without an answer before a line
        self._measures = {stage.number: stage for stage in stages if isinstance(stage, Measure)}
        self._numbered = numbered or {}
        self._of_line = {each["line"]: each for each in record.get("reading", ())}
        self._beside_each = {stage.number for stage in stages if stage.at_each} if record.get("from_paper") else set()
        self._to = "%H:%M" if record.get("from_paper") else "%H:%M:%S"  # nobody writes seconds on a form
        self.given = given or Given()
        names = {person["id"]: str(person["name"]) for person in record.get("person", ())}
        twice = Counter(names.values())
        self._names = {id: f"{name} ({id})" if twice[name] > 1 else name for id, name in names.items()}
        self._tools = {tool["tool"]: str(tool["name"]) for tool in record.get("tool", ())}
        taken = [row for tool in record.get("tool", ()) for row in tool.get("taken", ())]
        adapters = [row["adapter"] for row in taken if "adapter" in row]
        self._adapters = {row["id"]: str(row["name"]) for row in adapters}
        self._one = {group["group"]: group.get("one") for group in record.get("group", ())}
        self._group_of = {row["position"]: str(row["group"]) for row in record.get("position", ())}
        self.strokes = strokes(record.get("reading", ()))
        stamps = [datetime.fromisoformat(at) for at in _times(record)]
        self.days = {at.date() for at in stamps}
        self.offsets = {at.strftime("%z") for at in stamps}

    def given_as(self, row: Row) -> str:
        """Tell how a name that vouches for something was given: typed, signed, or announced and not signed."""
        return row.get("name_given_as") or self.given.told(row["line"])

    def rows(self, name: str) -> list[Row]:
        """The rows of one table of the record; none where it has no such table."""
        found: list[Row] = self.record.get(name, [])
        return found

    def name(self, id: str | None) -> str:
        """A person by id; two of one name carry their ids."""
        return "someone not named" if id == NOT_NAMED.id else self._names.get(id or "", id or "")

    @property
    def from_paper(self) -> bool:
        """True where a paper form was typed in: what the form says is told, and nobody was seen at the work."""
        return bool(self.record.get("from_paper"))

    @property
    def people(self) -> str:
        """All who took part, in the order of the lines; nobody stands for a form without initials."""
        return ", ".join(self.name(row["id"]) for row in self.rows("person") if row["id"] != NOT_NAMED.id)

    def tool(self, id: str | None) -> str:
        """A tool by id."""
        return self._tools.get(id or "", id or "")

    def bolt(self, position: str) -> str:
        """A bolt by the name of its group in the singular, as a reader calls it: "Head bolt 6"."""
        group = self._group_of.get(position)
        return bolt_named(group, position, self._one.get(group or ""))

    def bolts(self, group: str, positions: Sequence[str]) -> str:
        """Several bolts of a group by its name, one by its own: "Head bolts 1 to 4"."""
        return bolts_named(group, positions, self._one.get(group))

    def where(self, row: Row) -> str:
        """ "Head bolt 4, stage 3" """
        named = [self.bolt(row["position"])] if row.get("position") else [row["joint"]] if row.get("joint") else []
        named += [str(row["point"])] if row.get("point") else []
        named += [f"stage\u00a0{self.stage(row['stage'])}"] if row.get("stage") else []
        named += [f"round\u00a0{row['round']}"] if row.get("round", 1) > 1 else []
        return started(", ".join(named) or "the run")

    def stage(self, number: int) -> int:
        """The number by which a stage of the plan is told: at each of several joints they begin at 1."""
        return self._numbered.get(number, number)

    def measured(self, number: int) -> str:
        """Name the measure of a stage as the procedure has it, such as "Free length"."""
        stage = self._measures.get(number)
        return f"stage {self.stage(number)}" if stage is None else stage.what

    def pumped_up(self, row: Row) -> bool:
        """True of the pressure of a tensioner at this stage: what is under is pumped up further, and read again."""
        stage = self._measures.get(row.get("stage", 0))
        return stage is not None and stage.tensions is True

    def when_made(self, rows: Sequence[Row]) -> list[Row]:
        """The same rows, what was put right at the time at which it was pulled or measured."""
        first = {(row["line"], row["step"]): row for row in self.rows("reading")}
        return [{**row, "at": _first(row, first)["at"]} if "corrects" in row else row for row in rows]

    def hand(self, row: Row) -> str:
        """The tool of a row with what was on it: "W7+A1"; nothing where there was none."""
        on_it = row.get("adapter")
        return self.tool(row.get("tool")) + (f"+{self._adapters.get(on_it, on_it)}" if on_it else "")

    def by(self, row: Row) -> str:
        """Tell who did it, and who wrote it down where that was somebody else."""
        hands = row.get("done_by")
        return self.name(row["by"]) if hands is None else f"{self.name(hands)}, entered by {self.name(row['by'])}"

    def clock(self, at: str) -> str:
        """The time of day; with its day, or its offset, where the run has several."""
        when = datetime.fromisoformat(at)
        day = f"{when:%Y-%m-%d} " if len(self.days) > 1 else ""
        return f"{day}{when:{self._to}}{_zone(when) if len(self.offsets) > 1 else ''}"

    def at(self, row: Row) -> str:
        """The same of a row; of a form that has no time for it, that it is not known."""
        return NO_TIME if row.get("no_time_on_form") else self.clock(row["at"])

    def time(self, row: Row) -> str:
        """The time of day of a row and nothing else, for rows whose day is said elsewhere."""
        return f"{datetime.fromisoformat(row['at']):{self._to}}"

    def made(self, row: Row) -> str:
        """Tell when a pull was made, or a measurement: where a form has a row for each, the time that stands beside it,
        or from when on its round was done."""
        return self.span([row])

    def span(self, rows: Sequence[Row], *, one_day: bool = False) -> str:
        """The same of several, from the first to the last; `one_day` where their day is said elsewhere."""
        known = sorted(self.first_told(row) for row in rows if not row.get("no_time_on_form"))
        if not known:
            return NO_TIME
        first, last = (self.time({"at": at}) if one_day else self.clock(at) for at in (known[0], known[-1]))
        when = first if first == last else f"{first} to {last}"
        if any(map(self.after, rows)):  # the last of them was done at a time that nobody knows
            when = f"from {first}"
        return when if len(known) == len(rows) else f"{when}, others not known"

    def made_at_line(self, row: Row) -> str:
        """The same of a line that is about a pull or a measurement, or a row of a form; of any other its own time."""
        of = self._of_line.get(row["line"], row)
        return self.at(row) if of is row and not any(key in row for key in _OF_A_FORM) else self.made(of)

    def made_on_one_day(self, row: Row) -> str:
        """The same for rows whose day is said elsewhere."""
        return self.span([row], one_day=True)

    def after(self, row: Row) -> bool:
        """True where nothing stands beside its row on a form: it was done at some time after its round began."""
        asked = row.get("stage") in self._beside_each and not row.get("no_time_on_form")
        return asked and "time_on_form" not in row

    def first_told(self, row: Row) -> str:
        """The time that stands on the form beside a row, else that of its round; of any other the time of its line."""
        return str(row.get("time_on_form", row.get("on_form_since", row["at"])))

    def same_day(self, rows: Iterable[Row]) -> str | None:
        """The one day of these rows; None where they have several, or the run several offsets."""
        days = {str(row["at"])[:10] for row in rows}
        return days.pop() if len(days) == 1 and len(self.offsets) == 1 else None


def strokes(readings: Iterable[Row]) -> dict[int, str]:
    """For the last line of each turn that took several strokes, what each of them was: "45 + 46"."""
    turns: dict[tuple[str, int, str], list[Row]] = {}
    for row in readings:
        if (
            row["kind"] == "turn"
            and row["standing"] not in ("void", "corrected", "from memory alone")
            and row.get("value") is not None
        ):
            turns.setdefault((row["step"], row["attempt"], row.get("position", "")), []).append(row)
    return {rows[-1]["line"]: " + ".join(str(row["value"]) for row in rows) for rows in turns.values() if len(rows) > 1}


def day_and_time(at: str) -> str:
    """The whole of it: "2026-03-02 10:14 +01:00"."""
    when = datetime.fromisoformat(at)
    return f"{when:%Y-%m-%d %H:%M} {_zone(when)}"


def universal(at: str) -> tuple[int, int, int, int, int, int]:
    """The same moment in UTC, in parts."""
    when = datetime.fromisoformat(at).astimezone(UTC)
    return when.year, when.month, when.day, when.hour, when.minute, when.second


def number(text: str, low: str | None = None, high: str | None = None) -> str:
    """An exact decimal for reading, to four significant digits, or as many more as its place beside the window needs.

    What lies outside a window is never rounded into it, nor the other way round.
    """
    try:
        value = Decimal(text)
    except InvalidOperation:
        return text
    if not value.is_finite() or len(value.as_tuple().digits) <= _DIGITS:
        return signed(text if value.is_finite() and "E" not in text.upper() else f"{value:f}")
    place = min(value.adjusted() - _DIGITS + 1, 0)
    ends = None if low is None else Decimal(low), None if high is None else Decimal(high)
    return signed(f"{digits_beside(value, ends, place):f}")


def as_typed(value: str, low: str | None = None, high: str | None = None) -> str:
    """The number as a person typed it, such as a length of 120.14 mm; one that a machine sent as any other."""
    return signed(value) if len(value) <= _TYPED else number(value, low, high)


def signed(text: str) -> str:
    """With the minus that a printed page has."""
    return text.replace("-", "−")


def quantity(value: str, unit: str | None) -> str:
    """Number and unit: "30.0 N·m", "90°"."""
    return f"{value}{behind(unit)}"


def lasted(seconds: str) -> str:
    """A number of seconds for reading: "10 min". From ten seconds on in full ones, and never more than had passed."""
    try:
        exact = Decimal(seconds)
        return show_duration(exact if abs(exact) < _IN_FULL else exact.to_integral_value(ROUND_DOWN))
    except InvalidOperation:
        return f"{seconds} s"


def corrected(row: Row) -> str:
    """Tell of an answer that it was corrected, and how that is known."""
    return f" (corrected, {row['known']})" if row.get("known") else ""


def listed(positions: Iterable[str]) -> str:
    """ "1, 2, 3"; numbers that follow each other are drawn together: "1–10". Those of one joint go by its drawing."""
    found: list[list[str]] = []
    for position in at_one_joint(tuple(positions)):
        last = found[-1][-1] if found else ""
        follows = position.isdecimal() and last.isdecimal() and int(position) == int(last) + 1
        if follows:
            found[-1].append(position)
        else:
            found.append([position])
    return ", ".join(f"{run[0]}–{run[-1]}" if len(run) > 2 else ", ".join(run) for run in found)


def _first(row: Row, at_line: Mapping[tuple[int, str], Row]) -> Row:
    """The row that was put right in the end, however often."""
    while "corrects" in row and (before := at_line.get((row["corrects"], row["step"]))) is not None:
        row = before
    return row


def _zone(when: datetime) -> str:
    offset = when.strftime("%z")
    return f"{offset[:3]}:{offset[3:5]}"


def _times(value: Any) -> Iterator[str]:
    """Every time at which a line was written, wherever it stands in the record."""
    if isinstance(value, dict):
        if isinstance(value.get("at"), str):
            yield value["at"]
        for below in value.values():
            if isinstance(below, dict | list):
                yield from _times(below)
    elif isinstance(value, list):
        for below in value:
            yield from _times(below)
