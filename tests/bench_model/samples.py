"""The sample of an inspector, drawn once more with nothing but SHA-256 and the lines as they stand on the disk."""

import json
from hashlib import sha256
from math import ceil
from pathlib import Path
from typing import Any

from bench_model.joint import Stage
from bench_model.worker import Worker

Line = dict[str, Any]


def compare(worker: Worker, run: Path, record: dict[str, Any]) -> None:
    """Each sample of a run: what was drawn, what was added after a failure, and what was looked at."""
    raw = (run / "daybook.jsonl").read_bytes().splitlines(keepends=True)
    lines = [json.loads(each) for each in raw]
    steps = json.loads((run / "plan.json").read_text(encoding="utf-8"))["steps"]
    told = {int(row["line"]): row for row in record.get("sample", [])}
    for place, line in enumerate(lines):
        if line["event"] != "sample_drawn":
            continue
        stage = worker.joint.stage(str(line["stage"]), worker.follow_up)
        positions = {str(step["position"]) for step in steps if step["stage"] == stage.number}
        head = sha256(raw[place - 1].rstrip(b"\n")).hexdigest()
        _drawn(worker, line, stage, _order(head, str(line["number"]), positions), told.get(place + 1, {}))
        _looked(worker, lines, line, stage, told.get(place + 1, {}), record)


def _order(head: str, number: str, positions: set[str]) -> list[str]:
    seed = _digest(f"{head} {number}")
    return sorted(positions, key=lambda each: _digest(f"{seed} {each}"))


def _digest(text: str) -> str:
    return sha256(text.encode()).hexdigest()


def size_of(stage: Stage, positions: int) -> int:
    """So many are drawn at first."""
    assert stage.sample is not None
    share, least = stage.sample
    return min(positions, max(ceil(positions * share), least))


def _drawn(worker: Worker, line: Line, stage: Stage, order: list[str], row: dict[str, Any]) -> None:
    worker.counted["comparisons"] += 2
    size = size_of(stage, len(order))
    if [line["sample"], line["if_one_fails"]] != [order[:size], order[size:]]:
        worker.find("ACTS", "sample", f"number {line['number']}", str(line["sample"]), str(order[:size]))
    if row.get("drawn") != order[:size]:
        worker.find("ACTS", "sample-row", f"number {line['number']}", str(row), str(order[:size]))


def _looked(
    worker: Worker, lines: list[Line], line: Line, stage: Stage, row: dict[str, Any], record: dict[str, Any]
) -> None:
    order = [*line["sample"], *line["if_one_fails"]]
    added, since, size = 0, 0, len(line["sample"])
    looks = {
        each["seq"]: str(each["position"] or _position(each))
        for each in lines
        if each["event"] == "inspected" and each["work"] is None and _stage(each) == stage.number
    }
    for each in lines:
        fails = each["event"] == "decided" and each["cause"] == "not as expected" and each["about"] in looks
        if fails and each["choice"] != "look again" and looks[each["about"]] in order[since : size + added]:
            more = min(added + (len(order) if stage.all_follow else size), len(order) - size)
            further = {*order[size + added : size + more], "-"}  # what would be added, or a gate
            if not any(_behind(one, stage.number, further) for one in lines[: each["seq"]]):
                since, added = size + added, more
    worker.counted["comparisons"] += 2
    said = row.get("added", [])
    if said != order[size : size + added]:
        worker.find("ACTS", "sample-added", f"looks {looks}", str(said), str(order[size : size + added]))
    chosen = set(order[: size + len(said)])
    if not set(looks.values()) <= chosen or (record.get("outcome") == "done" and set(looks.values()) != chosen):
        worker.find("ACTS", "sample-looks", f"sample {sorted(chosen)}", str(sorted(looks.values())), "these alone")


def _behind(line: Line, stage: int, positions: set[str]) -> bool:
    """A later stage was worked on at one of these."""
    return bool(line.get("step")) and _stage(line) > stage and _position(line).partition("@")[0] in positions


def _stage(line: Line) -> int:
    return int(str(line["step"]).split(".")[0])


def _position(line: Line) -> str:
    return str(line["step"]).partition("/")[2]
