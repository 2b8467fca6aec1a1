"""Sound procedures as somebody would write them, and what the review asks of a text. All values are invented."""

from __future__ import annotations

from clampbook.faults import Query
from clampbook.procedure.places import Places
from clampbook.procedure.reader import read
from clampbook.review.review import Review, review
from clampbook.tools.model import Stock

COVER = """\
format = 2
title = "Water jacket cover, pattern C · Whinchat"
revision = "A"
source = "Workshop sheet 21 (invented), looked up on 2026-03-02"
unit = "N·m"
cautions = ["Sample values: invented, they fit no real machine."]

[[part]]
name = "Cover gasket"
record = "lot"

[layout]
rows = ["9 5 1 4 8", "10 6 2 3 7"]
seen_from = "above"

[[group]]
name = "Cover bolts"
fits = { "1-10" = "M10 x 60 mm" }
property_class = "8.8"
lubrication = "engine oil on thread and under head"
friction = { thread = [0.10, 0.14], head = [0.10, 0.14] }
grip = "42 mm"
into = "cast iron"
fastener = "use again"
tightenings_at_most = 5
sequence = "numbered"
prepare = ["Holes dry and clean: no liquid below the bolt."]

[[stage]]
do = "tighten"
to = "20 N·m"
within = "±1 N·m"

[[stage]]
do = "tighten"
to = "35 N·m"
within = "±2 N·m"
manual = "step 4: 35 N·m (26 lbf·ft)"

[[stage]]
do = "recheck"
at = "35 N·m"
method = "tighten on"

[[follow_up]]
title = "Look at the cover after the first trip"
after = "30 d"
or_use = "10 h"
"""

CAPS = """\
format = 2
title = "Intermediate shaft caps · Whinchat"
revision = "A"
source = "Workshop sheet 22 (invented), looked up on 2026-03-02"
unit = "N·m"
cautions = ["Sample values: invented, they fit no real machine."]

[layout]
circle = 6

[[group]]
name = "Cap bolts"
thread = "M10"
property_class = "10.9"
lubrication = "engine oil on thread and under head"
friction = { thread = [0.10, 0.14], head = [0.10, 0.14] }
clamped = ["60 mm cast iron"]
shank = "30 mm"
fastener = "use again"
sequence = "cross"

[[stage]]
do = "tighten"
to = "25 N·m"
within = "±2 N·m"

[[stage]]
do = "turn"
by = "30°"
within = "+4° −0°"
final_torque = ["40 N·m", "90 N·m"]
"""

STUDS = """\
format = 2
title = "Bracket of the sea-water pump · Whinchat"
revision = "A"
source = "Workshop sheet 23 (invented), looked up on 2026-03-02"
unit = "N·m"
cautions = ["Sample values: invented, they fit no real machine."]

[layout]
circle = 4

[[group]]
name = "Bracket screws"
thread = "M8"
property_class = "8.8"
nut_factor = [0.12, 0.16]
fastener = "new every time"
finish_within = "10 min"
recheck = "forbidden"
sequence = "cross"

[[stage]]
do = "apply"
what = "Thread locker"

[[stage]]
do = "tighten"
to = "16 N·m"
within = "±1 N·m"
"""

STRETCHED = """\
format = 2
title = "Connecting rods, pattern C · Whinchat"
revision = "A"
source = "Workshop sheet 24 (invented), looked up on 2026-03-02"
unit = "N·m"
cautions = ["Sample values: invented, they fit no real machine."]

[[group]]
name = "Rod bolts"
positions = "1-2"
thread = "M10x1.25"
property_class = "10.9"
lubrication = "engine oil on thread and under head"
friction = { thread = [0.10, 0.14], head = [0.10, 0.14] }
clamped = ["50 mm steel"]
fastener = "use again if measured"

[[stage]]
do = "measure"
id = "free length"
group = "Rod bolts"
asked = "each"
what = "Free length of the bolt"
between = ["70.00 mm", "70.40 mm"]

[[stage]]
do = "tighten"
group = "Rod bolts"
to = "25 N·m"
until = "stretch"
stretch_between = ["0.12 mm", "0.16 mm"]
minus = "free length"
never_above = "80 N·m"
"""


def reviewed(text: str, stock: Stock | None = None) -> Review:
    """The review of a file with this text."""
    data = text.encode()
    return review(read(data, "sheet.toml"), stock, path="sheet.toml", line_of=Places(data).line)


def queries(text: str, stock: Stock | None = None) -> tuple[Query, ...]:
    """What stands in query."""
    return reviewed(text, stock).queries


def codes(text: str, stock: Stock | None = None) -> list[str]:
    """The codes of what stands in query, in the order of the lines."""
    return [query.code for query in queries(text, stock)]


def changed(text: str, old: str, new: str) -> str:
    """The text with one place changed; a change of nothing, or of two places, is a slip of the test."""
    assert text.count(old) == 1, f"{old!r} stands there {text.count(old)} times"
    return text.replace(old, new)
