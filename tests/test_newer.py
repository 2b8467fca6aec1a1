"""What a newer version wrote is named, never guessed at and never written to."""

from __future__ import annotations

import json
import re
import shutil
from collections.abc import Callable
from hashlib import sha256
from pathlib import Path

import pytest

from endurance.forging import Forger, edited
from test_before import Shed

KEPT = Path(__file__).parent / "golden_book"
NEWER = re.compile("newer version|newer Clampbook")


def numbered(file: Path) -> None:
    """A file that people write gets the next number."""
    text = file.read_text(encoding="utf-8")
    assert re.search(r"(?m)^format = \d+$", text) or file.name == "people.toml" or file.name == "tools.toml"
    file.write_text("format = 9\n" + re.sub(r"(?m)^format = \d+\n", "", text), encoding="utf-8")


def of_next_number(run: Path) -> None:
    """A run as a newer version leaves it: another plan, every line chained, and all hashes as they must be."""
    at = Forger(run.parents[1], run, run, run)
    plan = run / "plan.json"
    plan.write_text(json.dumps(json.loads(plan.read_bytes()) | {"plan": 9, "steps": "otherwise"}), encoding="utf-8")
    named = {"daybook": 9, "plan_sha256": sha256(plan.read_bytes()).hexdigest()}
    at.rewrite_daybook(run, lambda lines: lines[0].update(named))
    record = run / "record.toml"
    if record.exists():
        edited(record, "record = 2\n", "record = 9\n")
        at.sum_facts(run)
        at.seal(run)


def of_newer_rules(run: Path) -> None:
    """A run whose walk asked, and whose record tells, what this version knows nothing of."""
    at = Forger(run.parents[1], run, run, run)
    at.rewrite_daybook(run, lambda lines: lines[0].update(rules=9))


SEALED = next((KEPT / "book" / "runs").glob("*-propeller-*")).name
OPEN = next((KEPT / "keyed" / "runs").glob("20260325-*")).name
COMMANDS: dict[str, tuple[str, ...]] = {
    "walk": ("walk", "cover", "--plain", "--as", "Ines"),
    "resume": ("walk", "--resume", OPEN, "--plain", "--as", "Ines"),
    "runs": ("runs",),
    "record": ("record", SEALED),
    "report": ("report", SEALED, "--into", "made.pdf"),
    "verify": ("verify", SEALED),
    "verify all": ("verify",),
    "addendum": ("addendum", SEALED, "--as", "Ines", "--text", "The grey one."),
    "close-damaged": ("close-damaged", OPEN, "--as", "Ines"),
    "tools": ("tools",),
    "keys": ("keys",),
    "check": ("check", "W5", "--as", "Ines", "--plain"),
    "review": ("review", "procedures/cover.toml"),
    "release": ("release", "procedures/cover.toml", "--as", "Ines", "--withdraw", "--reason", "old"),
    "form": ("form", "cover"),
}
FILES: dict[str, tuple[str, Callable[[Path], None], tuple[str, ...]]] = {
    "book.toml": ("keyed/book.toml", numbered, tuple(COMMANDS)),
    "people.toml": ("keyed/people.toml", numbered, ("walk", "keys")),
    "tools.toml": ("keyed/tools.toml", numbered, ("tools", "check")),
    "a procedure": ("keyed/procedures/cover.toml", numbered, ("walk", "review", "release", "form")),
    "an open run": (f"keyed/runs/{OPEN}", of_next_number, ("resume", "close-damaged", "runs")),
    "an open run by newer rules": (f"keyed/runs/{OPEN}", of_newer_rules, ("resume", "close-damaged", "runs")),
    "a sealed run by newer rules": (
        f"book/runs/{SEALED}",
        of_newer_rules,
        ("record", "report", "verify", "verify all", "addendum"),
    ),
    "a sealed run": (f"book/runs/{SEALED}", of_next_number, ("record", "report", "verify", "verify all", "addendum")),
}


def bytes_of(book: Path) -> dict[str, str]:
    """Every file of the book by its hash, but for what is only there for speed or for writing."""
    files = (path for path in book.rglob("*") if path.is_file() and ".locks" not in path.parts)
    return {str(path): sha256(path.read_bytes()).hexdigest() for path in files if "index" not in path.name}


@pytest.mark.parametrize(
    ("file", "command"), [(file, command) for file, (_, _, commands) in FILES.items() for command in commands]
)
def test_it_is_named_and_nothing_is_written(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, file: str, command: str
) -> None:
    """Whatever is asked of it, by sentence and by status."""
    where, change, _ = FILES[file]
    book = Path(shutil.copytree(KEPT / where.split("/")[0], tmp_path / where.split("/")[0]))
    change(tmp_path / where)
    before = bytes_of(book)
    words = [str(book / word) if word.startswith("procedures/") else word for word in COMMANDS[command]]

    status, out, talk = Shed.on(book, monkeypatch, "2026-04-01T09:00:00Z+1s").said(*words, typed="four little words\n")

    assert NEWER.search(out + talk), out + talk
    assert (
        Path(where).stem in out + talk
        or "daybook.jsonl has format 9" in talk
        or "daybook.jsonl goes by rules 9" in talk
    )
    assert (0 == status) == (command == "runs" and "runs/" in where)  # a list of what is open says it beside that run
    assert before == bytes_of(book)
