"""Books as they are after years: one sealed run, and copies of it under other names and days, each truly sealed.

A run is walked and sealed once. Its copies name themselves in every file, their chains, sums, seal and lines in the log
fit, and verifying finds them sound; only the pages of their reports still show the first one's name, which nothing
reads. A book that was made once lies in the folder for temporary files, and is taken again the next time.
"""

from __future__ import annotations

import os
import shutil
import tempfile
from collections.abc import Iterator
from dataclasses import dataclass
from datetime import date, timedelta
from hashlib import sha256
from io import BytesIO
from pathlib import Path
from random import Random
from typing import Any

import pikepdf

from clampbook.book.book import LOG, RUNS, Book
from clampbook.book.soundness.verifying import Verifying
from clampbook.ledger import lines
from clampbook.record.sealed.attachments import attached
from clampbook.record.sealed.sums import digests, sums
from clampbook.run_folder import DAYBOOK, PLAN, PROCEDURE, RunFolder
from covers import LOOKED_AT, SIGNED_OFF, TIGHTENED, cover
from museum import own
from sealing import sealed, shop

YEARS = 20
ASKED = '\n[[ask]]\nname = "Engine serial number"\nis = "equipment"\nrequired = true\n'
SHEET = cover(
    TIGHTENED, LOOKED_AT, SIGNED_OFF, 'inspector = "required, another person"\n', screws="1-2", top=ASKED
).replace('revision = "A"', 'revision = "B"')
_FROZEN = (PROCEDURE, PLAN)  # the same for all of them: one file, under many names
_LATEST = date(2026, 3, 1)
_LETTERS = "abcdefghijklmnopqrstuvwxyz234567"
Fields = dict[str, Any]


@dataclass(frozen=True)
class Pattern:
    """The sealed run of which copies are made: its files, a report that carries them unpacked, its lines of the log."""

    name: str
    files: dict[str, bytes]
    carried: dict[str, bytes]
    log: list[Fields]


def old_book(count: int) -> Path:
    """The folder of a book with so many sealed runs; whoever changes it puts it back as it was."""
    root = _place() / str(count)
    if not _is_sound(root, count):
        shutil.rmtree(root, ignore_errors=True)
        half = root.with_name(f"{count}.half")
        shutil.rmtree(half, ignore_errors=True)
        made(half, count)
        half.rename(root)
        assert _is_sound(root, count)
    return root


def _place() -> Path:
    """The folder of such books as this module makes them."""
    version = sha256(Path(__file__).read_bytes()).hexdigest()[:12]
    within = Path(os.environ.get("CLAMPBOOK_DISK", tempfile.gettempdir()))
    folder = within / f"clampbook-old-books-{version}"
    folder.mkdir(parents=True, exist_ok=True)
    return folder


def _is_sound(root: Path, count: int) -> bool:
    """Tell whether all runs are there, and the latest is sealed and sound as this program verifies it."""
    if not root.exists():
        return False
    runs = Book.open(root).runs()
    verifying = Verifying(Book.open(root))
    return len(runs) == count and not verifying.book() and all(verifying.run(run).sound for run in runs[-3:])


def made(root: Path, count: int) -> None:
    """Write a book with so many runs into a new folder."""
    at = shop(root, keys=False)
    pattern = _pattern(at.book, sealed(at))
    own(root, "cover", SHEET)
    whole = at.book.log_lines()
    for name in _names(pattern.name, count - 1):
        for fields in _copied(root, pattern, name):
            whole.append(lines.encode(fields, len(whole) + 1, lines.digest(whole[-1])))
    (root / LOG).write_bytes(b"".join(line + b"\n" for line in whole))


def _pattern(book: Book, run: RunFolder) -> Pattern:
    files = {path.name: path.read_bytes() for path in run.path.iterdir()}
    carried = attached(files["report.pdf"])
    files["report.pdf"] = _unpacked(files["report.pdf"], carried)
    return Pattern(run.id, files, carried, list(map(lines.decode, book.log_lines())))


def _unpacked(report: bytes, carried: dict[str, bytes]) -> bytes:
    """The same report, whose files stand in it byte for byte, so that others of their length can take their place."""
    made = BytesIO()
    with pikepdf.open(BytesIO(report)) as pdf:
        row = list(pdf.Root.Names.EmbeddedFiles.Names)
        for name, spec in zip(row[::2], row[1::2], strict=True):
            spec.EF.F.write(carried[str(name)])
        pdf.save(made, compress_streams=False, stream_decode_level=pikepdf.StreamDecodeLevel.none)
    return made.getvalue()


def _names(pattern: str, count: int) -> Iterator[str]:
    """Names of runs of the same procedure, spread evenly over the years before."""
    chance = Random(count)
    slug = pattern[9:-9]
    for number in range(count):
        day = _LATEST - timedelta(days=365 * YEARS * (count - number) // count)
        yield f"{day:%Y%m%d}-{slug}-{''.join(chance.choices(_LETTERS, k=8))}"


def _copied(root: Path, pattern: Pattern, name: str) -> Iterator[Fields]:
    """Write the copy; gives its lines of the log."""
    folder = root / RUNS / name
    folder.mkdir()
    daybook = _chained(_renamed(pattern.files[DAYBOOK], pattern.name, name))
    first, *_, last = lines.split(daybook)[0]
    was = lines.split(pattern.files[DAYBOOK])[0][-1]
    files = {**pattern.files, DAYBOOK: daybook}
    files["record.toml"] = _renamed(files["record.toml"], pattern.name, name, (lines.digest(was), lines.digest(last)))
    files["facts.sha256"] = sums(digests({each: files[each] for each in (*_FROZEN, DAYBOOK, "record.toml")}))
    for each, held in pattern.carried.items():
        assert len(held) == len(files[each]), each
        files["report.pdf"] = files["report.pdf"].replace(held, files[each])
    files["seal.sha256"] = sums(digests({n: files[n] for n in files if n not in ("seal.sha256", "seal.txt")}))
    seals = tuple(sha256(each["seal.sha256"]).hexdigest() for each in (pattern.files, files))
    files["seal.txt"] = _renamed(files["seal.txt"], pattern.name, name, seals)
    for each, data in files.items():
        if each in _FROZEN:
            os.link(root / RUNS / pattern.name / each, folder / each)
        else:
            (folder / each).write_bytes(data)
    told = {"first": lines.digest(first), "last": lines.digest(last), "seal": seals[1]}
    told["text"] = sha256(files["seal.txt"]).hexdigest()
    for line in pattern.log:
        yield {key: told.get(key, value) for key, value in line.items()} | {"run": name}


def _renamed(data: bytes, old: str, new: str, *hashes: tuple[str, ...]) -> bytes:
    """The same with other names and hashes, each as long as the one before."""
    for was, now in ((old, new), *hashes):
        data = data.replace(was.encode(), now.encode())
    return data


def _chained(data: bytes) -> bytes:
    made, before = b"", lines.NOTHING_BEFORE
    for number, line in enumerate(lines.split(data)[0], start=1):
        whole = lines.encode(lines.decode(line), number, before)
        made, before = made + whole + b"\n", lines.digest(whole)
    return made
