"""A screen: a tally of the book, opened from the bench by the list of all actions."""

from __future__ import annotations

from .following import Recipe

RECIPE = Recipe(
    steps=(
        (
            "screens/bench.py",
            r"^    def explain\(self\)",
            '''\
    def actions(self) -> tuple[Action, ...]:
        """Offer the tally in the list of all actions."""
        return (Action("tally of this book", "", self.tally),)

    def tally(self) -> None:
        """Count what the book holds."""
        from clampbook.screens.tally import Tally

        self.app.push_screen(Tally(self.book))

''',
        ),
        ("screens/styles/screens.tcss", r"^BandPicture \{", "#tally {\n    height: 1fr;\n    color: $quiet;\n}\n\n"),
        (
            "tests/screens/test_book_looks.py",
            r"^async def releases\(",
            '''\
async def tally(keyboard: Keyboard) -> None:
    """No run is closed yet."""
    await rested(keyboard)
    await keyboard.press("f2")
    await keyboard.type("tally")


''',
        ),
    ),
    changes=(
        (
            "screens/bench.py",
            "from clampbook.screens import bench_lists\n",
            "from clampbook.screens import bench_lists\nfrom clampbook.screens.actions import Action\n",
        ),
        (
            "tests/screens/test_book_looks.py",
            "LOOKS = {\n",
            'LOOKS = {\n    "tally": Look(tally, ("Tally of this book", "closed runs: 0", "Esc back")),\n',
        ),
    ),
    new=(("screens/tally.py", "tally.txt"),),
)
