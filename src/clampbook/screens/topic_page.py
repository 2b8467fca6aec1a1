"""A topic of the help to read, laid out piece by piece so that nothing below it waits; Esc goes back."""

from __future__ import annotations

from pathlib import PurePath
from typing import ClassVar

from textual.app import ComposeResult
from textual.binding import Binding, BindingType
from textual.content import Content
from textual.widgets import Markdown, MarkdownViewer
from textual.widgets.markdown import MarkdownBlock, MarkdownFence, MarkdownTableOfContents

from clampbook.help.pieces import piece_with, pieces
from clampbook.help.topics import Topic, topic_named
from clampbook.screens.page import KEYS, Page
from clampbook.screens.widgets.bottom_line import BottomLine, KeyHint
from clampbook.screens.widgets.sentence import Sentence

_TURN = KeyHint("← →", "part")


class _Code(MarkdownFence):
    """A piece of code in the one ink of all text: colours mean something else here."""

    @classmethod
    def highlight(cls, code: str, language: str, ansi: bool = False, dark: bool = False) -> Content:
        """The code as it is."""
        del language, ansi, dark
        return Content(code)


_BLOCKS: dict[str, type[MarkdownBlock]] = {**Markdown.BLOCKS, "fence": _Code, "code_block": _Code}


class _Page(Markdown):
    """The toolkit's Markdown with our code."""

    BLOCKS: dict[str, type[MarkdownBlock]] = _BLOCKS


class _Viewer(MarkdownViewer, can_focus=False, can_focus_children=False):
    """The toolkit's viewer of Markdown; a link leads to another topic, and nowhere else."""

    def compose(self) -> ComposeResult:
        """The page and, out of sight, the list of its headings that the toolkit fills."""
        page = _Page(open_links=False)
        yield page
        yield MarkdownTableOfContents(page)

    async def go(self, location: str | PurePath) -> None:
        """Open the topic that a link names."""
        topic = topic_named(str(location).partition("#")[0])
        if topic is not None:
            self.app.push_screen(TopicPage(topic))


class TopicPage(Page, inherit_bindings=True):
    """One piece of a topic at a time, from the one with `line` of the page on."""

    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("right", "piece(1)", show=False),
        Binding("left", "piece(-1)", show=False),
    ]

    def __init__(self, topic: Topic, line: int = 0) -> None:
        super().__init__(topic.title, ())
        self.topic = topic
        self._pieces = pieces(topic)
        self._at = piece_with(line, self._pieces)
        self._line = line

    def compose(self) -> ComposeResult:
        """The title, the piece, the keys."""
        yield Sentence(self._title())
        yield _Viewer(self._shown(), id="topic", show_table_of_contents=False)
        yield BottomLine(KEYS if len(self._pieces) == 1 else (_TURN, *KEYS))

    def on_mount(self) -> None:
        """The line that was asked for is the first one shown."""
        self.call_after_refresh(self._to_line)

    async def action_turn(self, pages: int) -> None:
        """A page on; at the end of a piece the next one."""
        if self.moved.scroll_y < self.moved.max_scroll_y if pages > 0 else self.moved.scroll_y > 0:
            await super().action_turn(pages)
        else:
            await self.action_piece(pages)

    async def action_piece(self, pieces: int) -> None:
        """A piece on, from its beginning."""
        at = self._at + pieces
        if not 0 <= at < len(self._pieces):
            return
        self._at = at
        self.query_one(Sentence).say(self._title(), self.size.width)
        await self.moved.document.update(self._shown())
        self.moved.scroll_to(y=0, animate=False)

    @property
    def moved(self) -> _Viewer:
        """The piece, which moves below the title."""
        return self.query_one("#topic", _Viewer)

    def _shown(self) -> str:
        """The piece without the title of the page, which stands above it."""
        text = self._pieces[self._at].text
        return text.partition("\n")[2] if text.startswith("# ") else text

    def _title(self) -> str:
        of = len(self._pieces)
        return self.topic.title if of == 1 else f"{self.topic.title} · part {self._at + 1} of {of}"

    def _to_line(self) -> None:
        first = self._pieces[self._at].first
        line = self._line - max(first, 1)  # the title is not among the lines that are shown
        around = [block for block in self.moved.query(MarkdownBlock) if _has(block, line)]
        if self._line > 0 and around:
            self.moved.scroll_to_widget(around[-1], animate=False, top=True)


def _has(block: MarkdownBlock, line: int) -> bool:
    first, after = block.source_range
    return first <= line < after
