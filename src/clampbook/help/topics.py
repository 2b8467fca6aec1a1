"""The topics of the help: pages in Markdown, which are those of docs/."""

from __future__ import annotations

import re
from collections.abc import Iterable
from dataclasses import dataclass
from functools import cache
from pathlib import Path

_COMMENT = re.compile(r"<!--.*?-->\n?", re.DOTALL)
_LINK = re.compile(r"\[([^\]\n]+)\]\(([^)\n]+)\)")
_TITLE = re.compile(r"# (.+)\n")


@dataclass(frozen=True, slots=True)
class Topic:
    """A page by its short name, with one line about it. `name` is also that of its file, without the ending."""

    name: str
    about: str

    @property
    def text(self) -> str:
        """The page, without what only its maker reads."""
        return _text(self.name)

    @property
    def title(self) -> str:
        """Its first heading."""
        found = _TITLE.match(self.text)
        return found[1] if found else self.name


TOPICS = (
    Topic("start", "From the demo to your own joint"),
    Topic("keys", "What to press and what to type"),
    Topic("procedures", "Every key of a procedure file, review and release"),
    Topic("sequences", "In which order bolts are pulled, with pictures"),
    Topic("tools", "tools.toml, states, checks, affected work"),
    Topic("records", "Folders, fields, signatures, and what they prove"),
    Topic("fleet", "Many books as one dataset, and what to ask of it"),
    Topic("trouble", "On the joint, with a tool, on the disk"),
    Topic("words", "What each word means here"),
    Topic("commands", "What each command is for, exit statuses"),
    Topic("fields", "Of the JSON objects, and columns of the CSV"),
)


def topic_named(word: str) -> Topic | None:
    """The topic with this name or title, in any case; None where there is none."""
    meant = word.casefold().removesuffix(".md")
    return next((each for each in TOPICS if meant in (each.name, each.title.casefold())), None)


def names() -> Iterable[str]:
    """The short names of all topics."""
    return (each.name for each in TOPICS)


@cache
def _text(name: str) -> str:
    return _COMMENT.sub("", (_folder() / f"{name}.md").read_text(encoding="utf-8"))


def without_links(text: str) -> str:
    """The text for where no link can be followed: of a topic it says how to read it."""
    return _LINK.sub(_followed, text)


def _followed(link: re.Match[str]) -> str:
    topic = topic_named(link[2])
    return link[1] if topic is None else f"{link[1]} (`clampbook help {topic.name}`)"


def _folder() -> Path:
    """The pages beside this module, where they are installed; in a checkout they are those of docs/."""
    here = Path(__file__).parent / "topics"
    return here if here.is_dir() else Path(__file__).parents[3] / "docs"
