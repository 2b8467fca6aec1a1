"""A filled paper form, and somebody who types it in: rows by what they are about, each read once, in their order.

The rows are what was done, as the daybook of the same work has it; nothing of them is worked out here.
"""

import json
from collections.abc import Callable, Iterator
from dataclasses import dataclass, field
from datetime import datetime
from pathlib import Path
from typing import Any

from bench_model.choices import values
from bench_model.starting import Starter
from bench_model.walk import Prompt, StuckError, Walk

Row = dict[str, Any]
_PULLS = ("reading_taken", "clicked", "confirmed")
_WITH_A_TOOL = (*_PULLS, "turned", "rechecked", "measured", "prevailing_read")
_ROWS = {  # a question, and the lines of the work that answer it
    "tighten": _PULLS,
    "turn": ("turned",),
    "recheck": ("rechecked",),
    "measure": ("measured", "prevailing_read"),
    "loosen": ("loosened",),
    "back_off": ("backed_off",),
    "back_at_mark": ("rechecked",),
    "apply": ("applied",),
    "mark": ("marked",),
    "align": ("aligned",),
    "inspect": ("inspected",),
}
_TICKED = ("clicked", "confirmed", "loosened", "marked", "backed_off", "cautions_read", "prepared")
_ITEMS = ("cautions_read", "asked", "prepared", "part_recorded")
_OF_PARTS = ("count differs", "too few", "not new")
ANOTHER_TOOL = "* 8"
_MOST = 3  # refusals of one answer


def rows_of(daybook: Path) -> list[Row]:
    """The lines of a run that was walked; of bolts that were confirmed in one answer each has a row of its own."""
    return list(_one_by_one(map(json.loads, daybook.read_text(encoding="utf-8").splitlines())))


def _one_by_one(lines: Iterator[Row]) -> Iterator[Row]:
    for line in lines:
        if line["event"] == "confirmed":
            stage = line["first"].partition("/")[0]
            yield from ({**line, "step": f"{stage}/{position}"} for position in line["positions"])
        else:
            yield line


def written_at(line: Row) -> datetime:
    """The time of a line in full minutes, which is all that people write down; the places of the model have no zone."""
    return datetime.fromisoformat(line["at"]).replace(second=0, microsecond=0, tzinfo=None)


def _of(step: object) -> Callable[[Row], bool]:
    return lambda line: line.get("step") == step


def _way(row: Row) -> str:
    """A way of a decision as its choice is called."""
    return "start_over" if row["choice"] == "from the beginning" else str(row["choice"]).replace(" ", "_")


def with_unit(row: Row) -> str:
    """A number as it was written, with the unit of the tool behind it where none was written."""
    typed, unit = str(row["typed"]), row.get("unit")
    bare = not any(sign.isalpha() or sign == "°" for sign in typed)
    return f"{typed} {unit}" if bare and unit not in (None, "count") else typed


@dataclass
class Form:
    """A filled form; `taken` are the places of the rows that were typed in already."""

    lines: list[Row]
    taken: set[int] = field(default_factory=set)

    def ahead(self, kinds: tuple[str, ...], fits: Callable[[Row], bool]) -> Row | None:
        """The first row of these kinds that fits and was not typed in yet."""
        return next((line for _, line in self._left(kinds, fits)), None)

    def take(self, kinds: tuple[str, ...], fits: Callable[[Row], bool]) -> Row | None:
        """The same row, which is typed in now."""
        place, line = next(self._left(kinds, fits), (None, None))
        if place is not None:
            self.taken.add(place)
        return line

    def _left(self, kinds: tuple[str, ...], fits: Callable[[Row], bool]) -> Iterator[tuple[int, Row]]:
        for place, line in enumerate(self.lines):
            if place not in self.taken and line["event"] in kinds and fits(line):
                yield place, line

    def at(self, step: str) -> Row:
        """The first row left at a step; the first of all where there is none."""
        left = (line for place, line in enumerate(self.lines) if place not in self.taken and line.get("step") == step)
        return next(left, self.lines[0])

    def last_of(self, step: str) -> Row:
        """The last row of the round of a step that was typed in; the first of all where it has none."""
        here = step.partition("/")[0] + "/"
        of_it = (place for place in sorted(self.taken, reverse=True))
        rows = (self.lines[place] for place in of_it if str(self.lines[place].get("step")).startswith(here))
        return next(rows, self.lines[0])


class Typist:
    """Somebody who types in what stands on a form, question by question, and nothing else."""

    def __init__(self, lines: list[Row], name: str = "Ines") -> None:
        self.form, self.name = Form(lines), name
        self.parts = {"form": "yes"}  # the revision at its foot is the one in the book
        self.time = written_at(lines[0])
        self.began = f"{self.time:%Y-%m-%d %H:%M}"

    def answer(self, prompt: Prompt) -> str:
        """The line to type."""
        if prompt["part"] is not None:
            return self._part(prompt)
        self.parts = {}
        kind = str(prompt["prompt"])
        if kind in _KINDS:
            return _KINDS[kind](self, prompt)
        row = self.form.ahead(_ROWS.get(kind, ()), _of(prompt["id"]))
        if row is not None and self._with_another(prompt, row):
            return ANOTHER_TOOL
        row = self.form.take(_ROWS.get(kind, ()), _of(prompt["id"]))
        return "-" if row is None else self._row(prompt, row)

    def _with_another(self, prompt: Prompt, row: Row) -> bool:
        """True where another tool stands beside this row than beside the one before."""
        if prompt["tool"] is None or row.get("tool") is None:
            return False
        if (prompt["tool"], prompt["adapter"]) == (row["tool"], row.get("adapter")):
            return False
        self._the_tool(row)
        return True

    def _row(self, prompt: Prompt, row: Row) -> str:
        """A row at its step, as the question asks for it."""
        there, event = values(prompt), row["event"]
        if event in _TICKED or (event == "turned" and row["typed"] is None):
            return "+"
        if event == "applied":
            return str(row["lot"] or "+")
        if event == "aligned":
            return there["unread" if row["slot"] == "turned" and not row["reads"] else str(row["slot"])]
        if event == "inspected":
            self.parts["positions"] = " ".join(row["positions"])
            self.parts["person"] = row["inspector"]["name"] if row["inspector"] else "-"
            return there[str(row["answer"])]
        if event == "rechecked":
            return self._recheck(there, row)
        return with_unit(row)

    def _recheck(self, there: dict[str, str], row: Row) -> str:
        moved = "moved" if row["moved"] else "still"
        if row["mark"] is not None or row["typed"] is None:
            return there[str(row["mark"] or moved)]
        self.parts["moved"] = moved
        return with_unit(row)

    def _at(self, row: Row) -> str:
        """The time of a row; one before the last time that was typed is as good as that."""
        self.time = max(self.time, written_at(row))
        return f"{self.time:%Y-%m-%d %H:%M}"

    def paper_time(self, prompt: Prompt) -> str:
        """Time and initials at the beginning of a round, or the time of its last row at its end."""
        if "stands at To" in str(prompt["text"]):
            return self._at(self.form.last_of(str(prompt["id"])))
        row = self.form.at(str(prompt["id"]))
        self.parts["person"] = str(row.get("done_by") or row["by"]).capitalize()
        return self._at(row)

    def take_tool(self, prompt: Prompt) -> str:
        """The tool of the next row at this step, with what was on it."""
        row = self.form.ahead(_WITH_A_TOOL, lambda line: line["step"] == prompt["id"] and line["tool"] is not None)
        there = values(prompt)
        if row is None or row["tool"] not in there:
            return "-"
        self._the_tool(row)
        return there[row["tool"]]

    def _the_tool(self, row: Row) -> None:
        """The tool of a row with what is on it, and how long that is."""
        self.parts["tool"] = str(row["tool"])
        self.parts["adapter"] = row.get("adapter") or "plain_socket"
        self.parts["reason"] = "-"
        for line in self.form.lines:
            if line["seq"] > row["seq"]:
                return
            if line["event"] == "tool_taken" and line["tool"]["id"] == row["tool"] and line["reason"] is not None:
                self.parts["reason"] = line["reason"]
            if line["event"] == "tool_taken" and line["tool"]["id"] == row["tool"] and line["adapter"] is not None:
                length = line["adapter"]["extension"]
                self.parts["adapter_length"] = str(length["value"] if length is not None else "")
                self.parts["adapter_angle"] = str(line["adapter"]["offset"])

    def set_tool(self, prompt: Prompt) -> str:
        """The setting of the next pull."""
        row = self.form.ahead((*_PULLS, "rechecked"), _of(prompt["id"]))
        return "-" if row is None or row.get("set_to") is None else f"{row['set_to']} {row['unit']}"

    def zero_tool(self, prompt: Prompt) -> str:
        """How its zero was found first; nobody at the bench looked at it after the work."""
        if "after the work" in str(prompt["text"]):
            return "-"
        row = self.form.ahead(("tool_zeroed",), lambda line: line["tool"] == prompt["tool"])
        return "-" if row is None else values(prompt).get(row["state"], "-")

    def start_sheet(self, prompt: Prompt) -> str:
        """An item of the checklist."""

        def asked(row: Row) -> bool:
            name = "Cautions" if row["event"] == "cautions_read" else str(row["item"]).partition(":")[2]
            return row.get("stage") is None and str(prompt["text"]).startswith(name)

        row = self.form.take(_ITEMS, asked)
        if row is None or (row["event"] not in _TICKED and row["typed"] is None):
            return "-"
        return "+" if row["event"] in _TICKED else values(prompt).get(str(row["typed"]), str(row["typed"]))

    def confirm(self, prompt: Prompt) -> str:
        """The caution before a stage."""
        row = self.form.take(("cautions_read",), lambda line: line["stage"] == prompt["stage"])
        return "-" if row is None else "+"

    def wait(self, prompt: Prompt) -> str:
        """From when, or until when."""
        row = self.form.take(("wait_begun" if prompt["since"] is None else "waited",), _of(prompt["id"]))
        return "-" if row is None else self._at(row)

    def decide(self, prompt: Prompt) -> str:
        """The way that stands there; a correction at the bench left only the right number on the form."""
        there, step = values(prompt), prompt["id"]

        def about(row: Row) -> bool:
            here = row["cause"] in _OF_PARTS if step is None else row["step"] == step
            return here and _way(row) in there

        row = self.form.take(("decided",), about)
        if row is None:
            return there["nothing_written"]
        self.parts = {"scope": str(row["scope"]), "back to": str(row["back_to"]), "reason": row["reason"] or "-"}
        self.parts["person"] = row["person"]["name"] if row["person"] else "-"
        return there[_way(row)]

    def sign_off(self, prompt: Prompt) -> str:
        """The name beside a role; who types signs for that."""
        if "typed it in" in str(prompt["text"]):
            return self.name
        role = str(prompt["text"]).partition(":")[0].casefold()
        row = self.form.take(("signed_off",), lambda line: line["role"].casefold() == role)
        if row is None:
            return "-"
        self.parts = {"signed at": self._at(row)}
        return str(row["person"]["name"])

    def finished(self, prompt: Prompt) -> str:
        """All is typed in."""
        return values(prompt)["close"]

    def _part(self, prompt: Prompt) -> str:
        given = self.parts.get(str(prompt["part"]))
        if given is None:
            raise StuckError(f"a part that no form has: {prompt}")
        return values(prompt).get(given, given) or "-"


_KINDS: dict[str, Callable[[Typist, Prompt], str]] = {
    "paper_time": Typist.paper_time,
    "take_tool": Typist.take_tool,
    "set_tool": Typist.set_tool,
    "zero_tool": Typist.zero_tool,
    "start_sheet": Typist.start_sheet,
    "confirm": Typist.confirm,
    "wait": Typist.wait,
    "decide": Typist.decide,
    "sign_off": Typist.sign_off,
    "finished": Typist.finished,
}


def type_in(starter: Starter, book: Path, terms: list[str], typist: Typist, clock: str) -> str:
    """Type a form in to its end; gives the name of the run."""
    said, refused = "", 0
    with Walk(starter, book, [*terms, "--late", "--began", typist.began, "--as", typist.name], clock) as walk:
        reply = walk.first
        while reply.prompt is not None:
            refused = refused + 1 if reply.refused else 0
            if refused > _MOST:
                raise StuckError(f"{reply.refused} {said} at {reply.prompt}")
            openly = reply.unusual is not None and reply.prompt["part"] is None  # it is what stands there
            said = said if openly else typist.answer(reply.prompt)
            reply = walk.say(said)
    return str(reply.run)
