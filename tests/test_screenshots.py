"""The pictures in screenshots/ are ours alone, light enough for a page, and shown in README or docs/."""

from __future__ import annotations

import re
from pathlib import Path

import pytest

ROOT = Path(__file__).parent.parent
PICTURES = sorted(path for path in (ROOT / "screenshots").iterdir() if path.suffix in (".svg", ".png", ".gif"))
MOVING = ROOT / "screenshots" / "walk.gif"
# A frame of a GIF: its label and length, how it is left, hundredths of a second, a colour, an end; then its picture.
FRAME = re.compile(rb"\x21\xf9\x04.(..).\x00\x2c", re.DOTALL)
DRAWN = [path for path in PICTURES if path.suffix == ".svg"]


@pytest.mark.parametrize("path", DRAWN, ids=lambda path: path.stem)
class TestADrawnScreen:
    """What holds for each screen as SVG."""

    def test_its_window_is_called_clampbook(self, path: Path) -> None:
        """No other name stands on the frame around a screen."""
        assert ["Clampbook"] == re.findall(r'text-anchor="middle"[^>]*>([^<]*)<', path.read_text(encoding="utf-8"))

    def test_nothing_is_fetched_to_look_at_it(self, path: Path) -> None:
        """The name of the format is the only address in it; no font is named, and none comes from elsewhere."""
        text = path.read_text(encoding="utf-8")

        assert ["http://www.w3.org/2000/svg"] == re.findall(r"\w+://[^\"')\s]+", text)
        assert ["monospace"] == re.findall(r'font-family="([^"]*)"', text)

    def test_there_is_a_picture_of_points_beside_it(self, path: Path) -> None:
        """Each screen can be shown where no SVG is."""
        assert path.with_suffix(".png") in PICTURES


def test_every_picture_is_light() -> None:
    """None takes more than 300 kB, and the one that moves no more than 700 kB."""
    still = [path for path in PICTURES if path != MOVING]

    assert [] == [path.name for path in still if path.stat().st_size > 300_000]
    assert MOVING.stat().st_size <= 700_000


def test_the_walk_moves_slowly_enough_to_be_read() -> None:
    """Some ten screens, each there for two seconds or three, over and over again."""
    picture = MOVING.read_bytes()
    lasting = [int.from_bytes(hundredths, "little") for hundredths in FRAME.findall(picture)]

    assert 8 <= len(lasting) <= 12
    assert {200, 300} >= set(lasting)
    assert b"NETSCAPE2.0\x03\x01\x00\x00\x00" in picture  # without end


def test_every_screen_is_shown() -> None:
    """The README shows the walk, and no other picture; the page of pictures has each screen, and the first page of
    the report and of a form.
    """
    readme, shown = ((ROOT / page).read_text(encoding="utf-8") for page in ("README.md", "docs/pictures.md"))
    named = set(re.findall(r"\]\(\.\./screenshots/([^)]+)\)", shown))

    assert ["walk.gif"] == re.findall(r"\]\(screenshots/([^)]+)\)", readme)
    assert {path.with_suffix(".png").name for path in DRAWN} | {"report-1.png", "form-1.png"} <= named
