"""The recipe for a kind of work in DEVELOPERS.md, followed in a copy: few files, and the whole program knows it."""

from __future__ import annotations

import os
import re
import shutil
import subprocess
import sys
from datetime import date
from pathlib import Path

import pypdf
import pytest

from clampbook import demo

HERE = Path(__file__).parent / "recipes"
SOURCE = Path(__file__).parent.parent / "src" / "clampbook"
AT_NOON = {"CLAMPBOOK_CLOCK": "2026-03-02T12:00:00Z+5s"}

# Where what of the new kind goes: the file, the line before which it stands, and the text.
STEPS = (
    (
        "procedure/model.py",
        r"^Attested = ",
        '''\
class PaintMark(StageBase, frozen=True, kw_only=True, tag="paint mark"):
    """Put a paint mark across nut and part, so that a nut that moved is seen later."""

    colour: str


''',
    ),
    (
        "procedure/sheet_stages.py",
        r"^StageKinds = ",
        '''\
class PaintMarkTable(StageTable):
    """Put a paint mark across nut and part."""

    do: Literal["paint mark"]
    colour: Text = Field(description="Of the paint.", examples=["yellow"])


''',
    ),
    (
        "procedure/stages.py",
        r"^        case ApplyTable\(\) as table:",
        """\
        case PaintMarkTable() as table:
            return PaintMark(colour=table.colour, **common(entry))
""",
    ),
    (
        "run/prompts.py",
        r"^Attested = ",
        '''\
class PaintMark(Struct, frozen=True):
    """Put a paint mark on."""

    where: Where
    colour: str


''',
    ),
    (
        "run/events.py",
        r"^Attested = ",
        '''\
class PaintMarked(EventBase, frozen=True, kw_only=True, tag="paint_marked"):
    """A paint mark was put on a position."""

    handles: ClassVar[bool] = True

    step: str
    colour: str
    attempt: int = 1


''',
    ),
    (
        "run/kinds/__init__.py",
        r"^_RECHECK: ",
        "_PAINT_MARK: k.Kind[m.PaintMark, ask.PaintMark, e.PaintMarked] = paint_mark\n",
    ),
    (
        "run/kinds/__init__.py",
        r"^        case m\.Recheck\(\) ",
        """\
        case m.PaintMark() | ask.PaintMark() | e.PaintMarked():
            return _PAINT_MARK
""",
    ),
)
# Words of lines that are there already, and what stands in their place.
CHANGES = (
    ("procedure/model.py", "Attested = ", "Attested = PaintMark | "),
    ("procedure/sheet_stages.py", "StageKinds = (", "StageKinds = (\n    PaintMarkTable |"),
    ("procedure/sheet_stages.py", "_Tagged = (", '_Tagged = (\n    Annotated[PaintMarkTable, Tag("<paint mark>")] |'),
    ("procedure/stages.py", " Once, Stage", " Once, PaintMark, Stage"),
    ("procedure/stages.py", "    RecheckTable,\n", "    PaintMarkTable,\n    RecheckTable,\n"),
    ("run/prompts.py", "Attested = ", "Attested = PaintMark | "),
    ("run/events.py", "Attested = ", "Attested = PaintMarked | "),
    ("run/kinds/__init__.py", "    loosen,\n", "    loosen,\n    paint_mark,\n"),
)
NEW = "run/kinds/paint_mark.py"


@pytest.fixture(scope="module")
def copy(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A copy of the program with one kind more: paint marks, asked for at each position."""
    place = tmp_path_factory.mktemp("copy")
    package = place / "src" / "clampbook"
    shutil.copytree(SOURCE, package, ignore=shutil.ignore_patterns("__pycache__"))
    for name, before, text in STEPS:
        _put(package / name, re.compile(before, re.MULTILINE), text)
    for name, old, new in CHANGES:
        path = package / name
        source = path.read_text(encoding="utf-8")
        assert 1 == source.count(old), f"{name}: {old!r}"
        path.write_text(source.replace(old, new), encoding="utf-8")
    shutil.copy(HERE / "paint_mark.txt", package / NEW)
    return place


def _put(path: Path, before: re.Pattern[str], text: str) -> None:
    source = path.read_text(encoding="utf-8")
    found = before.search(source)
    assert found is not None, f"{path.name}: {before.pattern}"
    path.write_text(source[: found.start()] + text + source[found.start() :], encoding="utf-8")


def _said(copy: Path, *words: str, typed: str = "") -> str:
    """What a command of the copy prints."""
    done = subprocess.run(
        [sys.executable, "-m", "clampbook", "--book", str(copy / "book"), *words],
        input=typed,
        capture_output=True,
        text=True,
        env={**os.environ, **AT_NOON, "PYTHONPATH": str(copy / "src")},
        check=False,
        encoding="utf-8",
    )
    assert 0 == done.returncode, done.stdout + done.stderr
    return done.stdout


def test_at_most_eight_files_are_touched_and_one_of_them_is_new() -> None:
    """All else asks the kind's own module, or the unions that stand beside the values."""
    touched = {name for name, *_ in (*STEPS, *CHANGES)}

    assert (6, NEW) == (len(touched), NEW)
    assert not (SOURCE / NEW).exists()


def test_it_is_walked_recorded_printed_and_verified(copy: Path) -> None:
    """Nobody told record, report, form, archive or verify of it."""
    book, _ = demo.make(copy / "book", date(2026, 3, 2))
    shutil.copy(HERE / "cover.toml", book.path("procedures", "cover.toml"))

    walked = _said(copy, "walk", "cover", "--plain", "--as", "Ines", typed="1\n30 N·m\n+\n+\n+\n+\n1\n1\n")
    run = next(each.id for each in book.runs())

    assert "Position 2 of Cover screws: paint a yellow mark across nut and part." in walked
    assert "Marked yellow: position 2" in walked
    assert '"2.1/2" = "applied"' in _said(copy, "record", run)
    assert f"{run}: sealed and sound" in _said(copy, "verify", run)
    assert "2.1/2       paint mark" in _said(copy, "plan", "cover")
    _said(copy, "sheet", "cover", "--into", str(copy / "form.pdf"))
    form = " ".join(page.extract_text() for page in pypdf.PdfReader(copy / "form.pdf").pages)
    assert "Paint a yellow mark across nut and part" in " ".join(form.split())
