"""The two looks of the program, a dark and a bright shop. Every colour of the screens stands here and nowhere else.

Colour is quiet while all is well: only under, over and concession have one (Okabe and Ito's set, which colour-blind
people can tell apart), and in the text of a draft what is said, and its figures. In the bright shop they keep their
hue and are darkened until they read on paper.
"""

from __future__ import annotations

import os
from collections.abc import Mapping
from typing import Any, Final

from textual.app import App
from textual.theme import Theme

DARK_SHOP: Final = "dark shop"
BRIGHT_SHOP: Final = "bright shop"


def _shop(name: str, *, dark: bool, tones: Mapping[str, str]) -> Theme:
    """A theme from its few tones; whatever the toolkit would tint by itself is set to one of them."""
    ink, ground, quiet, raised = (tones[tone] for tone in ("ink", "ground", "quiet", "raised"))
    return Theme(
        name=name,
        dark=dark,
        primary=quiet,
        secondary=quiet,
        accent=ink,
        warning=tones["over"],
        error=tones["over"],
        success=ink,
        foreground=ink,
        background=ground,
        surface=ground,
        panel=raised,
        boost=ground,
        variables={
            **tones,
            "text": ink,
            "text-muted": quiet,
            "text-disabled": quiet,
            "foreground-muted": quiet,
            "foreground-disabled": quiet,
            "border": ink,
            "border-blurred": quiet,
            "block-cursor-foreground": ground,
            "block-cursor-background": ink,
            "block-cursor-blurred-foreground": ink,
            "block-cursor-blurred-background": raised,
            "input-cursor-foreground": ground,
            "input-cursor-background": ink,
            "input-selection-foreground": ground,
            "input-selection-background": quiet,
            "scrollbar": quiet,
            "scrollbar-hover": quiet,
            "scrollbar-active": ink,
            "scrollbar-background": raised,
            "link-color": ink,
            "screen-selection-foreground": ground,
            "screen-selection-background": quiet,
        },
    )


TONES: Final[dict[str, dict[str, str]]] = {
    DARK_SHOP: {
        "ink": "#ECEAE4",
        "ground": "#121416",
        "quiet": "#A3A5A6",
        "raised": "#17191D",
        "under": "#56B4E9",
        "over": "#D55E00",
        "concession": "#CC79A7",
        "said": "#C9B98A",
        "figure": "#A8C5B0",
    },
    BRIGHT_SHOP: {
        "ink": "#17191C",
        "ground": "#FAF8F2",
        "quiet": "#5A5D61",
        "raised": "#F0EDE4",
        "under": "#1571A5",
        "over": "#B04E00",
        "concession": "#AF437F",
        "said": "#6B5410",
        "figure": "#2F6048",
    },
}
SHOPS: Final = tuple(_shop(name, dark=name == DARK_SHOP, tones=tones) for name, tones in TONES.items())


def register(app: App[Any], first: str = DARK_SHOP) -> None:
    """Give the app our two looks and take the toolkit's own away; `first` is the one it starts with."""
    for shop in SHOPS:
        app.register_theme(shop)
    # Nothing is drawn yet: set plainly, all styles would be read a second time.
    app.set_reactive(App.theme, first)
    app.stylesheet.set_variables(app.get_css_variables())
    ours = {shop.name for shop in SHOPS}
    for name in app.available_themes:
        if name not in ours:
            app.unregister_theme(name)


def other(name: str) -> str:
    """The other one of our two looks."""
    return BRIGHT_SHOP if name == DARK_SHOP else DARK_SHOP


def without_colour(environment: Mapping[str, str] = os.environ) -> bool:
    """True where the person asked for no colour at all (NO_COLOR set and not empty, as on no-color.org).

    Hand it to the app as `ansi_color=True if without_colour() else None`: then nothing but the terminal's own
    foreground and background is sent, with bold, underline and reverse.
    """
    return bool(environment.get("NO_COLOR"))
