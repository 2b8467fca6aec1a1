"""The signs that the report's one typeface can draw; every other is written out, so that a report never fails on it.

The typeface is the sans that the typesetter brings along, in its upright and its bold cut.
"""

from __future__ import annotations

import re
from collections.abc import Iterator
from itertools import chain

from clampbook.text import printable

# Code points that both cuts draw, without those that `printable` writes out; hexadecimal, ends included.
_DRAWN = """
20-7e a0-ac ae-1c3 1cd-1e3 1e6-1f0 1f4-1f6 1f8-1f9 1fc-221 224-241 243-245 24c-24d 250-2b9 2bb-2c1 2c6-2c9
2cc-2d3 2d6-2de 2e0-2e9 2ee 2f3 300-33f 343 358 361 374-377 37a-37f 384-38a 38c 38e-3a1 3a3-3ce 3d0-3e1 3f0-45f
462-463 472-473 490-49b 4a2-4a5 4aa-4b3 4ba-4bb 4c0-4c4 4c7-4c8 4cb-4cc 4cf-4f9 510-511 51a-51d 531-556 559-55f
561-587 589-58a 606-607 609-60a 60c 615 61b 61f 621-63a 640-655 65a 660-66d 674 679-67b 67e-680 683-684 686-687
691 698 6a4 6a9 6af 6be 6cc 6f0-6f9 e3f e81-e82 e84 e87-e88 e8a e8d e94-e97 e99-e9f ea1-ea3 ea5 ea7 eaa-eab
ead-eb9 ebb-ebc ec8-ecd 10d0-10fc 1d02 1d08-1d09 1d14 1d16-1d17 1d1d-1d1f 1d2c-1d2e 1d30-1d3c 1d3e-1d5b
1d62-1d65 1d77-1d78 1d7b 1d85 1d9b-1db7 1db9-1dbf 1e00-1e13 1e18-1e2d 1e30-1e4d 1e54-1e63 1e68-1e79 1e7c-1e99
1e9b 1e9f-1ea1 1eac-1ead 1eb0-1eb1 1eb6-1eb9 1ebc-1ebd 1ec6-1ec7 1eca-1ecd 1ed8-1edd 1ee0-1ee5 1ee8-1eeb
1eee-1ef5 1ef8-1ef9 1f00-1f15 1f18-1f1d 1f20-1f45 1f48-1f4d 1f50-1f57 1f59 1f5b 1f5d 1f5f-1f7d 1f80-1fb4
1fb6-1fc4 1fc6-1fd3 1fd6-1fdb 1fdd-1fef 1ff2-1ff4 1ff6-1ffe 2000-200a 2010-2023 2026 202f-2037 2039-203a
203c-203f 2045-2049 204b 205f 2070-2071 2074-208e 2090-209c 20a0-20b5 20b8-20ba 20bd 2102 2105 210d-210f
2115-2117 2119-211a 211d 2122 2124 2126 212a-212b 212e 2148 2150-2151 2153-215f 2189 2190-2213 2215 2217-2220
2223 2227-222d 2234-223d 2241-2269 226d-228b 228d-22a5 22b2-22b5 22b8 22c2-22c6 22cd-22d1 22da-22e9 22ef
2300-2306 2308-2315 2318-2319 231c-2321 2325-2328 232b 2335-237a 237d 2380-2383 2388-238b 2395 239b-23ae
23ce-23cf 2423 2500-262f 2638-268b 2690-269c 26a0-26a1 26b0-26b1 2701-2704 2706-2709 270c-2727 2729-274b 274d
274f-2752 2756 2758-275e 2761-2775 2794 2798-27af 27b1-27be 27c2 27c5-27c6 27dc 27e0 27e6-27eb 27f5-27f7
2987-2988 2997-2998 29eb 29fa-29fb 2a00 2a2f 2a6a-2a6b 2b05-2b0d 2b12-2b1a 2c64 2c6d-2c70 2c75-2c77 2c79-2c7a
2c7c-2c7f 2e18 2e1f 2e22-2e25 2e2e a708-a716 a71b-a71f a722-a727 a789-a78e a790-a791 a7aa a7f8-a7f9 fb01-fb02
fb52-fb81 fb8a-fb95 fb9e-fb9f fbaa-fbad fbe8-fbe9 fbfc-fbff fe70-fe74 fe76-fefc fffd 1d55a
"""
_LONGEST_WORD = 24  # signs without a place to break a line
_PIECE = re.compile(".{8}[\u0300-\u036f]*")


def _ranges() -> Iterator[range]:
    for part in _DRAWN.split():
        first, _, last = part.partition("-")
        yield range(int(first, 16), int(last or first, 16) + 1)


DRAWN = frozenset(chain.from_iterable(_ranges()))
_UNDRAWN = re.compile("[^" + "".join(f"{re.escape(chr(r[0]))}-{re.escape(chr(r[-1]))}" for r in _ranges()) + "]+")


def drawn(text: str) -> str:
    """The text as the page shows it: what is invisible as \\u{…}, what has no glyph as U+…; never fails."""
    if _UNDRAWN.search(text) is None:  # nothing invisible is among what can be drawn
        return text
    return _UNDRAWN.sub(_written_out, printable(text))


def _written_out(found: re.Match[str]) -> str:
    """Code points with blanks between them and around them, but none at the ends of the text."""
    before, after = found.start() > 0, found.end() < len(found.string)
    return f"{' ' * before}{' '.join(f'U+{ord(sign):04X}' for sign in found[0])}{' ' * after}"


def breakable(text: str) -> str:
    """The same text, with unseen places to end a line where a word is too long for a column."""
    if len(text) <= _LONGEST_WORD or all(len(word) <= _LONGEST_WORD for word in text.split(" ")):
        return text
    return " ".join(
        word if len(word) <= _LONGEST_WORD else _PIECE.sub("\\g<0>\u200b", word) for word in text.split(" ")
    )
