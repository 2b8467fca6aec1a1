"""Finding runs again: by the beginnings of words anywhere in their records, and by filters."""

from __future__ import annotations

from pathlib import Path
from typing import Any, ClassVar

import pytest
import tomli_w
from hypothesis import given, settings
from hypothesis import strategies as st

from archive.book_of_records import CRANK, FLANGE, GIVEN_UP, HEAD, a_record, found, hits, made
from clampbook.archive.finding import Hit, Query, find
from clampbook.archive.finding_words import about, ended
from clampbook.archive.index import Archive
from clampbook.book.book import Book


@pytest.fixture(scope="module")
def book(tmp_path_factory: pytest.TempPathFactory) -> Book:
    """Four finished runs, which are only looked at."""
    return made(tmp_path_factory.mktemp("archive") / "book")


class TestWords:
    """All words must stand somewhere in the record."""

    @pytest.mark.parametrize(
        ("words", "runs"),
        [
            (("gasket",), [FLANGE, HEAD]),
            (("gask",), [FLANGE, HEAD]),
            (("GASKET", "tomas"), [FLANGE, HEAD]),
            (("gasket", "maud"), [HEAD]),
            (("oil", "cap"), [CRANK]),  # a note
            (("cracked",), [GIVEN_UP]),  # why it was given up
            (("tool", "creaks"), [GIVEN_UP]),  # a deviation
            (("m12x1.5",), [CRANK]),
            (("HM-0031",), [FLANGE, HEAD]),
            (("after", "the", "first", "run"), []),
            ((HEAD,), [HEAD]),
            (("uqatvlzp",), [HEAD]),
            (("nowhere",), []),
        ],
    )
    def test_the_beginning_of_a_word_is_enough(self, book: Book, words: tuple[str, ...], runs: list[str]) -> None:
        """In titles, notes, deviations, names, serial numbers, lots, sizes and the name of the run itself."""
        assert runs == found(book, Query(words=words))

    @pytest.mark.parametrize("word", ['"', "OR", "NOT", "NEAR(", "title:", "*", "^", "{", "-", "'; DROP TABLE run; --"])
    def test_no_sign_means_anything_but_itself(self, book: Book, word: str) -> None:
        """What was typed is never taken for the language of the index."""
        assert set(found(book, Query(words=(word,)))) <= {HEAD, CRANK, FLANGE, GIVEN_UP}
        assert 4 == len(found(book, Query()))

    @settings(max_examples=60, deadline=None)
    @given(st.lists(st.text(max_size=12), max_size=4), st.text(max_size=8))
    def test_any_text_can_be_looked_for(self, book: Book, words: list[str], lot: str) -> None:
        """Half characters, nulls and quotes included."""
        with Archive(book.root) as archive:
            archive.asked(lambda connection: find(connection, Query(words=tuple(words), lot=lot)))


class TestFilters:
    """Each filter looks into its own part of the record."""

    @pytest.mark.parametrize(
        ("query", "runs"),
        [
            (Query(equipment="4107", outcome="done"), [CRANK, FLANGE]),
            (Query(equipment="Ines"), []),
            (Query(procedure="bearing caps"), [CRANK]),
            (Query(procedure="whinchat-pattern-c-head"), [HEAD]),
            (Query(person="okke"), [GIVEN_UP, HEAD]),
            (Query(person="maud", tool="w5"), [CRANK, HEAD]),
            (Query(tool="HM-0120"), [HEAD]),
            (Query(lot="head gasket"), [HEAD]),
            (Query(lot="Bearing shells: 4"), [CRANK]),
            (Query(outcome="abandoned"), [GIVEN_UP]),
            (Query(since="2026-03-04"), [GIVEN_UP, CRANK]),
            (Query(since="2026-03-03", until="2026-03-04"), [CRANK, FLANGE]),
            (Query(words=("flange",), until="2026-03-04"), [FLANGE]),
        ],
    )
    def test_all_of_them_must_hold(self, book: Book, query: Query, runs: list[str]) -> None:
        """The latest run first."""
        assert runs == found(book, query)

    def test_only_so_many_are_shown(self, book: Book) -> None:
        """And it is known that there are more."""
        with Archive(book.root) as archive:
            archive.refresh()
            few = archive.asked(lambda connection: find(connection, Query(), 2))
            all_ = archive.asked(lambda connection: find(connection, Query(), 4))

        assert ([GIVEN_UP, CRANK], True) == ([hit.run for hit in few.runs], few.more)
        assert (4, False) == (len(all_.runs), all_.more)


class TestWhatIsSaid:
    """A run that was found, in words."""

    def test_of_a_head_that_was_accepted(self, book: Book) -> None:
        """When, how, on what, by whom, with what."""
        (hit,) = hits(book, Query(words=(HEAD,)))

        assert "2026-03-02 · accepted, 10 deviations · closed, not sealed" == ended(hit)
        assert about(hit).startswith("Cylinder head, pattern C · Whinchat, revision B · 4107 · Ines, Okke, Tomas")
        assert "Look at the head after the first run, due 2026-03-16 or after 10 h" == hit.due

    def test_of_one_that_was_given_up(self, book: Book) -> None:
        """Once, not twice."""
        (hit,) = hits(book, Query(outcome="abandoned"))

        assert "2026-03-05 · abandoned, 3 deviations" == ended(hit)

    def test_of_one_without_a_title(self, tmp_path: Path) -> None:
        """What is not known is left out."""
        other = Book.create(tmp_path / "book", "Bare")
        a_record(other, "20260401-pump-bbbbbbbb", 'outcome = "done"')

        (hit,) = hits(other, Query())
        assert ("done · closed, not sealed", "") == (ended(hit), about(hit))


class TestAFormThatWasTypedIn:
    """A record of a paper form, with two bolts."""

    def _hit(self, tmp_path: Path, **form: Any) -> Hit:
        book = Book.create(tmp_path / "book", "Bare")
        a_record(book, "20260305-flange-aaaaaaaa", tomli_w.dumps(form))
        (hit,) = hits(book, Query())
        return hit

    FORM: ClassVar[dict[str, Any]] = {
        "from_paper": True,
        "deviations": 9,
        "person": [{"id": "maud", "name": "Maud"}, {"id": "ines", "name": "Ines"}],
        "reading": [{"by": "maud", "done_by": "ines"}],
        "position": [
            {"position": "8", "group": "Bolts", "state": "unknown", "outcome": {"1.1/8": "unknown"}},
            {"position": "2", "group": "Bolts", "state": "started", "outcome": {"1.1/2": "over"}},
        ],
        "sign_off": [{"role": "inspector", "left_open": True, "required": True}],
    }

    def test_is_found_with_what_its_page_one_leaves_open(self, tmp_path: Path) -> None:
        """Its number of deviations alone would say too little."""
        told = ended(self._hit(tmp_path, **self.FORM, outcome="done"))

        left = "1 position not known, 1 outside with nothing decided, not signed as inspector"
        assert f"done, 9 deviations, {left} · Entered late from paper" in told

    def test_that_was_accepted_with_something_undecided_was_accepted_in_part(self, tmp_path: Path) -> None:
        """As its page one says."""
        assert "accepted in part, 9 deviations" in ended(self._hit(tmp_path, **self.FORM, outcome="accepted"))

    def test_belongs_to_those_who_did_the_work(self, tmp_path: Path) -> None:
        """Maud only typed it in, so she comes last, also where follow-ups are sorted by person."""
        assert self._hit(tmp_path, **self.FORM, outcome="done").people == "Ines\nMaud"

    def test_that_names_nobody_does_not_belong_to_whoever_typed_it_in(self, tmp_path: Path) -> None:
        """Nobody is named at its readings: what falls due then is no follow-up of Maud's work."""
        unnamed = {
            **self.FORM,
            "person": [{"id": "maud", "name": "Maud"}, {"id": "-", "name": "-"}],
            "reading": [{"by": "maud", "done_by": "-"}],
        }

        assert self._hit(tmp_path, **unnamed, outcome="done").people == "not named on the form\nMaud"

    def test_is_found_whatever_nonsense_its_record_holds(self, tmp_path: Path) -> None:
        """A record may have been written by anybody."""
        nonsense = {
            "position": [{"state": 3, "outcome": 4}, 5],
            "deviation": [{"departed": 6}],
            "sign_off": [{"role": 7}],
        }
        assert ended(self._hit(tmp_path, from_paper=True, outcome="done", **nonsense)).startswith("done")
