"""A text that moves what stands around it only where it takes another number of rows than the text before."""

from __future__ import annotations

from rich.segment import Segment
from textual.content import Content
from textual.strip import Strip
from textual.widgets import Static

from clampbook.paragraphs import laid


class TextBlock(Static):
    """Text without markup; the same text again paints nothing."""

    def __init__(self, content: Content | None = None, *, id: str | None = None, classes: str | None = None) -> None:
        super().__init__(content or "", markup=False, id=id, classes=classes)
        self._stands = content

    def put(self, content: Content) -> None:
        """Put this text in place of the one before."""
        before, width = self._stands, self.size.width
        if before is not None and before.is_same(content):
            return
        self._stands = content
        # Compared with the text before, not with the rows of the widget: those are of the last layout, which may be
        # older than the text before.
        keeps = before is not None and bool(width) and rows_of(before, width) == rows_of(content, width)
        if not keeps:
            # The toolkit counts changes until its next turn as one, and takes what it measured after the first of them
            # for good; when the terminal is resized it measures in between.
            self._layout_required = False
        self.update(content, layout=not keeps)

    def render_line(self, y: int) -> Strip:
        """A plain text of one row as it is: the toolkit would look for places to break it, and for a selection."""
        text = self._stands
        if y or text is None or text.spans or text.cell_length > self.size.width or not text.plain.isprintable():
            return super().render_line(y)
        return Strip([Segment(text.plain, self.visual_style.rich_style)], text.cell_length)


def in_lines(text: str, columns: int) -> Content:
    """A text in lines of so many columns: the toolkit would part a number from its unit. A screen that is not there yet
    has none."""
    return Content(text if columns < 1 or len(text) <= columns else "\n".join(laid(text, columns, cut=True)))


def rows_of(content: Content, width: int) -> int:
    """Rows that a text takes at a width."""
    if "\n" not in content.plain and content.cell_length <= width:
        return 1
    return content.get_height({}, width)
