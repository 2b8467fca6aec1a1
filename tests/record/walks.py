"""Walks on the bench as the three frozen files that a run leaves behind."""

from __future__ import annotations

from hashlib import sha256
from pathlib import Path

import msgspec
from msgspec.structs import replace

from clampbook.ledger.lines import NOTHING_BEFORE, digest
from clampbook.procedure.reader import read_file
from clampbook.run import events as e
from clampbook.run.plan import encode
from clampbook.run.planning import plan

from ..bench import Bench
from .head import PROCEDURE

Files = tuple[bytes, bytes, bytes]


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
