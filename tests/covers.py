"""The sheet of a valve cover with a few screws, as small as a sheet can be, and what a test may add to it."""

from __future__ import annotations

TIGHTENED = """
[[stage]]
do = "tighten"
to = "30 N·m"
within = "±2 N·m"
"""
SQUEEZED = """
[[stage]]
do = "inspect"
ask = "Gasket evenly squeezed?"
"""
LOOKED_AT = f"""{SQUEEZED}\
expect = "yes"
by = "another person"
"""
LOOKED_AT_LATER = """
[[follow_up]]
title = "Look at it again"
after = "14 d"

[[follow_up.stage]]
do = "inspect"
ask = "Still even?"
"""
SIGNED_OFF = """
[sign_off]
assembler = "required"
"""


def cover(
    *rest: str,
    screws: str = "1-4",
    top: str = "",
    group: str = "",
    title: str = "Valve cover",
    name: str = "Cover screws",
) -> str:
    """The sheet: its head with `top` added, its screws with `group` added, `rest` (else tightened, then looked at)."""
    return f"""\
format = 2
title = "{title}"
revision = "A"
unit = "N·m"
{top}
[[group]]
name = "{name}"
positions = "{screws}"
thread = "M10"
{group}{"".join(rest or (TIGHTENED, SQUEEZED))}"""
