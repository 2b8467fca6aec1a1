"""A check that is over recomputed from its bytes: its lines, figures and verdicts, its record, and what its report
carries, its seal and whoever signed that; beside it the book's log, which holds the hash of its last line."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from pathlib import Path

from clampbook.check.events import Closed
from clampbook.check.folder import READINGS
from clampbook.check.plan import PHASES, Phase
from clampbook.check.recounting import recounted
from clampbook.faults import Fault
from clampbook.ledger.chain import chain_faults, form_faults
from clampbook.ledger.lines import split
from clampbook.people import Person
from clampbook.record.checks.frozen import FrozenCheck, read
from clampbook.record.checks.record import build
from clampbook.record.sealed.attachments import carried_faults
from clampbook.record.sealed.folder import Lying
from clampbook.record.sealed.known_keys import Keys
from clampbook.record.sealed.names import ALLOWED, BESIDE_THE_SEAL, REPORT, SEAL_SIGNATURE, is_torn
from clampbook.record.sealed.seal_signed import MaySeal, seal_signed
from clampbook.record.sealed.signatures import allowed_in
from clampbook.record.sealed.signed import Signed
from clampbook.record.sealed.told import fault, other_record
from clampbook.record.sealed.typed import Typed
from clampbook.record.sealed.verify import Logged, Verified, against_the_seal
from clampbook.run_folder import DAYBOOK, PLAN, RECORD, SEAL
from clampbook.work.frozen import RecordFault

_FROZEN = (PLAN, DAYBOOK)
_CARRIED = (*_FROZEN, READINGS, RECORD)


def is_ours(name: str) -> bool:
    """True where a file of this name has a place in the folder of a check."""
    return name in (*_CARRIED, REPORT, ALLOWED, *BESIDE_THE_SEAL) or is_torn(name)


def verify(lying: Lying, hashes: Mapping[str, str], logged: Logged, keys: Keys) -> Verified:
    """A check's folder against itself, against the log of its book, and against the keys that are known. `hashes` are
    the `digests` of its files."""
    files = lying.files
    odd = "this is a link, no plain file, or far too large, and is not read"
    found = [fault("S504", name, odd) for name in lying.odd]
    strange = (name for name in sorted(files) if not is_ours(name))
    found += [fault("S502", name, "no file of a check is called so") for name in strange]
    missing = [name for name in (*_FROZEN, RECORD) if name not in files]
    found += [fault("S501", name, "without this file a check is not whole") for name in missing]
    if not set(missing) & set(_FROZEN):
        found += _of_the_check(files, logged.last)
    found += against_the_seal(files, hashes, logged)
    signed: list[Signed] = []
    by_name: list[Typed] = []
    for each in _seal(files, hashes, keys):
        match each:
            case Signed():
                signed.append(each)
            case Typed():
                by_name.append(each)
            case Fault():
                found.append(each)
    return Verified(tuple(dict.fromkeys(found)), tuple(signed), tuple(by_name))


def _seal(files: Mapping[str, bytes], hashes: Mapping[str, str], keys: Keys) -> Iterator[Fault | Signed | Typed]:
    """Whoever wrote the last line seals, with a key where they have one: what the log says of that is told apart."""
    if SEAL not in files or not set(_FROZEN) <= files.keys():
        return
    try:
        check = read(files[PLAN], files[DAYBOOK], files.get(READINGS))
    except RecordFault:
        return  # told already
    last = check.events[-1]
    vouched = allowed_in(files)
    may = MaySeal(what="check", name=check.opened.check, closers=[(last.by, None)])
    yield from seal_signed(files, hashes, may, () if isinstance(vouched, Fault) else vouched, keys)
    if SEAL_SIGNATURE not in files:
        who = check.opened.person if check.opened.person.id == last.by else Person(last.by, last.by)
        yield Typed(last.seq, who, "closing the check", last.at)


def _of_the_check(files: Mapping[str, bytes], last: str | None) -> Iterator[Fault]:
    lines = split(files[DAYBOOK])[0]
    in_chain = [*chain_faults(Path(DAYBOOK), lines, last), *form_faults(Path(DAYBOOK), lines)]
    yield from in_chain
    frozen = files[PLAN], files[DAYBOOK], files.get(READINGS)
    try:
        check = read(*frozen)
    except RecordFault as refused:
        if not in_chain:
            named = next((name for name in (*_FROZEN, READINGS) if refused.sentence.startswith(name)), DAYBOOK)
            yield fault("S519", named, refused.sentence)
        return
    for number, told in recounted(check.plan, check.events):
        yield fault("S508", DAYBOOK, told, line=number)
    yield from _verdicts(check)
    if RECORD in files:
        yield from _record(files[RECORD], *frozen)
    if REPORT in files:
        yield from carried_faults(files, {name for name in _CARRIED if name in files})


def _record(held: bytes, plan: bytes, daybook: bytes, readings: bytes | None) -> Iterator[Fault]:
    try:
        made = build(plan, daybook, readings)
    except RecordFault as refused:
        yield fault("S507", RECORD, refused.sentence)
        return
    yield from other_record(held, made)


def _verdicts(check: FrozenCheck) -> Iterator[Fault]:
    """Hold what the closing line says of each phase against what the readings amount to."""
    if not isinstance(check.ended, Closed):
        return
    held: dict[Phase, str | None] = dict(zip(PHASES, (check.ended.as_found, check.ended.as_left), strict=True))
    for phase in PHASES:
        found = check.judged(phase)
        made = None if found is None else found.verdict
        if held[phase] != made:
            told = f"{phase} is said to be {held[phase] or 'not pulled'}, but the readings give {made or 'none'}"
            yield fault("S508", DAYBOOK, told, line=check.ended.seq)
