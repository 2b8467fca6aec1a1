"""Small procedure files as somebody would write them, and what the reader makes of them. All values are invented."""

from __future__ import annotations

from clampbook.faults import Fault, Faulty
from clampbook.procedure.model import Procedure, Stage
from clampbook.procedure.reader import read

HEAD = """\
format = 2
title = "Cover plate"
revision = "A"
unit = "N·m"
"""
GROUP = """
[[group]]
name = "Bolts"
positions = "1-4"
"""
STAGE = """
[[stage]]
do = "tighten"
to = "30 N·m"
within = "±2 N·m"
"""


def sheet(*, top: str = "", group: str = "", stages: str = STAGE) -> str:
    """A whole file with one group; `top` stands above all tables, `group` are further lines of the group."""
    return f"{HEAD}{top}\n{GROUP}{group}\n{stages}"


def stage(*lines: str) -> str:
    """One stage of these lines."""
    return "\n[[stage]]\n" + "\n".join(lines) + "\n"


def procedure(text: str) -> Procedure:
    """What the file says."""
    return read(text.encode())


def stages(*written: str, group: str = "") -> tuple[Stage, ...]:
    """The stages of a file with one group of four bolts."""
    return procedure(sheet(group=group, stages="".join(written))).stages


def faults(text: str | bytes) -> tuple[Fault, ...]:
    """All faults that are told of the file; none where it reads well."""
    try:
        read(text.encode() if isinstance(text, str) else text)
    except Faulty as faulty:
        return faulty.faults
    return ()


def told(text: str | bytes) -> list[tuple[int | None, str, str]]:
    """Line, key and code of each fault."""
    return [(fault.line, fault.key, fault.code) for fault in faults(text)]


def keys(text: str) -> list[tuple[str, str]]:
    """Key and code of each fault, where the line does not matter."""
    return [(fault.key, fault.code) for fault in faults(text)]
