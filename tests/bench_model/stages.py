"""Single stages as a manual has them: the table that is written, beside what it means in exact numbers."""

from dataclasses import dataclass, field
from fractions import Fraction
from random import Random
from typing import Any

from bench_model.amounts import newton_metres, written

TENTH = Fraction(1, 10)


@dataclass
class Draft:
    """A stage before it has its number."""

    table: dict[str, Any]
    facts: dict[str, Any] = field(default_factory=dict)


def torque_window(random: Random, target: Fraction, unit: str) -> tuple[dict[str, Any], dict[str, Fraction]]:
    """A target in the sheet's unit with a window, written in one of the ways people write it."""
    share = Fraction(random.choice((8, 10, 12, 15)), 100)
    wide = max(written_step(target * share), TENTH)
    way = random.choice(("plus minus", "percent", "between", "one-sided"))
    to = f"{written(target, TENTH)} {unit}"
    if way == "percent":
        low, high, table = target * (1 - share), target * (1 + share), {"within": f"±{int(share * 100)} %"}
    elif way == "between":
        low, high = target - wide, target + 2 * wide
        table = {"between": [f"{written(low, TENTH)} {unit}", f"{written(high, TENTH)} {unit}"]}  # type: ignore[dict-item]
    elif way == "one-sided":
        low, high = target - wide, target + wide / 2
        table = {"within": f"+{written(wide / 2, Fraction(1, 100))} −{written(wide, TENTH)} {unit}"}
    else:
        low, high, table = target - wide, target + wide, {"within": f"±{written(wide, TENTH)} {unit}"}
    facts = {"low": low, "target": target, "high": high}
    return {"to": to, **table}, {key: newton_metres(value, unit) for key, value in facts.items()}


def written_step(value: Fraction) -> Fraction:
    """Rounded to a tenth, as sheets print it."""
    return Fraction(round(value * 10), 10)


def tighten(random: Random, target: Fraction, unit: str, confirm: bool = True) -> Draft:
    """Torque, in rounds, confirmed each, each four or by round."""
    table, facts = torque_window(random, target, unit)
    rounds = random.choice((1, 1, 1, 2))
    way = random.choice(("each", "each", "each four", "round")) if confirm else "each"
    draft = Draft({"do": "tighten", **table}, {"kind": "tighten", **facts, "rounds": rounds, "confirm": way})
    if rounds > 1:
        draft.table["rounds"] = rounds
    if way != "each":
        draft.table["confirm"] = way
    return draft


def turn(random: Random, final: bool = True) -> Draft:
    """An angle, by gauge or mark, in one go or in strokes, perhaps with the torque looked at in the end."""
    by = Fraction(random.choice((30, 45, 60, 90, 120)))
    more, less = random.choice(((4, 0), (5, 5), (3, 3), (10, 0)))
    table: dict[str, Any] = {"do": "turn", "by": f"{by}°", "within": f"+{more}° −{less}°"}
    facts: dict[str, Any] = {"kind": "turn", "low": by - less, "target": by, "high": by + more}
    facts["rounds"] = random.choice((1, 1, 2))
    facts["strokes"] = random.random() < 0.5
    facts["by_mark"] = random.random() < 0.25
    if facts["rounds"] > 1:
        table["rounds"] = facts["rounds"]
    if facts["strokes"]:
        table["in_strokes"] = True
    if facts["by_mark"]:
        table["judged_by"] = "mark"
    if final and random.random() < 0.3:
        facts["final"] = (Fraction(25), Fraction(100))
        table["final_torque"] = ["25 N·m", "100 N·m"]
    return Draft(table, facts)


def recheck(random: Random, target: Fraction, unit: str, method: str | None = None) -> Draft:
    """A recheck by one of the three methods, at the torque or below it, judged or only written down."""
    at = written_step(target * random.choice((Fraction(1), Fraction(1), Fraction(4, 5))))
    chosen = method or random.choice(("tighten on", "back off and tighten again", "first movement"))
    table: dict[str, Any] = {"do": "recheck", "at": f"{written(at, TENTH)} {unit}", "method": chosen}
    facts: dict[str, Any] = {"kind": "recheck", "method": chosen, "target": newton_metres(at, unit)}
    if random.random() < 0.5:
        window, ends = torque_window(random, at, unit)
        table.update({key: value for key, value in window.items() if key != "to"})
        facts.update(ends)
    if random.random() < 0.3:
        table["still"], facts["still_angle"] = "5°", Fraction(5)
    if random.random() < 0.35:
        table["until_still"], table["at_most"], facts["until_still"] = True, random.choice((2, 3)), True
    return Draft(table, facts)


def loosen(random: Random, fully: bool = True) -> Draft:
    """Loosened fully, or by an angle."""
    if fully:
        return Draft({"do": "loosen"}, {"kind": "loosen"})
    return Draft({"do": "loosen", "by": random.choice(("30°", "90°"))}, {"kind": "loosen", "fully": False})


def align(target: Fraction, unit: str) -> Draft:
    """A nut that is looked at for its slot."""
    most = f"{written(target * 3 / 2, TENTH)} {unit}"
    ends = (newton_metres(target, unit), newton_metres(target * 3 / 2, unit))
    return Draft({"do": "align", "slots": 6, "at_most": most, "lock": "split pin"}, {"kind": "align", "final": ends})


def mark() -> Draft:
    """A line across head and part."""
    return Draft({"do": "mark", "paint": "yellow paint"}, {"kind": "mark"})


def gap(random: Random) -> Draft:
    """A gate: a gap at points, with limits and a spread."""
    points = random.choice((None, ["front", "rear"], ["top", "right", "bottom"]))
    table: dict[str, Any] = {"do": "measure", "what": "Gap between the faces", "between": ["0.10 mm", "0.50 mm"]}
    facts: dict[str, Any] = {"kind": "measure", "low": Fraction(1, 10), "high": Fraction(1, 2)}
    if points:
        table["at"] = points
        if random.random() < 0.6:
            table["spread"], facts["spread"] = "0.20 mm", Fraction(1, 5)
    return Draft(table, facts)


def end_play(back_to: str) -> Draft:
    """A gate that leads back to the loosening, twice at most."""
    table: dict[str, Any] = {"do": "measure", "asked": "once", "what": "End play", "between": ["0.20 mm", "0.30 mm"]}
    table |= {"adjust_from": back_to, "adjust_at_most": 2}
    facts = {"kind": "measure", "low": Fraction(1, 5), "high": Fraction(3, 10), "adjust_at_most": 2}
    return Draft(table, facts)


def counted(random: Random) -> Draft:
    """A gate: something is counted, once or at points of which one may be too few."""
    table: dict[str, Any] = {"do": "measure", "what": "Threads beyond the nut", "unit": "count", "at_least": 1}
    facts: dict[str, Any] = {"kind": "measure", "measured_in": "count", "low": Fraction(1)}
    if random.random() < 0.6:
        table |= {"at": ["front", "middle", "rear"], "all_but": 1}
        facts["all_but"] = 1
    return Draft(table, facts)


def pressure(random: Random) -> Draft:
    """A gate: the pressure of a tensioner, read off its gauge."""
    table: dict[str, Any] = {"do": "measure", "what": "Tensioner", "between": ["300 bar", "320 bar"]}
    facts: dict[str, Any] = {"kind": "measure", "measured_in": "bar", "low": Fraction(300), "high": Fraction(320)}
    if random.random() < 0.3:
        table |= {"at": ["pump", "manifold"], "spread": "8 bar"}
        facts["spread"] = Fraction(8)
    return Draft(table, facts)


def inspect(random: Random, group: str | None) -> Draft:
    """A look, once or at each; sometimes by another person."""
    table: dict[str, Any] = {"do": "inspect", "ask": "Does it look as the manual has it?"}
    facts: dict[str, Any] = {"kind": "inspect"}
    if group is not None:
        table["asked"] = random.choice(("once", "each"))
    if random.random() < 0.35:
        table["by"], facts["hold_point"] = "another person", True
    return Draft(table, facts)


def sampled_look(random: Random) -> Draft:
    """A look of another person at some of the bolts."""
    share, least = random.choice(((50, 1), (25, 2), (0, 1), (10, 2)))
    sample = f"{share} %, at least {least}" if share else str(least)
    table: dict[str, Any] = {"do": "inspect", "ask": "Does it look as the manual has it?", "asked": "each"}
    facts: dict[str, Any] = {"kind": "inspect", "hold_point": True, "sample": (Fraction(share, 100), least)}
    if random.random() < 0.4:
        table["if_one_fails"], facts["all_follow"] = "all", True
    return Draft(table | {"sample": sample}, facts)


def wait(random: Random) -> Draft:
    """Some minutes, on their own or after the last pull."""
    table: dict[str, Any] = {"do": "wait", "for": "5 min"}
    if random.random() < 0.7:
        table["since"] = "last pull"
    return Draft(table, {"kind": "wait", "seconds": 300})
