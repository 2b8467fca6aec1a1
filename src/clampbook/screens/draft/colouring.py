"""The colours of TOML in a draft: few, and none that means something elsewhere on the screens."""

from __future__ import annotations

from rich.style import Style
from textual._text_area_theme import TextAreaTheme

from clampbook.screens.theme import TONES

_WITHOUT_COLOUR = "without colour"


def colouring(shop: str, *, without_colour: bool) -> TextAreaTheme:
    """The colouring in one of our two looks; without colour the same by bold and italic letters alone."""
    tones = TONES[shop]

    def ink(tone: str, *, bold: bool = False, italic: bool = False) -> Style:
        return Style(color=None if without_colour else tones[tone], bold=bold or None, italic=italic or None)

    key, figure = ink("ink", bold=True), ink("figure")
    return TextAreaTheme(
        name=_WITHOUT_COLOUR if without_colour else shop,
        syntax_styles={
            "toml.type": key,
            "property": key,
            "string": ink("said"),
            "number": figure,
            "float": figure,
            "boolean": figure,
            "toml.datetime": figure,
            "comment": ink("quiet", italic=True),
            "operator": ink("quiet"),
            "punctuation.bracket": ink("quiet"),
            "punctuation.delimiter": ink("quiet"),
            "toml.error": Style(underline=True),
        },
    )
