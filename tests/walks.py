"""Walks on the bench as the three frozen files that a run leaves behind."""

from __future__ import annotations

from hashlib import sha256
from pathlib import Path

import msgspec
from msgspec.structs import replace

from bench import TOMAS, Bench, resolved
from clampbook.demo import samples
from clampbook.ledger.lines import NOTHING_BEFORE, digest
from clampbook.procedure.reader import read_file
from clampbook.run import answers as a
from clampbook.run import events as e
from clampbook.run import prompts as ask
from clampbook.run.answers import Accepted
from clampbook.run.plan import encode
from clampbook.run.planning import plan

Files = tuple[bytes, bytes, bytes]
PROCEDURE = b'title = "Cylinder head, pattern C engine"\n'


def frozen(bench: Bench, procedure: bytes = PROCEDURE) -> Files:
    """procedure.toml, plan.json and daybook.jsonl of what was walked so far."""
    planned = encode(bench.plan)
    lines: list[bytes] = []
    for event in bench.events:
        if isinstance(event, e.Opened):
            hashes = {"procedure_sha256": sha256(procedure).hexdigest(), "plan_sha256": sha256(planned).hexdigest()}
            event = replace(event, **hashes)
        before = digest(lines[-1]) if lines else NOTHING_BEFORE
        lines.append(msgspec.json.encode(e.fields(event) | {"seq": event.seq, "prev": before}, order="sorted"))
    return procedure, planned, b"".join(line + b"\n" for line in lines)


def of_sheet(path: Path) -> tuple[Bench, bytes]:
    """A bench at the first prompt of a procedure file, and the file's bytes."""
    procedure, data = read_file(path)
    return Bench(plan(procedure, path.stem)), data


def bad_day(note: str = "The phone rang.") -> Files:
    """The head on a day on which everything goes wrong: a note, a bad pull, a broken bolt, an over, a drop, a break."""
    path = next(path for path in samples() if path.stem == "whinchat-pattern-c-head")
    bench, data = of_sheet(path)
    bench.steadily(ask.Tighten)
    _well(bench, a.Note(note))
    _well(bench, bench.steady())
    _well(bench, a.BadPull("jerk", "10"))
    _well(bench, resolved(next(way for way in _ways(bench) if way.choice == "pull again")))
    _well(bench, a.Broke("broken", "21 N·m"))
    _well(bench, resolved(next(way for way in _ways(bench) if way.choice == "new fastener")))
    bench.steadily(ask.Turn)
    _well(bench, a.Value("97 °"))
    _well(bench, resolved(next(way for way in _ways(bench) if way.choice == "concession")))
    _well(bench, bench.steady())
    bench.resume(3600, by=TOMAS)
    bench.steadily(ask.Turn)
    _well(bench, a.Value("93 °"))
    _well(bench, a.Correct("92", "the tool still shows it"))
    _well(bench, a.Drop("w5", "no other here"))
    bench.steadily()
    return frozen(bench, data)


def _ways(bench: Bench) -> tuple[ask.DecideChoice, ...]:
    assert isinstance(bench.prompt, ask.Decide), bench.prompt
    return bench.prompt.choices


def _well(bench: Bench, answer: a.Answer) -> None:
    outcome = bench.answer(answer)
    assert isinstance(outcome, Accepted), (bench.prompt, outcome)
