"""The report as a person reads it: headline, tools, and every reading in its stage, beside its position and tool."""

import re
from collections import Counter
from pathlib import Path

import pypdf

from bench_model.records import TOOL_KINDS
from bench_model.several import drawn
from bench_model.worker import Note, Worker

READ = ("pull", "recheck", "prevailing", "torque after turn", "turn")
MARKS = "●▄▀○◆×?–↺!"


# How each outcome is headed, as the phrasebook has it.
HEADLINES = {
    "done": "Done",
    "accepted": "Accepted with concessions",
    "not accepted": "Not accepted",
    "trial": "Trial assembly",
    "abandoned": "Abandoned",
}


def pages(report: Path) -> list[str]:
    """The lines of all pages, without the marks that only say where a word may be broken."""
    text = "\n".join(page.extract_text() for page in pypdf.PdfReader(report).pages)
    return text.replace("\u200b", "").replace("\u00ad", "").splitlines()


def compare(worker: Worker, report: Path, outcome: str | None) -> None:
    """What stands on the pages, held against the notes."""
    lines = pages(report)
    headline = next((line for line in lines[:8] if re.split("[,:]", line)[0] == HEADLINES.get(str(outcome))), None)
    worker.counted["report"] += 1
    if headline is None:
        worker.find("REPORT", "headline", f"ended: {outcome}", lines[:8], outcome)
    _tools(worker, lines)
    walked = worker.joint.follow_up if worker.follow_up else worker.joint.stages
    stages = _by_stage(lines, [stage.called or stage.number for stage in walked])
    for note in worker.notes:
        if note.kind in READ and note.typed is not None and note.step is not None:
            _reading(worker, note, stages.get(int(note.step.split(".")[0]), []), lines)


def _by_stage(lines: list[str], called: list[int]) -> dict[int, list[str]]:
    """The lines of each stage: from its heading, what it is called and what is done, to the next one."""
    began = next((n for n, line in enumerate(lines) if line.startswith("Readings by stage")), len(lines))
    stages: dict[int, list[str]] = {}
    for line in lines[began:]:
        heading = re.match(r"(\d+) {2}\S", line)
        if heading and called[len(stages) :][:1] == [int(heading[1])]:
            stages[len(stages) + 1] = []
        if stages:
            stages[len(stages)].append(line)
    return stages


def _reading(worker: Worker, note: Note, lines: list[str], pages: list[str]) -> None:
    """Its position and what was typed stand in one row of its stage; its tool there or above the rows.

    What counts no more stands with its line instead, at the step that it was stored for.
    """
    worker.counted["report"] += 1
    row = re.compile(
        rf"(?<![\w.]){re.escape(drawn(note.position))}\s+.*(?<![\w.]){re.escape(str(note.typed))}(?![\w.])"
    )
    done = f"line {note.line}: {note.kind} at {note.step}, bolt {note.position}, {note.typed} {note.unit}, {note.tool}"
    here, last = f"{drawn(note.position)} ", f" {note.line}"
    undone = [line for line in pages if line.startswith(here) and line.rstrip().endswith(last)]
    lines = [*lines, *undone]
    if not undone and not any(row.search(line) for line in lines):
        worker.find("REPORT", f"no-row-{note.kind}", done, lines, "a row with position and value")
    named = note.tool is None or any(note.tool.upper() in line for line in lines)
    if not named:
        worker.find("REPORT", f"no-tool-{note.kind}", done, lines, note.tool)


def _tools(worker: Worker, lines: list[str]) -> None:
    true = Counter(note.tool for note in worker.notes if note.tool and note.kind in TOOL_KINDS)
    taken = {(note.tool, note.adapter) for note in worker.notes if note.tool and note.adapter}
    for tool, adapter in taken:
        if not any(f"with {adapter.upper()}" in line for line in lines):
            worker.find("REPORT", "no-adapter", f"{tool} with {adapter}", "not named", adapter)
    for tool, count in true.items():
        rows = [line for line in lines if line.startswith(f"{tool.upper()} ") and re.search(r"\d times?$", line)]
        worker.counted["report"] += 1
        said = [int(re.findall(r"(\d+) times?$", line)[0]) for line in rows]
        if said != [count]:
            worker.find("REPORT", "used-times", f"{tool}: {count} pulls", rows, f"{count} times")
