"""A screen as a picture: the cells of a terminal as SVG, and that as PNG.

Blocks and rules are drawn as shapes, so that no font tears large figures and lines apart; all else is text in whatever
monospaced font there is. The picture names no font and no address, and nothing is fetched to look at it.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from io import BytesIO
from xml.sax.saxutils import escape

from rich.cells import cell_len
from rich.color import Color
from rich.segment import Segment
from rich.style import Style

WIDE, TALL, SIZE = 10.0, 20.0, 16.6  # a cell, and the letters in it
MARGIN, BAR = 15.0, 40.0  # beside the screen, and the bar of the window with its title
_BASE = 15.0  # from the top of a cell to the line that letters stand on
# What a block covers of its cell: left, top, right, bottom.
_BLOCKS = {
    "█": (0.0, 0.0, 1.0, 1.0),
    "▀": (0.0, 0.0, 1.0, 0.5),
    "▌": (0.0, 0.0, 0.5, 1.0),
    "▐": (0.5, 0.0, 1.0, 1.0),
    **{block: (0.0, 1 - eighths / 8, 1.0, 1.0) for eighths, block in enumerate("▁▂▃▄▅▆▇", 1)},
    "▔": (0.0, 0.0, 1.0, 0.125),
    "▏": (0.0, 0.0, 0.125, 1.0),
    "▕": (0.875, 0.0, 1.0, 1.0),
}
COLOURS = 128  # of a picture that moves
_LINE = 0.08  # half the thickness of a rule, as a share of a cell's width
_HEAVY = 0.15  # the same of a heavy one
# Which sides a rule reaches from the middle of its cell: left, up, right, down.
_RULES = {
    "─": "lr",
    "│": "ud",
    "┌": "rd",
    "┐": "ld",
    "└": "ru",
    "┘": "lu",
    "├": "udr",
    "┤": "udl",
    "┬": "lrd",
    "┴": "lru",
    "┼": "lrud",
    "╭": "rd",
    "╮": "ld",
    "╰": "ru",
    "╯": "lu",
    "━": "lr",
    "┃": "ud",
    "┏": "rd",
    "┓": "ld",
    "┗": "ru",
    "┛": "lu",
}
_HEAVY_ONES, _ROUND_ONES = "━┃┏┓┗┛", "╭╮╰╯"


@dataclass(frozen=True, slots=True)
class Ground:
    """The colours of a window where a cell has none of its own."""

    ink: str
    paper: str
    bar: str
    quiet: str


@dataclass(frozen=True, slots=True)
class Run:
    """Neighbouring cells of one look."""

    text: str
    row: int
    column: int
    ink: str
    paper: str
    style: Style

    @property
    def left(self) -> float:
        """Where it begins."""
        return MARGIN + self.column * WIDE

    @property
    def top(self) -> float:
        """Its upper edge."""
        return BAR + MARGIN + self.row * TALL

    @property
    def width(self) -> float:
        """How wide it is."""
        return cell_len(self.text) * WIDE


def svg(rows: Iterable[Iterable[Segment]], columns: int, ground: Ground, title: str) -> str:
    """The rows of a screen in a window with a title."""
    lines = [list(row) for row in rows]
    width, height = 2 * MARGIN + columns * WIDE, BAR + 2 * MARGIN + len(lines) * TALL
    parts = [
        f'<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 {width:g} {height:g}" width="{width:g}" '
        f'height="{height:g}" role="img" aria-label="{escape(title)}">',
        f'<rect width="{width:g}" height="{height:g}" rx="8" fill="{ground.bar}"/>',
        f'<rect x="1" y="{BAR:g}" width="{width - 2:g}" height="{height - BAR - 1:g}" rx="7" fill="{ground.paper}"/>',
        f'<g font-family="monospace" font-size="{SIZE:g}" shape-rendering="crispEdges" xml:space="preserve">',
        f'<text x="{width / 2:g}" y="26" text-anchor="middle" fill="{ground.quiet}">{escape(title)}</text>',
    ]
    for number, line in enumerate(lines):
        for run in _runs(line, number, ground):
            parts.extend(_drawn(run, ground))
    return "\n".join((*parts, "</g>", "</svg>", ""))


def png(picture: str, scale: float) -> bytes:
    """The same as points."""
    from cairosvg import svg2png

    made = svg2png(bytestring=picture.encode(), scale=scale)
    assert isinstance(made, bytes)
    return made


def moving(frames: Sequence[tuple[bytes, float]]) -> bytes:
    """Pictures of points, each with its seconds, one after the other and over again."""
    from PIL import Image

    shown = [Image.open(BytesIO(frame)).convert("RGBA") for frame, _ in frames]
    width, height = shown[0].size
    flat = [Image.alpha_composite(Image.new("RGBA", each.size, "black"), each).convert("RGB") for each in shown]
    together = Image.new("RGB", (width, height * len(flat)))
    for place, each in enumerate(flat):
        together.paste(each, (0, height * place))
    colours = together.quantize(COLOURS, Image.Quantize.MAXCOVERAGE)
    first, *rest = (each.quantize(palette=colours, dither=Image.Dither.NONE) for each in flat)
    lasting = [round(seconds * 1000) for _, seconds in frames]
    made = BytesIO()
    first.save(made, "GIF", save_all=True, append_images=rest, duration=lasting, loop=0, optimize=True)
    return made.getvalue()


def _runs(line: list[Segment], row: int, ground: Ground) -> Iterator[Run]:
    column = 0
    for text, style, control in line:
        if control:
            continue
        look = style if style is not None else Style()
        ink, paper = _hex(look.color, ground.ink), _hex(look.bgcolor, ground.paper)
        if look.reverse:
            ink, paper = paper, ink
        yield Run(text, row, column, ink, paper, look)
        column += cell_len(text)


def _hex(colour: Color | None, otherwise: str) -> str:
    if colour is None or colour.is_default:
        return otherwise
    return colour.get_truecolor().hex


def _drawn(run: Run, ground: Ground) -> Iterator[str]:
    if run.paper.casefold() != ground.paper.casefold():
        yield _rect(run.left, run.top, run.width, TALL, run.paper)
    words, shapes = "", []
    for sign in run.text:
        shaped = sign in _BLOCKS or sign in _RULES
        if shaped:
            shapes.append((sign, run.left + cell_len(words) * WIDE))
        words += " " if shaped else sign
    yield from _joined(shapes, run)
    yield from _text(words, run)
    if run.style.underline:
        yield _rect(run.left, run.top + _BASE + 2.5, run.width, 1.25, run.ink)


def _joined(shapes: list[tuple[str, float]], run: Run) -> Iterator[str]:
    """Shapes; equal ones side by side as one."""
    at = 0
    while at < len(shapes):
        sign, left = shapes[at]
        many = 1
        while at + many < len(shapes) and shapes[at + many] == (sign, left + many * WIDE):
            many += 1
        if sign in _BLOCKS and _BLOCKS[sign][0] == 0 and _BLOCKS[sign][2] == 1:
            _, top, _, bottom = _BLOCKS[sign]
            yield _rect(left, run.top + top * TALL, many * WIDE, (bottom - top) * TALL, run.ink)
        else:
            for each in range(many):
                yield from _shape(sign, left + each * WIDE, run)
        at += many


def _shape(sign: str, left: float, run: Run) -> Iterator[str]:
    if sign in _BLOCKS:
        x1, y1, x2, y2 = _BLOCKS[sign]
        yield _rect(left + x1 * WIDE, run.top + y1 * TALL, (x2 - x1) * WIDE, (y2 - y1) * TALL, run.ink)
        return
    sides = _RULES[sign]
    half = (_HEAVY if sign in _HEAVY_ONES else _LINE) * WIDE
    x, y = left + WIDE / 2, run.top + TALL / 2
    if sign in _ROUND_ONES:
        across, down = (left if "l" in sides else left + WIDE), (run.top if "u" in sides else run.top + TALL)
        yield _bend((x, down), (x, y), (across, y), 2 * half, run.ink)
        return
    if "l" in sides or "r" in sides:
        begin, end = (left if "l" in sides else x - half), (left + WIDE if "r" in sides else x + half)
        yield _rect(begin, y - half, end - begin, 2 * half, run.ink)
    if "u" in sides or "d" in sides:
        begin, end = (run.top if "u" in sides else y - half), (run.top + TALL if "d" in sides else y + half)
        yield _rect(x - half, begin, 2 * half, end - begin, run.ink)


def _text(words: str, run: Run) -> Iterator[str]:
    """Each stretch of words at its own place, so that another font shifts nothing."""
    look = ' font-weight="bold"' if run.style.bold else ""
    look += ' font-style="italic"' if run.style.italic else ""
    look += ' opacity="0.6"' if run.style.dim else ""
    at = 0
    for stretch in words.split("  "):
        bare = stretch.strip()
        if bare:
            left = run.left + cell_len(words[:at]) * WIDE + (len(stretch) - len(stretch.lstrip())) * WIDE
            length = cell_len(bare) * WIDE
            yield (
                f'<text x="{left:.4g}" y="{run.top + _BASE:.4g}" textLength="{length:.4g}" '
                f'lengthAdjust="spacingAndGlyphs" fill="{run.ink}"{look}>{escape(bare)}</text>'
            )
        at += len(stretch) + 2


def _bend(
    begin: tuple[float, float], towards: tuple[float, float], end: tuple[float, float], wide: float, ink: str
) -> str:
    (x1, y1), (x, y), (x2, y2) = begin, towards, end
    way = f"M{x1:.5g} {y1:.5g}V{y + (y1 - y) / 2:.5g}Q{x:.5g} {y:.5g} {x2:.5g} {y2:.5g}"
    return f'<path d="{way}" fill="none" stroke="{ink}" stroke-width="{wide:.5g}" shape-rendering="auto"/>'


def _rect(left: float, top: float, width: float, height: float, colour: str) -> str:
    return f'<rect x="{left:.5g}" y="{top:.5g}" width="{width:.5g}" height="{height:.5g}" fill="{colour}"/>'
