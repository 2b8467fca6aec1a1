"""What a review says as a whole: answers in the file, lines, samples that are sound, and nothing ever changed."""

from __future__ import annotations

from decimal import Decimal
from pathlib import Path
from typing import Any

import pytest
from msgspec import structs

from clampbook.book import toolbox
from clampbook.book.book import Book
from clampbook.demo import make, samples
from clampbook.procedure.places import Places
from clampbook.procedure.reader import read, read_file
from clampbook.review.review import review
from clampbook.tools.model import Adapter, Stock, Tool
from clampbook.units import parse as quantity

from .sheets import COVER, STRETCHED, changed, codes, queries, reviewed
from .stock import TOOLS, tool

SAMPLES = samples()
SOUND = sorted((Path(__file__).parent / "sound").glob("*.toml"))
FIVE = Path(__file__).parent / "five"
WEAK = changed(COVER, 'property_class = "8.8"', 'property_class = "4.6"')


def answered(answer: str, text: str = WEAK) -> str:
    """The sheet with one answer."""
    return changed(text, "unit =", f'accepted = [{{ query = "{answer}", because = "the sheet says so" }}]\nunit =')


class TestAnswers:
    """A query can be answered in the file, and is then kept with its reason."""

    def test_answered_query_stands_no_more(self) -> None:
        """It is listed with its reason and its place instead."""
        found = reviewed(answered("W401"))

        assert () == found.queries
        assert [("W401", "stage[2].to", "the sheet says so")] == [
            (each.query.code, each.query.key, each.because) for each in found.answered
        ]

    @pytest.mark.parametrize("answer", ["w401", "W401 stage[2]", "W401 stage[2].to", " W401  stage[2].to "])
    def test_answer_may_name_the_key(self, answer: str) -> None:
        """With a key, or the table around it, an answer is for that place alone."""
        assert [] == codes(answered(answer))

    @pytest.mark.parametrize("answer", ["W401 stage[1]", "W401 stage[2].within", "W401 stage[20]", "W402", "E101", "?"])
    def test_answer_to_something_else_answers_nothing(self, answer: str) -> None:
        """The query stands, and so does the question what the answer was about."""
        assert ["W401", "W491"] == sorted(codes(answered(answer)))

    def test_one_of_two_queries_can_be_answered(self) -> None:
        """The other one stays in query."""
        stages = COVER[COVER.index("[[stage]]") : COVER.index("[[follow_up]]")]
        thrice = changed(COVER, stages, stages * 3)
        falls = [query.key for query in queries(thrice)]

        assert 2 == len(falls)
        assert [falls[1]] == [query.key for query in queries(answered(f"W413 {falls[0]}", thrice))]

    def test_answer_about_tools_waits_for_tools(self) -> None:
        """Without a book nobody can tell whether it still applies."""
        tight = changed(COVER, 'within = "±2 N·m"', 'within = "±0.5 N·m"')

        assert [] == codes(answered("W431", tight))
        assert [] == codes(answered("W431", tight), TOOLS)
        assert ["W491"] == codes(answered("W431", COVER), TOOLS)


class TestTools:
    """What no tool of a book can hold."""

    def test_a_tool_with_an_adapter_of_the_book_may_hold_a_window(self) -> None:
        """35 N·m lie beyond a scale up to 28 N·m; on a lever half as long again they are 23.3 on the tool."""
        small = structs.replace(tool("W1", "setting", "4", "28", "0.2"), lever=quantity("200 mm"))
        longer = Adapter(id="a1", name="A1", extension=quantity("100 mm"))

        assert ["W431"] == codes(COVER, Stock((small,)))
        assert [] == codes(COVER, Stock((small,), (longer,)))

    def test_an_adapter_that_does_not_reach_far_enough_helps_nothing(self) -> None:
        """10 mm on a lever of 200 mm."""
        small = structs.replace(tool("W1", "setting", "4", "28", "0.2"), lever=quantity("200 mm"))

        assert {"W431"} == set(
            codes(COVER, Stock((small,), (Adapter(id="a1", name="A1", extension=quantity("10 mm")),)))
        )


def micrometer(resolution: str) -> Tool:
    """M1 from 50 to 75 mm, with scale lines so far apart."""
    fields: dict[str, Any] = {"minimum": Decimal(50), "maximum": Decimal(75), "resolution": Decimal(resolution)}
    return Tool(id="m1", name="M1", kind="micrometer", unit="mm", **fields)


class TestInstruments:
    """What is measured too coarsely by all that a book has."""

    def test_a_stretch_wants_fine_lines(self) -> None:
        """0.12 to 0.16 mm is a window of 0.04 mm: lines 0.01 mm apart are too few of them, 0.005 mm are enough."""
        coarse, fine = (Stock((*TOOLS.tools, micrometer(step))) for step in ("0.01", "0.005"))
        found = [query for query in queries(STRETCHED, coarse) if query.code == "W431"]

        assert ["stage[1].what", "stage[2].stretch_between"] == [query.key for query in found]
        assert "M1: scale lines 0.01 mm apart, coarse for the window of the difference, 0.04 mm wide" in found[0].text
        assert [] == [query for query in queries(STRETCHED, fine) if query.code == "W431"]

    def test_what_is_not_listed_is_no_mistake(self) -> None:
        """A book with feeler gauges alone says nothing of bolts: another one measures those."""
        leaves: dict[str, Any] = {"minimum": Decimal("0.05"), "maximum": Decimal(1), "resolution": Decimal("0.05")}
        f1 = Tool(id="f1", name="F1", kind="feeler gauges", unit="mm", **leaves)

        assert "W431" not in codes(STRETCHED, Stock((*TOOLS.tools, f1)))


class TestLines:
    """Each query stands where the key is written."""

    def test_line_is_that_of_the_key_that_is_there(self) -> None:
        """The order of a group may be called sequence or order; the one that is written is named."""
        text = changed(COVER, 'sequence = "numbered"', 'order = ["9", "10", "5", "6", "1", "2", "4", "3", "8", "7"]')
        found = queries(text)

        assert [("W422", "group[1].order")] == [(query.code, query.key) for query in found]
        assert text.splitlines()[(found[0].line or 0) - 1].startswith("order = ")

    def test_without_lines_a_query_has_its_key(self) -> None:
        """A procedure that came from elsewhere has no lines."""
        found = review(read(WEAK.encode())).queries

        assert [(None, "stage[2].to")] == [(query.line, query.key) for query in found]

    def test_steps_of_a_block_are_counted_within_it(self) -> None:
        """The place of a step is the block's and then its own."""
        steps = 'steps = [\n  { do = "tighten", to = "90 N·m", within = "±2 N·m" },\n]\n'
        text = COVER + f'\n[[stage]]\nfor_each = "position"\n{steps}'
        text = text.replace("[[follow_up]]", '[[stage]]\ndo = "loosen"\n\n[[follow_up]]')

        assert ["stage[5].steps[1].to"] == [query.key for query in queries(text) if query.code == "W401"]


class TestSound:
    """Queries do not cry wolf."""

    @pytest.mark.parametrize("path", SAMPLES, ids=lambda path: path.stem)
    def test_sample_raises_no_query_that_it_does_not_answer(self, path: Path, tmp_path: Path) -> None:
        """With the tools of the demo's book as well."""
        make(tmp_path / "book")
        procedure, _ = read_file(path)

        assert () == review(procedure, toolbox.stock(Book.open(tmp_path / "book"))).queries

    @pytest.mark.parametrize("path", SOUND, ids=lambda path: path.stem)
    def test_sheets_of_many_kinds_raise_none(self, path: Path) -> None:
        """Flange, studs, inches, angle, stainless, rechecks, one bolt, 48 bolts, locking nuts, kgf·m, locker, caps."""
        assert () == review(read_file(path)[0]).queries

    def test_what_no_tool_can_pull_is_queried_once(self) -> None:
        """The stage is named, and not its recheck at the same torque as well."""
        small = Stock((tool("W1", "setting", "4", "28", "0.2"),))

        assert ["stage[2].to"] == [query.key for query in queries(COVER, small)]

    def test_review_changes_nothing(self) -> None:
        """It asks; the procedure stays what it was, and asking again brings the same."""
        before = read(WEAK.encode())
        first = review(before)

        assert (read(WEAK.encode()), first) == (before, review(before))


def test_review_names_exactly_the_five_of_six_that_have_a_mistake() -> None:
    """Six sheets of the same joint: five with one planted mistake each, one without."""
    found = {}
    for path in sorted(FIVE.glob("*.toml")):
        procedure, data = read_file(path)
        found[path.stem] = [
            (each.code, each.line) for each in review(procedure, TOOLS, line_of=Places(data).line).queries
        ]

    assert {
        "as-the-sheet-has-it": [],
        "angle-of-another-joint": [("W402", 47)],
        "bolts-of-a-lower-class": [("W401", 41)],
        "order-from-one-end": [("W422", 27)],
        "stages-in-the-wrong-order": [("W413", 41)],
        "torque-in-another-unit": [("W412", 41)],
    } == found
