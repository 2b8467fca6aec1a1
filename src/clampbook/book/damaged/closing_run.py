"""A run whose daybook is damaged is brought to an end: what is sound of it is kept, the damaged file moved aside whole.

No byte of the damaged file is changed or lost: it gets another name, and the record says which, and its SHA-256.
"""

from __future__ import annotations

from hashlib import sha256

from msgspec import Struct

from clampbook.book.book import LOCKS, Book
from clampbook.book.runs import damaged_entry
from clampbook.book.starting.frozen import plan_frozen
from clampbook.ledger import atomic, lines, lock
from clampbook.ledger.inside import inside, read_file
from clampbook.ledger.refusals import LedgerFault, shown
from clampbook.ledger.stamp import Clock, stamp_of
from clampbook.people import Person
from clampbook.record.written import write
from clampbook.run import events as e
from clampbook.run.kinds.stamping import Common
from clampbook.run.sound_part import SoundPart, sound_part
from clampbook.run_folder import DAMAGED, DAYBOOK, SEAL, RunFolder

MOST = 500_000_000  # bytes of a daybook
_REASON = "the daybook is damaged: what was done after its intact part is not known"


class ClosedDamaged(Struct, frozen=True):
    """The outcome of closing it: `kept` of `lines` lines count, `line` is the first that was not sound, and why.

    `over`: the sound part holds the end of the run, which stays as it was.
    """

    kept: int
    lines: int
    line: int
    told: str
    aside: str
    over: bool


def close_damaged(book: Book, run: RunFolder, person: Person, clock: Clock) -> ClosedDamaged:
    """Set the damaged daybook aside, keep its sound beginning, and close the run as damaged.

    After a crash in between it can be done again. Raises LedgerFault where the daybook is whole, where nothing of it is
    sound, or where the run is sealed; LockHeld where somebody writes to it. Then nothing has changed.
    """
    if (run.path / SEAL).exists():
        raise LedgerFault(f"{run.id} is sealed and cannot change. Verify it with: clampbook verify {run.id}")
    with lock.take(book.path(LOCKS), run.id, who=person.name, alone=book.alone):
        data = read_file(inside(run.path, DAYBOOK), MOST)
        whole, tail = lines.split(data)
        part = _damaged_part(run, whole)
        over = isinstance(part.events[-1], e.Closed | e.Abandoned)
        count = len(whole) + bool(tail)
        closed = ClosedDamaged(len(part.events), count, part.line, part.told, free_name(run, data), over)
        kept = whole[: closed.kept]
        if not over:
            kept += _ending(closed, kept, sha256(data).hexdigest(), _common(clock, person))
        atomic.write(inside(run.path, closed.aside), data)
        atomic.write(inside(run.path, DAYBOOK), b"".join(line + b"\n" for line in kept))
        write(run.path)
    with book.log() as log:
        log.append(damaged_entry(run.id, kept[-1]))
    return closed


def in_sentences(run: RunFolder, closed: ClosedDamaged) -> tuple[str, ...]:
    """Tell whoever did it what was done."""
    ended = "The run stays as it ended in them" if closed.over else "The run is closed as damaged"
    return (
        f"{run.id}, line {closed.line} of its daybook: {closed.told}.",
        f"The first {closed.kept} of {closed.lines} lines are intact and count. {ended}.",
        f"The damaged daybook is saved unchanged: {run.path / closed.aside}",
        "What was done on the joint after that is not known. Inspect every position before use.",
    )


def _damaged_part(run: RunFolder, whole: list[bytes]) -> SoundPart:
    try:
        part = sound_part(run.daybook, plan_frozen(run), whole)
    except LedgerFault as fault:
        raise LedgerFault(f"{shown(run.daybook)}: {fault.sentence}") from fault
    if part is None:
        told = f"every whole line of {shown(run.daybook)} is intact"
        over = run.state in ("closed", "abandoned")
        what = (
            f"Read it with: clampbook record {run.id}" if over else f"Resume it with: clampbook walk --resume {run.id}"
        )
        raise LedgerFault(f"{told}. {what}")
    return part


def free_name(run: RunFolder, data: bytes) -> str:
    """The first free name; that of the same bytes where a crash came after they were moved aside."""
    number = 1
    while (path := run.path / f"{DAMAGED}{number:04d}").exists() or path.is_symlink():
        if not path.is_symlink() and path.is_file() and read_file(path, MOST) == data:
            break
        number += 1
    return path.name


def _ending(closed: ClosedDamaged, kept: list[bytes], digest: str, common: Common) -> list[bytes]:
    """The two lines after the sound ones: what happened to the file, and the end."""
    told = (
        f"Line {closed.line} of the daybook: {closed.told}. Of its {closed.lines} lines the first {closed.kept} count; "
        f"the file is unchanged in {closed.aside}, SHA-256 {digest}."
    )
    added: list[bytes] = []
    before = lines.digest(kept[-1])
    for event in (e.Noted(**common, text=told), e.Closed(**common, outcome="damaged", reason=_REASON)):
        added.append(lines.encode(e.fields(event), closed.kept + len(added) + 1, before))
        before = lines.digest(added[-1])
    return added


def _common(clock: Clock, person: Person) -> Common:
    now = clock.now()
    stamp = stamp_of(now, person.id)
    return Common(at=stamp.text, offset=stamp.offset, by=stamp.by, done_by=None, late=None, noted=())
