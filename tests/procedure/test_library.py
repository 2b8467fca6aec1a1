"""The library as a start for procedures of one's own: what it lists, and the draft that is made of a sample."""

from __future__ import annotations

import re
from pathlib import Path

import pytest
from msgspec.structs import replace

from clampbook.procedure.library import as_a_start, names, sample, samples
from clampbook.procedure.model import Procedure
from clampbook.procedure.reader import read
from clampbook.text import TextFault


def written_as(procedure: Procedure) -> Procedure:
    """The procedure but for what a start says anew."""
    return replace(procedure, revision="", source="", status="draft")


@pytest.mark.parametrize("name", names())
class TestStart:
    """A sample as the first draft of another procedure."""

    def test_it_is_revision_a_a_draft_and_says_that_its_values_are_invented(self, name: str) -> None:
        """So that nobody takes it for their manual."""
        started = read(as_a_start(name).encode())

        assert ("A", "draft", None) == (started.revision, started.status, started.release)
        assert f"Sample {name} (invented): write your manual, its page and the day here" == started.source
        assert f"# Started from the sample {name}." in as_a_start(name).splitlines()[0]

    def test_all_work_stays_as_the_sample_has_it(self, name: str) -> None:
        """Title, groups, stages, questions, follow-ups."""
        assert written_as(read(sample(name).path.read_bytes())) == written_as(read(as_a_start(name).encode()))

    def test_its_comments_stay(self, name: str) -> None:
        """They explain the keys to whoever changes them."""
        comments = [line for line in sample(name).path.read_text(encoding="utf-8").splitlines() if line[:1] == "#"]

        assert {each for each in comments if not each.startswith("# Shows: ")} <= set(as_a_start(name).splitlines())


def test_a_list_has_the_title_that_the_file_has() -> None:
    """Each sample is told by its title and by what it shows."""
    assert [read(each.path.read_bytes()).title for each in samples()] == [each.title for each in samples()]


def test_each_shows_something_of_its_own() -> None:
    """The page of procedures lists them all, with what each file says of itself."""
    page = (Path(__file__).parents[2] / "docs" / "procedures.md").read_text(encoding="utf-8")
    table = page.partition("## The library")[2].partition("\n## ")[0]
    listed = re.findall(r"(?m)^\| `([a-z0-9-]+)` \| (.+) \|$", table)

    assert listed == [(each.name, each.shows) for each in samples()]
    assert len({each.shows for each in samples()} - {""}) == len(samples())


def test_a_wrong_name_is_told_with_the_nearest_and_all_others() -> None:
    """A slip of the finger."""
    with pytest.raises(TextFault) as refused:
        sample("shaft-flang-16")

    assert refused.value.sentence.startswith("no sample “shaft-flang-16”. Did you mean shaft-flange-16? There are: ")
    assert all(name in refused.value.sentence for name in names())


def test_a_part_of_a_name_is_told_with_the_whole() -> None:
    """Nobody remembers all of it."""
    with pytest.raises(TextFault, match="Did you mean whinchat-crank-caps"):
        sample("crank")


def test_nothing_is_guessed_for_what_is_like_none() -> None:
    """The list alone."""
    with pytest.raises(TextFault, match=r"no sample “zzz”\. There are: "):
        as_a_start("zzz")
