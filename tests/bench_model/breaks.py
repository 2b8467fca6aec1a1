"""Breaks: a flat battery, a safe pause, a run on hold; and how the person left the step at hand."""

from dataclasses import dataclass

from bench_model.amounts import written
from bench_model.choices import keys
from bench_model.pulls import reading_to_type
from bench_model.walk import Prompt
from bench_model.worker import Worker


@dataclass(frozen=True)
class Break:
    """How the session ends, how long nobody is there, and how quick the clock is afterwards."""

    way: str
    seconds: int
    step: int = 3


def break_now(worker: Worker, prompt: Prompt) -> Break | None:
    """Whether the work stops here; what was done before it is remembered."""
    if worker.breaks_left <= 0 or worker.random.random() > worker.clumsy / 2 or prompt["prompt"] == "start_sheet":
        return None
    worker.breaks_left -= 1
    way = worker.random.choice(("kill", "kill", "pause")) if prompt["part"] is None else "kill"
    worker.left, worker.done_already = "not_started", None
    if prompt["part"] is None and way == "kill":
        _left_at(worker, prompt)
    worker.dropped()
    worker.intent, worker.retype, worker.unders = {}, None, None
    worker.odd.append((f"break: {way}, {worker.left}", str(prompt["id"])))
    return Break(way, worker.random.choice((20, 200, 1300)), worker.random.choice((3, 3, 3, 660)))


def _left_at(worker: Worker, prompt: Prompt) -> None:
    kind = prompt["prompt"]
    if kind == "turn":
        worker.left = worker.random.choice(("not_started", "started_mark_there", "started_mark_lost"))
    elif kind in ("tighten", "recheck", "confirm"):
        worker.left = worker.random.choice(("not_started", "started_not_finished", "finished_not_entered"))
        if worker.left == "finished_not_entered" and kind == "tighten" and "+" not in keys(prompt):
            worker.done_already = written(reading_to_type(worker, prompt), worker.tool().step)
