"""Verifying a sealed run: everything is recomputed, in no more than twice the time that its parts take once."""

from datetime import datetime
from hashlib import sha256
from time import perf_counter

from benchmarks.walking import Pair
from clampbook.ledger.lines import NOTHING_BEFORE
from clampbook.record.frozen import read
from clampbook.record.record import build
from clampbook.record.report import make
from clampbook.record.sealed.folder import Lying
from clampbook.record.sealed.known_keys import Keys
from clampbook.record.sealed.sums import digests, sums
from clampbook.record.sealed.verify import Logged, verify
from clampbook.run.events import Opened
from clampbook.run.fold.apply import fold
from clampbook.signing.seal_text import LogHead, SealStatement, text
from walks import bad_day

TIMES = 10


def verified() -> Pair:
    """A sealed run verified, against hashing its files, folding its daybook and making its record once."""
    procedure, plan, daybook = bad_day()
    record = build(procedure, plan, daybook)
    files = {"procedure.toml": procedure, "plan.json": plan, "daybook.jsonl": daybook, "record.toml": record}
    facts = {"facts.sha256": sums(digests(files))}
    files |= facts | {"report.pdf": make(procedure, plan, daybook, record, facts)}
    files["seal.sha256"] = sums(digests(files))
    files["seal.txt"] = text(_by_nobody(read(procedure, plan, daybook).opened, files["seal.sha256"]))
    logged = Logged(sha256(files["seal.sha256"]).hexdigest())
    ours, theirs = [], []
    for _ in range(TIMES):
        begun = perf_counter()
        assert () == verify(Lying(files, ()), digests(files), logged, Keys()).faults
        ours.append(perf_counter() - begun)
        begun = perf_counter()
        digests(files)
        run = read(procedure, plan, daybook)
        fold(run.plan, list(run.events))
        build(procedure, plan, daybook)
        theirs.append(perf_counter() - begun)
    return Pair(min(ours), min(theirs))


def _by_nobody(opened: Opened, seal: bytes) -> SealStatement:
    """A seal that nobody signed, put where the log was still empty."""
    return SealStatement(
        what="run",
        of=opened.run,
        person=None,
        name=None,
        at=datetime.fromisoformat(opened.at),
        key=None,
        seal=sha256(seal).hexdigest(),
        log=LogHead(opened.book, 0, NOTHING_BEFORE),
    )
