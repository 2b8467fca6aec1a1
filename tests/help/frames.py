"""Files with one key in its place: what must stand around an example so that it can be read."""

from __future__ import annotations

import tomllib
from typing import Any

import tomli_w

FRAME = """
format = 2
title = "Thermostat housing"
revision = "A"
unit = "N·m"

[[group]]
name = "Head bolts"
positions = "1-4"
target = "100 N·m"

[[stage]]
id = "first"
do = "tighten"
to = "30 N·m"
within = "±2 N·m"
"""
STAGES = {  # the keys that a stage of each kind cannot do without
    "tighten": 'to = "30 N·m"\nwithin = "±2 N·m"',
    "turn": 'by = "90°"\nwithin = "±5°"',
    "align": 'lock = "split pin"\nslots = 6',
    "loosen": "",
    "measure": 'what = "Gap"\nat_least = "0.10 mm"',
    "inspect": 'ask = "Clean?"',
    "wait": 'for = "10 min"',
    "recheck": 'at = "30 N·m"\nmethod = "tighten on"\nwithin = "±2 N·m"',
    "apply": 'what = "Thread locker"',
    "mark": 'paint = "yellow paint"',
    "for_each": 'for_each = "position"\nsteps = [{ do = "tighten", to = "10 N·m", within = "±1 N·m" }]',
}
TABLES = {
    "layout": 'rows = ["1 2 3 4"]',
    "layout.edges": "",
    "joints": 'names = ["port", "starboard"]',
    "ask": 'name = "Engine hours"',
    "part": 'name = "Gasket"',
    "group.friction": "thread = [0.10, 0.14]\nhead = [0.10, 0.14]",
    "group.strength": 'proof = "600 MPa"\nyield = "700 MPa"\ntensile = "900 MPa"\nsource = "manual, page 12"',
    "follow_up": 'title = "Check again"\nafter = "30 min"',
    "release": 'by = "Maud"\ncompared_with = "Sheet 12"\non = 2026-03-02',
    "withdrawal": 'by = "Maud"\non = 2026-03-02\nbecause = "new issue"',
    "accepted": 'query = "W451"\nbecause = "compared"',
}
FREE_LENGTH = '[[stage]]\nid = "free length"\ndo = "measure"\ngroup = "Head bolts"\nwhat = "Length"\nunit = "mm"'
SETS = 'sets = { "cap 1" = "1-2", "cap 2" = "3-4" }'
SLACKEN = '[[stage]]\nid = "slacken"\ndo = "loosen"\ngroup = "Head bolts"'
STRETCH = 'until = "stretch"\nstretch_between = ["0.10 mm", "0.15 mm"]\nminus = "free length"\nnever_above = "95 N·m"'
# What must stand in the same table beside a key; a key that must not be there is named with a minus.
BESIDE = {
    ("layout", "circle"): "-rows",
    ("layout", "first"): "-rows\ncircle = 4",
    ("layout", "clockwise"): "-rows\ncircle = 4",
    ("layout", "at"): "-rows",
    ("joints", "count"): "-names",
    ("ask", "choices"): 'answer = "choice"',
    ("ask", "unit"): 'answer = "number"',
    ("ask", "between"): 'answer = "number"',
    ("ask", "at_least"): 'answer = "number"',
    ("ask", "at_most"): 'answer = "number"',
    ("ask", "answer"): 'choices = ["new", "used before"]',
    ("part", "needed"): 'record = "count"',
    ("part", "left_over"): 'record = "count"',
    ("group", "set_order"): SETS,
    ("group", "prevailing_rule"): 'prevailing = "measure"',
    ("group", "prevailing_least"): 'prevailing = "measure"\nprevailing_rule = "always"',
    ("group", "prevailing_most"): 'prevailing = "measure"\nprevailing_rule = "always"',
    ("group", "prevailing"): 'prevailing_rule = "always"',
    ("stage.tighten", "between"): "-within",
    ("stage.tighten", "until"): f"-to\n-within\n{STRETCH}",
    ("stage.tighten", "stretch_between"): f"-to\n-within\n{STRETCH}",
    ("stage.tighten", "minus"): f"-to\n-within\n{STRETCH}",
    ("stage.tighten", "never_above"): f"-to\n-within\n{STRETCH}",
    ("stage.turn", "between"): "-within",
    ("stage.turn", "adapter"): 'final_torque = ["55 N·m", "95 N·m"]',
    ("stage.align", "slot_every"): "-slots",
    ("stage.measure", "between"): "-at_least",
    ("stage.measure", "at_most"): "-at_least",
    ("stage.measure", "unit"): "-at_least",
    ("stage.measure", "spread"): '-at_least\nat = ["front", "rear"]',
    ("stage.measure", "all_but"): 'at = ["front", "rear"]',
    ("stage.measure", "tensions"): 'at_least = "80 bar"',
    ("stage.measure", "adjust_from"): "adjust_at_most = 3",
    ("stage.measure", "adjust_at_most"): 'adjust_from = "slacken"',
    ("stage.recheck", "back_off"): 'method = "back off and tighten again"',
    ("stage.recheck", "between"): "-within",
    ("stage.recheck", "until_still"): "at_most = 3",
    ("stage.recheck", "at_most"): "until_still = true",
    **{(f"stage.{kind}", "if_one_fails"): "sample = 2" for kind in ("measure", "inspect", "recheck")},
}
# What must stand elsewhere in the file.
ELSEWHERE = {
    ("group", "positions"): '[layout]\nrows = ["1 2 3 4 5", "6 7 8 9 10"]',
    ("group", "finish_within"): '[[stage]]\ndo = "apply"\nwhat = "Locker"\ngroup = "Head bolts"',
    ("stage.tighten", "minus"): FREE_LENGTH,
    ("stage.tighten", "until"): FREE_LENGTH,
    ("stage.tighten", "stretch_between"): FREE_LENGTH,
    ("stage.tighten", "never_above"): FREE_LENGTH,
    ("stage.measure", "minus"): FREE_LENGTH,
    ("stage.measure", "adjust_from"): SLACKEN,
    ("stage.measure", "adjust_at_most"): SLACKEN,
}
AT_POSITIONS = ("positions", "sequence", "order", "reversed", "sample", "if_one_fails", "minus", "tensions")


TOOL = """
id = "w2"
name = "W2"
kind = "setting"
unit = "lbf·ft"
range = ["20 lbf·ft", "100 lbf·ft"]
resolution = "0.5 lbf·ft"
"""
ADAPTER = 'id = "a1"\nname = "A1"\nextension = "60 mm"'
POINT = 'at = "60 lbf·ft"\noff_by = "+1.2 %"\nuncertainty = "0.5 %"'
OF_THE_SCALE = ("range", "resolution", "at", "off_by", "uncertainty")  # what has the unit of the tool's own scale
MEASURING = {  # by the unit of a value, the tool that has it
    "mm": 'kind = "micrometer"\nunit = "mm"\nrange = ["75 mm", "100 mm"]\nresolution = "0.01 mm"',
    "bar": 'kind = "pressure gauge"\nunit = "bar"\nrange = ["0 bar", "700 bar"]\nresolution = "1 bar"',
    "1°": 'kind = "angle gauge"\nunit = "°"\n-range\nresolution = "1°"',
    "360°": 'kind = "angle gauge"\nunit = "°"\nresolution = "1°"',
}
POINTS = {
    "mm": 'at = "80 mm"\noff_by = "0.001 mm"\nuncertainty = "0.003 mm"',
    "bar": 'at = "350 bar"\noff_by = "1 bar"\nuncertainty = "2 bar"',
}
BESIDE_OF_TOOLS = {
    ("tool", "wound_down_to"): "wound_down = true",
    ("tool", "reads_angle"): 'kind = "indicating"',
    ("tool", "follower_needle"): 'kind = "indicating"',
    ("tool", "calibration_due"): "calibrated_on = 2026-03-02",
    ("tool", "interval_months"): "calibrated_on = 2026-03-02",
    ("tool", "interval_pulls"): "calibrated_on = 2026-03-02",
    ("tool", "uncertainty"): 'certificate = "HM-C-0412"',
    ("tool", "coverage"): 'uncertainty = "0.5 %"',
    ("tool", "withdrawn_on"): 'withdrawn_because = "damaged"',
    ("tool", "withdrawn_because"): "withdrawn_on = 2026-03-02",
    ("adapter", "ratio"): "-extension",
    ("adapter", "ratio_uncertainty"): "-extension\nratio = 5.0",
    ("adapter", "max_torque"): "-extension\nratio = 5.0",
    ("adapter", "max_torque_in"): "-extension\nratio = 5.0",
}


def with_key(table: str, key: str, value: object) -> bytes:
    """A procedure file, or a tools.toml, with this key of this table, and no more around it than it needs."""
    if table in ("tools", "tool", "tool.certified", "adapter"):
        return _tools_with_key(table, key, value)
    whole = tomllib.loads(FRAME)
    other = tomllib.loads(ELSEWHERE.get((table, key), ""))
    whole["stage"] += other.pop("stage", [])
    whole |= other
    own = _table(whole, table, key)
    _beside(own, BESIDE.get((table, key), ""))
    if table == "stage.measure" and isinstance(value, int) and key in ("at_least", "at_most"):
        own["unit"] = "count"
    own[key] = value
    return tomli_w.dumps(whole).encode()


def _table(whole: dict[str, Any], table: str, key: str) -> dict[str, Any]:
    """The table, put in its place; those of the frame are there already."""
    if table == "procedure":
        return whole
    if table == "group":
        group: dict[str, Any] = whole["group"][0]
        return group
    above, _, name = table.rpartition(".")
    if above == "stage":
        own = tomllib.loads(STAGES[name]) | ({} if name == "for_each" else {"do": name})
        if name not in ("measure", "inspect", "wait") or key in AT_POSITIONS:
            own["group"] = "Head bolts"
        whole["stage"].append(own)
        return own
    own = tomllib.loads(TABLES[table])
    if above == "group":
        whole["group"][0][name] = own
    elif above:
        whole[above] = tomllib.loads(TABLES[above]) | {name: own}
    else:
        whole[name] = [own] if name in ("ask", "part", "follow_up", "accepted") else own
    if name in ("release", "withdrawal"):
        whole["status"] = "released" if name == "release" else "withdrawn"
    return own


def _tools_with_key(table: str, key: str, value: object) -> bytes:
    tool, adapter, point = map(tomllib.loads, (TOOL, ADAPTER, POINT))
    whole: dict[str, Any] = {"tool": [tool], "adapter": [adapter]}
    own = {"tools": whole, "tool": tool, "adapter": adapter, "tool.certified": point}[table]
    if table == "tool.certified":
        tool |= {"certificate": "HM-C-0412", "certified": [point]}
    _beside(own, BESIDE_OF_TOOLS.get((table, key), ""))
    if key in OF_THE_SCALE:
        _beside(tool, MEASURING.get(str(value).split()[-1].strip("]'"), ""))
        _beside(point, POINTS.get(tool["unit"], ""))
    own[key] = value
    return tomli_w.dumps(whole).encode()


def _beside(own: dict[str, Any], lines: str) -> None:
    """Put in what must stand beside the key, and take out what must not."""
    for line in lines.splitlines():
        if line.startswith("-"):
            own.pop(line[1:], None)
        else:
            own |= tomllib.loads(line)
