"""Points that are judged together: how many of them may be outside, in the record of a closed run."""

from fractions import Fraction
from typing import Any

from bench_model.joint import judged
from bench_model.worker import Worker


def compare(worker: Worker, record: dict[str, Any]) -> None:
    """A stage that was left with too many points outside says so among the deviations, and no other does."""
    if record.get("outcome") not in ("done", "accepted"):
        return
    for stage in worker.joint.follow_up if worker.follow_up else worker.joint.stages:
        rows = [
            row
            for row in record.get("reading", [])
            if row["kind"] == "measurement" and row["stage"] == stage.number and row["standing"] == "counts"
        ]
        if stage.all_but is None or not rows:
            continue
        worker.counted["comparisons"] += 1
        outside = sum(judged(Fraction(str(row["value"])), stage.low, stage.high) != "within" for row in rows)
        lines = {int(row["line"]) for row in rows}
        told = [
            each
            for row in record.get("deviation", [])
            for each in row["departed"]
            if each["kind"] == "points outside" and int(row["line"]) in lines
        ]
        if (outside > stage.all_but) != bool(told) or any(int(each["outside"]) != outside for each in told):
            worker.find(
                "ACTS", "points-outside", f"stage {stage.number}: {outside} outside", str(told), "one row if too many"
            )
