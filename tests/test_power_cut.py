"""The power goes at every point of a change on the disk: before each sync, rename, removal, in the middle of a write.

Every job is done by a process of its own, which ends itself with SIGKILL at the n-th of these points, for each n until
the job gets through. Sealing is tried at every tenth of them; CLAMPBOOK_CUTS=1 tries them all.
"""

from __future__ import annotations

import os
import shutil
import signal
import subprocess
import sys
from collections.abc import Callable, Iterator
from pathlib import Path
from typing import Any

import pytest

from clampbook.book import toolbox
from clampbook.book.book import Book
from clampbook.book.damaged.closing_run import close_damaged
from clampbook.book.keys import make_key, withdraw_key
from clampbook.book.mending import mend
from clampbook.book.runs import abandon
from clampbook.book.soundness.verifying import Verifying
from clampbook.book.starting.new_run import open_run
from clampbook.book.starting.terms import Terms, work_named
from clampbook.book.toolbox import put_tools, tools_file
from clampbook.ledger.atomic import is_temporary
from clampbook.ledger.chain import chain_faults
from clampbook.ledger.stamp import Stamp
from sealing import START, Shop, Ticking, shop, signed, walked
from signers import PHRASE

POINTS = ("write", "fsync", "replace", "rename", "unlink", "mkdir", "ftruncate", "rmdir")
MOST = 500  # points of one job
EVERY = int(os.environ.get("CLAMPBOOK_CUTS", "10"))  # points of sealing
Job = Callable[[Shop], object]
AT = {"at": "2026-03-02T10:00:00.000Z", "offset": "+00:00", "by": "ines"}
STAMP = Stamp(START, "+00:00", "ines")


def cut_at(point: int, job: Callable[[], object]) -> bool:
    """Do a job in a process of its own whose power goes at this point; True where the job got through before."""
    child = os.fork()
    if child == 0:
        _die_at(point)
        try:
            job()
        finally:
            os._exit(0)
    _, status = os.waitpid(child, 0)
    assert os.WIFEXITED(status) or os.WTERMSIG(status) == signal.SIGKILL
    return os.WIFEXITED(status)


def _die_at(point: int) -> None:
    """From now on each call that changes the disk is counted, and this process ends at one of them."""
    left = point

    def counted(name: str, real: Callable[..., Any]) -> Callable[..., Any]:
        def call(*arguments: Any, **more: Any) -> Any:
            nonlocal left
            left -= 1
            if left == 0:
                if name == "write":
                    real(arguments[0], bytes(arguments[1])[: len(arguments[1]) // 2])
                os.kill(os.getpid(), signal.SIGKILL)
            return real(*arguments, **more)

        return call

    for name in POINTS:
        setattr(os, name, counted(name, getattr(os, name)))


def fresh(root: Path) -> Shop:
    """The book in a folder, with its people and a clock."""
    book = Book.open(root)
    return Shop(book, book.person_named("Ines"), book.person_named("Maud"), Ticking())


def every_cut(before: Path, folder: Path, job: Job) -> Iterator[Shop]:
    """The book as each cut of the power leaves it, and at last as the job leaves it."""
    for point in range(1, MOST):
        root = folder / str(point)
        shutil.copytree(before, root)
        at = fresh(root)
        through = cut_at(point, lambda at=at: job(at))  # type: ignore[misc]
        yield fresh(root)
        if through:
            return
    raise AssertionError("the job never got through")


def sound(at: Shop) -> None:
    """After the next start nothing is half done: all that is there can be read, and the log and the runs agree."""
    mend(at.book)
    assert () == mend(at.book)
    for path in (at.book.path("book.jsonl"), *(run.daybook for run in at.book.runs())):
        data = path.read_bytes()
        assert [] == chain_faults(path, data.split(b"\n")[:-1])
    assert at.book.path("book.jsonl").read_bytes()[-1:] in (b"", b"\n")
    toolbox.stock(at.book)
    at.book.people()
    assert () == Verifying(at.book).book()
    places = (at.book.root, *(at.book.root / name for name in ("keys", "procedures", "runs", "logs", "notices")))
    assert [] == [path for place in places if place.is_dir() for path in place.iterdir() if is_temporary(path.name)]


@pytest.fixture(scope="module")
def before(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A book with keys, and nothing in it."""
    return shop(tmp_path_factory.mktemp("before") / "book").book.root


def person_added(at: Shop) -> None:
    """Somebody new."""
    at.book.add_person("Okke")


def tools_changed(at: Shop) -> None:
    """W5 is W6 from now on."""
    data = tools_file(at.book)
    put_tools(at.book, data, data.replace(b"w5", b"w6"))


def test_people_are_the_old_or_the_new(before: Path, tmp_path: Path) -> None:
    """Never a mix, and never none."""
    found = set()
    for at in every_cut(before, tmp_path, person_added):
        sound(at)
        found.add(tuple(person.id for person in at.book.people()))

    assert {("ines", "maud"), ("ines", "maud", "okke")} == found


def test_tools_are_the_old_or_the_new(before: Path, tmp_path: Path) -> None:
    """Never a mix, and never none."""
    found = set()
    for at in every_cut(before, tmp_path, tools_changed):
        sound(at)
        found.add(tuple(tool.id for tool in at.book.tools()))

    assert {("w5",), ("w6",)} == found


def test_a_key_is_there_or_is_made_again(before: Path, tmp_path: Path) -> None:
    """Somebody whose key was cut short makes it again; whoever has one signs with it."""

    def job(at: Shop) -> None:
        make_key(at.book, at.book.person_named("Okke"), PHRASE, STAMP)

    for at in every_cut(before, tmp_path, job):
        sound(at)
        okke = at.book.person_named("Okke")
        keys = Verifying(at.book)._people
        if not any(held.person == okke.id for held in keys):
            make_key(at.book, okke, PHRASE, STAMP)
        sound(at)
        assert 0o600 == (at.book.root / "keys" / "okke.key").stat().st_mode & 0o777


def test_a_key_is_withdrawn_or_not(before: Path, tmp_path: Path) -> None:
    """Withdrawn in people.toml and in the log, or in neither after it was done again."""

    def job(at: Shop) -> None:
        withdraw_key(at.book, at.maud, "lost", STAMP)

    for at in every_cut(before, tmp_path, job):
        sound(at)


def test_a_run_is_opened_or_not(before: Path, tmp_path: Path) -> None:
    """A run that is there has its frozen files, its first line, and its line in the log."""

    def job(at: Shop) -> None:
        open_run(at.book, work_named(at.book, "cover"), Terms(person=at.ines), at.clock, "handed in")

    found = set()
    for at in every_cut(before, tmp_path, job):
        sound(at)
        found.add(tuple(run.state for run in at.book.runs()))

    assert {(), ("open",)} == found


def test_a_run_is_abandoned_or_not(before: Path, tmp_path: Path) -> None:
    """Its last line and the log's agree after the next start."""
    whole = tmp_path / "whole"
    shutil.copytree(before, whole)
    at = fresh(whole)
    open_run(at.book, work_named(at.book, "cover"), Terms(person=at.ines), at.clock, "handed in")

    def job(at: Shop) -> None:
        abandon(at.book, at.book.runs()[0], {"event": "abandoned", "reason": "the engine was sold", **AT})

    found = set()
    for at in every_cut(whole, tmp_path / "cut", job):
        sound(at)
        found.add(at.book.runs()[0].state)

    assert {"open", "abandoned"} == found


def test_a_damaged_run_is_closed_or_can_be(before: Path, tmp_path: Path) -> None:
    """The damaged bytes are in the one place or in the other, at every moment."""
    whole = tmp_path / "whole"
    shutil.copytree(before, whole)
    run = walked(fresh(whole))
    data = run.daybook.read_bytes().replace(b'"30.1"', b'"31.1"', 1)
    run.daybook.write_bytes(data)
    (run.path / "record.toml").unlink()

    def job(at: Shop) -> None:
        close_damaged(at.book, at.book.runs()[0], at.maud, at.clock)

    for at in every_cut(whole, tmp_path / "cut", job):
        run = at.book.runs()[0]
        assert data in [path.read_bytes() for path in run.path.glob("daybook.*")]
        if run.daybook.read_bytes() == data:
            job(at)
        sound(at)
        assert "closed" == run.state
        assert data == (run.path / "daybook.damaged-0001").read_bytes()


def seal(root: str, point: int) -> None:
    """Sign and seal the run of a book; the power goes at this point."""
    at = fresh(Path(root))
    _die_at(point)
    signed(at, at.book.runs()[0]).seal()


def sealed_in_a_process(root: Path, point: int) -> bool:
    """The same in a program of its own: the typesetter outlives no fork. True where it got through."""
    code = f"import sys; sys.path.insert(0, {str(Path(__file__).parent)!r}); import test_power_cut as t"
    done = subprocess.run(
        [sys.executable, "-c", f"{code}; t.seal({str(root)!r}, {point})"], capture_output=True, timeout=60
    )
    assert done.returncode in (0, -signal.SIGKILL), done.stderr.decode()
    return done.returncode == 0


def test_sealing_goes_on_where_it_was_cut_short(before: Path, tmp_path: Path) -> None:
    """Signed by both and sealed, whenever the power went; nothing that was signed is signed anew, and all is sound."""
    whole = tmp_path / "whole"
    shutil.copytree(before, whole)
    walked(fresh(whole))
    through, point = False, 1
    while not through:
        root = tmp_path / str(point)
        shutil.copytree(whole, root)
        through = sealed_in_a_process(root, point)
        point += EVERY
        at = fresh(root)
        mend(at.book)
        run = at.book.runs()[0]
        kept = {path.name: path.read_bytes() for path in run.path.glob("signoff-*.sig")}
        signed(at, run).seal()
        sound(at)
        assert () == Verifying(at.book).run(run).faults
        assert kept.items() <= {path.name: path.read_bytes() for path in run.path.glob("signoff-*.sig")}.items()
