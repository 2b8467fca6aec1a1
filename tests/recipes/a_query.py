"""A query: notes at a stage that are too long to be read with a tool in the hand."""

from __future__ import annotations

from .following import Recipe

RECIPE = Recipe(
    steps=(
        ("review/codes.py", r"^    NO_SUCH_QUERY = ", '    LONG_NOTE = "W465"\n\n'),
        ("faults.py", r'^    "W491"', '    "W465": "a note is too long to be read at the bench",\n'),
        (
            "review/papers.py",
            r"^_MEASURED = ",
            "_AT_A_GLANCE = 200  # characters of a note; common practice, no source\n",
        ),
        ("review/papers.py", r"^    for at, group in look\.groups:", "    yield from _long_notes(look)\n"),
        (
            "review/papers.py",
            r"^def _tightenings\(",
            """\
def _long_notes(look: Look) -> Iterator[Raised]:
    for each in look.stages:
        note = each.stage.note or ""
        if len(note) > _AT_A_GLANCE:
            yield Raised(
                (*each.at, "note"),
                Code.LONG_NOTE,
                f"nobody reads a note of {len(note)} characters with a tool in the hand",
                found=f"{len(note)} characters",
                allowed=f"{_AT_A_GLANCE} or fewer",
                hint="say it in one sentence, or write it into the cautions",
            )


""",
        ),
        (
            "tests/review/test_planted.py",
            r"^    Planted\(\n        Code\.NO_SUCH_QUERY",
            """\
    Planted(Code.LONG_NOTE, CAPS, 'do = "turn"', f'do = "turn"\\nnote = "{"Look at it. " * 20}"', "stage[2].note"),
""",
        ),
    ),
)
