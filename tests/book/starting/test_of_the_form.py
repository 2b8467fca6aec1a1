"""The revision of a paper form, told by the code at its foot."""

from __future__ import annotations

from hashlib import sha256
from pathlib import Path

import pytest

from clampbook.book.starting.of_the_form import code_of, not_here, revisions, told, with_code
from clampbook.book.starting.terms import work_named
from clampbook.ledger.refusals import LedgerFault
from sealing import Shop, shop


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
    assert f"revision B, {code_of(work)}" == told(work)


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

    told_so = "Find the file that the form was printed from, then give its path in place of the name"
    assert refused.value.sentence == f"No revision of this procedure has “{typed}” at the foot of its form. {told_so}"
    assert not_here("No").sentence == f"No. {told_so}"
