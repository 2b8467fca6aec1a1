"""Make the golden runs anew after the formats changed: `python tests/golden_anew.py`.

The same procedure is planned again and the same answers stand in the daybook; plan, chain and record are what this
version makes of them. Format 2 is settled: a golden folder is not touched any more, and this is for a format 3 alone.
"""

from __future__ import annotations

import re
import sys
from hashlib import sha256
from pathlib import Path

import msgspec

from clampbook.ledger import lines
from clampbook.ledger.formats import FORMAT
from clampbook.procedure import reader
from clampbook.procedure.sheet import NEWEST_FORMAT
from clampbook.record.record import build
from clampbook.run import plan as plans
from clampbook.run.planning import plan as plan_of

GOLDEN = Path(__file__).parent / "golden"


class Before(msgspec.Struct):
    """What was settled of a run before it was planned."""

    slug: str
    trial: bool = False
    joint: str | None = None
    follow_up: str | None = None
    from_paper: bool = False


def make_anew(folder: Path) -> bool:
    """Whether anything in the folder changed by it."""
    names = ("procedure.toml", "plan.json", "daybook.jsonl", "record.toml")
    before = {name: (folder / name).read_bytes() for name in names}
    procedure = re.sub(rb"(?m)^format = \d+$", b"format = %d" % NEWEST_FORMAT, before["procedure.toml"], count=1)
    said = msgspec.json.decode(before["plan.json"], type=Before)
    read = reader.read(procedure)
    plan = plans.encode(
        plan_of(read, said.slug, trial=said.trial, joint=said.joint, follow_up=said.follow_up, late=said.from_paper)
    )
    daybook = _chained(before["daybook.jsonl"], procedure, plan)
    after = dict(zip(names, (procedure, plan, daybook, build(procedure, plan, daybook)), strict=True))
    for name, data in after.items():
        (folder / name).write_bytes(data)
    return after != before


def _chained(daybook: bytes, procedure: bytes, plan: bytes) -> bytes:
    """The same lines, the first naming the files anew, each naming the one before."""
    made: list[bytes] = []
    before = lines.NOTHING_BEFORE
    for number, line in enumerate(lines.split(daybook)[0], start=1):
        fields = lines.decode(line)
        del fields["seq"], fields["prev"]
        if number == 1:
            hashes = {"procedure_sha256": sha256(procedure).hexdigest(), "plan_sha256": sha256(plan).hexdigest()}
            fields |= {"daybook": FORMAT, **hashes}
        made.append(lines.encode(fields, number, before))
        before = lines.digest(made[-1])
    return b"".join(line + b"\n" for line in made)


if __name__ == "__main__":
    for path in sorted(GOLDEN.iterdir()):
        sys.stdout.write(f"{path.name}: {'made anew' if make_anew(path) else 'as it was'}\n")
