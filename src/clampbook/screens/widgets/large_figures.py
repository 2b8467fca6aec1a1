"""A large figure with what belongs to it: its unit beside it, what it is, and a thick frame where it is a place."""

from __future__ import annotations

from msgspec import Struct
from rich.cells import cell_len, set_cell_size
from textual.geometry import Size
from textual.strip import Strip

from clampbook.run.told.words import Figure
from clampbook.screens.widgets.drawn_rows import DrawnRows, Row
from clampbook.screens.widgets.figures import SMALL, TALL, Height, large, tallest
from clampbook.screens.widgets.slim_figures import ROWS, covers_slim, slim
from clampbook.text import printable

BESIDE = 3  # blanks between the figures and what stands beside them
FRAME = 2  # rows and columns that a frame takes, its blanks apart
_PAD = 2  # blanks within a frame on either side, one of them in a small one


class Stand(Struct, frozen=True):
    """The stand of a figure: at most this tall (None: bold text), its unit large beside it, as text there, or with
    all else in a line below; `kind_beside`: what it is stands beside its frame, else in its lower edge."""

    most: Height | None = TALL
    unit: str = "text"  # "large", "text" or "below"
    kind_beside: bool = False


def drawn(figure: Figure, stand: Stand, width: int) -> tuple[str, ...]:
    """All lines of the figure at this width."""
    height = tallest(((figure.text, width - (frame_columns(stand.most) if figure.framed else 0)),), stand.most or SMALL)
    if stand.most is None or height is None or not figure.text:
        return _as_text(figure, width)
    rows = large(figure.text, height)
    if figure.framed:
        return _framed(figure, rows, stand, height)
    beside = _beside(figure, height, stand)
    if beside:
        rows = tuple(f"{row}{' ' * BESIDE}{told}".rstrip() for row, told in zip(rows, beside, strict=True))
    below = told_below(figure) if stand.unit == "below" else ""
    return (*rows, below) if below else rows


def columns_of(figure: Figure, stand: Stand) -> int:
    """Columns that it takes at the height it stands in."""
    return max(map(cell_len, drawn(figure, stand, 10_000)), default=0)


def frame_columns(height: Height | None) -> int:
    """Columns of a frame and the blanks within."""
    return FRAME + 2 * _pad(height)


def told_below(figure: Figure) -> str:
    """Give what stands below a figure beside which there is no room: what it is, its unit and its tool."""
    unit = " ".join(part for part in (figure.unit, figure.beside) if part)
    return printable(", ".join(part for part in (figure.caption, unit) if part))


def _pad(height: Height | None) -> int:
    return _PAD if height is not None and height.rows > ROWS else 1


def _as_text(figure: Figure, width: int) -> tuple[str, ...]:
    text = printable(" ".join(part for part in (figure.text, figure.unit, figure.beside) if part))
    if figure.framed:
        text = f"┃ {printable(figure.text)} ┃"
    caption = printable(", ".join(part for part in (figure.caption, figure.kind) if part))
    both = f"{text}  {caption}" if caption else text
    return (both,) if cell_len(both) <= width else tuple(part for part in (text, caption) if part)


def _beside(figure: Figure, height: Height, stand: Stand) -> tuple[str, ...]:
    """A line for each row of the figure: what it is at the top, unit and tool at the foot."""
    if stand.unit == "below":
        return ()
    unit, tool, caption = (printable(each) for each in (figure.unit, figure.beside, figure.caption))
    if stand.unit == "large" and covers_slim(figure.unit) and height.rows > ROWS:
        free = height.rows - ROWS - bool(caption) - bool(tool)
        return (*([caption] if caption else []), *("",) * free, *([tool] if tool else []), *slim(figure.unit))
    foot = [each for each in (unit, tool) if each]
    above = [caption] if caption else []
    while len(above) + len(foot) > height.rows:
        above, foot = [], [" ".join(foot)]
    return (*above, *("",) * (height.rows - len(above) - len(foot)), *foot)


def _framed(figure: Figure, rows: tuple[str, ...], stand: Stand, height: Height) -> tuple[str, ...]:
    pad = " " * _pad(height)
    inner = len(rows[0]) + 2 * len(pad)
    kind = printable(figure.kind)
    in_edge = bool(kind) and not stand.kind_beside and cell_len(kind) + 2 <= inner
    lower = f" {kind} ".center(inner, "━") if in_edge else "━" * inner
    lines = [f"┏{'━' * inner}┓", *(f"┃{pad}{row}{pad}┃" for row in rows), f"┗{lower}┛"]
    if kind and not in_edge:
        lines[len(lines) // 2] += f"  {kind}"
    return tuple(lines)


class LargeFigures(DrawnRows):
    """One figure after the other. `plain` says the same in words."""

    def __init__(self, figure: Figure | None = None, *, id: str | None = None) -> None:
        super().__init__(id=id)
        self.figure, self.stand = figure or Figure(""), Stand()

    def show(self, figure: Figure, stand: Stand | None = None) -> None:
        """Show another figure; the same one again paints nothing."""
        wanted = (figure, stand or Stand())
        if wanted != (self.figure, self.stand):
            before = self._own_columns()
            self.figure, self.stand = wanted
            self.draw(moved=self._own_columns() != before)

    def _own_columns(self) -> tuple[int, Stand]:
        """Columns that are its own, in which stand: in a share of the row a wider sign moves nothing."""
        return (columns_of(self.figure, self.stand) if self.styles.is_auto_width else 0), self.stand

    @property
    def plain(self) -> str:
        """The text, its unit and the rest, on one line, for tests and screen readers."""
        figure = self.figure
        told = " ".join(part for part in (figure.text, figure.unit, figure.beside) if part)
        return "  ".join(part for part in (told, figure.caption, figure.kind) if part)

    def lines(self, width: int) -> tuple[str, ...]:
        """All that stands there at this width."""
        return drawn(self.figure, self.stand, width)

    def get_content_width(self, container: Size, viewport: Size) -> int:  # noqa: ARG002
        return max(map(cell_len, self.lines(container.width)), default=0)

    def get_content_height(self, container: Size, viewport: Size, width: int) -> int:  # noqa: ARG002
        return len(self.lines(width))

    def rows(self, size: Size) -> tuple[Row, ...]:
        """Give the figure, bold where it stands as text or in a frame; a line too long is cut, and says so."""
        lines = self.lines(size.width)
        tone = "bold" if len(lines) < SMALL.rows or self.figure.framed else ""
        return tuple(((_cut(line, size.width), tone),) for line in lines)

    def render_line(self, y: int) -> Strip:
        return self.inked(y)


def _cut(line: str, width: int) -> str:
    return line if cell_len(line) <= width else f"{set_cell_size(line, max(width - 1, 0))}…"
