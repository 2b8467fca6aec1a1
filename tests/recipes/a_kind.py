"""A kind of work: paint marks, asked for at each position."""

from __future__ import annotations

from .following import Recipe

RECIPE = Recipe(
    steps=(
        (
            "procedure/model.py",
            r"^(# .*\n)?Attested = ",
            '''\
class PaintMark(StageBase, frozen=True, kw_only=True, tag="paint mark"):
    """Put a paint mark across nut and part, so that a nut that moved is seen later."""

    colour: str


''',
        ),
        (
            "procedure/sheet_stages.py",
            r"^StageKinds = ",
            '''\
class PaintMarkTable(StageTable):
    """Put a paint mark across nut and part."""

    do: Literal["paint mark"]
    colour: Text = Field(description="Of the paint.", examples=["yellow"])


''',
        ),
        (
            "procedure/stages.py",
            r"^        case ApplyTable\(\) as table:",
            """\
        case PaintMarkTable() as table:
            return PaintMark(colour=table.colour, **common(entry))
""",
        ),
        (
            "run/prompts.py",
            r"^(# .*\n)?Attested = ",
            '''\
class PaintMark(Struct, frozen=True):
    """Put a paint mark on."""

    where: Where
    colour: str


''',
        ),
        (
            "run/events.py",
            r"^(# .*\n)?Attested = ",
            '''\
class PaintMarked(EventBase, frozen=True, kw_only=True, tag="paint_marked"):
    """A paint mark was put on a position."""

    handles: ClassVar[bool] = True

    step: str
    colour: str
    attempt: int = 1


''',
        ),
        (
            "run/kinds/__init__.py",
            r"^_RECHECK: ",
            "_PAINT_MARK: k.Kind[m.PaintMark, ask.PaintMark, e.PaintMarked] = paint_mark\n",
        ),
        (
            "run/kinds/__init__.py",
            r"^        case m\.Recheck\(\) ",
            """\
        case m.PaintMark() | ask.PaintMark() | e.PaintMarked():
            return _PAINT_MARK
""",
        ),
        (
            "tests/bench.py",
            r"^        case ask\.Apply\(\):",
            "        case ask.PaintMark():\n            return a.Plus()\n",
        ),
        (
            "tests/run/invented.py",
            r"^        case _:\n            return m\.Apply",
            """\
        case "paint mark":
            return m.PaintMark(**common, colour="yellow")  # type: ignore[arg-type]
""",
        ),
    ),
    changes=(
        ("procedure/model.py", "Attested = ", "Attested = PaintMark | "),
        ("procedure/sheet_stages.py", "StageKinds = (\n    ", "StageKinds = (\n    PaintMarkTable\n    |"),
        (
            "procedure/sheet_stages.py",
            "_Tagged = (",
            '_Tagged = (\n    Annotated[PaintMarkTable, Tag("<paint mark>")] |',
        ),
        ("procedure/stages.py", " Once, Stage", " Once, PaintMark, Stage"),
        ("procedure/stages.py", "    RecheckTable,\n", "    PaintMarkTable,\n    RecheckTable,\n"),
        ("run/prompts.py", "Attested = ", "Attested = PaintMark | "),
        ("run/events.py", "Attested = ", "Attested = PaintMarked | "),
        ("run/kinds/__init__.py", "    measure,\n", "    measure,\n    paint_mark,\n"),
        ("tests/run/invented.py", '"wait", "recheck", "apply")', '"wait", "recheck", "apply", "paint mark")'),
    ),
    new=(("run/kinds/paint_mark.py", "paint_mark.txt"),),
)
