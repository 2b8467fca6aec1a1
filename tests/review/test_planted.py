"""One mistake planted in a sound procedure brings one query, at its line; without it there is none."""

from __future__ import annotations

from dataclasses import dataclass

import pytest

from clampbook.faults import CODES, Query
from clampbook.review.codes import Code

from .sheets import CAPS, COVER, STRETCHED, STUDS, changed, codes, queries
from .stock import TOOLS


@dataclass(frozen=True)
class Planted:
    """A sound sheet, what is changed in it, and the key that the query is about."""

    code: Code
    sheet: str
    old: str
    new: str
    key: str


_TURN = '[[stage]]\ndo = "turn"\nby = "30°"'
_LOOSEN = '[[stage]]\ndo = "loosen"\n\n'
_RECHECK = '\n[[follow_up]]\ntitle = "Once more"\nafter = "1 d"\n\n[[follow_up.stage]]\ndo = "recheck"\nat = "16 N·m"\n'
_ASIDE = 'recheck = "forbidden"\n'

_NUTS = 'prevailing = "measure"\nprevailing_rule = "always"\n'
LOOSENED = CAPS.replace(_TURN, f'{_LOOSEN}[[stage]]\ndo = "tighten"\nto = "25 N·m"\nwithin = "±2 N·m"\n\n{_TURN}')
SLOTTED = COVER.replace(
    '[[stage]]\ndo = "recheck"',
    '[[stage]]\ndo = "align"\nslots = 6\nat_most = "40 N·m"\nlock = "split pin"\n\n[[stage]]\ndo = "recheck"',
)

_END_PLAY = (
    '[[stage]]\ndo = "measure"\nwhat = "End play"\nbetween = ["0.10 mm", "0.25 mm"]\n'
    'adjust_from = "{}"\nadjust_at_most = 3\n'
)
_SLACKEN = (
    '[[stage]]\nid = "slacken"\ndo = "loosen"\n\n'
    '[[stage]]\nid = "pull"\ndo = "tighten"\nto = "{}"\nwithin = "±2 N·m"\n\n'
)
ADJUSTED = COVER.replace(
    '[[stage]]\ndo = "recheck"',
    f'{_SLACKEN.format("35 N·m")}{_END_PLAY.format("slacken")}\n[[stage]]\ndo = "recheck"',
)
SLACKENED = CAPS.replace(_TURN, f"{_SLACKEN.format('25 N·m')}{_TURN}") + f"\n{_END_PLAY.format('slacken')}"
TENSIONED = (
    COVER[: COVER.index("[[stage]]")].replace('"use again"', '"new every time"')
    + '[[stage]]\ndo = "measure"\nwhat = "Tensioner"\nbetween = ["300 bar", "320 bar"]\nasked = "each"\n'
)

MISTAKES = (
    Planted(Code.BEYOND_YIELD, COVER, 'property_class = "8.8"', 'property_class = "4.6"', "stage[2].to"),
    Planted(Code.TURN_BEYOND_YIELD, CAPS, 'by = "30°"', 'by = "120°"', "stage[2].by"),
    Planted(Code.STRETCH_BEYOND_PROOF, STRETCHED, '"0.16 mm"', '"0.46 mm"', "stage[2].stretch_between"),
    Planted(Code.SHORT_GRIP, CAPS, "fastener =", 'grip = "15 mm"\nfastener =', "group[1].grip"),
    Planted(Code.SHORT_ENGAGEMENT, COVER, "M10 x 60 mm", "M10 x 50 mm", "group[1].fits"),
    Planted(
        Code.TURN_TO_BREAK, CAPS.replace('"use again"', '"new every time"'), 'by = "30°"', 'by = "900°"', "stage[2].by"
    ),
    Planted(
        Code.TWO_STRENGTHS,
        COVER,
        'property_class = "8.8"',
        'property_class = "8.8"\n'
        'strength = { proof = "600 MPa", yield = "660 MPa", tensile = "830 MPa", source = "manual, page 12" }',
        "group[1].strength",
    ),
    Planted(Code.NO_SLOT_LIMIT, SLOTTED, 'at_most = "40 N·m"\n', "", "stage[3]"),
    Planted(Code.LOW_SLOT_LIMIT, SLOTTED, 'at_most = "40 N·m"', 'at_most = "30 N·m"', "stage[3].at_most"),
    Planted(Code.FAR_OFF, STUDS, 'to = "16 N·m"\nwithin = "±1', 'to = "1.6 N·m"\nwithin = "±0.1', "stage[2].to"),
    Planted(Code.OTHER_UNIT, COVER, "step 4: 35 N·m (26 lbf·ft)", "step 4: 35 lbf·ft", "stage[2].to"),
    Planted(Code.FALLS, COVER, 'to = "20 N·m"', 'to = "45 N·m"', "stage[2].to"),
    Planted(Code.ROUNDING, COVER, 'within = "±2 N·m"', 'within = "±0.05 N·m"', "stage[2].within"),
    Planted(
        Code.ONE_ROUND,
        changed(COVER, 'do = "tighten"\nto = "20 N·m"\nwithin = "±1 N·m"', 'do = "inspect"\nask = "Gasket flat?"'),
        'do = "recheck"\nat = "35 N·m"\nmethod = "tighten on"',
        'do = "inspect"\nask = "All tight?"',
        "stage[2]",
    ),
    Planted(Code.LOW_RECHECK, COVER, 'at = "35 N·m"', 'at = "30 N·m"', "stage[3].at"),
    Planted(Code.NO_SNUG, CAPS, _TURN, _LOOSEN + _TURN, "stage[3].by"),
    Planted(Code.FINAL_TORQUE, CAPS, '["40 N·m", "90 N·m"]', '["15 N·m", "25 N·m"]', "stage[2].final_torque"),
    Planted(Code.MIXED_UNITS, COVER, 'to = "20 N·m"', 'to = "15 lbf·ft"', "stage[1].to"),
    Planted(
        Code.NOT_FROM_THE_MIDDLE,
        COVER,
        'sequence = "numbered"',
        'order = ["9", "7", "1", "2", "5", "8", "10", "3", "4", "6"]',
        "group[1].order",
    ),
    Planted(Code.ONE_SIDE_FIRST, CAPS, 'sequence = "cross"', 'sequence = "circle"', "group[1].sequence"),
    Planted(
        Code.NO_VIEW,
        changed(COVER, '"1-10" = "M10 x 60 mm"', '"1-5" = "M10 x 60 mm", "6-10" = "M10 x 65 mm"'),
        'seen_from = "above"\n',
        "",
        "layout",
    ),
    Planted(Code.NO_TOOL, COVER, 'within = "±2 N·m"', 'within = "±0.5 N·m"', "stage[2].to"),
    Planted(
        Code.NO_ADAPTER,
        COVER,
        'lubrication = "engine',
        'adapter = "open end, 19 mm"\nlubrication = "engine',
        "group[1].adapter",
    ),
    Planted(Code.LUBRICANT, COVER, '"engine oil on thread and under head"', '"dry, clean"', "group[1].friction.thread"),
    Planted(Code.ADJUSTS_NOTHING, ADJUSTED, 'adjust_from = "slacken"', 'adjust_from = "pull"', "stage[5].adjust_from"),
    Planted(Code.TURNS_ON, SLACKENED, 'adjust_from = "slacken"', 'adjust_from = "pull"', "stage[5].adjust_from"),
    Planted(
        Code.ADJUSTS_ONE_USE, SLACKENED, 'fastener = "use again"', 'fastener = "new every time"', "stage[5].adjust_from"
    ),
    Planted(Code.LUBRICANT_UNSAID, COVER, "lubrication =", "# lubrication =", "group[1]"),
    Planted(
        Code.BLIND_HOLE, COVER, "Holes dry and clean: no liquid below the bolt.", "Threads clean.", "group[1].into"
    ),
    Planted(Code.LOCKER_TIME, STUDS, 'finish_within = "10 min"\n', "", "stage[1]"),
    Planted(
        Code.LOCKER_RECHECK,
        changed(STUDS, _ASIDE, ""),
        'within = "±1 N·m"\n',
        f'within = "±1 N·m"\n{_RECHECK}method = "tighten on"\n',
        "follow_up[1].stage[1]",
    ),
    Planted(Code.LEFT_HAND, CAPS, 'thread = "M10"', 'thread = "M10 LH"', "group[1].thread"),
    Planted(
        Code.USED_NUT,
        changed(CAPS, "fastener =", f'prevailing_least = "2 N·m"\n{_NUTS}fastener ='),
        'prevailing_least = "2 N·m"\n',
        "",
        "group[1].prevailing",
    ),
    Planted(Code.NO_ESTIMATE, COVER, "friction = {", "# friction = {", "group[1].friction"),
    Planted(Code.BUDGET, LOOSENED, "fastener =", "tightenings_at_most = 1\nfastener =", "group[1].tightenings_at_most"),
    Planted(Code.NO_CALENDAR, COVER, 'after = "30 d"\n', "", "follow_up[1].or_use"),
    Planted(Code.NO_SOURCE, COVER, "source =", "# source =", "source"),
    Planted(Code.NOT_MEASURED, CAPS, '"use again"', '"use again if measured"', "group[1].fastener"),
    Planted(
        Code.PREVAILING_NEVER_READ,
        TENSIONED,
        "fastener =",
        'prevailing = "measure"\nprevailing_rule = "always"\nfastener =',
        "group[1].prevailing",
    ),
    Planted(
        Code.NO_SUCH_QUERY,
        COVER,
        "unit =",
        'accepted = [{ query = "W413", because = "compared with the sheet" }]\nunit =',
        "accepted[1]",
    ),
)


def told(planted: Planted) -> tuple[Query, ...]:
    """What is queried once the mistake is there; tools are looked at only where the mistake is about them."""
    stock = TOOLS if planted.code in (Code.NO_TOOL, Code.NO_ADAPTER) else None
    return queries(changed(planted.sheet, planted.old, planted.new), stock)


BY_CODE = {each.code.name: each for each in MISTAKES}


@pytest.mark.parametrize("name", BY_CODE)
def test_planted_mistake_brings_its_query_and_no_other(name: str) -> None:
    """The one place that was changed is named, with the code that belongs to it."""
    planted = BY_CODE[name]

    found = told(planted)

    assert [(planted.code.value, planted.key)] == [(query.code, query.key) for query in found]


@pytest.mark.parametrize("name", BY_CODE)
def test_same_sheet_without_the_mistake_is_not_queried(name: str) -> None:
    """The review cries no wolf: before the change there is nothing to ask."""
    assert [] == codes(BY_CODE[name].sheet, TOOLS)


@pytest.mark.parametrize("name", BY_CODE)
def test_query_says_why_and_what_to_do(name: str) -> None:
    """What was found, what is usual, and the next step; a question never leaves its reader alone."""
    for query in told(BY_CODE[name]):
        assert query.found and query.allowed and query.hint
        assert not query.text.endswith(".")
        assert query.line is not None


def test_every_query_has_a_planted_mistake() -> None:
    """No code is without a sheet that shows it, and each is explained in the list of all codes."""
    assert sorted(Code) == sorted(planted.code for planted in MISTAKES)
    assert [] == [code.value for code in Code if code.value not in CODES]


@pytest.mark.parametrize(("allowed", "asked"), [(4, ["W461"]), (5, [])])
def test_adjusting_tightens_as_often_as_it_may(allowed: int, asked: list[str]) -> None:
    """Once, once more after `slacken`, and three times by going back to it: five in all."""
    sheet = changed(SLACKENED, "fastener =", f"tightenings_at_most = {allowed}\nfastener =")

    assert asked == codes(sheet)


@pytest.mark.parametrize(
    ("written", "hint"),
    [
        ("A7", 'describe it, such as adapter = "open end, 19 mm", with is = "open end, 19 mm" in its [[adapter]]'),
        ("crowfoot, 21 mm", 'add is = "crowfoot, 21 mm" to its [[adapter]] in tools.toml, or correct adapter'),
    ],
)
def test_the_name_on_an_adapter_does_not_say_what_it_is(written: str, hint: str) -> None:
    """In another book another adapter has it."""
    sheet = changed(COVER, 'lubrication = "engine', f'adapter = "{written}"\nlubrication = "engine')

    assert [hint] == [each.hint for each in queries(sheet, TOOLS) if each.code == "W435"]
