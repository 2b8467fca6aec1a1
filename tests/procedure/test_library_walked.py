"""Every procedure of the library: reviewed with no query left, walked to its end by a steady hand, and reported."""

from __future__ import annotations

import dataclasses
import tomllib
from io import BytesIO
from typing import TypeVar

import pypdf
import pytest

from bench import Bench
from clampbook.demo import TOOLS_OF_THE_MUSEUM
from clampbook.procedure.library import Sample, samples
from clampbook.procedure.library import sample as sample_named
from clampbook.procedure.reader import read, read_file
from clampbook.record import report
from clampbook.record.record import build
from clampbook.review.review import review
from clampbook.run import events as e
from clampbook.run import prompts as ask
from clampbook.run.planning import plan
from clampbook.tools.reader import read_stock
from walks import frozen

# What the files say to bring, beside the tools of the museum.
BROUGHT = """
[[tool]]
id = "w3"
name = "W3"
kind = "indicating"
unit = "N·m"
range = ["2 N·m", "30 N·m"]
resolution = "0.1 N·m"

[[tool]]
id = "w4"
name = "W4"
kind = "setting"
unit = "lbf·in"
range = ["40 lbf·in", "200 lbf·in"]
resolution = "1 lbf·in"
lever = "280 mm"

[[tool]]
id = "w6"
name = "W6"
kind = "indicating"
unit = "N·m"
range = ["20 N·m", "200 N·m"]
resolution = "0.5 N·m"

[[tool]]
id = "c1"
name = "C1"
kind = "caliper"
unit = "mm"
range = ["0 mm", "150 mm"]
resolution = "0.02 mm"

[[tool]]
id = "m3"
name = "M3"
kind = "micrometer"
unit = "mm"
range = ["75 mm", "300 mm"]
resolution = "0.001 mm"

[[tool]]
id = "d1"
name = "D1"
kind = "dial gauge"
unit = "mm"
range = ["0 mm", "10 mm"]
resolution = "0.005 mm"

[[tool]]
id = "p1"
name = "P1"
kind = "pressure gauge"
unit = "bar"
range = ["0 bar", "700 bar"]
resolution = "2 bar"

[[adapter]]
id = "a4"
name = "A4"
is = "crowfoot, 13 mm"
extension = "32 mm"
offset = "0°"

[[adapter]]
id = "a5"
name = "A5"
is = "open end, 19 mm"
extension = "40 mm"
"""
E = TypeVar("E", bound=e.EventBase)
STOCK = read_stock((TOOLS_OF_THE_MUSEUM.format(recent="2026-01-01") + BROUGHT).encode(), "tools.toml")


def walked(sample: Sample, *, trial: bool = False) -> Bench:
    """The work from its first question to its last, with the tools of the museum and what is to be brought."""
    procedure = read_file(sample.path)[0]
    joint = procedure.repeat[0] if procedure.repeat else None
    bench = Bench(plan(procedure, sample.name, trial=trial, joint=joint), STOCK.tools)
    bench.session = dataclasses.replace(bench.session, adapters=STOCK.adapters)
    bench.steadily()
    return bench


def steps_of(name: str, *, trial: bool = False) -> int:
    """The number of steps of the whole work, of one joint where each is a run of its own."""
    procedure = read_file(sample_named(name).path)[0]
    joint = procedure.repeat[0] if procedure.repeat else None
    return len(plan(procedure, name, trial=trial, joint=joint).steps)


def events_of(name: str, kind: type[E], *, trial: bool = False) -> list[E]:
    """What was written down of one kind."""
    return [each for each in walked(sample_named(name), trial=trial).events if isinstance(each, kind)]


@pytest.mark.parametrize("sample", samples(), ids=lambda each: each.name)
class TestEachSample:
    """A new file is held to all this by lying there."""

    def test_it_says_that_it_is_invented(self, sample: Sample) -> None:
        """On top, in its source, and at the start of each walk: its values must never be taken for a real machine's."""
        text = sample.path.read_text(encoding="utf-8")
        procedure = read(text.encode())

        assert "# All values here are invented. They fit no real machine: never use them on one.\n" in text
        assert "Whinchat" in text
        assert (procedure.source or "").endswith("(invented), looked up on 2026-03-02")
        assert "Sample values: invented, they fit no real machine." == procedure.cautions[0]
        assert ("draft", None) == (procedure.status, procedure.release)

    def test_its_review_leaves_no_query(self, sample: Sample) -> None:
        """Each that was raised is answered in the file, and the tools that it says to bring suit every stage."""
        found = review(read_file(sample.path)[0], STOCK)

        assert [] == [(each.code, each.text) for each in found.queries]

    def test_it_is_walked_to_its_end_and_reported(self, sample: Sample) -> None:
        """Done, with nothing that departs from it; the report has its title."""
        bench = walked(sample)
        files = frozen(bench, sample.path.read_bytes())
        record = build(*files)
        told = tomllib.loads(record.decode())
        pages = pypdf.PdfReader(BytesIO(report.make(*files, record))).pages

        assert isinstance(bench.prompt, ask.Ended)
        assert ("done", 0) == (told["outcome"], told["deviations"])
        assert sample.title in " ".join(" ".join(page.extract_text().split()) for page in pages)


FOLLOW_UPS = [(each, due.title) for each in samples() for due in read_file(each.path)[0].follow_ups]


@pytest.mark.parametrize(("sample", "title"), FOLLOW_UPS, ids=[f"{each.name}" for each, _ in FOLLOW_UPS])
def test_its_follow_up_is_walked_to_its_end(sample: Sample, title: str) -> None:
    """In a run of its own, on the bolts as the first one left them."""
    procedure, data = read_file(sample.path)
    left = {position: (1, 1) for group in procedure.groups for position in group.positions}
    earlier = e.Earlier(run="20260302-first-k7q2m4xa", follow_up=title, positions=left)
    bench = Bench(plan(procedure, sample.name, follow_up=title), STOCK.tools, of_run=earlier)
    bench.steadily()

    told = tomllib.loads(build(*frozen(bench, data)).decode())
    assert ("done", 0) == (told["outcome"], told["deviations"])


@pytest.mark.parametrize(
    ("name", "steps"),
    [
        ("alternator-belt", 12),  # 2 loosened, a look, 2 pulls, the belt, 2 loosened, 2 pulls, 2 points
        ("connecting-rods", 10),  # 2 lengths, 3 times 2 bolts, a look, the side play
        ("engine-mounts", 25),  # 8 bolts with locker and pull, 4 nuts, 4 points, a wait
        ("exhaust-manifold", 34),  # 4 times 8, the warm-up, a wait
        ("exhaust-flange", 64),  # 20 pulls, 4 points, a look and a recheck at 20 each, of which some are drawn
        ("flywheel", 21),  # sealant, 2 times 8, 4 points
        ("fuel-unions", 7),  # 3 nuts, a bolt, 3 nuts again
        ("injector-clamps", 30),  # 6 times 2 nuts in 2 rounds and a look
        ("propeller-nut", 5),  # two lengths, a pull, a slot, a look
        ("stern-tube-studs", 42),  # 2 times 6 lengths, 6 pulls, 2 rounds of pressure and look at 6
        ("thrust-block", 15),  # sealant, 2 times 4, end play, 4 marks, a look
        ("trailer-hub", 11),  # 2 times 5, a look
        ("two-heads", 53),  # 2 heads of 4 times 6 and 2 points, one wait
    ],
)
def test_number_of_steps(name: str, steps: int) -> None:
    """Counted by hand."""
    assert steps == steps_of(name)


FRONT = [f"front-head:{each}" for each in range(1, 7)]
REAR = [f"rear-head:{each}" for each in range(1, 7)]


class TestWhatOneShows:
    """What only this sample has is there when it is walked."""

    def test_a_trial_of_the_thrust_block_leaves_out_what_the_final_assembly_has(self) -> None:
        """Sealant, four marks and the second look, and nobody signs."""
        assert 15 - 1 - 4 - 1 == steps_of("thrust-block", trial=True)
        assert not events_of("thrust-block", e.SignedOff, trial=True)

    def test_an_injector_is_pulled_with_its_crowfoot(self) -> None:
        """32 mm more on a lever of 280 mm: 130 lbf·in at the nut are 130 × 280 / 312 = 116.7 on the tool."""
        taken = events_of("injector-clamps", e.ToolTaken)
        settings = {each.value for each in events_of("injector-clamps", e.ToolSet)}

        assert {("w4", "a4")} == {(each.tool.id, each.adapter.id) for each in taken if each.adapter is not None}
        assert {"54", "117"} == settings

    def test_both_heads_are_pulled_in_turn(self) -> None:
        """The front head's first round, then the rear head's, before either gets its second."""
        steps = plan(read_file(sample_named("two-heads").path)[0], "two-heads").steps

        assert [each.stage for each in steps[:6]] == [1] * 6
        assert [each.stage for each in steps[6:12]] == [2] * 6
        assert [each.position for each in steps[:12]] == [*FRONT, *REAR]
