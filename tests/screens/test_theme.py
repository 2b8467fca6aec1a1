"""The two shops: what can be read on them, and that nothing of the toolkit's own looks is left."""

from __future__ import annotations

import colorsys

import pytest
from rich.color import Color as TerminalColour
from rich.color import ColorSystem
from textual.app import App
from textual.color import Color

from clampbook.screens import theme

# Okabe and Ito, "Color Universal Design" (2008): sky blue, vermilion, reddish purple.
OKABE_ITO = {"under": "#56B4E9", "over": "#D55E00", "concession": "#CC79A7"}


def light(colour: str) -> float:
    """Relative luminance, WCAG 2.1, "relative luminance"."""
    red, green, blue = (
        part / 12.92 if part <= 0.03928 else ((part + 0.055) / 1.055) ** 2.4 for part in Color.parse(colour).normalized
    )
    return 0.2126 * red + 0.7152 * green + 0.0722 * blue


def contrast(one: str, two: str) -> float:
    """Contrast ratio, WCAG 2.1, "contrast ratio"."""
    darker, lighter = sorted((light(one), light(two)))
    return (lighter + 0.05) / (darker + 0.05)


def hue(colour: str) -> float:
    """The hue in degrees."""
    return colorsys.rgb_to_hls(*Color.parse(colour).normalized)[0] * 360


@pytest.mark.parametrize("shop", theme.TONES)
class TestEveryShop:
    """What holds in the dark and in the bright one."""

    @pytest.mark.parametrize("behind", ["ground", "raised"])
    @pytest.mark.parametrize("tone", ["ink", "quiet", "under", "over", "concession"])
    def test_every_tone_can_be_read_on_whatever_lies_behind(self, shop: str, tone: str, behind: str) -> None:
        """Each tone has at least the 4.5 to 1 of contrast that small text needs (WCAG 2.1, 1.4.3), reversed as well."""
        tones = theme.TONES[shop]

        assert contrast(tones[tone], tones[behind]) >= 4.5

    @pytest.mark.parametrize("tone", OKABE_ITO)
    def test_what_calls_for_a_look_keeps_its_hue(self, shop: str, tone: str) -> None:
        """Only the lightness of the published colours is changed, so that the same eyes can tell them apart."""
        assert hue(theme.TONES[shop][tone]) == pytest.approx(hue(OKABE_ITO[tone]), abs=1)

    @pytest.mark.parametrize("tone", ["ink", "quiet", "under", "over", "concession"])
    def test_sixteen_colours_never_hide_a_tone(self, shop: str, tone: str) -> None:
        """Brought down to sixteen colours, no tone falls on the colour of the ground."""
        tones = theme.TONES[shop]
        brought_down = {
            name: TerminalColour.parse(tones[name]).downgrade(ColorSystem.STANDARD).number for name in (tone, "ground")
        }

        assert brought_down[tone] != brought_down["ground"]


def test_the_dark_shop_has_the_published_colours_unchanged() -> None:
    """On the dark ground nothing has to be adjusted."""
    assert {tone: theme.TONES[theme.DARK_SHOP][tone] for tone in OKABE_ITO} == OKABE_ITO


def test_only_our_two_looks_are_left() -> None:
    """The toolkit's own looks, with other projects' names, are gone."""
    app: App[None] = App()

    theme.register(app)

    assert ({"dark shop", "bright shop"}, "dark shop") == (set(app.available_themes), app.theme)


def test_each_shop_leads_to_the_other() -> None:
    """One key changes between the two."""
    assert ("bright shop", "dark shop") == (theme.other("dark shop"), theme.other("bright shop"))


@pytest.mark.parametrize(("environment", "plain"), [({}, False), ({"NO_COLOR": ""}, False), ({"NO_COLOR": "1"}, True)])
def test_no_colour_is_asked_for_by_a_value(environment: dict[str, str], plain: bool) -> None:
    """NO_COLOR counts when it is set and not empty (no-color.org)."""
    assert plain == theme.without_colour(environment)
