"""Verifying that is taken up after a stop: no byte goes unread, and no edit slips by."""

from __future__ import annotations

import json
import os
import shutil
from collections.abc import Callable, Iterator
from datetime import UTC, datetime, timedelta
from hashlib import sha256
from pathlib import Path

import pytest

from benchmarks.old_books import made
from clampbook.book.book import Book
from clampbook.book.soundness import stopped
from clampbook.book.soundness.found import Looked
from clampbook.book.soundness.verifying import Verifying, over
from clampbook.signing import allowed

NOW = datetime(2026, 3, 2, 14, 5, tzinfo=UTC)
LATER = NOW + timedelta(hours=1)


@pytest.fixture(scope="module")
def pristine(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A book with three sealed runs."""
    root = tmp_path_factory.mktemp("whinchat") / "book"
    made(root, 3)
    return root


@pytest.fixture
def root(pristine: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """A copy of it, verified and stopped after the second run; a private folder for what is kept."""
    monkeypatch.setenv("XDG_CACHE_HOME", str(tmp_path / "cache"))
    monkeypatch.setattr(stopped, "_place", lambda ground: tmp_path / "cache" / "verifying" / f"{ground[:16]}.json")
    root = tmp_path / "book"
    shutil.copytree(pristine, root)
    verifying = Verifying(Book.open(root))
    looked = [verifying.look(run) for run in over(Book.open(root))[:2]]
    assert stopped.keep(verifying.ground(), stopped.of(looked, NOW))
    return root


def taken_up(root: Path, now: datetime = LATER, outside: bytes | None = None) -> list[Looked]:
    """The same command once more."""
    book = Book.open(root)
    verifying = Verifying(book, None if outside is None else allowed.read(outside))
    before = stopped.kept(verifying.ground(), now)
    return [verifying.look(run, before) for run in over(book)]


def anew(root: Path) -> list[bool]:
    """Which runs were worked out anew, of the three in the book."""
    return [each.before is None for each in taken_up(root)]


def test_what_was_worked_out_is_not_worked_out_again(root: Path) -> None:
    """Two runs of three, and it is known when they were."""
    assert [NOW, NOW, None] == [each.before for each in taken_up(root)]
    assert all(each.found.sound for each in taken_up(root))


def test_it_says_the_same_as_verifying_all_of_it(root: Path) -> None:
    """Of a run with problems too."""
    whole = [Verifying(Book.open(root)).look(run) for run in over(Book.open(root))]

    assert [(each.where, each.sum, each.found) for each in taken_up(root)] == [
        (each.where, each.sum, each.found) for each in whole
    ]


def _files() -> Iterator[str]:
    yield from ("daybook.jsonl", "plan.json", "record.toml", "report.pdf", "seal.sha256", "seal.txt", "facts.sha256")


@pytest.mark.parametrize("name", _files())
def test_an_edit_in_between_is_found(root: Path, name: str) -> None:
    """One bit of any file, with its size and its time as they were."""
    path = over(Book.open(root))[0].path / name
    was, data = path.stat(), bytearray(path.read_bytes())
    path.unlink()  # copies of a run share their plan, as one file under many names
    data[len(data) // 2] ^= 1
    path.write_bytes(data)
    os.utime(path, ns=(was.st_atime_ns, was.st_mtime_ns))

    assert [True, False, True] == anew(root)
    assert not taken_up(root)[0].found.sound


@pytest.mark.parametrize(
    "deed",
    [
        lambda folder: (folder / "more.txt").write_bytes(b""),
        lambda folder: (folder / "report.pdf").unlink(),
        lambda folder: (folder / "seal.txt").rename(folder / "seal.text"),
        lambda folder: (folder / "more").symlink_to("report.pdf"),
    ],
    ids=["one more", "one less", "another name", "a link"],
)
def test_a_file_more_or_less_in_between_is_found(root: Path, deed: Callable[[Path], object]) -> None:
    """Or the same one by another name."""
    deed(over(Book.open(root))[1].path)

    assert [False, True, True] == anew(root)
    assert not taken_up(root)[1].found.sound


def test_two_runs_that_changed_places_are_found(root: Path) -> None:
    """Each folder with all that was in the other one."""
    one, other, _ = (run.path for run in over(Book.open(root)))
    one.rename(one.with_name("between"))
    other.rename(one)
    one.with_name("between").rename(other)

    assert [True, True, True] == anew(root)
    assert not any(each.found.sound for each in taken_up(root)[:2])


def test_one_more_line_in_the_log_has_all_worked_out_again(root: Path) -> None:
    """Such as one that says that a run was sealed a second time."""
    log = root / "book.jsonl"
    log.write_bytes(log.read_bytes() + log.read_bytes().splitlines(keepends=True)[-1])

    assert [True, True, True] == anew(root)


def test_keys_from_outside_have_all_worked_out_again(root: Path) -> None:
    """What was found without them says nothing of them."""
    found = taken_up(root, outside=b"")

    assert [None, None, None] == [each.before for each in found]
    assert all("S525" in {fault.code for fault in each.found.faults} for each in found)


@pytest.mark.parametrize("late", [timedelta(hours=stopped.HOURS, seconds=1), timedelta(seconds=-1)])
def test_it_counts_for_a_day_and_not_for_a_time_to_come(root: Path, late: timedelta) -> None:
    """A clock that was put back makes nothing younger."""
    assert [None, None, None] == [each.before for each in taken_up(root, NOW + late)]


def test_a_pass_that_came_to_its_end_leaves_nothing(root: Path) -> None:
    """The next one works out everything."""
    stopped.forget(Verifying(Book.open(root)).ground())

    assert [True, True, True] == anew(root)


@pytest.mark.skipif(os.name != "posix", reason="who may write to a file is told by its mode")
@pytest.mark.parametrize("of", ["the file", "its folder"])
def test_what_others_can_write_to_counts_for_nothing(root: Path, tmp_path: Path, of: str) -> None:
    """They could have written that an edited run is intact."""
    (kept,) = (tmp_path / "cache" / "verifying").iterdir()
    (kept if of == "the file" else kept.parent).chmod(0o770)

    assert [True, True, True] == anew(root)


def test_what_was_kept_and_is_damaged_counts_for_nothing(root: Path, tmp_path: Path) -> None:
    """Any byte of it."""
    (kept,) = (tmp_path / "cache" / "verifying").iterdir()
    whole = kept.read_bytes()
    for at in range(0, len(whole), 97):
        kept.write_bytes(whole[:at] + bytes([whole[at] ^ 1]) + whole[at + 1 :])
        assert [True, True, True] == anew(root)


def test_nothing_is_kept_in_the_book(root: Path, tmp_path: Path) -> None:
    """Whoever can write there could say that all is intact. What is kept can be read by its owner alone."""
    (kept,) = (tmp_path / "cache" / "verifying").iterdir()
    digest, _, data = kept.read_bytes().partition(b"\n")

    assert sha256(data).hexdigest().encode() == digest
    assert 2 == len(json.loads(data)["before"])
    assert not kept.is_relative_to(root)
    assert os.name != "posix" or 0o600 == kept.stat().st_mode & 0o777
