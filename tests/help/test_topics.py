"""The topics of the help: the pages of docs/, each named once, in the package too."""

from __future__ import annotations

import tomllib
from pathlib import Path
from shlex import split

import click
import pytest

from clampbook import cli
from clampbook.commands.by_name import PLACES
from clampbook.help.topics import TOPICS, Topic, topic_named, without_links
from clampbook.help.wishes import WISHES, Wish
from clampbook.help.words import WORDS

ROOT = Path(__file__).parents[2]
NO_TOPICS = {"pictures"}  # pages that only show pictures of screens


def test_every_page_is_a_topic_and_lies_in_the_package() -> None:
    """None is forgotten where the program is installed."""
    pages = {path.stem for path in (ROOT / "docs").glob("*.md")} - NO_TOPICS
    settings = tomllib.loads((ROOT / "pyproject.toml").read_text(encoding="utf-8"))
    packed = settings["tool"]["hatch"]["build"]["targets"]["wheel"]["force-include"]

    assert pages == {topic.name for topic in TOPICS}
    assert {f"docs/{name}.md": f"clampbook/help/topics/{name}.md" for name in pages}.items() <= packed.items()


@pytest.mark.parametrize("topic", TOPICS, ids=lambda topic: topic.name)
def test_a_topic_is_read_without_the_marks_of_its_maker(topic: Topic) -> None:
    """It begins with its title, and no comment stands in it."""
    assert topic.text.startswith(f"# {topic.title}\n")
    assert "<!--" not in topic.text


@pytest.mark.parametrize("word", ["words", "Words", "WORDS", "words.md"])
def test_a_topic_is_known_by_its_name_in_any_case(word: str) -> None:
    """So that nobody looks for capitals."""
    found = topic_named(word)

    assert found is not None
    assert "words" == found.name


def test_a_link_says_how_to_read_its_topic() -> None:
    """Where no link can be followed, a command does."""
    assert "See Tools (`clampbook help tools`), README." == without_links(
        "See [Tools](tools.md), [README](../README.md)."
    )


@pytest.mark.parametrize("wish", WISHES, ids=lambda wish: wish.command)
def test_each_wish_is_fulfilled_by_a_command_that_there_is(wish: Wish) -> None:
    """Its options are known too."""
    name, *rest = split(wish.command)
    command = cli.clampbook.get_command(click.Context(cli.clampbook), name)
    assert command is not None

    while isinstance(command, click.Group) and rest:
        command = command.commands[rest.pop(0)]
    command.make_context(name, [word for word in rest if word != "--help"], resilient_parsing=True)


def test_most_commands_have_a_wish() -> None:
    """All but those for which nobody comes: what other commands, a page or a trouble leads to."""
    led_to = {"help", "plan", "schema", "runs", "report", "merge", "seal", "addendum", "close-damaged"}

    assert PLACES.keys() - led_to == {wish.command.split()[0] for wish in WISHES}


def test_each_word_has_a_sentence_that_ends() -> None:
    """A meaning is one line."""
    assert [] == [word for word, meaning in WORDS.items() if not meaning.endswith(".") or "\n" in meaning]
