"""The revision of a paper form, told by the code at its foot."""

from __future__ import annotations

from hashlib import sha256
from pathlib import Path

import pytest

from clampbook.book.releases import Given, give, queries, releasing
from clampbook.book.starting.of_the_form import code_of, not_here, revisions, told, with_code
from clampbook.book.starting.terms import work_named
from clampbook.ledger.refusals import LedgerFault
from clampbook.ledger.stamp import Stamp
from clampbook.procedure.model import Accepted
from sealing import START, Shop, shop


@pytest.fixture
def at(tmp_path: Path) -> Shop:
    """A book that has kept revision A of its cover, which was changed to B since."""
    found = shop(tmp_path / "book", keys=False)
    path, kept = found.book.path("procedures", "cover.toml"), found.book.path("procedures", ".revisions")
    kept.mkdir()
    (kept / "cover-a-12345678.toml").write_bytes(path.read_bytes())
    (kept / "cover-a-12345678.release.txt").write_bytes(b"compared")
    path.write_text(path.read_text(encoding="utf-8").replace('revision = "A"', 'revision = "B"'), encoding="utf-8")
    return found


def test_the_code_is_the_beginning_of_the_hash_in_groups_of_four(at: Shop) -> None:
    """As the form prints it."""
    work = work_named(at.book, "cover")
    digest = sha256(at.book.path("procedures", "cover.toml").read_bytes()).hexdigest()

    assert f"{digest[:4]} {digest[4:8]} {digest[8:12]} {digest[12:16]}" == code_of(work)
    assert f"revision B, draft, {code_of(work)}" == told(work)


def test_an_older_revision_is_found_where_the_book_has_kept_it(at: Shop) -> None:
    """By as much of its code as tells it apart, with blanks or without."""
    known = revisions(at.book, work_named(at.book, "cover"))

    assert ["B", "A"] == [each.procedure.revision for each in known]
    assert known[1] == with_code(known, code_of(known[1]))
    assert known[1] == with_code(known, code_of(known[1]).replace(" ", "")[:6].upper())
    assert known[0] == with_code(known, code_of(known[0])[:9])


@pytest.mark.parametrize("typed", ["ffff ffff", "12", ""])
def test_a_code_that_no_revision_has_is_refused_with_what_to_do(at: Shop, typed: str) -> None:
    """The file of the form is wanted then."""
    with pytest.raises(LedgerFault) as refused:
        with_code(revisions(at.book, work_named(at.book, "cover")), typed)

    told_so = (
        "A draft that was changed since is not saved. "
        "Find the file that the form was printed from, then give its path in place of the name"
    )
    assert refused.value.sentence == f"No revision of this procedure has “{typed}” at the foot of its form. {told_so}"
    assert not_here("No").sentence == f"No. {told_so}"


def released_at(at: Shop) -> None:
    """Maud compares the cover with its sheet and answers what the review asks."""
    path = at.book.path("procedures", "cover.toml")
    asked, _ = queries(at.book, path)
    answers = tuple(Accepted(query=f"{each.code} {each.key}", because="looked at") for each in asked.queries)
    given = Given(person=at.maud, at=START, compared_with="Sheet 3, issue 2", accepted=answers)
    give(at.book, releasing(at.book, path, given), None, Stamp(START, "+00:00", "maud"))


class TestReleasedSince:
    """A form was printed from a draft, and the draft was released before the form came back."""

    @pytest.mark.parametrize("status", ['status = "draft"\n', 'status = "draft"  # not compared yet\n', ""])
    @pytest.mark.parametrize("answered", [False, True])
    def test_the_code_of_the_draft_is_found(self, at: Shop, status: str, answered: bool) -> None:
        """The release changed the file and its code, and nothing of the work: the run is one of the draft."""
        path = at.book.path("procedures", "cover.toml")
        before = path.read_text(encoding="utf-8").replace('revision = "B"\n', f'revision = "B"\n{status}')
        path.write_text(before, encoding="utf-8")
        if answered:
            first, *_ = queries(at.book, path)[0].queries
            before += f'\n[[accepted]]\nquery = "{first.code} {first.key}"\nbecause = "looked at"\n'
            path.write_text(before, encoding="utf-8")
        form = code_of(work_named(at.book, "cover"))

        released_at(at)

        work = work_named(at.book, "cover")
        found = with_code(revisions(at.book, work), form)
        assert ("released", "draft") == (work.procedure.status, found.procedure.status)
        assert form != code_of(work)
        assert before.encode() == found.data

    def test_both_are_told_with_what_stands_at_the_foot(self, at: Shop) -> None:
        """The released file first, then the drafts that it can have been."""
        draft = code_of(work_named(at.book, "cover"))
        released_at(at)

        first, *others = map(told, revisions(at.book, work_named(at.book, "cover")))

        assert first.startswith("revision B, released, ")
        assert f"revision B, draft, {draft}" in others

    def test_a_draft_that_was_changed_since_is_not_found(self, at: Shop) -> None:
        """Nobody knows any more what stood in it."""
        path = at.book.path("procedures", "cover.toml")
        form = code_of(work_named(at.book, "cover"))
        path.write_bytes(path.read_bytes() + b"# looked at again\n")
        released_at(at)

        with pytest.raises(LedgerFault, match="A draft that was changed since is not saved"):
            with_code(revisions(at.book, work_named(at.book, "cover")), form)
