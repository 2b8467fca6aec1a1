"""A question that no stage asks: whoever goes on after a hand-over says that they were told what is half done."""

from __future__ import annotations

from .following import Recipe

RECIPE = Recipe(
    steps=(
        (
            "run/prompts.py",
            r"^class Due\(",
            '''\
class Briefing(Struct, frozen=True):
    """Be told what is half done, before going on with the work of somebody else."""

    where: Where
    name: str


''',
        ),
        (
            "run/events.py",
            r"^class Held\(",
            '''\
class Briefed(EventBase, frozen=True, kw_only=True, tag="briefed"):
    """Whoever goes on was told what is half done."""


''',
        ),
        (
            "run/progress.py",
            r"^    stopped: ",
            "    to_brief: str | None = None  # who goes on, and was not told yet\n",
        ),
        (
            "run/next_prompt.py",
            r"^    if progress\.ask_state and",
            "    if progress.to_brief is not None:\n        return briefing.ask(session, progress.to_brief)\n",
        ),
        ("run/questions/__init__.py", r"^_CLOSING: ", "_BRIEFING: k.Question[ask.Briefing] = briefing\n"),
        ("run/questions/__init__.py", r"^_CLOSING: ", "_BRIEFED: k.Leaves[e.Briefed] = briefing\n"),
        (
            "run/questions/__init__.py",
            r"^        case ask\.Finished\(\)",
            """\
        case ask.Briefing():
            return _BRIEFING
        case e.Briefed():
            return _BRIEFED
""",
        ),
        (
            "tests/bench.py",
            r"^        case ask\.ZeroTool\(\):",
            "        case ask.Briefing():\n            return a.Plus()\n",
        ),
    ),
    changes=(
        ("run/prompts.py", "ToolAside = ", "ToolAside = Briefing | "),
        ("run/events.py", "    | ArrivedUnasked\n    | Cau", "    | ArrivedUnasked\n    | Briefed\n    | Cau"),
        (
            "run/events.py",
            "    to: Person\n    done_by_person: Person | None = None\n",
            "    to: Person\n    done_by_person: Person | None = None\n    briefs: bool = False  # not in older runs\n",
        ),
        ("run/next_prompt.py", "questions import decision", "questions import briefing, decision"),
        ("run/questions/__init__.py", "questions import (\n", "questions import (\n    briefing,\n"),
        ("run/questions/__init__.py", "Written = (\n    e.Asked\n", "Written = (\n    e.Asked\n    | e.Briefed\n"),
        (
            "run/acts/hand_over.py",
            "done_by_person=hands, looked=looked",
            "done_by_person=hands, looked=looked, briefs=True",
        ),
        (
            "run/acts/hand_over.py",
            "    asked = replace(taken_over, ",
            "    name = event.to.name if event.briefs else None\n    asked = replace(taken_over, to_brief=name, ",
        ),
    ),
    new=(("run/questions/briefing.py", "briefing.txt"),),
)
