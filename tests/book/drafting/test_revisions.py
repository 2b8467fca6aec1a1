"""A revision that is released or used stays as it is: drafted, it is the next one, with what changes in words."""

from __future__ import annotations

from pathlib import Path

from clampbook.book.drafting.revisions import begun, last_released
from clampbook.book.releases import Given, Prepared, give, queries, releasing, withdrawing
from clampbook.book.soundness.verifying import Verifying
from clampbook.book.starting.new_run import open_run
from clampbook.book.starting.terms import Terms, work_named
from clampbook.ledger.stamp import Stamp
from clampbook.procedure.model import Accepted
from clampbook.procedure.reader import read
from sealing import START, Shop
from signers import PHRASE

NOW = Stamp(START, "+00:00", "maud")


def path(at: Shop) -> Path:
    """The valve cover."""
    return at.book.root / "procedures" / "cover.toml"


def release(at: Shop) -> Prepared:
    """Maud releases the file as it stands."""
    found, _ = queries(at.book, path(at))
    answers = tuple(Accepted(query=f"{each.code} {each.key}", because="looked at") for each in found.queries)
    given = Given(person=at.maud, at=START, compared_with="Sheet 3, issue 2", accepted=answers)
    prepared = releasing(at.book, path(at), given)
    give(at.book, prepared, PHRASE, NOW)
    return prepared


def revision(text: str) -> str:
    """The revision that a text names."""
    return read(text.encode()).revision


def test_a_draft_that_nobody_used_stays_the_revision_it_is(whinchat: Shop) -> None:
    """Not a byte of it changes."""
    text = path(whinchat).read_text(encoding="utf-8")
    found = begun(text, path(whinchat), whinchat.book)

    assert (text, None, "") == (found.text, found.since, found.told)


def test_a_released_one_becomes_the_draft_of_the_next(whinchat: Shop) -> None:
    """Without its release, and otherwise word for word."""
    release(whinchat)
    text = path(whinchat).read_text(encoding="utf-8")
    found = begun(text, path(whinchat), whinchat.book)
    drafted = read(found.text.encode())

    assert ("B", "draft", None) == (drafted.revision, drafted.status, drafted.release)
    assert found.since is not None and "A" == found.since.revision
    assert "Revision A is released. This is revision B, a draft. Nothing is saved yet." == found.told
    assert text == path(whinchat).read_text(encoding="utf-8")


def test_a_comment_below_the_release_changes_nothing_of_that(whinchat: Shop) -> None:
    """The next revision begins with the same text, and the comment at its end."""
    release(whinchat)
    text = path(whinchat).read_text(encoding="utf-8")
    plain = begun(text, path(whinchat), whinchat.book)
    path(whinchat).write_text(f"{text}# looked at in March\n", encoding="utf-8")
    found = begun(path(whinchat).read_text(encoding="utf-8"), path(whinchat), whinchat.book)

    assert f"{plain.text}# looked at in March\n" == found.text
    assert plain.told == found.told


def test_a_withdrawn_one_does_too(whinchat: Shop) -> None:
    """Nobody works by it any more, and it stays what it was."""
    release(whinchat)
    given = Given(person=whinchat.maud, at=START, because="a new issue")
    give(whinchat.book, withdrawing(whinchat.book, path(whinchat), given), PHRASE, NOW)
    found = begun(path(whinchat).read_text(encoding="utf-8"), path(whinchat), whinchat.book)

    assert "B" == revision(found.text)
    assert "is withdrawn" in found.told and "[withdrawal]" not in found.text


def test_a_draft_by_which_somebody_has_worked_becomes_the_next(whinchat: Shop) -> None:
    """Its record names that revision, and two texts never have one name."""
    work = work_named(whinchat.book, "cover")
    open_run(whinchat.book, work, Terms(person=whinchat.maud), whinchat.clock, "handed in")
    found = begun(path(whinchat).read_text(encoding="utf-8"), path(whinchat), whinchat.book)

    assert "B" == revision(found.text)
    assert "Revision A is used in a run." in found.told


def test_names_that_were_released_before_are_passed_over(whinchat: Shop) -> None:
    """Somebody went back to the file of revision A."""
    first = path(whinchat).read_text(encoding="utf-8")
    release(whinchat)
    found = begun(path(whinchat).read_text(encoding="utf-8"), path(whinchat), whinchat.book)
    path(whinchat).write_text(found.text.replace("Valve cover", "Valve cover, port"), encoding="utf-8")
    release(whinchat)

    assert "C" == revision(begun(first, path(whinchat), whinchat.book).text)


def test_a_file_of_no_book_goes_by_what_it_says(tmp_path: Path, whinchat: Shop) -> None:
    """A released one is drafted as the next there too."""
    release(whinchat)
    text = path(whinchat).read_text(encoding="utf-8")
    found = begun(text, tmp_path / "cover.toml", None)

    assert "B" == revision(found.text)


def test_a_text_with_errors_is_opened_as_it_is(whinchat: Shop) -> None:
    """It cannot be released or used."""
    assert "format = " == begun("format = ", path(whinchat), whinchat.book).text


def test_the_release_tells_in_what_it_differs_from_the_one_before(whinchat: Shop) -> None:
    """In the text that is read, signed and saved; the first release has nothing to tell."""
    first = release(whinchat)
    found = begun(path(whinchat).read_text(encoding="utf-8"), path(whinchat), whinchat.book)
    text = found.text.replace(f'title = "{read(found.text.encode()).title}"', 'title = "Valve cover, port"')
    path(whinchat).write_text(text, encoding="utf-8")
    second = release(whinchat)
    (saved,) = (whinchat.book.root / "procedures" / ".revisions").glob("cover-b-*.release.txt")

    assert "Changes since" not in first.text
    assert "Changes since:  A\n" in second.text
    assert "Changed:        title “Valve cover” → “Valve cover, port”\n" in second.text
    assert second.text == saved.read_text(encoding="utf-8")
    assert () == Verifying(whinchat.book).book()


def test_the_one_released_last_is_read_from_what_the_book_saved(whinchat: Shop) -> None:
    """Whatever became of the file since."""
    release(whinchat)
    path(whinchat).write_text("# nothing\n", encoding="utf-8")
    found = last_released(whinchat.book, path(whinchat))

    assert found is not None and ("Valve cover", "A") == (found.title, found.revision)


def test_a_file_elsewhere_has_no_released_revision(whinchat: Shop, tmp_path: Path) -> None:
    """Though it is called the same."""
    release(whinchat)

    assert last_released(whinchat.book, tmp_path / "cover.toml") is None
