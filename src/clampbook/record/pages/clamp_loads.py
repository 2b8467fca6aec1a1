"""The estimated clamp load over the joint after each stage: bands, the likely value, and how even the bolts are."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from decimal import Decimal

from clampbook.joint.thread_names import thread_named
from clampbook.joint.unknown import JointFault
from clampbook.procedure.naming import own
from clampbook.record.clamp_loads import LOOSENED, TURNED_ON
from clampbook.record.pages.blocks import Band, Beside, Block, Chart, Heading, Plain, Sentences, Tick
from clampbook.record.pages.telling import Row, Telling, listed
from clampbook.run.plan import Plan

_MOST_CHARTED = 200  # more bars than that are no picture any more
_MOST_IN_THREE, _MOST_BESIDE = 10, 16  # bars in a picture of a third and of half the page's width
_MOST_LABELS = 36
_ROOM = 0.12  # of the span, above and below
_WIDE = 0.5  # of a position's place, that a band takes
_SHARE = 5
_SINCE = {LOOSENED: "Loosened", TURNED_ON: "Turned on"}


def clamp_loads(telling: Telling, plan: Plan | None = None) -> Iterator[Block]:
    """The part of the report; nothing where the record has no estimates. The plan knows what each bolt bears."""
    rows = telling.rows("clamp_load")
    if not rows:
        return
    yield Heading("Estimated clamp load", "not measured")
    said = (
        "Torque only indicates clamp load. Grey bars: its band if friction is as the procedure assumes, with the "
        "tool’s permissible deviation where known. The line in a bar is the likely value. None of it is a reading."
    )
    yield Sentences((said,), quiet=True, sticky=True)
    several = len({row["group"] for row in rows}) > 1
    threads = {row["position"]: _thread(row.get("fits")) for row in telling.rows("position")}
    frozen = {} if plan is None else plan.clamping_at
    proof = {position: each.proof_load for position, each in frozen.items() if each.proof_load}
    drawn = [tuple(_after(telling, row, threads, proof, several=several)) for row in rows]
    beside = _beside(rows)
    for at in range(0, len(drawn), beside):
        if beside == 1:
            yield from drawn[at]
        else:
            yield Beside((*drawn[at : at + beside], *((),) * (at + beside - len(drawn))))


def _beside(rows: Sequence[Row]) -> int:
    """Count the pictures that stand beside each other."""
    most = max(len(row["at"]) for row in rows)
    if len(rows) == 1 or most > _MOST_BESIDE:
        return 1
    return 2 if most > _MOST_IN_THREE or len(rows) in (2, 4) else 3


def _after(
    telling: Telling, row: Row, threads: Mapping[str, str], proof: Mapping[str, float], *, several: bool
) -> Iterator[Plain]:
    """One group after one round: how even it is, and its bars."""
    yield Heading(_named(telling, row, several), level=3)
    charted = len(row["at"]) <= _MOST_CHARTED
    missing = row.get("not_estimated_at")
    none_at = (f"None at {', '.join(missing)}, by concession without it.",) if missing else ()
    apart = _apart(telling, row)
    yield Sentences((*_even(row, threads, proof), *apart, *_since(row), *none_at), small=True, sticky=charted)
    if charted:
        yield _chart(row)


def _named(telling: Telling, row: Row, several: bool) -> str:
    text = f"After stage {telling.stage(row['stage'])}"
    if row["rounds"] > 1:
        text += f", round {row['round']} of {row['rounds']}"
    return f"{text}, {row['group']}" if several else text


def _thread(fits: str | None) -> str:
    """By what the bolts of one clamp load are told from each other: "M10×1.25", whatever their length."""
    try:
        return thread_named(fits or "").name
    except JointFault:
        return fits or ""


def _since(row: Row) -> Iterator[str]:
    """Tell which of them are no load that the joint was left with."""
    where: dict[str, list[str]] = {}
    for each in row["at"]:
        if each.get("since"):
            where.setdefault(each["since"], []).append(each["position"])
    for done, positions in where.items():
        which = "" if len(positions) == len(row["at"]) else f" at {listed(positions)}"
        yield f"{_SINCE[done]} since{which}: not the final load."


def _apart(telling: Telling, row: Row) -> Iterator[str]:
    """Tell where a stretch that was measured afterwards and what torque told before cannot both be right."""
    if row["do"] != "measure":  # while it is pulled on to a stretch, the load before is another one
        return
    before: dict[str, tuple[int, Row]] = {}
    for earlier in telling.rows("clamp_load"):
        if (earlier["stage"], earlier["round"]) < (row["stage"], row["round"]):
            before |= {each["position"]: (earlier["stage"], each) for each in earlier["at"]}
    stretched = [each for each in row["at"] if each["out_of"] == "stretch" and each["position"] in before]
    apart = [
        each["position"] for each in stretched if _contradict(telling, each, *before[each["position"]], row["stage"])
    ]
    if apart:
        where = "" if len(apart) == len(row["at"]) else f" at {listed(apart)}"
        told = f"The estimates from torque and from stretch do not overlap{where}"
        yield f"{told}: check the thread’s friction and the lengths."


def _contradict(telling: Telling, now: Row, stage: int, before: Row, at_stage: int) -> bool:
    """True where two bands of one bolt do not meet, and nothing was loosened between them."""
    meet = float(before["low"]) <= float(now["high"]) and float(now["low"]) <= float(before["high"])
    loosened = any(
        each["kind"] == "loosening" and each.get("position") == now["position"] and stage < each["stage"] <= at_stage
        for each in telling.rows("reading")
    )
    return before["out_of"] != "stretch" and not meet and not loosened


def _even(row: Row, threads: Mapping[str, str], proof: Mapping[str, float]) -> Iterator[str]:
    """Tell how far the likely values lie apart, for each size of bolt by itself; friction scatters beyond that."""
    sizes: dict[str, list[Row]] = {}
    for each in row["at"]:
        sizes.setdefault(threads.get(each["position"], ""), []).append(each)
    if len(sizes) == 1:
        told = _evenness(row["at"], row["least"], row["most"], row.get("most_over_least"), proof)
        yield f"{told[0].upper()}{told[1:]}"
        return
    for name, alike in sizes.items():
        likely = sorted(Decimal(each["likely"]) for each in alike)
        times = f"{likely[-1] / likely[0]:.2f}" if likely[0] and len(likely) > 1 else None
        yield f"{name}: {_evenness(alike, f'{likely[0]}', f'{likely[-1]}', times, proof)}"


def _evenness(alike: Sequence[Row], least: str, most: str, times: str | None, proof: Mapping[str, float]) -> str:
    share = _share(least, most, proof.get(alike[0]["position"]))
    if len(alike) == 1:
        return f"about {least} kN{share}."
    told = _told_by({each["out_of"] for each in alike})
    if least == most:
        return f"about {least} kN at each of {len(alike)} positions{share}, as far as {told}."
    ratio = "" if times is None else f", {times} times"
    return f"from bolt to bolt about {least} to {most} kN{ratio}{share}, as far as {told}."


def _share(least: str, most: str, proof_load: float | None) -> str:
    """Tell what part of the proof load the likely values are; nothing where the class of the bolts is not known."""
    if proof_load is None:
        return ""
    low, high = (round(100_000 * float(load) / proof_load) for load in (least, most))
    return f", {low} % of proof load" if low == high else f", {low} to {high} % of proof load"


def _told_by(sources: set[str]) -> str:
    if sources == {"turn"}:
        return "the procedure's turn can tell, not each bolt's own"
    if sources == {"angle"}:
        return "torque and angle can tell"
    return "the measured stretch can tell" if sources == {"stretch"} else "torque can tell"


def _chart(row: Row) -> Chart:
    at = row["at"]
    lowest, highest = min(float(each["low"]) for each in at), max(float(each["high"]) for each in at)
    span = highest - lowest or highest or 1.0
    floor, ceiling = max(0.0, lowest - _ROOM * span), highest + _ROOM * span

    def height(value: str | float) -> float:
        return round((ceiling - float(value)) / (ceiling - floor), _SHARE)

    def along(place: float) -> float:
        return round(place / len(at), _SHARE)

    def bar(index: int, high: str, low: str) -> Band:
        return Band(along(index + 0.5 - _WIDE / 2), along(index + 0.5 + _WIDE / 2), height(high), height(low))

    every = -(-len(at) // _MOST_LABELS)
    places = list(enumerate(at))
    return Chart(
        unit="kN",
        bands=(
            *(bar(index, each["high"], each["low"]) for index, each in places),
            *(bar(index, each["likely"], each["likely"]) for index, each in places),
        ),
        target=None,
        marks=(),
        beyond=(),
        across=tuple(Tick(along(index + 0.5), own(each["position"])) for index, each in places if index % every == 0),
        upwards=(Tick(height(highest), f"{highest:g} kN"), Tick(height(lowest), f"{lowest:g} kN")),
    )
