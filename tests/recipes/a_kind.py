"""A kind of work: threads to be cleaned, asked for at each position."""

from __future__ import annotations

from .following import Recipe

RECIPE = Recipe(
    steps=(
        (
            "procedure/model.py",
            r"^(# .*\n)?Attested = ",
            '''\
class Clean(StageBase, frozen=True, kw_only=True, tag="clean"):
    """Clean a thread before it is used."""

    brush: str


''',
        ),
        (
            "procedure/sheet_stages.py",
            r"^StageKinds = ",
            '''\
class CleanTable(StageTable):
    """Clean a thread."""

    do: Literal["clean"]
    brush: Text = Field(description="What the brush is made of.", examples=["brass"])


''',
        ),
        (
            "procedure/stages.py",
            r"^        case ApplyTable\(\) as table:",
            """\
        case CleanTable() as table:
            return Clean(brush=table.brush, **common(entry))
""",
        ),
        (
            "run/prompts.py",
            r"^(# .*\n)?Attested = ",
            '''\
class Clean(Struct, frozen=True):
    """Clean a thread."""

    where: Where
    brush: str


''',
        ),
        (
            "run/events.py",
            r"^(# .*\n)?Attested = ",
            '''\
class Cleaned(EventBase, frozen=True, kw_only=True, tag="cleaned"):
    """A thread was cleaned."""

    handles: ClassVar[bool] = True

    step: str
    brush: str
    attempt: int = 1


''',
        ),
        (
            "run/kinds/__init__.py",
            r"^_RECHECK: ",
            "_CLEAN: k.Kind[m.Clean, ask.Clean, e.Cleaned] = clean\n",
        ),
        (
            "run/kinds/__init__.py",
            r"^        case m\.Recheck\(\) ",
            """\
        case m.Clean() | ask.Clean() | e.Cleaned():
            return _CLEAN
""",
        ),
        (
            "tests/bench.py",
            r"^        case ask\.Apply\(\):",
            "        case ask.Clean():\n            return a.Plus()\n",
        ),
        (
            "tests/run/invented.py",
            r"^        case _:\n            return m\.Apply",
            """\
        case "clean":
            return m.Clean(**common, brush="brass")  # type: ignore[arg-type]
""",
        ),
    ),
    changes=(
        ("procedure/model.py", "Attested = ", "Attested = Clean | "),
        ("procedure/sheet_stages.py", "StageKinds = (\n    ", "StageKinds = (\n    CleanTable\n    |"),
        (
            "procedure/sheet_stages.py",
            "_Tagged = (",
            '_Tagged = (\n    Annotated[CleanTable, Tag("<clean>")] |',
        ),
        ("procedure/stages.py", "import Adjust, Apply, ", "import Adjust, Apply, Clean, "),
        ("procedure/stages.py", "    InspectTable,\n", "    CleanTable,\n    InspectTable,\n"),
        ("run/prompts.py", "Attested = ", "Attested = Clean | "),
        ("run/events.py", "Attested = ", "Attested = Cleaned | "),
        ("run/kinds/__init__.py", "    confirm,\n", "    clean,\n    confirm,\n"),
        ("tests/run/invented.py", '"wait", "recheck", "apply")', '"wait", "recheck", "apply", "clean")'),
    ),
    new=(("run/kinds/clean.py", "clean.txt"),),
)
