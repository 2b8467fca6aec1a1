"""Two books become one: folders are copied, nothing is rewritten, nothing is lost, and what collides is told."""

from __future__ import annotations

import json
import os
import shutil
from datetime import date
from pathlib import Path
from typing import Any

import pytest

from book.conftest import Opened
from book.test_told_apart import renumbered
from book.test_troubles import check as failing
from book.test_troubles import state_of
from check.book_of_tools import made, said
from clampbook.book.book import Book
from clampbook.book.checks import tool_standing
from clampbook.book.keys import held_keys
from clampbook.book.mending import mend
from clampbook.book.merging.came import Merged
from clampbook.book.merging.joining import joined
from clampbook.book.merging.merging import merge
from clampbook.book.runs import abandon, new_run
from clampbook.book.soundness.logged_keys import keys_of_merged
from clampbook.book.soundness.verifying import Verifying
from clampbook.ledger.refusals import LedgerFault
from clampbook.run_folder import RunFolder
from clampbook.tools.reader import read_tools
from endurance.forging import Forger
from sealing import sealed, shop

STAMP = {"at": "2026-05-01T12:00:00.000Z", "offset": "+02:00"}
TOOL = '[[tool]]\nid = "{id}"\nname = "{name}"\nkind = "indicating"\nunit = "N·m"\n'
TOOL += 'range = ["1 N·m", "{most} N·m"]\nresolution = "0.1 N·m"\n'
GIVEN_UP = {"event": "abandoned", "at": "2026-03-02T10:00:00.000Z", "offset": "+01:00", "by": "tomas", "reason": "no"}


@pytest.fixture
def ours(tmp_path: Path) -> Book:
    """The museum's own book."""
    return Book.create(tmp_path / "ours", "Harbour museum")


@pytest.fixture
def theirs(tmp_path: Path) -> Book:
    """The book of the boat shed."""
    return Book.create(tmp_path / "theirs", "Boat shed")


def a_run(book: Book, opened: Opened, *, ended: bool = True) -> RunFolder:
    """A run that was opened there, and given up."""
    run = new_run(book, "pump", date(2026, 3, 2), b'title = "Pump"\n', b"{}", opened)
    if ended:
        abandon(book, run, GIVEN_UP)
    return run


def tree(book: Book, *leave: str) -> dict[str, bytes]:
    """All files of a book by their place in it."""
    return {
        str(path.relative_to(book.root)): path.read_bytes()
        for path in sorted(book.root.rglob("*"))
        if path.is_file() and ".locks" not in path.parts and path.name not in leave
    }


def merge_lines(book: Book) -> list[dict[str, Any]]:
    """The lines of a book's log that tell of a merge."""
    return [said for said in map(json.loads, book.log_lines()) if said["event"] == "merged"]


def merged(ours: Book, theirs: Book) -> Merged:
    """Their book taken into ours."""
    return merge(ours, theirs, STAMP)


class TestNothingIsLost:
    """And nothing rewritten."""

    def test_runs_and_log_come_byte_for_byte(self, ours: Book, theirs: Book, opened: Opened) -> None:
        """The other book stays as it is; ours has all that it had before."""
        own, run = a_run(ours, opened), a_run(theirs, opened)
        before, there = tree(ours, "book.jsonl"), tree(theirs)
        log = ours.path("book.jsonl").read_bytes()

        result = merged(ours, theirs)

        assert ((run.id,), ()) == (result.runs, result.told)
        after = tree(ours, "book.jsonl")
        came = {name: data for name, data in there.items() if name.startswith("runs/")}
        theirs_log = {f"logs/{theirs.id}.jsonl": there["book.jsonl"]}
        assert before | came | theirs_log == after
        assert there == tree(theirs)
        assert ours.path("book.jsonl").read_bytes().startswith(log)
        assert sorted([own.id, run.id]) == sorted(each.id for each in ours.runs())

    def test_our_log_says_so(self, ours: Book, theirs: Book, opened: Opened) -> None:
        """With the last line of theirs, so that a cut there would show."""
        run = a_run(theirs, opened)

        merged(ours, theirs)

        said = json.loads(ours.log_lines()[-1])
        assert ("merged", theirs.id, [run.id], 2) == (said["event"], said["book_merged"], said["runs"], said["lines"])
        assert json.loads(ours.log_lines()[-1])["at"] == STAMP["at"]

    def test_a_sealed_run_is_as_sound_as_before(self, ours: Book, tmp_path: Path) -> None:
        """Verified against the log of the book that it came from; its signers' keys came too."""
        at = shop(tmp_path / "signed")
        run = sealed(at)
        there = Verifying(at.book).run(run)

        merged(ours, at.book)
        here = Verifying(ours)

        assert (there.state, there.faults) == ("sealed", ())
        assert there == here.run(ours.run(run.id))
        assert () == here.book()

    def test_there_is_nothing_to_mend_afterwards(self, ours: Book, theirs: Book, opened: Opened) -> None:
        """The next start finds everything told."""
        a_run(theirs, opened)
        merged(ours, theirs)

        assert [] == [told for told in mend(ours) if "log" in told]

    def test_a_second_time_nothing_comes(self, ours: Book, theirs: Book, opened: Opened) -> None:
        """And a third book brings along what was merged into it."""
        run = a_run(theirs, opened)
        merged(ours, theirs)
        lines = ours.log_lines()

        assert Merged(already=1) == merged(ours, theirs)
        assert lines == ours.log_lines()
        third = Book.create(ours.root.parent / "third", "Third")
        assert (run.id,) == merged(third, ours).runs
        assert third.path("logs", f"{theirs.id}.jsonl").exists()

    def test_what_was_done_there_since_comes_later(self, ours: Book, theirs: Book, opened: Opened) -> None:
        """The copy of their log only grows."""
        a_run(theirs, opened)
        merged(ours, theirs)
        later = a_run(theirs, opened)

        assert (later.id,) == merged(ours, theirs).runs
        assert theirs.path("book.jsonl").read_bytes() == ours.path("logs", f"{theirs.id}.jsonl").read_bytes()

    def test_stopped_in_the_middle_the_rest_comes_the_next_time(self, ours: Book, theirs: Book, opened: Opened) -> None:
        """What was copied is whole."""
        for _ in range(3):
            a_run(theirs, opened)

        def stop(done: int, _: int) -> None:
            if done == 2:
                raise KeyboardInterrupt

        with pytest.raises(KeyboardInterrupt):
            merge(ours, theirs, STAMP, stop)

        assert 2 == len(ours.runs())
        result = merged(ours, theirs)
        assert (1, 2) == (len(result.runs), result.already)
        assert [sorted(run.id for run in theirs.runs())] == [sorted(line["runs"]) for line in merge_lines(ours)]


class TestEndedBeforeItsLine:
    """A merge that was killed once all was copied, before this book's log told of it."""

    @pytest.fixture
    def cut_short(self, ours: Book, theirs: Book, opened: Opened, monkeypatch: pytest.MonkeyPatch) -> list[str]:
        """Two runs and a tool that both books have; the names of the runs."""
        for book in (ours, theirs):
            entry = TOOL.format(id="w2", name="W2", most=50) + 'serial = "HM-1"\n'
            book.path("tools.toml").write_text(entry, encoding="utf-8")
        a_run(ours, opened)
        runs = [a_run(theirs, opened).id for _ in range(2)]

        def killed(*_: object) -> None:
            raise KeyboardInterrupt

        with monkeypatch.context() as patch:
            patch.setattr("clampbook.book.merging.merging._say_so", killed)
            with pytest.raises(KeyboardInterrupt):
                merged(ours, theirs)
        assert [] == merge_lines(ours)
        return sorted(runs)

    def test_until_then_verify_calls_nothing_missing(self, ours: Book, cut_short: list[str]) -> None:
        """Their log came first, and tells of each run that came; nothing is to be mended."""
        assert set(cut_short) < {run.id for run in ours.runs()}
        assert () == Verifying(ours).book()
        assert [] == [told for told in mend(ours) if "log" in told]

    def test_the_next_merge_tells_what_that_one_brought(self, ours: Book, theirs: Book, cut_short: list[str]) -> None:
        """The log names both runs and the tool that is the same in both books; what is ours is not among them."""
        result = merged(ours, theirs)

        assert ((), 2) == (result.runs, result.already)
        assert [(cut_short, ["w2"])] == [(sorted(line["runs"]), line["tools"]) for line in merge_lines(ours)]
        assert Merged(already=2) == merged(ours, theirs)
        assert 1 == len(merge_lines(ours))

    def test_what_it_brought_cannot_vanish_unseen_afterwards(
        self, ours: Book, theirs: Book, cut_short: list[str]
    ) -> None:
        """Once the log tells of it, it has to be here."""
        merged(ours, theirs)
        shutil.rmtree(ours.path("runs", cut_short[0]))

        assert ["S514"] == [fault.code for fault in Verifying(ours).book()]

    def test_our_own_runs_in_their_book_did_not_come_from_there(
        self, ours: Book, theirs: Book, cut_short: list[str]
    ) -> None:
        """They were merged into it before."""
        merge(theirs, ours, STAMP)
        merged(ours, theirs)

        assert cut_short == sorted(name for line in merge_lines(ours) for name in line["runs"])


class TestCollisions:
    """Each is told in a sentence, and nobody's is overwritten."""

    def test_a_folder_with_other_bytes(self, ours: Book, theirs: Book, opened: Opened) -> None:
        """Both stay as they are."""
        run = a_run(theirs, opened)
        merged(ours, theirs)
        theirs.path("runs", run.id, "plan.json").write_bytes(b"{ }")

        (told,) = merged(ours, theirs).told
        assert f"{run.id} is here already with other content (plan.json)" in told
        assert b"{}" == ours.path("runs", run.id, "plan.json").read_bytes()

    def test_a_log_that_tells_another_story(self, ours: Book, theirs: Book, opened: Opened) -> None:
        """Nothing at all is merged then."""
        a_run(theirs, opened)
        merged(ours, theirs)
        path = theirs.path("book.jsonl")
        path.write_bytes(path.read_bytes().replace(b"tomas", b"thomas"))
        a_run(theirs, opened)

        with pytest.raises(LedgerFault, match="differs from the log of the same book"):
            merged(ours, theirs)
        assert 1 == len(ours.runs())

    def test_a_run_that_is_still_open(self, ours: Book, theirs: Book, opened: Opened) -> None:
        """It would go on in two places."""
        run = a_run(theirs, opened, ended=False)

        result = merged(ours, theirs)
        assert () == result.runs
        assert f"{run.id} is still open in the other book" in result.told[0]

    def test_a_copy_of_the_same_book(self, ours: Book, tmp_path: Path) -> None:
        """Its runs would have two pasts."""
        shutil.copytree(ours.root, tmp_path / "copy")

        for place in (ours.root, tmp_path / "copy"):
            with pytest.raises(LedgerFault, match="a copy of it"):
                merged(ours, Book.open(place))

    def test_people_and_tools_of_the_same_id(self, ours: Book, theirs: Book) -> None:
        """Those that are alike are one, those that are not are told, those that are new come."""
        ours.add_person("Ines")
        theirs.path("people.toml").write_text(
            '[[person]]\nid = "ines"\nname = "Ines B."\n\n[[person]]\nid = "okke"\nname = "Okke"\n'
        )
        ours.path("tools.toml").write_text("# ours\n" + TOOL.format(id="w1", name="W1", most=80))
        theirs.path("tools.toml").write_text(
            TOOL.format(id="w1", name="W1", most=80) + TOOL.format(id="w2", name="W2", most=40)
        )

        result = merged(ours, theirs)

        assert ("person okke", "tool w2") == result.others
        assert ["the person ines is here with other content" in told for told in result.told] == [True]
        assert ["Ines", "Okke"] == [person.name for person in ours.people()]
        assert ["w1", "w2"] == [tool.id for tool in ours.tools()]
        assert ours.path("tools.toml").read_text().startswith("# ours\n")

    def test_a_people_file_that_would_stop_the_book(self, ours: Book, theirs: Book) -> None:
        """An id that leads elsewhere is not taken over."""
        theirs.path("people.toml").write_text('[[person]]\nid = "../../x"\nname = "X"\n')

        (told,) = merged(ours, theirs).told
        assert told.startswith("people.toml was not merged: in the other book")
        assert () == ours.people()

    def test_a_procedure_of_the_same_name(self, ours: Book, theirs: Book) -> None:
        """Each book keeps its own; a new one comes."""
        ours.path("procedures", "head.toml").write_text("a = 1\n")
        theirs.path("procedures", "head.toml").write_text("a = 2\n")
        theirs.path("procedures", "pump.toml").write_text("a = 3\n")

        result = merged(ours, theirs)

        assert (("pump.toml",), True) == (result.others, "procedures/head.toml is here" in result.told[0])
        assert "a = 1\n" == ours.path("procedures", "head.toml").read_text()


class TestHostileBooks:
    """A book from a stranger's stick."""

    def test_links_are_not_followed(self, ours: Book, theirs: Book, opened: Opened, tmp_path: Path) -> None:
        """Neither in a run nor in place of one."""
        secret = tmp_path / "secret"
        secret.write_text("secret")
        run = a_run(theirs, opened)
        theirs.path("runs", run.id).joinpath("note.txt").symlink_to(secret)
        theirs.path("runs").joinpath("20260303-pump-aaaaaaaa").symlink_to(theirs.path("runs", run.id))
        theirs.path("procedures").joinpath("odd.toml").symlink_to(secret)

        result = merged(ours, theirs)

        assert () == result.runs
        assert f"{run.id} was not copied: it has note.txt, which is not a plain file" in result.told
        assert any("odd.toml was not copied" in told and "leads out of the book" in told for told in result.told)
        assert b"secret" not in b"".join(tree(ours).values())

    def test_a_pipe_holds_nobody_up(self, ours: Book, theirs: Book, opened: Opened) -> None:
        """It is no plain file."""
        run = a_run(theirs, opened)
        os.mkfifo(theirs.path("runs", run.id) / "pipe")

        assert "pipe, which is not a plain file" in merged(ours, theirs).told[0]


class TestJoiningLists:
    """Bytes to bytes."""

    def test_comments_on_both_sides(self) -> None:
        """Ours stay; entries come with all that belongs to them."""
        ours = b'# who\n[[person]]\nid = "a"\nname = "A"\n'
        theirs = b'[[person]]\nid = "b"\nname = "B"\n[[person.key]]\npublic = "p"\nadded = "t"\n'

        result = joined(ours, theirs, "person")

        assert (("b",), (), "") == (result.came, result.collide, result.why_not)
        assert result.data.startswith(ours)
        assert b"[[person.key]]" in result.data

    def test_a_list_in_brackets_is_left_to_a_person(self) -> None:
        """Nothing can be put at its end by a program without writing it anew."""
        result = joined(b"tool = []\n", TOOL.format(id="w", name="W", most=9).encode(), "tool")

        assert (b"tool = []\n", True) == (result.data, bool(result.why_not))

    def test_what_is_no_toml_is_left_alone(self) -> None:
        """And said."""
        assert "not valid TOML" in joined(b"", b"\xff", "tool").why_not

    def test_a_tools_file_stays_readable(self) -> None:
        """As the reader of tools sees it."""
        one, two = (TOOL.format(id=id, name=id, most=50).encode() for id in ("a", "b"))

        assert ["a", "b"] == [tool.id for tool in read_tools(joined(one, two, "tool").data, "tools.toml")]


def test_another_tool_of_that_id_is_in_no_trouble_here(ours: Book, theirs: Book) -> None:
    """Two tools called w2, of two serial numbers: theirs fell, ours did not."""
    for book, number in ((ours, "HM-1"), (theirs, "BS-7")):
        entry = TOOL.format(id="w2", name="W2", most=50) + f'serial = "{number}"\n'
        book.path("tools.toml").write_text(entry, encoding="utf-8")
    with theirs.log() as log:
        log.append({"event": "tool_dropped", "tool": "w2", "run": "20260302-pump-aaaaaaaa", "line": 9, **STAMP})

    merged(ours, theirs)

    assert () == tool_standing(ours).troubles("w2")


@pytest.mark.parametrize(("theirs_is", "withdrawn"), [("BS-7", False), ("HM-1", True), ("HM-01", False)])
def test_a_check_of_theirs_condemns_ours_only_where_it_is_the_same(
    tmp_path: Path, theirs_is: str, withdrawn: bool
) -> None:
    """Their W5 failed its check; ours is another one, or the same that went to and fro."""
    ours, theirs = made(tmp_path / "here"), made(tmp_path / "there")
    for book, number in ((ours, "HM-1"), (theirs, theirs_is)):
        renumbered(book, number)
    failing(theirs, "2026-03-01", "56,60", "56,60")

    said("merge", str(theirs.root), book=ours.root)

    assert withdrawn == (state_of(ours)[0] == "out of service")


def test_a_number_that_was_mistyped_there_is_known_here(tmp_path: Path) -> None:
    """Ours is HM-1; theirs was written HM-7 first, and fell under that number."""
    ours, theirs = made(tmp_path / "here"), made(tmp_path / "there")
    renumbered(ours, "HM-1")
    renumbered(theirs, "HM-7")
    with theirs.log() as log:
        fell = {"event": "tool_dropped", "tool": "w5", "serial": "HM-7", "run": "20260302-pump-aaaaaaaa", "line": 9}
        log.append({**fell, **STAMP})
    renumbered(theirs, "HM-1")
    assert 0 == said("tools", "--same", "W5", "--as", "Ines", book=theirs.root)[0]

    for _ in range(2):
        said("merge", str(theirs.root), book=ours.root)

    assert ["check due: dropped on 2026-05-01, use needs a reason"] == [
        each for each in state_of(ours)[1] if "dropped" in each
    ]
    assert 1 == len([line for line in ours.log_lines() if b"tool_told_apart" in line])


def test_a_run_that_merging_left_out_is_not_missing(ours: Book, theirs: Book, opened: Opened) -> None:
    """It is still open there, and their log tells of it."""
    a_run(theirs, opened)
    a_run(theirs, opened, ended=False)

    told = merged(ours, theirs).told

    assert "is still open in the other book" in " ".join(told)
    assert [] == [fault for fault in Verifying(ours).book() if fault.code == "S514"]


def test_a_run_that_came_and_vanished_is_missing(ours: Book, theirs: Book, opened: Opened) -> None:
    """What the log says was copied has to be here."""
    run = a_run(theirs, opened)
    merged(ours, theirs)
    shutil.rmtree(ours.path("runs", run.id))

    assert ["S514"] == [fault.code for fault in Verifying(ours).book() if fault.code == "S514"]


def test_the_allowed_signers_of_both_books(tmp_path: Path) -> None:
    """Ines signs here and there with two keys; both are listed."""
    here, there = shop(tmp_path / "here"), shop(tmp_path / "there")
    sealed(there)
    merge(here.book, there.book, STAMP)

    both = (*held_keys(here.book), *keys_of_merged(here.book))

    assert {held.key.fingerprint for held in (*held_keys(here.book), *held_keys(there.book))} == {
        held.key.fingerprint for held in both
    }


def test_a_tool_that_fell_there_is_in_trouble_here(ours: Book, theirs: Book) -> None:
    """It goes to and fro between both; told once, however often the books are merged."""
    with theirs.log() as log:
        log.append({"event": "tool_dropped", "tool": "w2", "run": "20260302-pump-aaaaaaaa", "line": 9, **STAMP})

    merged(ours, theirs)
    merged(ours, theirs)

    (trouble,) = tool_standing(ours).troubles("w2")
    assert ("dropped", "2026-05-01", 9) == (trouble.kind, trouble.on, trouble.line)


@pytest.mark.parametrize("sealed_anew", [False, True])
def test_a_forged_copy_under_another_id_stays_out(ours: Book, tmp_path: Path, sealed_anew: bool) -> None:
    """A run of the other book under a second name, in every file and in its log: its signatures are of the first."""
    at = shop(tmp_path / "shed")
    run = sealed(at)
    forger = Forger(at.book.root, run.path, run.path, run.path)
    made = forger.copy_as(run.path, "20260302-cover-aaaaaaaa")
    if sealed_anew:
        forger.remake(made)
        forger.seal(made)

    merged = merge(ours, at.book, STAMP)

    assert (run.id,) == merged.runs
    assert any(each.startswith("20260302-cover-aaaaaaaa was not copied") for each in merged.told)
