"""Random procedures and random answers, for walking runs that nobody thought of."""

from __future__ import annotations

from decimal import Decimal

from hypothesis import assume
from hypothesis import strategies as st
from msgspec import UNSET, UnsetType

from clampbook import units
from clampbook.procedure import model as m
from clampbook.run import answers as a
from clampbook.run import prompts as ask
from clampbook.units import Quantity

SCOPES: st.SearchStrategy[m.Scope] = st.sampled_from(("fastener", "neighbours", "group", "joint"))


@st.composite
def groups(draw: st.DrawFn, name: str, first: int) -> m.Group:
    """A group of one to five positions."""
    count = draw(st.integers(1, 5))
    positions = tuple(str(first + number) for number in range(count))
    order = tuple(draw(st.permutations(positions)))
    halves = (positions[: count // 2], positions[count // 2 :]) if count > 1 else (positions,)
    prevailing = draw(
        st.sampled_from(
            [
                None,
                None,
                None,
                m.Prevailing(rule="always", least=Quantity(Decimal(1), "N·m")),
                m.Prevailing(rule="from a third", most=Quantity(Decimal(9), "N·m")),
            ]
        )
    )
    return m.Group(
        name=name,
        positions=positions,
        order=order,
        fastener=draw(st.sampled_from(["new every time", "use again if measured", "use again"])),
        tightenings_at_most=draw(st.sampled_from([None, None, 1, 3])),
        prepare=("Clean.",) if draw(st.booleans()) else (),
        start_over=draw(SCOPES),
        after_bad_pull=draw(st.sampled_from(["ask", "pull again", "from the beginning"])),
        sets=tuple(m.FastenerSet(name=f"cap {number}", positions=half) for number, half in enumerate(halves, 1)),
        neighbours={
            position: tuple(each for each in positions if abs(int(each) - int(position)) == 1) for position in positions
        },
        prevailing=prevailing,
        finish_within=draw(st.sampled_from([None, None, Quantity(Decimal(5), "min")])),
        thread=draw(st.sampled_from([None, "M10x1.25", "something"])),
        property_class=draw(st.sampled_from([None, "10.9"])),
        nut_factor=draw(st.sampled_from([None, (0.14, 0.18)])),
        clamped=draw(st.sampled_from([(), CLAMPED])),
    )


# each as often as it stands here
ANY_KIND: tuple[str, ...] = ("tighten", "tighten", "tighten", "turn", "align", "mark", "loosen")
ANY_KIND += ("measure", "inspect", "wait", "recheck", "apply")
LATER = ("recheck", "recheck", "tighten", "inspect", "measure")  # what is done when a joint is looked at again
TWO = ("port", "starboard")
SEVERAL: tuple[m.Joints | None, ...] = (None, None, None)
SEVERAL += (m.Joints(one="Hub", names=TWO, walk="one after the other"),)
SEVERAL += (m.Joints(one=None, names=TWO, walk="interleaved"),)
CLAMPED = (m.Clamped(thickness=Quantity(Decimal(72), "mm"), material="aluminium"),)


def _window(low: str, high: str, unit: str) -> m.Window:
    return m.Window(low=Decimal(low), high=Decimal(high), unit=unit)


@st.composite
def samples(draw: st.DrawFn) -> m.Sample | None:
    """A sample of a stage's positions, more often none."""
    if draw(st.integers(0, 2)):
        return None
    share = draw(st.sampled_from([None, Decimal(10), Decimal(50)]))
    return m.Sample(share=share, least=draw(st.integers(1, 2)), then=draw(st.sampled_from(["as many again", "all"])))


@st.composite
def _adjust(draw: st.DrawFn, back: tuple[int, ...]) -> m.Adjust | UnsetType:
    if not back or draw(st.integers(0, 1)):
        return UNSET
    return m.Adjust(back_to=draw(st.sampled_from(back)), at_most=2)


@st.composite
def stages(
    draw: st.DrawFn,
    group: m.Group,
    number: int,
    block: dict[str, object],
    kinds: tuple[str, ...] = ANY_KIND,
    back: tuple[int, ...] = (),
) -> m.Stage:
    """One stage of any of these kinds; one that measures may lead back to one of the stages `back`."""
    kind = draw(st.sampled_from(kinds))
    positions = (
        group.order if block else tuple(each for each in group.order if draw(st.integers(0, 5)) > 0) or group.order
    )
    common: dict[str, object] = {
        "number": number,
        "group": group.name,
        "positions": positions,
        "caution": "Stand clear." if draw(st.integers(0, 4)) == 0 else None,
        **block,
    }
    once = draw(st.sampled_from(["once", "each"]))
    match kind:
        case "tighten":
            stretch = None
            if draw(st.integers(0, 5)) == 0:
                stretch = m.Stretch(
                    window=_window("0.10", "0.14", "mm"), minus=None, never_above=Quantity(Decimal(95), "N·m")
                )
            return m.Tighten(
                **common,  # type: ignore[arg-type]
                target=Decimal(30) if stretch is None else None,
                window=_window("28", "32", "N·m")
                if stretch is None
                else m.Window(low=None, high=Decimal(95), unit="N·m"),
                rounds=draw(st.integers(1, 2)),
                confirm=draw(st.sampled_from(["each", "each", "each four", "round"])) if stretch is None else "each",
                together=draw(st.sampled_from([1, 1, 2])),
                may_repull=draw(st.booleans()),
                stretch=stretch,
            )
        case "turn":
            return m.Turn(
                **common,  # type: ignore[arg-type]
                target=Decimal(90),
                window=_window("90", "94", "°"),
                rounds=draw(st.integers(1, 2)),
                in_strokes=draw(st.booleans()),
                judged_by=draw(st.sampled_from(["gauge", "mark"])),
                final_torque=_window("40", "95", "N·m") if draw(st.integers(0, 2)) == 0 else None,
            )
        case "loosen":
            return m.Loosen(**common)  # type: ignore[arg-type]
        case "measure":
            points = draw(st.sampled_from([(), ("front", "rear")]))
            may_be_outside = bool(points) and draw(st.booleans())
            leads = draw(_adjust(back))
            return m.Measure(
                **common,  # type: ignore[arg-type]
                id=f"m{number}",
                what="Gap",
                unit="mm",
                window=_window("0.10", "0.30", "mm"),
                asked=once,  # type: ignore[arg-type]
                points=points,
                spread=Quantity(Decimal("0.05"), "mm") if points and not may_be_outside else None,
                all_but=1 if may_be_outside else None,
                sample=draw(samples()) if once == "each" and not block and leads is UNSET else None,
                adjust=leads,
            )
        case "inspect":
            drawn = draw(samples()) if once == "each" and not block else None
            hold_point = drawn is not None or draw(st.booleans())
            return m.Inspect(**common, ask="Marks half a turn on?", asked=once, hold_point=hold_point, sample=drawn)  # type: ignore[arg-type]
        case "wait":
            since = draw(st.sampled_from(["last pull", None]))
            return m.Wait(**{**common, "positions": ()}, lasts=Decimal(60), as_written="1 min", since=since)  # type: ignore[arg-type]
        case "recheck":
            method = draw(st.sampled_from(["tighten on", "first movement", "back off and tighten again"]))
            return m.Recheck(
                **common,  # type: ignore[arg-type]
                target=Decimal(30),
                method=method,  # type: ignore[arg-type]
                back_off=Decimal(30) if method == "back off and tighten again" else None,
                still=draw(st.sampled_from([None, None, Decimal(5)])),
                window=_window("28", "36", "N·m") if draw(st.booleans()) else None,
                until_still=draw(st.booleans()),
                at_most=draw(st.integers(1, 2)),
                sample=draw(samples()) if not block else None,
            )
        case "align":
            most = draw(st.sampled_from([Decimal(36), Decimal(95), None]))
            return m.Align(**common, slot=Decimal(60), lock="split pin", at_most=most)  # type: ignore[arg-type]
        case "mark":
            return m.Mark(**common, paint="yellow paint")  # type: ignore[arg-type]
        case _:
            return m.Apply(**common, what="thread locker", lot=draw(st.booleans()), asked=once)  # type: ignore[arg-type]


def _snug_by_a_recheck(found: list[m.Stage], group: str) -> bool:
    """True where a turn begins from what only a recheck pulled since it was loosened.

    Started over, such a bolt is never snug again, as rechecks are not repeated with it. No manual asks for that, and
    steady hands would go round for ever.
    """
    loose = rechecked = False
    for stage in found:
        if getattr(stage, "group", None) != group:
            continue
        if isinstance(stage, m.Turn) and loose and rechecked:
            return True
        if isinstance(stage, m.Loosen):
            loose, rechecked = True, False
        elif isinstance(stage, m.Recheck):
            rechecked = True
        elif isinstance(stage, m.Tighten | m.Turn):
            loose = False
    return False


@st.composite
def procedures(draw: st.DrawFn, *, several: bool = True) -> m.Procedure:
    """A small procedure with one or two groups, stages one by one or bolt by bolt or set by set; at times of two joints
    in one run, where `several` may be."""
    chosen = [draw(groups("Head bolts", 1))]
    if draw(st.booleans()):
        chosen.append(draw(groups("Side screws", 6)))
    found: list[m.Stage] = []
    block = 0
    for group in draw(st.lists(st.sampled_from(chosen), min_size=1, max_size=4)):
        each = draw(st.sampled_from([None, None, "position", "set"]))
        settings: dict[str, object] = {}
        if each is not None:
            block += 1
            settings = {"block": block, "each": each}
        first = len(found) + 1 if each else 1
        for _ in range(draw(st.integers(1, 3)) if each else 1):
            back = tuple(range(first, len(found) + 1))
            found.append(draw(stages(group, len(found) + 1, settings, back=back)))
    assume(not any(_snug_by_a_recheck(found, group.name) for group in chosen))
    later = tuple(draw(stages(draw(st.sampled_from(chosen)), n, {}, LATER)) for n in range(1, draw(st.integers(1, 3))))
    places = tuple(
        m.Place(position=position, x=float(number), y=0.0)
        for number, position in enumerate(position for group in chosen for position in group.positions)
    )
    counted = m.Part(name=chosen[0].name, record="count", left_over=True)
    return m.Procedure(
        title="Invented",
        revision="A",
        unit="N·m",
        layout=m.Layout(kind="line", places=places),
        groups=tuple(chosen),
        stages=tuple(found),
        cautions=("Eye protection on.",),
        asks=(m.Ask(name="Serial number", answer="text", required=True, searched_as="equipment"),),
        parts=(m.Part(name="Gasket", record="lot"), *draw(st.sampled_from(((), (counted,))))),
        joints=draw(st.sampled_from(SEVERAL)) if several else None,
        follow_ups=(m.FollowUp(title="Look again", after=Quantity(Decimal(1), "d"), or_use=None, stages=later),)
        if later
        else (),
        sign_off=(
            m.SignOff(role="assembler", required=True),
            m.SignOff(role="inspector", required=False, another_person=True),
        ),
    )


def slips(positions: tuple[str, ...]) -> list[st.SearchStrategy[a.Answer]]:
    """Answers of somebody to whom things go wrong, fitting the prompt or not."""
    some = st.sampled_from(positions)
    known = st.sampled_from(["the tool still shows it", "a second person saw it", "from memory"])
    number = st.sampled_from(["5", "21", "22.1", "22,2", "23.9", "30", "60", "92", "93", "0.2", "0.12", "0.5", "12"])
    text = st.one_of(
        number, number.map(lambda value: f"{value} lbf·ft"), st.sampled_from(["", "x", "30 mm", "‮9", "1e5"])
    )
    found: list[st.SearchStrategy[a.Answer]] = [
        text.map(a.Value),
        text.map(a.Value),
        st.just(a.Plus()),
        st.builds(a.BadPull, value=st.sampled_from([None, "17", "45"]), clicked=st.sampled_from([None, True, False])),
        st.builds(
            a.PulledAnother,
            some,
            st.sampled_from([None, "22.1", "92", "40"]),
            st.sampled_from([True, True, False, None]),
        ),
        st.just(a.Skip("needs a cleaner hole")),
        st.builds(
            a.Broke,
            st.sampled_from(["broken", "stripped", "never reaches the torque", "wrong or missing part"]),
            st.sampled_from([None, "25 N·m", "25", "hand tight"]),
        ),
        st.builds(a.Correct, number, known),
        st.builds(a.Correct, number, known, st.integers(1, 60)),
        st.builds(a.VoidStored, st.just("chatter"), st.one_of(st.none(), st.integers(1, 60))),
        st.just(a.Note("a phone call")),
        st.builds(
            a.TakeUp,
            st.sampled_from(["w2", "w3", "w5", "g1", "marks", "w9"]),
            st.sampled_from([None, "no other here"]),
            st.sampled_from([None, None, "a1", "a9"]),
        ),
        st.builds(a.Drop, st.sampled_from(["w2", "w3", "w5"]), st.sampled_from([None, "it fell on wood"])),
        st.builds(a.Zero, st.sampled_from(["good", "wrong", "unknown"])),
        st.builds(a.Still, st.booleans(), st.sampled_from([None, "22.1", "30"])),
        st.builds(a.Slot, st.sampled_from(["already", "turned", "unread", "not"])),
        st.builds(a.AtMark, st.sampled_from(["back", "short", "past"])),
        st.builds(a.Look, st.sampled_from(["yes", "no"]), st.lists(some, max_size=2).map(tuple)),
        st.builds(a.DoneUpTo, some),
        st.builds(a.GoOnEarly, st.just("the shop closes")),
        st.builds(a.Found, st.just("started, mark still there"), st.sampled_from([None, "40", "92", "110"])),
        st.builds(
            a.Found,
            st.sampled_from(
                ["started, mark still there", "mark lost", "started, not finished", "finished, not entered"]
            ),
        ),
        st.just(a.LeaveOut()),
        st.just(a.Put("L-1")),
    ]
    return found


def ways(asked: ask.Decide) -> list[ask.DecideChoice]:
    """The ways of a Decide that go on with the run."""
    return [each for each in asked.choices if each.choice not in ("correct", "hold", "abandon")]


def plain(value: Decimal) -> str:
    """A number as a person would type it."""
    return units.plain(value)
