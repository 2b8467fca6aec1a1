"""`clampbook new`: a book is made where somebody asks for one, and nowhere else."""

from __future__ import annotations

import json
import tomllib
from pathlib import Path

import pytest

from clampbook import cli
from clampbook.book.book import Book
from clampbook.book.nearest import nearest, no_book_in
from clampbook.people import Person
from clampbook.procedure.library import as_a_start, names


def said(capsys: pytest.CaptureFixture[str], *words: object) -> tuple[int, str]:
    """The exit status of a command, and all that it said."""
    status = cli.status([str(each) for each in words])
    told = capsys.readouterr()
    return status, f"{told.out}{told.err}"


class TestNew:
    """Its folder, its first files, its name."""

    def test_it_can_be_opened_and_says_where_tools_and_procedures_go(
        self, tmp_path: Path, capsys: pytest.CaptureFixture[str]
    ) -> None:
        """In the folder that is named, by the name that is given."""
        status, told = said(capsys, "new", tmp_path / "boats", "--name", "Harbour museum")

        assert 0 == status
        assert "Harbour museum" == Book.open(tmp_path / "boats").name
        assert all(each in told for each in ("New book: ", "tools.toml", "procedures"))

    def test_a_folder_with_something_in_it_stays_as_it_is(
        self, tmp_path: Path, capsys: pytest.CaptureFixture[str]
    ) -> None:
        """Somebody else's papers are no book."""
        (tmp_path / "letter.txt").write_text("Dear Maud")

        status, told = said(capsys, "new", tmp_path)

        assert (2, ["letter.txt"]) == (status, [each.name for each in tmp_path.iterdir()])
        assert "is not empty" in told

    def test_a_book_is_not_made_twice(self, tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
        """Its cover stays."""
        said(capsys, "new", tmp_path / "boats")
        cover = (tmp_path / "boats" / "book.toml").read_bytes()

        assert 2 == said(capsys, "new", tmp_path / "boats")[0]
        assert cover == (tmp_path / "boats" / "book.toml").read_bytes()


class TestFrom:
    """Samples put among its procedures as drafts."""

    def test_a_new_book_has_them_as_drafts(self, tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
        """Two of them, by their names."""
        chosen = ("shaft-flange-16", "whinchat-pattern-c-head")
        status, told = said(capsys, "new", tmp_path / "boats", *(word for each in chosen for word in ("--from", each)))

        assert 0 == status
        drafts = Book.open(tmp_path / "boats").procedures()
        assert list(chosen) == [path.stem for path in drafts]
        assert [as_a_start(name) for name in chosen] == [path.read_text(encoding="utf-8") for path in drafts]
        assert "Its values are invented. Replace them with those of your manual." in told

    def test_a_book_that_is_there_gets_one_more(self, tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
        """Its cover and what lies in it stay."""
        book = Book.create(tmp_path / "boats", "Boats")
        before = {path: path.read_bytes() for path in book.root.rglob("*") if path.is_file()}

        status, told = said(capsys, "new", book.root, "--from", "shaft-flange-16")

        assert (0, "New draft: ") == (status, told[:11])
        assert before == {path: path.read_bytes() for path in before}
        assert ["shaft-flange-16.toml"] == [path.name for path in book.procedures()]

    def test_a_sample_goes_by_the_name_of_its_file_too(self, tmp_path: Path) -> None:
        """With .toml, as it stands in a list of files; given both ways it is one draft."""
        book = Book.create(tmp_path / "boats", "Boats")
        both = ("--from", "shaft-flange-16.toml", "--from", "shaft-flange-16")

        assert 0 == cli.status(["new", str(book.root), *both])
        (draft,) = book.procedures()
        assert "shaft-flange-16.toml" == draft.name
        assert "Sample shaft-flange-16 (invented)" in draft.read_text(encoding="utf-8")

    def test_the_book_before_the_command_is_meant_too(self, tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
        """--book, as with every other command."""
        book = Book.create(tmp_path / "boats", "Boats")

        assert 0 == said(capsys, "--book", book.root, "new", "--from", "shaft-flange-16")[0]
        assert ["shaft-flange-16.toml"] == [path.name for path in book.procedures()]

    def test_a_file_that_is_there_stays_and_is_told(self, tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
        """The other one is written."""
        book = Book.create(tmp_path / "boats", "Boats")
        (book.root / "procedures" / "shaft-flange-16.toml").write_text("my own work")

        both = ("--from", "shaft-flange-16", "--from", "whinchat-crank-caps")
        status, told = said(capsys, "new", book.root, *both)

        assert 1 == status
        assert "shaft-flange-16.toml is there already and stays as it is. To start again, rename it first." in told
        assert "my own work" == (book.root / "procedures" / "shaft-flange-16.toml").read_text()
        assert (book.root / "procedures" / "whinchat-crank-caps.toml").exists()

    @pytest.mark.parametrize("wrong", ["crank-caps", "crank-caps.toml"])
    def test_a_wrong_name_makes_nothing(self, tmp_path: Path, wrong: str, capsys: pytest.CaptureFixture[str]) -> None:
        """No book, and the nearest name is told."""
        status, told = said(capsys, "new", tmp_path / "boats", "--from", "shaft-flange-16", "--from", wrong)

        assert (2, False) == (status, (tmp_path / "boats").exists())
        assert f"No sample “{wrong}”. Did you mean whinchat-crank-caps? There are: " in told

    def test_a_book_keeps_its_name(self, tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
        """Another one is refused before anything is written."""
        book = Book.create(tmp_path / "boats", "Boats")

        status, told = said(capsys, "new", book.root, "--name", "Ships", "--from", "shaft-flange-16")

        assert (2, ()) == (status, book.procedures())
        assert "is a book already, named Boats. Leave --name out." in told

    @pytest.mark.parametrize("words", [("--person", "Ines"), ("--paper", "a4"), ("--unit", "N·m")])
    def test_a_book_keeps_its_people_and_cover(
        self, tmp_path: Path, words: tuple[str, ...], capsys: pytest.CaptureFixture[str]
    ) -> None:
        """They are for a new one."""
        book = Book.create(tmp_path / "boats", "Boats")

        status, told = said(capsys, "new", book.root, *words, "--from", "shaft-flange-16")

        assert (2, (), ()) == (status, book.people(), book.procedures())
        assert f"is a book already, named Boats. Leave {words[0]} out." in told


class TestWhatIsSaid:
    """Name, people, paper and unit can be said at once; nothing is asked."""

    def test_people_paper_and_unit_stand_in_the_book(self, tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
        """A unit counts however it is typed."""
        words = ("--person", "Ines", "--person", "Jonas", "--paper", "letter", "--unit", "ft-lb")

        status, _ = said(capsys, "new", tmp_path / "boats", *words)

        book = Book.open(tmp_path / "boats")
        assert 0 == status
        assert (Person("ines", "Ines"), Person("jonas", "Jonas")) == book.people()
        assert ("letter", "lbf·ft") == (book.paper(), book.unit())

    def test_what_is_not_said_stands_nowhere(self, tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
        """Reports are printed on A4 then, and no unit is known."""
        said(capsys, "new", tmp_path / "boats")

        book = Book.open(tmp_path / "boats")
        assert {"format", "id", "name"} == tomllib.loads((book.root / "book.toml").read_text(encoding="utf-8")).keys()
        assert ("a4", None, ()) == (book.paper(), book.unit(), book.people())

    @pytest.mark.parametrize(
        ("words", "told"),
        [
            (("--unit", "lb"), "lbf·ft or lbf·in"),
            (("--unit", "mm"), "N·m, lbf·ft"),
            (("--person", "Ines", "--person", "ines"), "Name each person once"),
            (("--person", " "), "the name is missing"),
            (("--name", "Bo\u200bats"), "cannot be seen"),
        ],
    )
    def test_what_cannot_be_makes_no_book(
        self, tmp_path: Path, words: tuple[str, ...], told: str, capsys: pytest.CaptureFixture[str]
    ) -> None:
        """It is said before anything is written."""
        status, talk = said(capsys, "new", tmp_path / "boats", *words)

        assert (2, False) == (status, (tmp_path / "boats").exists())
        assert told in talk


class TestSamples:
    """The library, for whoever looks for a start."""

    def test_each_is_listed_with_what_it_shows(self, tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
        """By the name that --from takes, and nothing is made."""
        status, told = said(capsys, "new", tmp_path / "boats", "--samples")

        assert (0, False) == (status, (tmp_path / "boats").exists())
        assert "flywheel: sealant on bolts that reach into the oil, an angle by a painted mark" in told
        assert all(f"{name}: " in told for name in names())

    def test_a_script_has_them_by_name(self, capsys: pytest.CaptureFixture[str]) -> None:
        """Name, title and what it shows."""
        told = json.loads(said(capsys, "new", "--samples", "--json")[1])["samples"]

        assert list(names()) == [each["name"] for each in told]
        assert {"name", "title", "shows"} == set(told[0])


class TestMistyped:
    """A folder that is no book is told with the nearest that is one."""

    @pytest.fixture
    def boats(self, tmp_path: Path) -> Path:
        """A book of that name, two folders down."""
        return Book.create(tmp_path / "harbour" / "boats", "Boats").root

    @pytest.mark.parametrize("typed", ["harbour/baots", "harbor/boats", "harbour", "harbour/boats/runs"])
    def test_the_nearest_book_is_named(self, tmp_path: Path, boats: Path, typed: str) -> None:
        """A slip in either part, a folder too high, a folder too low."""
        assert boats == nearest(tmp_path / typed)
        assert f"Did you mean --book {boats}?" in no_book_in(tmp_path / typed, tmp_path)

    def test_nothing_like_it_is_guessed(self, tmp_path: Path, boats: Path) -> None:
        """Then it is said how one is made there."""
        assert boats != nearest(tmp_path / "elsewhere" / "wagons")
        assert f"Make one: clampbook new {tmp_path / 'wagons'}." in no_book_in(tmp_path / "wagons", tmp_path)
