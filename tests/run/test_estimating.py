"""What a plan says of the clamp load: frozen, called an estimate, and silent where the sheet does not say enough."""

from __future__ import annotations

from decimal import Decimal
from typing import Any

import msgspec
import pytest
from small_joints import amount, at_first_pull, bench_for, bolts, measure, procedure, tighten, turn, value, walk_to
from small_joints import stored as happened

from clampbook.procedure import model as m
from clampbook.run import answers as a
from clampbook.run import events as e
from clampbook.run import prompts as ask
from clampbook.run.asked import details
from clampbook.run.lines import stored as said_of
from clampbook.run.plan import Clamping, Plan, StageClamp, decode, encode
from clampbook.run.planning import plan
from clampbook.run.told.clamp_loads import Estimated, estimate_line, kilonewtons
from clampbook.run.told.clamp_loads import planned as planned_line
from clampbook.tools.model import Tool

CLAMPED = (m.Clamped(thickness=amount("72", "mm"), material="aluminium"),)
OILED: dict[str, Any] = {
    "thread": "M10x1.25",
    "property_class": "10.9",
    "friction_thread": (0.10, 0.14),
    "friction_head": (0.10, 0.14),
}
DIAL = Tool(
    id="d1",
    name="D1",
    kind="indicating",
    unit="N·m",
    minimum=Decimal(1),
    maximum=Decimal(100),
    resolution=Decimal("0.1"),
)


def head(**more: Any) -> m.Group:
    """Two head bolts of which everything is known that a torque needs."""
    return msgspec.structs.replace(bolts(2, "Head bolts"), **(OILED | more))


def planned(group: m.Group, *stages: m.Stage) -> Plan:
    """The plan of these stages, as it is read back from its file."""
    return decode(encode(plan(procedure((group,), stages), "invented")))


def lines(made: Plan) -> list[str | None]:
    """The estimate of each step."""
    found = [planned_line(made, step) for step in made.steps]
    return [None if each is None else each.whole for each in found]


def pull(group: m.Group, number: int = 1, target: str = "30", **more: Any) -> m.Tighten:
    """A pull to so many N·m ± 2."""
    middle = Decimal(target)
    window = m.Window(low=middle - 2, high=middle + 2, unit="N·m")
    return tighten(group, number, target=middle, window=window, **more)


def stage_of(made: Plan, number: int, round_: int = 1) -> StageClamp:
    """What the plan says of a stage."""
    return next(each for each in made.clamping[0].stages if (each.stage, each.round) == (number, round_))


def test_a_pull_shows_clamp_load_band_and_share_of_the_proof_load() -> None:
    """30 N·m ± 2 on an oiled M10x1.25: 30 N·m at friction 0.12 over 1.61 mm are 18.6 kN, of 50.8 kN (by hand)."""
    group = head()

    assert "estimated clamp load 19 kN (15 to 24), 37 % of proof load" == lines(planned(group, pull(group)))[0]


@pytest.mark.parametrize("missing", ["thread", "friction_thread", "friction_head"])
def test_nothing_is_shown_where_the_sheet_lacks_what_it_takes(missing: str) -> None:
    """No thread or no friction, no clamp load; and the plan freezes none."""
    group = head(**{missing: None})
    made = planned(group, pull(group))

    assert [None, None] == lines(made)
    assert () == made.clamping


def test_without_a_class_the_share_is_left_out() -> None:
    """The clamp load itself needs none."""
    group = head(property_class=None)

    assert "estimated clamp load 19 kN (15 to 24)" == lines(planned(group, pull(group)))[0]


def test_a_turn_says_that_it_goes_past_yield_and_names_no_other_angle() -> None:
    """30 N·m and 90° through 72 mm of aluminium into cast iron: "yields at about 72°" would be read as the angle to
    turn to."""
    group = head(clamped=CLAMPED, into="cast iron", shank=amount("50", "mm"))
    made = planned(group, pull(group), turn(group, 2, target=Decimal(90)))
    told = stage_of(made, 2)

    assert told.yields_at is not None
    assert 65 < told.yields_at < 78
    assert (lines(made)[2] or "").endswith("past yield at this angle")
    assert "°" not in (lines(made)[2] or "")
    assert told.low < told.likely < told.high


def test_what_a_degree_adds_is_frozen_with_where_it_ends() -> None:
    """From 18.6 kN to yield at 51.6 kN in 72.4°, by hand (VDI 2230): 0.455 kN for each degree."""
    group = head(clamped=CLAMPED, into="cast iron", shank=amount("50", "mm"))
    frozen = stage_of(planned(group, pull(group), turn(group, 2)), 2)

    assert 455 == pytest.approx(frozen.each_degree, rel=0.01)
    assert frozen.levels_at is not None
    assert 51.6e3 == pytest.approx(frozen.levels_at[1], rel=0.002)


def test_a_second_turn_begins_beyond_yield() -> None:
    """Two rounds of 90°: the second finds the bolt yielding already, and its clamp load stays level."""
    group = head(clamped=CLAMPED, into="cast iron", shank=amount("50", "mm"))
    made = planned(group, pull(group), turn(group, 2, target=Decimal(90), rounds=2))

    assert stage_of(made, 2, 2).beyond
    assert stage_of(made, 2, 1).likely == stage_of(made, 2, 2).likely


def test_a_turn_without_what_is_clamped_says_nothing() -> None:
    """And neither do the rounds after it, for what they begin from is not known."""
    group = head()

    assert [None, None] == lines(planned(group, pull(group), turn(group, 2)))[2:]


def test_a_stretch_as_target_tells_the_clamp_load_by_the_stretch() -> None:
    """The middle of 0.10 to 0.14 mm times the newtons for each millimetre that are frozen with the plan."""
    ends = m.Window(low=Decimal("0.10"), high=Decimal("0.14"), unit="mm")
    stretch = m.Stretch(window=ends, minus=None, never_above=amount("95", "N·m"))
    group = head(clamped=CLAMPED, into="cast iron", shank=amount("50", "mm"))
    until = tighten(group, target=None, window=m.Window(low=None, high=Decimal(95), unit="N·m"), stretch=stretch)
    made = planned(group, until)

    assert made.clamping[0].each_millimetre is not None
    assert 0.12 * made.clamping[0].each_millimetre == pytest.approx(stage_of(made, 1).likely, rel=1e-4)


def lengths(group: m.Group, what: str, *, minus: str | None = "free") -> m.Measure:
    """A stage that measures each bolt after the pull, less what it measured before."""
    between = m.Window(low=Decimal("0.08"), high=Decimal("0.12"), unit="mm")
    return measure(3, group, what=what, asked="each", minus=minus, window=between)


def stud() -> m.Group:
    """A group with all that a stretch needs."""
    return head(clamped=CLAMPED, into="cast iron", shank=amount("50", "mm"))


def test_a_length_measured_after_the_pull_tells_the_clamp_load() -> None:
    """The middle of 0.08 to 0.12 mm of stretch, whatever the torque before it says: 0.10 mm are 16.3 kN.

    By hand: Σ l/A = 5/78.5 + 50/78.5 + 22/56.3 + 5/56.3 + 205/110 · 3.3/78.5 = 1.26 /mm, over E = 205 kN/mm².
    """
    group = stud()
    made = planned(group, pull(group, 1), lengths(group, "Length of the tightened bolt"))
    each = made.clamping[0].each_millimetre

    assert each is not None
    assert 0.10 * each == pytest.approx(stage_of(made, 3).likely, rel=1e-4)
    assert (lines(made)[-1] or "").startswith("estimated clamp load 16 kN (")


@pytest.mark.parametrize(("what", "minus"), [("Gap below the flange", "free"), ("Length of the bolt", None)])
def test_what_is_no_stretch_tells_none(what: str, minus: str | None) -> None:
    """A gap that closes, or a length from which nothing is taken off."""
    group = stud()
    made = planned(group, pull(group, 1), lengths(group, what, minus=minus))

    assert lines(made)[-1] is None


def test_less_torque_than_before_leaves_the_clamp_load_as_it_is() -> None:
    """A tight bolt does not feel a smaller torque."""
    group = head()
    made = planned(group, pull(group, 1, "40"), pull(group, 2, "30"))

    assert stage_of(made, 1).likely == stage_of(made, 2).likely


def test_a_loosening_begins_anew() -> None:
    """30 N·m after a full loosening are 30 N·m, whatever was before."""
    group = head()
    loosen = m.Loosen(number=2, group=group.name, positions=group.order)
    made = planned(group, pull(group, 1, "40"), loosen, pull(group, 3, "30"))

    assert stage_of(made, 1).likely > stage_of(made, 3).likely


def test_torque_lost_in_a_locking_nut_is_no_clamp_load() -> None:
    """Where the sheet's figures hold the prevailing torque, how much is left for clamping is not known."""
    included, third = (m.Prevailing(rule=rule) for rule in ("included", "from a third"))
    plain = head()
    usual = stage_of(planned(plain, pull(plain)), 1)
    some = head(prevailing=third)

    assert () == planned(head(prevailing=included), pull(head())).clamping
    assert usual.low * 2 / 3 == pytest.approx(stage_of(planned(some, pull(some)), 1).low, rel=1e-4)


def test_each_kind_of_fastener_has_its_own_estimate() -> None:
    """M10 at position 1, M12 at position 2: the same torque clamps less with the larger thread."""
    group = head(thread=None, fits={"1": "M10x1.25 x 91 mm", "2": "M12x1.25 x 91 mm"})
    first, second = planned(group, pull(group)).clamping

    assert (("1",), ("2",)) == (first.positions, second.positions)
    assert first.each_newton_metre[1] > second.each_newton_metre[1]


def test_a_position_that_a_stage_leaves_out_is_not_credited_with_it() -> None:
    """Only bolt 1 is pulled before both are turned: of bolt 2 nothing is known after the turn."""
    group = head(clamped=CLAMPED, into="cast iron", shank=amount("50", "mm"))
    first = msgspec.structs.replace(pull(group), positions=("1",))
    told = lines(planned(group, first, turn(group, 2)))

    assert [True, True, False] == [line is not None for line in told]


def test_before_a_locking_nut_seats_no_clamp_load_is_shown() -> None:
    """What runs it down clamps nothing; at the pull itself 19 kN are shown."""
    nuts = head(prevailing=m.Prevailing(rule="always"))
    run = bench_for(nuts, pull(nuts))
    running = "\n".join(details(walk_to(run, "1.1/1", ask.Measure)))
    value(run, "3")
    pulling = "\n".join(details(walk_to(run, "1.1/1", ask.Tighten)))

    assert "clamp load" not in running
    assert "estimated clamp load 19 kN" in pulling


def test_a_pull_below_what_is_held_shows_no_clamp_load_of_its_own() -> None:
    """Tightened with 50 N·m and asked for 30: the load is that of 50, so the one of 30 would be untrue."""
    row = head()
    run = bench_for(row, pull(row, 1, "50"), pull(row, 2, "30"))
    told = "\n".join(details(walk_to(run, "2.1/1", ask.Tighten)))

    assert "at 50 N·m already" in told
    assert "clamp load" not in told


def test_a_plan_of_old_has_no_estimates() -> None:
    """What was frozen before there were any reads as it did."""
    group = head()
    data = msgspec.json.decode(encode(plan(procedure((group,), (pull(group),)), "invented")))
    del data["clamping"]

    assert () == decode(msgspec.json.encode(data)).clamping


def test_each_newton_metre_is_frozen_as_a_figure_that_needs_no_formula_later() -> None:
    """Likely clamp load over torque is that figure, so a record can be made from the plan alone."""
    group = head()
    made: Clamping = planned(group, pull(group)).clamping[0]

    assert 30 * made.each_newton_metre[1] == pytest.approx(made.stages[0].likely, rel=1e-4)


class TestWords:
    """Few digits, the ends rounded outwards."""

    @pytest.mark.parametrize(
        ("loads", "shown"),
        [
            ((15_120, 18_640, 23_290), ("15", "19", "24")),
            ((7_010, 9_150, 12_040), ("7.0", "9.2", "12.1")),
            ((99_000, 123_400, 150_100), ("99", "123", "151")),
            ((0, 0, 0), ("0", "0", "0")),
            ((15_000, 15_000, 15_000), ("15", "15", "15")),
            ((4_356, 4_356, 4_356), ("4.4", "4.4", "4.4")),
        ],
    )
    def test_loads_are_shown_in_kilonewtons(
        self, loads: tuple[float, float, float], shown: tuple[str, str, str]
    ) -> None:
        """Two digits of the likely one; a band never looks narrower than it is."""
        assert shown == kilonewtons(*loads)

    def test_the_line_always_calls_itself_an_estimate(self) -> None:
        """Clamp load was not measured."""
        assert "estimated clamp load 18 kN (15 to 22)" == estimate_line(Estimated(15e3, 18e3, 22e3)).whole


class TestPrompts:
    """The line stands under the pull and the turn, and nowhere else."""

    def test_under_a_pull(self) -> None:
        """Beside target and window, before the first reading."""
        group = head()
        run = at_first_pull(group, pull(group), tools=(DIAL,))

        assert "estimated clamp load 19 kN (15 to 24), 37 % of proof load" in details(run.prompt)

    def test_under_a_measured_length(self) -> None:
        """What the window of the stretch means, where that is measured."""
        group = stud()
        free = measure(1, group, id="free", what="Free length", asked="each", window=None)
        run = bench_for(group, free, pull(group, 2), lengths(group, "Length of the tightened bolt"), tools=(DIAL,))
        walk_to(run, "3.1/1", ask.Measure)

        assert [line for line in details(run.prompt) if "estimated clamp load" in line]

    def test_what_a_measured_stretch_means_is_said_when_it_is_stored(self) -> None:
        """0.10 mm are 16.3 kN by hand, here within 5 %; and nothing is said where no stretch was measured."""
        group = stud()
        free = measure(1, group, id="free", what="Free length", asked="each", window=None)
        run = bench_for(group, free, pull(group, 2), lengths(group, "Length of the tightened bolt"), tools=(DIAL,))
        walk_to(run, "1.1/1", ask.Measure)
        before = happened(run.answer(a.Value("95.00")), e.Measured)
        walk_to(run, "3.1/1", ask.Measure)
        after = happened(run.answer(a.Value("95.10")), e.Measured)

        assert "clamp load" not in said_of(before, run.session.plan)
        assert said_of(after, run.session.plan).endswith(
            ", estimated clamp load 16 kN (15 to 18), 32\u00a0% of proof load."
        )

    def test_not_while_a_tool_is_taken(self) -> None:
        """What is in hand is asked first."""
        group = head()
        run = bench_for(group, pull(group), tools=(DIAL,))
        walk_to(run, "1.1/1", ask.TakeTool)

        assert not [line for line in details(run.prompt) if "clamp load" in line]

    def test_not_where_the_sheet_says_too_little(self) -> None:
        """No friction, no line."""
        group = head(friction_thread=None)
        run = at_first_pull(group, pull(group), tools=(DIAL,))

        assert not [line for line in details(run.prompt) if "clamp load" in line]
