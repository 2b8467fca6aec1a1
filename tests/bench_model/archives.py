"""What the book's lists say of all runs together, held against all notes: CSV, affected work, run charts, tools."""

import csv
import io
import json
from collections import Counter
from fractions import Fraction
from pathlib import Path
from typing import Any

from bench_model.records import TOOL_KINDS
from bench_model.several import drawn
from bench_model.starting import Starter
from bench_model.walk import run_command
from bench_model.worker import Note, Worker

CHECK_READINGS = 15  # five at each of three points: they are pulls of the tool too
NUMBERED = ("pull", "recheck", "prevailing", "torque after turn", "turn", "gap", "length", "bad pull", "correction")
UNNUMBERED = ("broken", "void", "apply", "mark", "loosen", "turn by mark", "back off", "back at mark")


class Book:
    """The lists of one book, beside the notes of all its runs."""

    def __init__(self, starter: Starter, book: Path, notes: dict[str, list[Note]]) -> None:
        self.starter, self.book, self.notes = starter, book, notes
        self.worker: Worker | None = None
        self.compared = 0

    def find(self, short: str, done: str, said: object, true: object) -> None:
        """A discrepancy was found."""
        assert self.worker is not None
        self.worker.find("ACTS", short, done, said, true)

    def ask(self, *args: str) -> Any:
        """One JSON object of a command."""
        told, talk = run_command(self.starter, self.book, *args, "--json")
        try:
            return json.loads(told)
        except ValueError:
            self.find(f"{args[0]}-no-json", " ".join(args), talk or told, "one JSON object")
            return {}

    def compare(self, tools: list[str], worker: Worker) -> None:
        """All lists, for the tools that were used."""
        self.worker = worker
        self._csv()
        counted = {tool["id"]: tool for tool in self.ask("tools").get("tools", [])}
        for tool in tools:
            self._affected(tool)
            self._trend(tool)
            true = sum(note.tool == tool and note.kind in TOOL_KINDS for some in self.notes.values() for note in some)
            true += CHECK_READINGS if worker.bench.tools[tool].failed else 0
            said = counted.get(tool, {}).get("pulls")
            self.compared += 1
            if said != true:
                self.find("tools-cycles", f"{tool}: {true} pulls in {len(self.notes)} runs", said, true)
            state = counted.get(tool, {}).get("state")
            if worker.bench.tools[tool].in_trouble and state in ("fit", "ready"):
                worker.find("TROUBLE", "dropped-and-ready", f"{tool} was dropped or suspected", state, "check due")

    def _csv(self) -> None:
        told, _ = run_command(self.starter, self.book, "export", "--csv", "--clicks")
        rows = list(csv.DictReader(io.StringIO(told)))
        there: dict[tuple[str, int, str], list[dict[str, str]]] = {}
        for row in rows:
            there.setdefault((row["run"], int(row["line"]), row["position"]), []).append(row)
        for run, notes in self.notes.items():
            for note in notes:
                if note.kind in UNNUMBERED:
                    continue
                found = there.get((run, note.line, drawn(note.position)), [])
                self._csv_row(run, note, found)

    def _csv_row(self, run: str, note: Note, found: list[dict[str, str]]) -> None:
        self.compared += 1
        done = f"{run}, line {note.line}: {note.kind}, bolt {note.position}, {note.typed} {note.unit} {note.tool}"
        if not found:
            self.find(f"csv-no-row-{note.kind}", done, "no such row", "one row")
            return
        row = found[0]
        if note.kind in NUMBERED and note.typed is not None and (row["value"], row["unit"]) != (note.typed, note.unit):
            self.find(f"csv-value-{note.kind}", done, row, note.typed)
        if note.set_to is not None and (not row["set_to"] or Fraction(row["set_to"]) != note.set_to):
            self.find(f"csv-set-to-{note.kind}", done, row, float(note.set_to))
        if note.tool is not None and row["tool"] != note.tool:
            self.find(f"csv-tool-{note.kind}", done, row, note.tool)
        if note.adapter is not None and row.get("adapter") != note.adapter:
            self.find(f"csv-adapter-{note.kind}", done, row, note.adapter)
        if row["person"] not in (note.typing, note.pulling):
            self.find(f"csv-person-{note.kind}", done, row, note.pulling or note.typing)

    def _affected(self, tool: str) -> None:
        told = self.ask("affected", tool, "--since", "2026-01-01")
        said = Counter(
            (run["run"], int(use["line"]), str(use.get("position")))
            for run in told.get("runs", [])
            for use in run["readings"]
        )
        true = Counter(
            (run, note.line, str(note.position))
            for run, notes in self.notes.items()
            for note in notes
            if note.tool == tool and note.kind in (*TOOL_KINDS, "turn")
        )
        for missing in true - said:
            note = next(n for n in self.notes[missing[0]] if (n.line, str(n.position)) == missing[1:])
            self.find(f"affected-lacks-{note.kind}", f"{tool} at {missing}: {note.kind}", "not listed", "listed")
        for more in said - true:
            self.find("affected-too-much", f"{tool} at {more}", "listed", "not done with it")
        self.compared += len(true)

    def _trend(self, tool: str) -> None:
        told = self.ask("trend", "--tool", tool.upper())
        said = {(reading["run"], int(reading["line"])) for reading in told.get("readings", [])}
        kept = ("pull", "turn", "correction")
        true = {
            (run, note.line)
            for run, notes in self.notes.items()
            for note in notes
            if note.tool == tool and note.kind in kept and note.typed is not None and note.counts
        }
        self.compared += len(true)
        for run, line in said - {(r, n.line) for r, notes in self.notes.items() for n in notes if n.tool == tool}:
            self.find("trend-too-much", f"{tool} at {run}, line {line}", "charted", "not done with it")
        for reading in told.get("readings", []):
            if (reading["run"], int(reading["line"])) not in true:
                note = next((n for n in self.notes.get(reading["run"], []) if n.line == reading["line"]), None)
                if note is not None and note.kind not in ("recheck", "prevailing", "torque after turn"):
                    self.find(
                        f"trend-has-{note.kind}",
                        f"{tool} at line {note.line}: {note.kind}",
                        reading,
                        "not a kept reading",
                    )
