"""Somebody who has the book and the program, and no key: everything that can be computed is computed again."""

from __future__ import annotations

import shutil
from collections.abc import Callable
from dataclasses import dataclass
from hashlib import sha256
from pathlib import Path
from typing import Any

from clampbook.book.book import Book
from clampbook.ledger import lines
from clampbook.ledger.lines import split
from clampbook.record import report
from clampbook.record.record import build
from clampbook.record.sealed import given_up
from clampbook.record.sealed.names import BESIDE_THE_SEAL, number_of
from clampbook.record.sealed.sums import digests, sums
from clampbook.record.written import FROZEN
from clampbook.signing import seal_text
from clampbook.signing.secret import SecretKey
from clampbook.signing.sshsig import SEAL_NAMESPACE

Fields = dict[str, Any]
Change = Callable[[list[Fields]], object]


@dataclass(frozen=True)
class Forger:
    """A copy of the book. `earlier` and `latest` are the folders of its two sealed runs, `check` that of a check."""

    root: Path
    earlier: Path
    latest: Path
    check: Path

    @property
    def log(self) -> Path:
        """The book's log."""
        return self.root / "book.jsonl"

    def rewrite_log(self, change: Change) -> None:
        """The log's lines changed, and their chain made anew."""
        self.log.write_bytes(_chained(self.log.read_bytes(), change))

    def rewrite_daybook(self, run: Path, change: Change) -> None:
        """A daybook changed, its chain made anew, and the log's hashes of its first and last line with it."""
        daybook = run / "daybook.jsonl"
        daybook.write_bytes(_chained(daybook.read_bytes(), change))
        first, *_, last = split(daybook.read_bytes())[0]

        def told(log: list[Fields]) -> None:
            for line in log:
                if run.name in (line.get("run"), line.get("check")):
                    line |= {"first": lines.digest(first)} if "first" in line else {}
                    line |= {"last": lines.digest(last)} if "last" in line else {}

        self.rewrite_log(told)

    def remake(self, run: Path) -> None:
        """Record, facts and report made anew from the frozen files."""
        procedure, plan, daybook = ((run / name).read_bytes() for name in FROZEN)
        (run / "record.toml").write_bytes(build(procedure, plan, daybook))
        self.sum_facts(run)
        (run / "report.pdf").write_bytes(report.of_folder(run))

    def sum_facts(self, run: Path) -> None:
        """facts.sha256 made anew, over the files that it named and that are still there."""
        named = (line.split("  ")[1] for line in (run / "facts.sha256").read_text().splitlines())
        there = {name: (run / name).read_bytes() for name in named if (run / name).exists()}
        (run / "facts.sha256").write_bytes(sums(digests(there)))

    def make_anew(self, run: Path) -> None:
        """All that follows from the daybook, and the seal with its line in the log; nothing is signed."""
        self.remake(run)
        self.seal(run)

    def seal(
        self,
        run: Path,
        *,
        by: tuple[str, str] | None = None,
        key: SecretKey | None = None,
        text: bool = True,
        signature: bool = True,
    ) -> None:
        """Seal anew: sums, text and the log's line. `key` is one of the forger's own; without `signature` none is
        left, and the text says so; without `text` that stays as it was."""
        there = {path.name: path.read_bytes() for path in run.iterdir() if path.name not in BESIDE_THE_SEAL}
        seal = sums(digests(there))
        (run / "seal.sha256").write_bytes(seal)
        if text:
            said = seal_text.read((run / "seal.txt").read_bytes())
            assert said is not None
            head = split(self.log.read_bytes())[0][: said.log.lines]
            mine = key.public.fingerprint if key is not None else None
            (run / "seal.txt").write_bytes(
                seal_text.text(
                    seal_text.SealStatement(
                        what=said.what,
                        of=run.name,
                        person=by[0] if by else said.person,
                        name=by[1] if by else said.name,
                        at=said.at,
                        key=mine or (said.key if signature else None),
                        seal=sha256(seal).hexdigest(),
                        log=seal_text.LogHead(said.log.book, len(head), lines.digest(head[-1])),
                    )
                )
            )
        if key is not None:
            (run / "seal.txt.sig").write_bytes(key.sign((run / "seal.txt").read_bytes(), SEAL_NAMESPACE))
        elif not signature:
            (run / "seal.txt.sig").unlink(missing_ok=True)
        self.log_seal(run)

    def log_seal(self, run: Path) -> None:
        """The log's line on the seal, as it fits what lies in the folder now."""
        text = (run / "seal.txt").read_bytes()
        said = seal_text.read(text)
        gone = given_up.read(_bytes(run / "given-up.toml"))

        def told(log: list[Fields]) -> None:
            for line in log:
                if line.get("event") in ("run_sealed", "check_sealed") and run.name in (
                    line.get("run"),
                    line.get("check"),
                ):
                    line["seal"] = sha256((run / "seal.sha256").read_bytes()).hexdigest()
                    line["text"] = sha256(text).hexdigest()
                    if said is not None:
                        line |= {"by": said.person, "key": said.key}
                    line.pop("given_up", None)
                    if gone:
                        rows = [
                            {"number": e.number, "person": e.person.id, "by": e.by.id, "because": e.because}
                            for e in gone
                        ]
                        line["given_up"] = rows

        self.rewrite_log(told)

    def take_signatures_out(self, run: Path) -> None:
        """No text and no signature of anybody is left, nor the list of those who could sign."""
        for path in run.iterdir():
            if number_of(path.name) is not None or path.name == "allowed_signers":
                path.unlink()

    def copy_as(self, run: Path, name: str) -> Path:
        """A run under another id in every file that names it, and in the log."""
        made = run.with_name(name)
        shutil.copytree(run, made)
        old, new = run.name.encode(), name.encode()
        for path in made.iterdir():
            if path.suffix in (".txt", ".toml", ".jsonl"):
                path.write_bytes(path.read_bytes().replace(old, new))

        def told(log: list[Fields]) -> None:
            log += [{**line, "run": name} for line in list(log) if line.get("run") == run.name]

        self.rewrite_log(told)
        self.rewrite_daybook(made, lambda _: None)
        return made


def folder_of(book: Book, run: str) -> Path:
    """The folder of a run."""
    return book.root / "runs" / run


def _bytes(path: Path) -> bytes | None:
    return path.read_bytes() if path.exists() else None


def _chained(data: bytes, change: Change) -> bytes:
    whole = [lines.decode(line) for line in split(data)[0]]
    change(whole)
    made, before = [], lines.NOTHING_BEFORE
    for number, fields in enumerate(whole, start=1):
        made.append(lines.encode(fields, number, before))
        before = lines.digest(made[-1])
    return b"".join(line + b"\n" for line in made)


def set_all(log: list[Fields], event: str, **to: object) -> None:
    """Each line of this kind says something else."""
    for line in log:
        line |= to if line["event"] == event else {}


def keep(those: list[Fields], wanted: Callable[[Fields], bool]) -> None:
    """Only these lines are left."""
    those[:] = [line for line in those if wanted(line)]


def lines_of(run: Path) -> list[Fields]:
    """The lines of a daybook."""
    return [lines.decode(line) for line in (run / "daybook.jsonl").read_bytes().splitlines()]


def log_of(at: Forger) -> list[Fields]:
    """The lines of the log."""
    return [lines.decode(line) for line in at.log.read_bytes().splitlines()]


def edited(path: Path, old: str, new: str) -> None:
    """A file changed as with an editor."""
    text = path.read_text(encoding="utf-8")
    assert old in text, (path.name, old)
    path.write_text(text.replace(old, new, 1), encoding="utf-8")


def painted_over(path: Path) -> None:
    """The first page of a report is another one, and what it carries stays."""
    data = path.read_bytes()
    path.write_bytes(data.replace(b"/MediaBox[0 0 595", b"/MediaBox[0 0 095", 1))
    assert path.read_bytes() != data
