"""The command that helps: a menu of what one may want, a topic to read, or the places where a word stands."""

from __future__ import annotations

import sys
from collections.abc import Iterator, Sequence
from itertools import groupby
from typing import TYPE_CHECKING

import click

from clampbook.commands.completing import topics
from clampbook.commands.exit_status import FINE, LOOK_AT_IT
from clampbook.commands.options import example, json_option, say
from clampbook.streams import json_text

if TYPE_CHECKING:
    from clampbook.help.finding import Place


@click.command("help", epilog=example("help window"))
@click.argument("words", nargs=-1, metavar="[TOPIC or WORD]...", shell_complete=topics)
@json_option
def help_(words: tuple[str, ...], as_json: bool) -> int:
    """Explain a topic, a word or a key.

    Without any: what you may want to do, with its command, and all topics. With the name of a topic: its page. With
    anything else: every place where the words stand.
    """
    from clampbook.help.finding import found
    from clampbook.help.topics import topic_named, without_links

    asked = " ".join(words)
    topic = topic_named(asked)
    places = () if topic is not None or not asked else found(asked)
    if as_json:
        sys.stdout.write(json_text(_object(asked, places), indent=1))
        return FINE if places or topic is not None or not asked else LOOK_AT_IT
    if not asked:
        _paged("\n".join(_menu()))
    elif topic is not None:
        _page(without_links(topic.text))
    elif places:
        _page("\n\n".join(filter(None, (_of_a_command(asked), *_told(places)))))
    else:
        return _nothing(asked)
    return FINE


def _menu() -> Iterator[str]:
    from clampbook.help.topics import TOPICS
    from clampbook.help.wishes import WISHES

    yield "What do I want to do?"
    yield from _columns([(each.wish, f"clampbook {each.command}") for each in WISHES])
    yield ""
    yield "Topics: clampbook help TOPIC"
    yield from _columns([(topic.name, topic.about) for topic in TOPICS])
    yield ""
    yield "Any other word is searched for in all topics: clampbook help WORD"


def _columns(rows: Sequence[tuple[str, str]]) -> Iterator[str]:
    """Two columns, the second folded where the terminal is narrow."""
    from clampbook.commands.folding import columns
    from clampbook.paragraphs import laid

    wide = max(len(left) for left, _ in rows)
    for left, right in rows:
        yield from laid(right, columns(), first=f"  {left:<{wide}}  ", further=" " * (wide + 4))


def _told(places: Sequence[Place]) -> Iterator[str]:
    """The places as a page, those that follow each other under one heading in one piece."""
    for where, near in groupby(places, key=lambda place: place.where):
        yield f"**{where}**"
        yield "\n\n".join(map(_lines, near)).replace("\n\n- ", "\n- ")


def _lines(place: Place) -> str:
    lines = "\n".join(place.lines)
    if place.is_code:
        return f"```text\n{lines}\n```"
    return f"- {': '.join(cell.strip() for cell in lines.strip('| ').split('|'))}" if lines.startswith("|") else lines


def _of_a_command(asked: str) -> str:
    """A line about the command of this name; "" where there is none."""
    from clampbook.commands.by_name import PLACES

    return f"`clampbook {asked} --help` lists the options of this command." if asked in PLACES else ""


def _nothing(asked: str) -> int:
    from clampbook.help.finding import meant

    near = meant(asked)
    say(f"Nothing about “{asked}”. " + (f"Did you mean {near}?" if near else "Try another word, or: clampbook help"))
    return LOOK_AT_IT


def _object(asked: str, places: Sequence[Place]) -> dict[str, object]:
    """The answer as JSON: the topics, or the places."""
    from clampbook.help.topics import TOPICS, topic_named

    topic = topic_named(asked)
    if topic is not None:
        return {"topic": topic.name, "text": topic.text}
    if not asked:
        return {"topics": [{"topic": each.name, "about": each.about} for each in TOPICS]}
    return {
        "places": [
            {"topic": each.topic.name, "heading": each.heading, "text": "\n".join(each.lines)} for each in places
        ]
    }


def _page(markdown: str) -> None:
    """A page as it is written; on a terminal laid out to its width, and through the pager."""
    if not sys.stdout.isatty():
        click.echo(markdown)
        return
    from rich.console import Console
    from rich.markdown import Markdown

    console = Console(color_system=None, force_terminal=False)  # not every pager shows colours
    with console.capture() as laid_out:
        console.print(Markdown(markdown, hyperlinks=False))
    click.echo_via_pager(laid_out.get())


def _paged(text: str) -> None:
    if sys.stdout.isatty():
        click.echo_via_pager(text)
    else:
        click.echo(text)
