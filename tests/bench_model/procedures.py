"""Random procedures: groups interleaved, each worked through as some manual or other has it."""

from collections.abc import Callable
from fractions import Fraction
from random import Random
from typing import Any

from bench_model import stages
from bench_model.amounts import in_unit, newton_metres, written
from bench_model.joint import Group, Joint, Stage
from bench_model.several import in_joints
from bench_model.stages import TENTH, Draft, written_step
from bench_model.tools import OPEN_END

NAMES = ("Head bolts", "Side screws", "Hub nuts", "Cap bolts")
GATES: tuple[Callable[[Random], Draft], ...] = (
    stages.gap,
    stages.counted,
    stages.pressure,
    stages.wait,
    lambda random: stages.inspect(random, None),
)
GROUP_KEYS = ("left_hand", "tightenings_at_most", "after_bad_pull", "finish_within")


def _pattern(random: Random, unit: str) -> tuple[dict[str, Any], list[Draft]]:
    target = written_step(in_unit(Fraction(random.choice((26, 30, 35, 42, 50, 60, 70))), unit))
    made: Callable[[Random, Fraction, str], tuple[dict[str, Any], list[Draft]]] = random.choice(
        (_staged, _staged, _snug_and_turn, _snug_and_turn, _nuts, _locker, _stretch, _falling)
    )
    return made(random, target, unit)


def _again(random: Random, target: Fraction, unit: str) -> list[Draft]:
    return [stages.recheck(random, target, unit)] if random.random() < 0.6 else []


def _staged(random: Random, target: Fraction, unit: str) -> tuple[dict[str, Any], list[Draft]]:
    shares = random.choice(((50, 100), (40, 70, 100), (100,)))
    drafts = [stages.tighten(random, written_step(target * share / 100), unit) for share in shares]
    if random.random() < 0.2:
        drafts.append(stages.loosen(random, fully=random.random() < 0.5))
        drafts.append(stages.tighten(random, target, unit))
    marked = [stages.mark()] if random.random() < 0.25 else []
    marked += [stages.sampled_look(random)] if random.random() < 0.2 else []
    return {}, drafts + marked + _again(random, target, unit)


def _falling(random: Random, target: Fraction, unit: str) -> tuple[dict[str, Any], list[Draft]]:
    high, low = stages.tighten(random, target, unit), stages.tighten(random, written_step(target * 7 / 10), unit)
    between = [stages.loosen(random)] if random.random() < 0.5 else []
    return {}, [high, *between, low, *_again(random, written_step(target * 7 / 10), unit)]


def _snug_and_turn(random: Random, target: Fraction, unit: str) -> tuple[dict[str, Any], list[Draft]]:
    first = [stages.loosen(random)] if random.random() < 0.2 else []
    return {}, [*first, stages.tighten(random, target, unit), stages.turn(random)]


def _nuts(random: Random, target: Fraction, unit: str) -> tuple[dict[str, Any], list[Draft]]:
    rule = random.choice(("always", "from a third", "included"))
    facts: dict[str, Any] = {"prevailing": rule, "least": newton_metres(Fraction(1), unit)}
    drafts = [stages.tighten(random, target, unit, confirm=False)]
    drafts[0].facts["rounds"] = 1
    drafts[0].table.pop("rounds", None)
    facts["table"] = {"prevailing": "measure", "prevailing_rule": rule, "prevailing_least": f"1 {unit}"}
    if random.random() < 0.5 and newton_metres(Fraction(5), unit) >= 5:
        facts["table"]["prevailing_most"] = f"5 {unit}"  # above the drag of every bolt (`worker`)
    if random.random() < 0.5:
        facts["left_hand"] = True
    slotted = [stages.align(target, unit)] if random.random() < 0.5 else []
    return facts, drafts + slotted + _again(random, target, unit)


def _locker(random: Random, target: Fraction, unit: str) -> tuple[dict[str, Any], list[Draft]]:
    apply = Draft({"do": "apply", "what": "Thread locker"}, {"kind": "apply"})
    if random.random() < 0.3:
        apply.table["lot"], apply.facts["lot"] = False, False
    facts: dict[str, Any] = {"finish_within": 20 * 60} if random.random() < 0.7 else {}
    return facts, [apply, stages.tighten(random, target, unit)]


def _stretch(random: Random, target: Fraction, unit: str) -> tuple[dict[str, Any], list[Draft]]:
    free = {"do": "measure", "id": "free", "asked": "each", "what": "Free length", "between": ["94.00 mm", "96.00 mm"]}
    facts: dict[str, Any] = {"kind": "measure", "low": Fraction(94), "high": Fraction(96)}
    pull = {"do": "tighten", "to": f"{written(target, TENTH)} {unit}", "until": "stretch", "minus": "free"}
    pull |= {"stretch_between": ["0.14 mm", "0.18 mm"], "never_above": f"{written(target * 3 / 2, TENTH)} {unit}"}  # type: ignore[dict-item]
    limits: dict[str, Any] = {"kind": "tighten", "stretch": (Fraction(14, 100), Fraction(18, 100))}
    limits |= {"target": newton_metres(target, unit), "never_above": newton_metres(written_step(target * 3 / 2), unit)}
    return {}, [Draft(dict(free), facts), stages.tighten(random, target, unit), Draft(pull, limits)]


def _group_facts(random: Random, facts: dict[str, Any]) -> dict[str, Any]:
    if random.random() < 0.25 and not facts.get("left_hand"):
        facts["left_hand"] = True
    if random.random() < 0.2:
        facts["tightenings_at_most"] = random.choice((4, 6))
    facts["after_bad_pull"] = random.choice(("ask", "ask", "pull again", "from the beginning"))
    if random.random() < 0.2:
        facts["one_use"] = True
    return facts


def _group_table(group: Group) -> dict[str, Any]:
    table: dict[str, Any] = {"name": group.name, "positions": list(group.positions), "thread": "M10"} | group.table
    if group.left_hand:
        table["left_hand"] = True
    if group.tightenings_at_most:
        table["tightenings_at_most"] = group.tightenings_at_most
    if group.after_bad_pull != "ask":
        table["after_bad_pull"] = group.after_bad_pull
    if group.one_use:
        table["fastener"] = "new every time"
    if group.finish_within:
        table["finish_within"] = f"{group.finish_within // 60} min"
    return table


def _ordered(random: Random, positions: list[str]) -> dict[str, Any]:
    way = random.choice(("listed", "numbered", "reversed", "order"))
    if way == "order":
        return {"order": random.sample(positions, len(positions))}
    return {"sequence": "listed", "reversed": True} if way == "reversed" else {"sequence": way}


def _sets(random: Random, positions: list[str]) -> dict[str, Any]:
    """Pairs that are worked through together, in an order of their own."""
    names = {f"pair {number}": f"{one}, {other}" for number, (one, other) in enumerate(_pairs(positions), 1)}
    return {"sets": names, "set_order": random.sample(list(names), len(names))}


def _pairs(positions: list[str]) -> list[tuple[str, str]]:
    return list(zip(positions[::2], positions[1::2], strict=True))


def _blocked(random: Random, drafts: list[Draft], sets: bool) -> list[list[Draft]]:
    plain = [draft for draft in drafts if draft.table["do"] in ("tighten", "turn", "loosen")]
    simple = len(plain) == len(drafts) and not any(draft.table.get("confirm") for draft in drafts)
    if simple and len(drafts) > 1 and random.random() < (0.7 if sets else 0.35):
        if sets and random.random() < 0.4:
            look = stages.inspect(random, None)
            look.table |= {"group": drafts[0].table["group"], "asked": random.choice(("once", "each"))}
            drafts = [*drafts, look]
        for draft in drafts:
            draft.facts["in_block"] = "set" if sets else "position"
        return [drafts]
    return [[draft] for draft in drafts]


def _interleaved(random: Random, each: list[list[list[Draft]]]) -> list[list[Draft]]:
    left = [list(one) for one in each]
    out: list[list[Draft]] = []
    while any(left):
        some = random.choice([one for one in left if one])
        out.append(some.pop(0))
        if random.random() < 0.15:
            gate = random.choice(GATES)(random)
            if all(draft.facts["kind"] not in ("tighten", "turn") for drafts in out for draft in drafts):
                gate.table.pop("since", None)
            out.append([gate])
    return out


def _numbered(groups: list[list[Draft]]) -> tuple[tuple[Stage, ...], list[dict[str, Any]]]:
    made: list[Stage] = []
    tables: list[dict[str, Any]] = []
    numbered = [draft for drafts in groups for draft in drafts]
    for drafts in groups:
        for draft in drafts:
            facts = {key: value for key, value in draft.facts.items() if key != "in_block"}
            back = [n for n, one in enumerate(numbered, 1) if one.table.get("id") == draft.table.get("adjust_from", "")]
            facts |= {"back_to": back[0]} if back else {}
            made.append(Stage(number=len(made) + 1, group=draft.table.get("group"), **facts))
        if any(draft.facts.get("in_block") for draft in drafts):
            steps = [{key: value for key, value in draft.table.items() if key != "group"} for draft in drafts]
            tables.append({"for_each": drafts[0].facts["in_block"], "group": drafts[0].table["group"], "steps": steps})
        else:
            tables.extend(draft.table for draft in drafts)
    return tuple(made), tables


def _follow_up(random: Random, groups: list[Group], drafts: dict[str, list[Draft]], unit: str) -> list[Draft]:
    for group in groups:
        last = [draft for draft in drafts[group.name] if draft.facts["kind"] == "tighten" and "low" in draft.facts]
        if last and random.random() < 0.5:
            target = in_unit(last[-1].facts["target"], unit)
            one = stages.recheck(random, written_step(target), unit)
            one.table["group"] = group.name
            one.facts |= {"adapter": OPEN_END} if "adapter" in group.table else {}
            return [one]
    return []


def _adjusted(random: Random, name: str, drafts: list[Draft]) -> list[Draft]:
    """Some are loosened first, and what they hold is measured in the end and adjusted from there."""
    if random.random() > 0.3 or any("until" in draft.table for draft in drafts):
        return drafts
    first = stages.loosen(random)
    first.table["id"] = f"slacken {name}"
    return [first, *drafts, stages.end_play(first.table["id"])]


def random_joint(random: Random, seed: int) -> Joint:
    """A procedure of one to three groups; the same seed gives the same one."""
    unit = random.choice(("N·m", "N·m", "N·m", "lbf·ft"))
    groups: list[Group] = []
    drafts: dict[str, list[Draft]] = {}
    used = 0
    for name in random.sample(NAMES, random.choice((1, 1, 2, 2, 3))):
        positions = [str(used + number) for number in range(1, random.randint(2, 4) + 1)]
        used += len(positions)
        facts, drafts[name] = _pattern(random, unit)
        extra = facts.pop("table", {}) | _ordered(random, positions)
        if len(positions) == 4 and random.random() < 0.5:
            extra |= _sets(random, positions)
        if any(draft.table.get("until") for other in drafts.values() for draft in other) and len(groups):
            drafts[name] = [
                draft for draft in drafts[name] if draft.table.get("id") != "free" and "until" not in draft.table
            ]
        if {draft.facts["kind"] for draft in drafts[name]} <= {"tighten", "recheck", "loosen"} and "table" not in facts:
            drafts[name] = _adjusted(Random(f"adjust {seed} {name}"), name, drafts[name])
        if Random(f"adapter {seed} {name}").random() < 0.15:
            extra["adapter"] = OPEN_END
            for draft in drafts[name]:
                draft.facts |= {"adapter": OPEN_END} if draft.facts["kind"] in ("tighten", "recheck") else {}
        groups.append(Group(name, tuple(positions), table=extra, **_group_facts(random, facts)))
        for draft in drafts[name]:
            draft.table["group"] = name
    worked, tables = _numbered(
        _interleaved(random, [_blocked(random, drafts[g.name], "sets" in g.table) for g in groups])
    )
    later = _follow_up(random, groups, drafts, unit) if random.random() < 0.4 else []
    follow, follow_tables = _numbered([[draft] for draft in later])
    pause_limit = 600
    guarded = random.random() < 0.15
    table: dict[str, Any] = {"format": 2, "title": f"Bench joint {seed}", "revision": "A", "unit": unit}
    table |= {"source": "Invented by the bench model", "accept": "guarded"} if guarded else {}
    if random.random() < 0.5:
        table["cautions"] = ["Eye protection on."]
        table["ask"] = [{"name": "Engine number", "is": "equipment", "required": True}]
    if random.random() < 0.4:
        table["sign_off"] = {"assembler": "required"}
    if random.random() < 0.15:
        table["repeat"] = ["Port engine", "Starboard engine"]
    table["group"] = [_group_table(group) for group in groups]
    table["stage"] = tables
    if later:
        table["follow_up"] = [{"title": "Later check", "after": "30 min", "stage": follow_tables}]
    made = Joint(str(table["title"]), unit, tuple(groups), worked, follow, guarded, pause_limit, table)
    return in_joints(random, made)
