"""One job: a random procedure, walked from its first question to its end."""

import json
import traceback
from dataclasses import dataclass, field
from fractions import Fraction
from pathlib import Path
from random import Random

from bench_model import breaks, hands, orders, parts, points, records, reports, samples, slips
from bench_model.amounts import nearest, written
from bench_model.archives import Book
from bench_model.choices import values
from bench_model.joint import Joint
from bench_model.procedures import random_joint
from bench_model.starting import Starter
from bench_model.walk import Prompt, Reply, StuckError, Time, Walk, run_command
from bench_model.worker import Note, Worker, make_worker

MOST = 500
READ_REPORTS = 4  # of so many jobs one has its report read
AFTER_TROUBLE = 3  # of so many one goes on with another joint, where a tool was dropped


@dataclass
class Job:
    """A seed, and all that came of it."""

    seed: int
    book: Path
    joint: Joint
    worker: Worker
    time: Time
    run: str | None = None
    outcome: str | None = None
    stuck: str | None = None
    answers: int = 0
    transcript: list[str] = field(default_factory=list)
    breaks: int = 0
    runs: dict[str, list[Note]] = field(default_factory=dict)


def new_job(seed: int, book: Path, clumsy: float) -> Job:
    """The procedure is written into the book; nobody has begun."""
    random = Random(seed)
    joint = random_joint(random, seed)
    (book / "procedures" / f"bench-{seed}.toml").write_text(joint.text(), encoding="utf-8")
    return Job(seed, book, joint, make_worker(random, joint, clumsy), Time())


def do(job: Job, starter: Starter) -> Job:
    """Walk it to its end, through every break; then what it has to be followed up by; then look at the book's lists."""
    try:
        _run(job, starter, [f"bench-{job.seed}", "--as", "ines", *_which(job)])
        if job.joint.follow_up and job.outcome in ("done", "accepted"):
            job.time.leap(3600)
            job.worker.next_run()
            first, job.run = str(job.run), None
            _run(job, starter, ["--follow-up", "Later check", "--of", first, *_whose(job)])
        if job.seed % AFTER_TROUBLE == 1 and any(tool.in_trouble for tool in job.worker.bench.tools.values()):
            _another_joint(job, starter)
        used = sorted({note.tool for notes in job.runs.values() for note in notes if note.tool})
        lists = Book(starter, job.book, job.runs)
        lists.compare([tool for tool in used if tool.startswith("w")], job.worker)
        job.worker.counted["listed"] += lists.compared
    except StuckError as why:
        job.stuck = str(why)
    except Exception:
        job.stuck = "the model itself: " + traceback.format_exc()[-900:]
    return job


def walked(job: Job, starter: Starter) -> Job:
    """Walk it to its end, and nothing after it. Raises StuckError."""
    _run(job, starter, [f"bench-{job.seed}", "--as", "ines", *_which(job)])
    return job


def _another_joint(job: Job, starter: Starter) -> None:
    """The next joint of the same kind, by careful hands; what became of the tools is not forgotten."""
    before = job.worker
    if before.random.random() < 0.5:
        _fails_its_check(job, starter, next(id for id, tool in before.bench.tools.items() if tool.in_trouble))
    job.time.leap(3600)
    job.worker = make_worker(before.random, job.joint, 0.0)
    job.worker.rows, job.worker.counted, job.worker.odd = before.rows, before.counted, before.odd
    for id, tool in before.bench.tools.items():
        mine = job.worker.bench.tools[id]
        mine.in_trouble, mine.failed = tool.in_trouble, tool.failed
    job.run = None
    _run(job, starter, [f"bench-{job.seed}", "--as", "ines", *_which(job)])


def _fails_its_check(job: Job, starter: Starter, id: str) -> None:
    """Five readings at each of three points, `CHECK_READINGS`: the bolt gets 12 % more than the tool says."""
    tool = job.worker.bench.tools[id]
    rows = ["reference,indicated"]
    for share in (2, 5, 8):
        point = nearest(tool.high * share / 10, tool.step)
        rows += [f"{written(point * 112 / 100, Fraction(1, 1000))},{written(point, tool.step)}"] * 5
    file = job.book / "readings.csv"
    file.write_text("\n".join(rows) + "\n", encoding="utf-8")
    told, talk = run_command(starter, job.book, "check", tool.name, "--readings", str(file), "--as", "okke", "--json")
    job.transcript.append(f"$ check {id}: {told} {talk}")
    tool.failed = True
    if not told or json.loads(told)["verdict"] != "failed":
        job.worker.find("TROUBLE", "off-and-passed", f"{id} is 12 % off", told or talk, "failed")


def _which(job: Job) -> list[str]:
    return ["--joint", job.joint.table["repeat"][-1]] if "repeat" in job.joint.table else []


def _run(job: Job, starter: Starter, args: list[str]) -> None:
    while args:
        with Walk(starter, job.book, args, job.time.clock()) as walk:
            job.transcript.append(f"$ walk {' '.join(args)}   clock {job.time.clock()}")
            args = _session(job, walk)
    job.runs[str(job.run)] = job.worker.notes
    job.worker.ended(job.outcome)
    run = job.book / "runs" / str(job.run)
    if (run / "record.toml").exists():
        record = records.read(run)
        records.compare(job.worker, record)
        samples.compare(job.worker, run, record)
        points.compare(job.worker, record)
        if job.seed % READ_REPORTS == 0:
            reports.compare(job.worker, run / "report.pdf", job.outcome)
    else:
        job.worker.find("ACTS", "no-record", f"ended: {job.outcome}", "no record.toml", "work done has a record")


def _session(job: Job, walk: Walk) -> list[str]:
    """Answer until the process ends; what to start next, nothing where the run is over."""
    worker, reply, answers = job.worker, walk.first, 0
    again, said = 0, ""
    while reply.prompt is not None:
        prompt = reply.prompt
        again = again + 1 if reply.refused or reply.unusual else 0
        if again > 12 or job.answers > MOST:
            raise StuckError(f"no way on at {prompt}")
        if prompt["part"] is None and prompt["prompt"] not in ("take_tool", "decide", "start_sheet", "return_tool"):
            worker.now(prompt)
        if job.time.step > 60 and answers > 5 and prompt["part"] is None:
            worker.left = "not_started"
            return _stop(job, walk, breaks.Break("pause", 30), answers)
        parts.starts_over(worker, prompt)
        if not reply.unusual:
            orders.look_at(worker, prompt)
        stop = breaks.break_now(worker, prompt)
        if stop is not None:
            return _stop(job, walk, stop, answers)
        line = _typed_again(worker, reply, said, prompt) or _correction(worker, prompt)
        if line is None:
            line = slips.under_again(worker, prompt)
        if line is None:
            line = slips.slip(worker, prompt)
        if line is None:
            line = hands.answer(worker, prompt)
        offered = [f"{choice['key']} {choice['text']}" for choice in prompt["choices"]]
        job.transcript.append(f"{prompt['prompt']}/{prompt['part']} {prompt['id']} {prompt['text']}")
        job.transcript.append(f"  {offered}\n> {line}")
        reply, said = walk.say(line), line
        answers += 1
        job.answers += 1
        _heard(job, reply)
        if reply.refused and prompt["prompt"] == "wait" and prompt["part"] is None:
            return _stop(job, walk, breaks.Break("pause", 320), answers)
    job.time.told(answers)
    job.outcome, job.run = reply.finished, reply.run
    if reply.finished in ("held", "paused", "on hold"):
        return _again(job)
    return []


def _typed_again(worker: Worker, reply: Reply, said: str, prompt: Prompt) -> str | None:
    """An unusual value is typed again, with its unit, when it is what the tool shows."""
    slip, worker.retype = worker.retype, None
    if slip is not None:
        if not reply.unusual:
            worker.find(
                "AIM", "off-scale-taken", f"{said} at {prompt['id']}", "taken", "asked again before it is stored"
            )
        return slip if reply.unusual else None
    return f"{said} {prompt['unit']}" if reply.unusual and prompt["unit"] else None


def _correction(worker: Worker, prompt: Prompt) -> str | None:
    """A mistyped reading is put right at the next question."""
    if worker.correcting is None or prompt["part"] is not None:
        return None
    wanted, put_right = worker.correcting, worker.put_right
    worker.correcting = worker.put_right = None
    worker.dropped()
    assert put_right is not None
    worker.after.append(put_right)
    worker.doing = "correct"
    old = worker.notes[-1]
    facts = {"tool": old.tool, "adapter": old.adapter, "unit": old.unit, "typed": str(wanted["value"])}
    made = worker.note("correction", prompt, position=old.position, **facts)
    made.step = old.step
    if prompt["prompt"] == "decide":
        if "correct" not in values(prompt):
            worker.dropped()
            return None
        worker.intent = dict(wanted)
        return values(prompt)["correct"]
    worker.intent = {"item": "correct", **wanted}
    return "*"


def _stop(job: Job, walk: Walk, stop: breaks.Break, answers: int) -> list[str]:
    job.breaks += 1
    job.transcript.append(f"-- {stop.way}, left {job.worker.left}")
    if stop.way == "pause":
        job.worker.dropped()
        reply = walk.say("pause")
        answers += 1
        if reply.prompt is not None and reply.prompt["part"] is not None:
            line = parts.part(job.worker, reply.prompt)
            reply = walk.say(line)
            answers += 1
            _heard(job, reply)
        if reply.finished is None:
            raise StuckError(f"pause did not end the walk: {reply.prompt or reply.refused}")
    else:
        walk.kill()
    job.time.told(answers)
    job.time.leap(stop.seconds)
    job.time.step = stop.step
    return _again(job)


def _again(job: Job) -> list[str]:
    if job.run is None:
        found = [run.name for run in (job.book / "runs").iterdir() if run.name not in job.runs and run.name[0] != "."]
        assert len(found) == 1, found
        job.run = found[0]
    job.time.leap(20)
    return ["--resume", job.run, *_whose(job)]


def _whose(job: Job) -> list[str]:
    bench = job.worker.bench
    return ["--as", bench.typing, *(["--done-by", bench.pulling] if bench.pulling else [])]


def _heard(job: Job, reply: Reply) -> None:
    worker = job.worker
    if reply.stored is not None:
        worker.stored(reply.lines)
        job.transcript.append(f"< stored {reply.stored}")
    elif reply.refused is not None:
        job.transcript.append(f"< refused {reply.refused}")
        hands.refused(worker, reply)
    elif reply.unusual is not None:
        job.transcript.append(f"< unusual {reply.unusual}")
