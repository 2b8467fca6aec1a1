"""What a joint of many positions costs beside one of 200: closing its run, its record, its report and its form.

Each position is pulled in two stages, and its clamp load estimated by a nut factor. Quick, with 1 000 positions, in a
minute; `--long` with 10 000, in some. Seconds are those of the processor, for each reading or each position of a form;
the memory is the highest of a process of its own, against one that sets bare tables of as many rows and columns.
"""

from __future__ import annotations

import cProfile
import pstats
import subprocess
import sys
import tempfile
import tomllib
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from datetime import UTC, datetime
from math import log
from pathlib import Path
from time import process_time

TESTS = Path(__file__).resolve().parent.parent
sys.path[:0] = [str(TESTS), str(TESTS / "run")]

from benchmarks.run import row  # noqa: E402
from benchmarks.walking import Pair, quickly  # noqa: E402
from clampbook.book.starting.new_run import open_run  # noqa: E402
from clampbook.book.starting.terms import Terms, work_named  # noqa: E402
from clampbook.book.starting.walking import conclude, walking  # noqa: E402
from clampbook.procedure.reader import read as read_procedure  # noqa: E402
from clampbook.record import paper_form, report  # noqa: E402
from clampbook.record.form.blocks import Rows  # noqa: E402
from clampbook.record.frozen import read  # noqa: E402
from clampbook.record.pages.blocks import Readings, Table  # noqa: E402
from clampbook.record.pages.pages import blocks  # noqa: E402
from clampbook.record.record import build  # noqa: E402
from clampbook.record.written import FROZEN  # noqa: E402
from clampbook.run import answers as a  # noqa: E402
from clampbook.run import prompts as ask  # noqa: E402
from clampbook.run.answers import Accepted  # noqa: E402
from clampbook.run.planning import plan  # noqa: E402
from clampbook.run.walk import Walk  # noqa: E402
from clampbook.run_folder import RunFolder  # noqa: E402
from museum import own  # noqa: E402
from sealing import Shop, shop  # noqa: E402

FEW, MANY, VERY_MANY = 200, 1_000, 10_000  # positions
STAGES = 2
TIME, MEMORY = 1.2, 1.2  # the greatest ratios wanted
_CHILD = Path(__file__).with_name("heaviest.py")
_PULLED = (("29.8", "30.1", "30.4", "29.9", "30.2"), ("49.7", "50.1", "50.6", "49.9", "50.2"))


def hull(positions: int) -> str:
    """The procedure of a row of bolts, which are told apart by nothing."""
    return f"""\
format = 2
title = "Keel of the Whinchat"
revision = "A"
unit = "N·m"

[[group]]
name = "Keel bolts"
positions = "1-{positions}"
fits = {{ "1-{positions}" = "M12x1.25 x 91 mm" }}
property_class = "10.9"
nut_factor = [0.16, 0.22]

[[stage]]
do = "tighten"
to = "30 N·m"
within = "±3 N·m"

[[stage]]
do = "tighten"
to = "50 N·m"
within = "±3 N·m"
"""


@dataclass(frozen=True)
class Joint:
    """A run of so many positions that is closed, and the seconds that closing it took."""

    positions: int
    run: RunFolder
    closing: float

    @property
    def files(self) -> tuple[bytes, bytes, bytes]:
        """The three frozen files."""
        procedure, plan_, daybook = ((self.run.path / name).read_bytes() for name in FROZEN)
        return procedure, plan_, daybook


def walked(at: Shop, positions: int) -> Joint:
    """Walk it to its end; what is measured begins with the answer that closes it."""
    own(at.book.root, "keel", hull(positions))
    terms = Terms(person=at.ines, equipment="Whinchat")
    run = open_run(at.book, work_named(at.book, "keel"), terms, at.clock, "handed in")
    with walking(at.book, run, clock=at.clock, person=at.ines, exempt=True, fresh=True) as walk, quickly():
        begun = _to_the_end(walk)
    conclude(at.book, run)
    return Joint(positions, run, process_time() - begun)


def _to_the_end(walk: Walk) -> float:
    """Answer everything; gives the time before the last answer."""
    number = 0
    while not isinstance(walk.prompt, ask.Ended):
        begun = process_time()
        number += isinstance(walk.prompt, ask.Tighten)
        outcome = walk.answer(_answer(walk.prompt, number))
        assert isinstance(outcome, Accepted), (walk.prompt, outcome)
    return begun


def _answer(prompt: ask.Prompt, number: int) -> a.Answer:
    match prompt:
        case ask.TakeTool():
            return a.TakeUp("w5")
        case ask.ZeroTool():
            return a.Zero("good")
        case ask.Tighten(where=where):
            return a.Value(_PULLED[where.stage - 1][number % 5])
        case ask.ReturnTool():
            return a.PutBack()
        case _:
            return a.Plus()


def measured(joints: Sequence[Joint]) -> Iterator[tuple[str, list[float], int]]:
    """What is measured, the seconds of each joint, and how many of them each position has."""
    yield "close", [joint.closing for joint in joints], STAGES
    yield "record", [min(_recorded(joint) for _ in range(3)) for joint in joints], STAGES
    for what, each in (("report", STAGES), ("form", 1)):
        yield what, [min(_made(what, joint) for _ in range(2 if joint is joints[-1] else 5)) for joint in joints], each


def _recorded(joint: Joint) -> float:
    begun = process_time()
    build(*joint.files)
    return process_time() - begun


def _made(what: str, joint: Joint) -> float:
    return by_itself(what, str(joint.run.path))[0]


def by_itself(what: str, *rest: str) -> tuple[float, float]:
    """Seconds and the most MiB that a process of its own takes to make this."""
    command = [sys.executable, str(_CHILD), what, *rest]
    seconds, most = subprocess.run(command, check=True, capture_output=True, text=True).stdout.split()
    return float(seconds), int(most) / 1024


def tables(what: str, joint: Joint) -> list[tuple[int, int]]:
    """Rows and columns of each table in the report or the form."""
    procedure, plan_, daybook = joint.files
    if what == "form":
        found: Iterable[object] = paper_form.blocks(plan(read_procedure(procedure, "keel.toml"), "keel"))
    else:
        told = tomllib.loads((joint.run.path / "record.toml").read_text(encoding="utf-8"))
        found = blocks(read(procedure, plan_, daybook).plan, told, {})
    return [
        (len(each.rows), len(each.rows[0])) for each in found if isinstance(each, Table | Readings | Rows) and each.rows
    ]


def memory(what: str, joint: Joint) -> bool:
    """Print what the report or the form holds at once, against bare tables; whether its goal is reached."""
    of = tables(what, joint)
    _, ours = by_itself(what, str(joint.run.path))
    _, theirs = by_itself("bare", *(f"{rows}x{columns}" for rows, columns in of))
    cells = sum(rows * columns for rows, columns in of)
    told = f"{what}, most memory, {joint.positions}"
    line = f"{told:<36} {f'bare tables, {cells} cells':<26} {ours:>7.0f} MiB {theirs:>7.0f} MiB {ours / theirs:>7.2f}"
    reached = ours / theirs <= MEMORY
    print(f"{line} {f'≤ {MEMORY}':>7}{'' if reached else '  missed'}", flush=True)
    return reached


def profile(what: str, joint: Joint) -> None:
    """Print where its time goes."""
    procedure, plan_, daybook = joint.files
    profiled = cProfile.Profile()
    if what == "form":
        planned = plan(read_procedure(procedure, "keel.toml"), "keel")
        profiled.runcall(paper_form.pdf, planned, procedure, made=datetime(2026, 3, 2, 9, tzinfo=UTC))
    else:
        record = profiled.runcall(build, procedure, plan_, daybook)
        if what == "report":
            profiled = cProfile.Profile()
            profiled.runcall(report.make, procedure, plan_, daybook, record)
    pstats.Stats(profiled).sort_stats("tottime").print_stats(12)


def main() -> int:
    """Measure, print the table, and give the exit status."""
    count = VERY_MANY if "--long" in sys.argv else MANY
    missed = []
    print(f"{'what':<36} {'against':<26} {'ours':>11} {'theirs':>11} {'ratio':>7} {'goal':>7}")
    with tempfile.TemporaryDirectory(prefix="clampbook-large-joints-") as name:
        at = shop(Path(name), keys=False)
        joints = [walked(at, positions) for positions in sorted({FEW, MANY, count})]
        many, before = joints[-1], joints[-2].positions
        for what, seconds, each in measured(joints):
            told = f"{what}, {'a position' if each == 1 else 'a reading'}, {count}"
            one = Pair(seconds[-1] / count / each, seconds[0] / FEW / each)
            reached = row(told, f"{FEW} positions", one, TIME)
            power = log(seconds[-1] / seconds[-2]) / log(count / before)
            print(
                f"{f'  {seconds[-1]:.2f} s in all':<36} from {before} on it grows with the power {power:.2f}",
                flush=True,
            )
            if not reached:
                missed.append(what)
                profile(what, many)
        missed += [f"memory of the {what}" for what in ("report", "form") if not memory(what, many)]
    print(f"\nMissed: {', '.join(missed)}." if missed else "\nEvery goal is reached.")
    return 1 if missed else 0


if __name__ == "__main__":
    sys.exit(main())
