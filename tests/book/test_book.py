"""The book: its folder, its people, its tools and its runs."""

import json
import os
import re
import stat
from collections.abc import Callable
from pathlib import Path

import pytest

from clampbook.book.book import Book, default_folder
from clampbook.faults import Faulty
from clampbook.ledger.lock import take
from clampbook.ledger.refusals import LedgerFault, LockHeld
from clampbook.people import Person
from clampbook.run_folder import RunFolder
from clampbook.text import TextFault


class TestCreate:
    """A new book in a folder of its own."""

    def test_a_new_book_is_opened_again_as_the_same(self, book: Book) -> None:
        """Its id and name stand in book.toml and stay."""
        again = Book.open(book.root)

        assert book == again
        assert "Harbour museum" == again.name
        assert re.fullmatch("[a-z2-7]{8}", again.id)

    def test_two_books_have_two_ids(self, tmp_path: Path) -> None:
        """Runs name their book, so two books of one name are told apart."""
        assert Book.create(tmp_path / "a", "Shed").id != Book.create(tmp_path / "b", "Shed").id

    def test_a_new_book_holds_nothing_yet(self, book: Book) -> None:
        """No tools, people, procedures or runs; the commented example in tools.toml is no tool."""
        assert ((), (), (), ()) == (book.tools(), book.people(), book.procedures(), book.runs())

    def test_everything_is_its_owner_s(self, book: Book) -> None:
        """What people did is nobody else's business on a shared machine."""
        modes = {path.name: stat.S_IMODE(path.stat().st_mode) & 0o077 for path in [book.root, *book.root.iterdir()]}

        assert dict.fromkeys(modes, 0) == modes

    def test_a_folder_with_other_things_in_it_is_refused(self, tmp_path: Path) -> None:
        """A book never mixes with what was there."""
        (tmp_path / "holiday.jpg").write_bytes(b"")

        with pytest.raises(LedgerFault, match="is not empty"):
            Book.create(tmp_path, "Shed")
        assert ["holiday.jpg"] == [path.name for path in tmp_path.iterdir()]

    def test_a_book_is_not_made_over_another(self, book: Book) -> None:
        """What stands there stays."""
        with pytest.raises(LedgerFault, match="is not empty"):
            Book.create(book.root, "Another")
        assert book == Book.open(book.root)

    def test_a_book_half_made_is_finished(self, book: Book) -> None:
        """Where making it was cut off before book.toml stood, making it again goes on."""
        (book.root / "book.toml").unlink()

        assert "Shed" == Book.create(book.root, "Shed").name


class TestOpen:
    """What is no book is a sentence."""

    @pytest.mark.parametrize("folder", ["nowhere", "."])
    def test_a_folder_that_is_no_book(self, tmp_path: Path, folder: str) -> None:
        """Missing or empty, it says how to give one."""
        with pytest.raises(LedgerFault, match="no book in"):
            Book.open(tmp_path / folder)

    def test_a_damaged_cover_gives_all_its_faults(self, book: Book) -> None:
        """book.toml is read like every file that people may have touched."""
        (book.root / "book.toml").write_text("format = 1\nnmae = 'Shed'\n")

        with pytest.raises(Faulty) as faulty:
            Book.open(book.root)

        expected = [("id", "E116"), ("name", "E116"), ("nmae", "E115")]
        assert expected == sorted((fault.key, fault.code) for fault in faulty.value.faults)

    def test_a_book_of_a_later_format_is_not_touched(self, book: Book) -> None:
        """A newer program's book is refused with a sentence."""
        (book.root / "book.toml").write_text("format = 2\nid = 'abcdefgh'\nname = 'Shed'\n")

        with pytest.raises(Faulty, match="in a format that this version does not know"):
            Book.open(book.root)

    def test_a_file_that_is_a_link_out_of_the_book_is_refused(self, tmp_path: Path, book: Book) -> None:
        """A book from elsewhere cannot make the program read other files."""
        (tmp_path / "secret").write_text("x")
        (book.root / "tools.toml").unlink()
        (book.root / "tools.toml").symlink_to(tmp_path / "secret")

        with pytest.raises(LedgerFault, match="leads out of the book"):
            book.tools()

    def test_a_link_within_the_book_is_followed(self, book: Book) -> None:
        """Two names for one file of the book are no harm."""
        (book.root / "tools.toml").rename(book.root / "procedures" / "t.toml")
        (book.root / "tools.toml").symlink_to(book.root / "procedures" / "t.toml")

        assert () == book.tools()

    def test_the_default_folder_is_the_user_s(self, monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> None:
        """It lies where the system keeps a user's data."""
        monkeypatch.setenv("XDG_DATA_HOME", str(tmp_path))

        assert tmp_path / "clampbook" == default_folder()


class TestPeople:
    """A typed name picks or makes an entry."""

    def test_a_new_name_makes_an_entry(self, book: Book) -> None:
        """Typed once, Ines is in the book."""
        ines = book.person_named(" Ines ")

        assert Person("ines", "Ines") == ines
        assert (ines,) == Book.open(book.root).people()

    def test_a_known_name_picks_its_entry(self, book: Book) -> None:
        """Typed again, in whatever capitals, it is the same person, by name or by id."""
        ines = book.person_named("Ines")

        assert [ines, ines] == [book.person_named("INES"), book.person_named("ines")]
        assert 1 == len(book.people())

    def test_another_person_of_that_name_is_another_id(self, book: Book) -> None:
        """Two people called Okke stay two people, and from then on the id says which."""
        first = book.person_named("Okke")
        second = book.add_person("Okke")

        assert (Person("okke", "Okke"), Person("okke-2", "Okke")) == (first, second)
        with pytest.raises(TextFault, match=r"several people are called Okke\. Type an id: okke, okke-2"):
            book.person_named("Okke")
        assert second == book.person_named("okke-2")

    def test_what_somebody_wrote_by_hand_stays(self, book: Book) -> None:
        """An entry is added at the end; comments and order above it stay byte for byte."""
        written = b'# volunteers of the winter\n\n[[person]]\nid = "maud"   # foreman\nname = "Maud"'
        (book.root / "people.toml").write_bytes(written)

        book.person_named("Tomas")

        assert (book.root / "people.toml").read_bytes().startswith(written + b"\n")
        assert (Person("maud", "Maud"), Person("tomas", "Tomas")) == book.people()

    def test_people_in_a_list_in_brackets_are_kept(self, book: Book) -> None:
        """Another way to write the same file is written anew where nothing can be appended to it."""
        (book.root / "people.toml").write_text('person = [{ id = "maud", name = "Maud" }]\n')

        book.person_named("Tomas")

        assert (Person("maud", "Maud"), Person("tomas", "Tomas")) == book.people()

    def test_a_name_in_other_letters_gets_an_id(self, book: Book) -> None:
        """Every person has an id in plain letters, whatever the name is written in."""
        assert [Person("person", "Ирина"), Person("zoe-b", "Zoë B.")] == [
            book.person_named("Ирина"),
            book.person_named("Zoë B."),
        ]

    @pytest.mark.parametrize("typed", ["", "   ", "Ines\x1b[2J", "x" * 200])
    def test_what_is_no_name_is_refused(self, book: Book, typed: str) -> None:
        """Nothing, signs that do not show, or a page of text."""
        with pytest.raises(TextFault):
            book.person_named(typed)
        assert () == book.people()

    def test_all_faults_of_the_file_at_once(self, book: Book) -> None:
        """An id twice, an id that is none and a missing name are told together, each with its line."""
        (book.root / "people.toml").write_text(
            '[[person]]\nid = "maud"\nname = "Maud"\n[[person]]\nid = "maud"\nname = "Maud B"\n'
            '[[person]]\nid = "Two Words"\nname = "Okke"\n[[person]]\nid = "ines"\n'
        )

        with pytest.raises(Faulty) as faulty:
            book.people()

        assert [(5, "E221"), (8, "E201"), (10, "E116")] == [(fault.line, fault.code) for fault in faulty.value.faults]

    def test_a_faulty_file_is_never_written_over(self, book: Book) -> None:
        """A slip by hand costs nobody's entry."""
        (book.root / "people.toml").write_text("[[person]\n")

        with pytest.raises(Faulty):
            book.person_named("Tomas")
        assert "[[person]\n" == (book.root / "people.toml").read_text()


class TestProcedures:
    """The procedures of a book are its files."""

    def test_they_are_listed_by_name(self, book: Book) -> None:
        """Earlier revisions and other files are not among them."""
        for name in ("head.toml", "flange.toml", "notes.txt", ".head.toml"):
            (book.root / "procedures" / name).write_text("")
        (book.root / "procedures" / ".revisions").mkdir()

        assert ["flange.toml", "head.toml"] == [path.name for path in book.procedures()]


class TestRuns:
    """The runs of a book are its folders."""

    def test_open_runs_are_those_not_ended(self, book: Book, start: Callable[[], RunFolder]) -> None:
        """The last line says how a run stands: paused is open, closed and abandoned are not."""
        runs = {event: start() for event in ("paused", "closed", "abandoned")}
        for event, run in runs.items():
            with book.writing(run) as daybook:
                daybook.append({"event": event})

        assert ["open", "closed", "abandoned"] == [run.state for run in runs.values()]
        assert (runs["paused"],) == book.open_runs()
        assert 3 == len(book.runs())

    def test_the_last_line_is_found_however_long(self, book: Book, start: Callable[[], RunFolder]) -> None:
        """A long note before the end, or at it, hides nothing."""
        run = start()
        with book.writing(run) as daybook:
            daybook.append({"event": "noted", "text": "x" * 300_000})
            assert "noted" == (run.last() or {}).get("event")
            daybook.append({"event": "closed"})

        assert "closed" == run.state

    def test_a_torn_end_does_not_hide_how_it_stands(self, start: Callable[[], RunFolder]) -> None:
        """Half a line after a power cut: the last whole line counts."""
        run = start()
        with run.daybook.open("ab") as file:
            file.write(b'{"event":"clo')

        assert "open" == run.state

    def test_a_run_without_a_readable_line_is_damaged(self, book: Book, start: Callable[[], RunFolder]) -> None:
        """It is neither open nor ended, and listing it fails nobody."""
        run = start()
        run.daybook.write_bytes(b"\x00" * 50 + b"\n")

        assert ("damaged", ()) == (run.state, book.open_runs())

    def test_folders_of_other_names_are_no_runs(self, tmp_path: Path, book: Book) -> None:
        """What somebody put there, and links, are left alone."""
        (book.root / "runs" / "photographs").mkdir()
        (book.root / "runs" / "20260302-head-k7q2m4xa").symlink_to(tmp_path)

        assert () == book.runs()

    def test_a_run_is_found_by_part_of_its_name(self, book: Book, start: Callable[[], RunFolder]) -> None:
        """The last letters are enough where they fit only one; else the sentence says what to give."""
        first, second = start(), start()

        assert first == book.run(first.id[-8:])
        with pytest.raises(LedgerFault, match="several runs are called so: give more of the name"):
            book.run("head")
        with pytest.raises(LedgerFault, match="there is no run 'flange' in this book"):
            book.run("flange")
        assert second == book.run(second.id)

    def test_a_second_person_cannot_write_to_the_same_run(self, book: Book, start: Callable[[], RunFolder]) -> None:
        """Who comes second is told who is at it; reading still works."""
        run = start()
        with book.writing(run, who="Ines"):
            with pytest.raises(LockHeld, match=r"Ines has .* open elsewhere"), book.writing(run):
                pass

            assert 1 == len(run.lines()[0])

    def test_frozen_files_are_read_only_within_the_run(self, tmp_path: Path, start: Callable[[], RunFolder]) -> None:
        """A link in a run's folder leads nowhere."""
        run = start()
        (tmp_path / "other.json").write_text(json.dumps({}))
        (run.path / "plan.json").unlink()
        (run.path / "plan.json").symlink_to(tmp_path / "other.json")

        with pytest.raises(LedgerFault, match="leads out of"):
            run.plan()
        assert b'title = "Head"\n' == run.procedure()


class TestLock:
    """Short writes to the book wait for each other."""

    def test_a_held_book_is_told(self, book: Book, monkeypatch: pytest.MonkeyPatch) -> None:
        """Where another program keeps the book's lock, the entry is refused with a sentence."""
        monkeypatch.setattr("clampbook.book.book._PATIENCE", 0.1)
        with take(book.root / ".locks", "book"), pytest.raises(LockHeld, match=f"process {os.getpid()}"):
            book.person_named("Ines")
