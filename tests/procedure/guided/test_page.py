"""A file that is written from answers says what was answered, no more and no less, and the reader reads it so."""

from __future__ import annotations

import re
import tomllib
from dataclasses import replace
from decimal import Decimal
from typing import Any
from unicodedata import normalize

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from bench import Bench
from clampbook.faults import Faulty
from clampbook.procedure.guided.answers import Answers
from clampbook.procedure.guided.page import page
from clampbook.procedure.guided.talk import lacking
from clampbook.procedure.model import Inspect, Recheck, Tighten, Turn, Wait
from clampbook.procedure.reader import read
from clampbook.run import prompts as ask
from clampbook.run.planning import plan
from clampbook.text import printable

_SIGNS = st.text(st.characters(codec="utf-8", categories=("L", "N", "P", "S")), min_size=1, max_size=30)
_TEXT = _SIGNS.map(lambda text: normalize("NFC", text)).filter(lambda text: text != "-" and printable(text) == text)
_ROUNDS = (None, ("30 %", "60 %", "100 %"), ("50 %", "100 %"), ("20 N·m", "40 N·m"))


def maybe(*values: Any) -> st.SearchStrategy[Any]:
    """One of these, or left out."""
    return st.sampled_from((None, *values))


@st.composite
def rows(draw: st.DrawFn, count: int) -> tuple[str, ...]:
    """So many positions drawn in some order, in rows of the same length, with gaps at the end of the last."""
    labels = draw(st.permutations([f"A{n}" for n in range(1, count + 1)]))
    wide = draw(st.integers(1, count))
    filled = [*labels, *["."] * (-count % wide)]
    return tuple(" ".join(filled[at : at + wide]) for at in range(0, len(filled), wide))


@st.composite
def answered(draw: st.DrawFn) -> Answers:
    """Answers as somebody can give them, with gaps anywhere; what belongs together goes together."""
    count = draw(st.none() | st.integers(1, 40))
    ways = ["circle", "row", "drawn", *(["two rows"] if count and count > 1 else [])]
    ways += ["rectangle"] if count and count >= 4 and count % 2 == 0 else []
    placed = draw(maybe(*ways)) if count else None
    target = draw(maybe("70 N·m", "52 lbf·ft", "70,5 Nm"))
    rounds = draw(st.sampled_from(_ROUNDS if target else _ROUNDS[::3]))
    pulled = target is not None or rounds is not None
    angles = draw(maybe(("90°",), ("90 deg", "1/4 turn")))
    look, after, or_use = draw(st.none() | _TEXT), draw(maybe("30 d", "2 h")), draw(maybe("10 h", "50 km"))
    rechecks = pulled and angles is None
    laters = ["reminder", *(["recheck"] if rechecks else []), *(["look"] if look is not None else [])]
    order = draw(maybe("cross", "spiral", "circle", "numbered", "written out"))
    drawn = draw(st.none() | rows(count or 1)) if placed == "drawn" else None
    prefix = "A" if drawn else ""
    backwards = ", ".join(f"{prefix}{n}" for n in range(count or 1, 0, -1))
    return Answers(
        title=draw(st.none() | _TEXT),
        fasteners=draw(st.none() | _TEXT),
        count=None if count is None else str(count),
        placed=placed,
        across=str(draw(st.integers(2, (count or 0) // 2))) if placed == "rectangle" else None,
        drawn=drawn,
        thread=draw(maybe("M12", "M10x1.25", "3/8-16 UNC")),
        property_class=draw(maybe("8.8", "A2-70")),
        lubrication=draw(st.none() | _TEXT),
        nut_factor=draw(maybe(("0.16", "0.22"), ("0,1", "1"))),
        target=target,
        rounds=rounds,
        within=draw(maybe("±5 %", "+-2 %")) if pulled else None,
        angles=angles,
        angle_within=draw(maybe("+4° −0°", "±5 deg")) if angles else None,
        clamped=draw(maybe(("72 mm aluminium",), ("5 mm steel", "60 mm cast iron"))) if angles else None,
        fastener=draw(maybe("new every time", "use again if measured", "use again")) if angles else None,
        order=order,
        written_order=draw(maybe(backwards)) if order == "written out" and count else None,
        wait=draw(maybe("10 min", "1 h 30 min")) if pulled or angles else None,
        recheck=draw(maybe("once", "until none moves")) if rechecks else None,
        look=look,
        looker=draw(maybe("who works", "another person")) if look is not None else None,
        after=after,
        or_use=or_use,
        later=draw(maybe(*laters)) if after or or_use else None,
        source=draw(st.none() | _TEXT),
        revision=draw(maybe("A", "3")),
    )


def some(**keys: object) -> dict[str, object]:
    """The keys that were answered."""
    return {key: value for key, value in keys.items() if value is not None}


def as_a_table(answers: Answers) -> dict[str, Any]:
    """What a file of these answers says to a reader of TOML, put together by hand."""
    torques = answers.rounds or (("100 %",) if answers.target else ())
    until = {"until_still": True, "at_most": 4} if answers.recheck == "until none moves" else {}
    recheck = {"do": "recheck", "at": torques[-1] if torques else "", "method": "tighten on"}
    by = "another person" if answers.looker == "another person" else None
    stages = [
        *(some(do="tighten", to=torque, within=answers.within) for torque in torques),
        *(some(do="turn", by=angle, within=answers.angle_within) for angle in answers.angles or ()),
        *([{"do": "wait", "for": answers.wait, "since": "last pull"}] if answers.wait else []),
        *([recheck | until] if answers.recheck else []),
        *([some(do="inspect", ask=answers.look, by=by)] if answers.look else []),
    ]
    later = {"recheck": [recheck], "look": [{"do": "inspect", "ask": answers.look}]}.get(answers.later or "")
    names = {"recheck": "Recheck", "look": "Inspect"}
    name = f"{names.get(answers.later or '', 'Look again at')}: {answers.fasteners or 'Bolts'}"
    first = answers.target or (answers.rounds or ("",))[0]
    factor = answers.nut_factor and [float(each.replace(",", ".")) for each in answers.nut_factor]
    group = some(
        name=answers.fasteners or "Bolts",
        thread=answers.thread,
        property_class=answers.property_class,
        lubrication=answers.lubrication,
        nut_factor=factor,
        clamped=answers.clamped and list(answers.clamped),
        target=answers.target,
        fastener=answers.fastener,
        sequence=None if answers.order == "written out" else answers.order,
        order=answers.written_order,
    )
    return some(
        format=2,
        title=answers.title,
        revision=answers.revision or "A",
        status="draft",
        source=answers.source,
        unit=("lbf·ft" if "lbf" in first else "N·m") if first else None,
        group=[group],
        stage=stages or None,
        follow_up=[some(title=name, after=answers.after, or_use=answers.or_use, stage=later)]
        if answers.after or answers.or_use
        else None,
    )


@settings(deadline=None)
@given(answered())
def test_a_file_says_exactly_what_was_answered(answers: Answers) -> None:
    """Each answer stands under its key as it was typed; what was left out has no key, and no value was made up."""
    written = tomllib.loads(page(answers))
    layout = written.pop("layout", None)
    positions = written["group"][0].pop("positions", None)

    assert as_a_table(answers) == written
    told = {"drawn": answers.drawn, "rectangle": answers.across}
    pictured = answers.placed is not None and told.get(answers.placed, "") is not None
    assert (layout is not None) == pictured
    assert (positions is not None) == (answers.count is not None and not pictured)
    if answers.drawn is not None:
        assert {"rows": list(answers.drawn)} == layout


@settings(deadline=None)
@given(answered())
def test_the_reader_takes_a_file_from_which_nothing_needed_was_left_out(answers: Answers) -> None:
    """A file is read, or what it lacks was told."""
    if lacking(answers):
        with pytest.raises(Faulty):
            read(page(answers).encode())
        return
    procedure = read(page(answers).encode())

    assert answers.title == procedure.title
    assert int(answers.count or 0) == len(procedure.groups[0].positions) == len(procedure.layout.places)
    kinds = [type(stage) for stage in procedure.stages]
    assert len(answers.rounds or (1,)) == kinds.count(Tighten)
    assert len(answers.angles or ()) == kinds.count(Turn)
    assert [bool(each) for each in (answers.wait, answers.recheck, answers.look)] == [
        each in kinds for each in (Wait, Recheck, Inspect)
    ]


FLANGE = Answers(
    title="Coupling flange",
    fasteners="Coupling bolts",
    count="12",
    placed="circle",
    thread="M12",
    property_class="8.8",
    lubrication="dry, clean",
    nut_factor=("0.16", "0.22"),
    target="70 N·m",
    rounds=("30 %", "60 %", "100 %"),
    within="±5 %",
    order="cross",
    source="Manual 3, page 12, looked up on 2026-03-02",
    revision="A",
)


def test_three_shares_of_a_torque_are_three_rounds() -> None:
    """30, 60 and 100 % of 70 N·m, each within 5 % of itself."""
    rounds = [stage for stage in read(page(FLANGE).encode()).stages if isinstance(stage, Tighten)]

    assert [Decimal(21), Decimal(42), Decimal(70)] == [each.target for each in rounds]
    assert [
        (Decimal("19.95"), Decimal("22.05")),
        (Decimal("39.9"), Decimal("44.1")),
        (Decimal("66.5"), Decimal("73.5")),
    ] == [(each.window.low, each.window.high) for each in rounds]


def test_full_answers_leave_no_query() -> None:
    """The review of a flange of which everything was answered asks nothing."""
    from clampbook.review.review import review

    assert () == review(read(page(FLANGE).encode())).queries


def test_a_file_from_nothing_is_a_page_of_comments() -> None:
    """No value stands there but what a new file of ours has: its format, its revision, and that it is a draft."""
    written = tomllib.loads(page(Answers()))

    assert {"format": 2, "revision": "A", "status": "draft", "group": [{"name": "Bolts"}]} == written


@pytest.mark.parametrize(
    ("count", "across", "drawn"),
    [
        (4, 2, ["1 2", "4 3"]),
        (10, 4, ["1 2 3 4", "10 . . 5", "9 8 7 6"]),
        (10, 5, ["1 2 3 4 5", "10 9 8 7 6"]),
        (8, 2, ["1 2", "8 3", "7 4", "6 5"]),
    ],
)
def test_a_rectangle_is_numbered_clockwise_from_its_upper_left_corner(
    count: int, across: int, drawn: list[str]
) -> None:
    """Its inside is empty."""
    answers = Answers(count=str(count), placed="rectangle", across=str(across))

    assert drawn == tomllib.loads(page(answers))["layout"]["rows"]


def test_two_rows_have_odd_numbers_over_even_ones() -> None:
    """Of an odd number one more stands above."""
    assert ["1 3 5", "2 4"] == tomllib.loads(page(Answers(count="5", placed="two rows")))["layout"]["rows"]


@settings(deadline=None)
@given(answered())
def test_a_comment_is_read_whole_beside_the_numbers_of_its_lines(answers: Answers) -> None:
    """The drafting screen leaves 73 columns of 80; only what somebody typed may be longer."""
    ours = [line for line in page(replace(answers, title="Flange")).splitlines() if line.startswith("#")]

    assert [] == [line for line in ours if len(line) > 73]


def test_stages_that_were_left_out_are_named_in_their_place() -> None:
    """After the stages that there are, so that nobody has to remember what was not asked for."""
    waits = page(replace(FLANGE, wait="10 min", look="Shaft free?"))

    assert "# Left out: turns, wait, recheck, inspection." in page(FLANGE).splitlines()
    assert "# Left out: turns, recheck." in waits.splitlines()


ASIDES = re.compile(r"(?m)^# (\w+ = .+?) +# ")


@pytest.mark.parametrize("aside", ASIDES.findall(page(FLANGE)))
def test_each_line_that_a_comment_offers_can_be_put_in_force(aside: str) -> None:
    """Without its # the line is read, and changes nothing else."""
    text = page(FLANGE)
    changed = text.replace(f"# {aside}", aside, 1)

    assert text != changed
    assert 3 == len(read(changed.encode()).stages)


@pytest.mark.parametrize("table", ["ask", "part", "sign_off", "follow_up"])
def test_each_table_that_a_comment_offers_can_be_put_in_force(table: str) -> None:
    """Without the # of its lines the whole table is read."""
    lines = page(FLANGE).splitlines()
    begin = next(n for n, line in enumerate(lines) if line.strip("# []") == table)
    end = next(n for n in range(begin, len(lines) + 1) if n == len(lines) or lines[n] in ("", "#"))
    inside = [line.removeprefix("# ") for line in lines[begin:end]]

    assert table in tomllib.loads("\n".join([*lines[:begin], *inside, *lines[end:]]))
    read("\n".join([*lines[:begin], *inside, *lines[end:]]).encode())


def test_what_was_answered_is_walked_to_its_end() -> None:
    """Three rounds, a wait, a recheck until nothing moves, a hold point; then what is due later."""
    answers = replace(
        FLANGE, wait="10 min", recheck="until none moves", look="Shaft free?", looker="another person", after="30 d"
    )
    procedure = read(page(replace(answers, later="recheck")).encode())
    walked = Bench(plan(procedure, "flange"))
    walked.steadily(ask.Finished)
    later = Bench(plan(procedure, "flange", follow_up="Recheck: Coupling bolts"))
    later.steadily(ask.Finished)

    assert isinstance(walked.prompt, ask.Finished)
    assert isinstance(later.prompt, ask.Finished)
    assert 12 * 4 + 2 == len(walked.plan.steps)
    assert 12 == len(later.plan.steps)
