"""record.toml held against the notes on paper: every act once, with its tool, value, setting, person and verdict."""

import tomllib
from collections import Counter
from fractions import Fraction
from pathlib import Path
from typing import Any

from bench_model.worker import Note, Worker

TOOL_KINDS = ("pull", "click", "bad pull", "recheck", "prevailing", "torque after turn")
Act = dict[str, Any]


def read(run: Path) -> dict[str, Any]:
    """The record of a run that is over."""
    return tomllib.loads((run / "record.toml").read_text(encoding="utf-8"))


def acts(record: dict[str, Any]) -> list[Act]:
    """The rows of what was done."""
    rows = record.get("act", record.get("reading", []))
    return list(rows)


def compare(worker: Worker, record: dict[str, Any]) -> None:
    """Every difference between record and notes becomes a row."""
    by_line: dict[int, list[Act]] = {}
    for act in acts(record):
        by_line.setdefault(int(act["line"]), []).append(act)
    looked_at = {int(row["line"]) for name in ("inspection", "applied") for row in record.get(name, [])}
    for note in worker.notes:
        if note.kind in ("broken", "void"):
            continue
        if note.kind == "apply" and note.line in looked_at:
            continue
        found = [act for act in by_line.get(note.line, []) if _same_place(note, act)]
        worker.counted["acts"] += 1
        if not found:
            there = by_line.get(note.line, [])
            worker.find("ACTS", f"no-row-{note.kind}", _told(note), there or "no row at this line", "one row for it")
            continue
        if len(found) > 1:
            worker.find("ACTS", f"rows-{note.kind}", _told(note), found, "one row for it")
        _row(worker, note, found[0])
    noted = {note.line for note in worker.notes}
    for line, rows in by_line.items():
        if line not in noted:
            worker.find(
                "ACTS", f"unasked-row-{rows[0].get('kind')}", f"nothing was done at line {line}", rows[0], "no row"
            )
    _positions(worker, record)
    _tools(worker, record)
    _deviations(worker, record)
    _new_ones(worker, record)


def _new_ones(worker: Worker, record: dict[str, Any]) -> None:
    """What was said of one-use fasteners stands in the record, also what was said before the last answer."""
    told = [(row["asked"], row["answer"]) for row in record.get("answer", []) if row.get("is") == "all new"]
    worker.counted["answers"] += 1
    if told != worker.new:
        worker.find("ONE-USE", "answers", f"said: {worker.new}", told, worker.new)


def _same_place(note: Note, act: Act) -> bool:
    return note.position is None or str(act.get("position")) == note.position


def _told(note: Note) -> str:
    parts = [f"line {note.line}: {note.kind} at {note.step}, bolt {note.position}"]
    if note.typed is not None:
        parts.append(f"typed {note.typed} {note.unit}")
    if note.set_to is not None:
        parts.append(f"set to {float(note.set_to)} {note.unit}")
    if note.tool is not None:
        parts.append(f"with {note.tool}{'+' + note.adapter if note.adapter else ''}")
    return ", ".join(parts)


def _row(worker: Worker, note: Note, act: Act) -> None:
    def differs(key: str, said: object, true: object) -> None:
        worker.counted["comparisons"] += 1
        if said != true:
            worker.find("ACTS", f"{note.kind}-{key}", _told(note), f"{key}: {said!r} in {act}", f"{key}: {true!r}")

    if note.typed is not None and note.kind != "broken":
        value = act.get("value", act.get("value_seen"))
        differs("value", None if value is None else Fraction(str(value)), Fraction(note.typed))
    if note.unit is not None and note.kind not in ("turn", "broken", "click", "recheck"):
        differs("unit", act.get("unit"), note.unit)
    if note.tool is not None:
        differs("tool", act.get("tool"), note.tool)
    if note.tool is not None and note.kind in TOOL_KINDS:
        differs("adapter", act.get("adapter"), note.adapter)
    if note.set_to is not None:
        said = act.get("set_to", act.get("setting"))
        differs("set_to", None if said is None else Fraction(str(said)), note.set_to)
    if note.at_bolt is not None and act.get("at_fastener") is not None:
        _at_bolt(worker, note, act)
    if note.verdict is not None and note.why_not is None:
        differs("verdict", act.get("verdict", act.get("outcome")), note.verdict)
    if note.unmoved:
        differs("moved", act.get("moved"), False)
        differs("at_fastener", act.get("at_fastener"), None)
    if note.why_not == "bad pull":
        differs("counts", act.get("counts", act.get("standing") == "kept"), False)
    differs("by", act.get("by"), note.typing)
    if note.pulling is not None:
        differs("done_by", act.get("done_by"), note.pulling)


def _at_bolt(worker: Worker, note: Note, act: Act) -> None:
    text = str(act["at_fastener"])
    unit = str(act.get("judged_unit", worker.joint.unit))
    places = len(text.partition(".")[2])
    from bench_model.amounts import in_unit, is_torque

    if note.at_bolt is None or not is_torque(unit):
        return
    true = in_unit(note.at_bolt, unit)
    if abs(Fraction(text) - true) > Fraction(1, 10**places):
        worker.find("ACTS", f"{note.kind}-at-fastener", _told(note), text, f"{float(true):.4f} {unit}")


def _positions(worker: Worker, record: dict[str, Any]) -> None:
    for row in record.get("position", []):
        bolt = worker.bolts.get(str(row["position"]))
        if bolt is None:
            continue
        worker.counted["comparisons"] += 2
        done = [_told(note) for note in worker.notes if note.position == bolt.position]
        if bolt.tightenings_sure and row.get("tightenings", 0) != bolt.tightenings:
            said = f"tightenings {row.get('tightenings', 0)}"
            worker.find(
                "ACTS", "tightenings", f"bolt {bolt.position}: {done}", said, f"{bolt.tightenings} from loose to tight"
            )
        if bolt.attempts_sure and row.get("attempts", 1) != bolt.attempts:
            said = f"attempts {row.get('attempts', 1)}"
            worker.find("ACTS", "attempts", f"bolt {bolt.position}: {done}", said, f"{bolt.attempts}")


def _tools(worker: Worker, record: dict[str, Any]) -> None:
    true = Counter(note.tool for note in worker.notes if note.tool and note.kind in TOOL_KINDS)
    for row in record.get("tool", []):
        worker.counted["comparisons"] += 1
        said = int(row.get("pulls", 0))
        if row["tool"] in worker.bench.tools and said != true[row["tool"]] and row["kind"] in ("setting", "indicating"):
            done = [_told(note) for note in worker.notes if note.tool == row["tool"]]
            worker.find(
                "ACTS", "pulls-by-tool", f"{row['tool']}: {done}", f"{said} pulls", f"{true[row['tool']]} pulls"
            )


def _deviations(worker: Worker, record: dict[str, Any]) -> None:
    lines = {int(row["line"]) for row in record.get("deviation", [])}
    for note in worker.notes:
        worker.counted["comparisons"] += 1
        outside = note.verdict == "over"
        if outside and note.line not in lines:
            worker.find(
                "ACTS", f"over-no-deviation-{note.kind}", _told(note), sorted(lines), "over stands among the deviations"
            )
    if record.get("outcome") == "done" and record.get("not_done"):
        worker.find("ACTS", "done-with-steps-left", "closed", record["not_done"], "never under Done")
