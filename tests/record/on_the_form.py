"""What a test reads off a paper form: the rows and boxes below its stages, and which steps have none."""

from __future__ import annotations

from clampbook.record.form.blocks import Boxes, Rows, StageHead
from clampbook.record.paper_form import blocks
from clampbook.run.plan import Plan, Step

Found = list[tuple[set[int], list[str], list[str]]]


def name_of(step: Step, of: Plan) -> str:
    """The name that stands at the place of a step: bolt and point as the drawing has them, or its set."""
    joint = of.joint_at(step.position, step.stage) if of.joints_interleaved else None
    bolt = step.position or "" if joint is not None else (step.position or "").rpartition(":")[2]
    before = [each for each in (bolt or step.set or (joint and joint.name),) if each]
    return " ".join((*before, *([step.point] if step.point else []))) or "all"


def rows_and_boxes(of: Plan) -> Found:
    """For stages that stand together their numbers, the names of their rows, and of their boxes."""
    found: Found = []
    open_for_heads = False
    for each in blocks(of):
        match each:
            case StageHead(text=text):
                if not open_for_heads:
                    found.append((set(), [], []))
                open_for_heads = True
                found[-1][0].update(int(number) for number in text.partition("  ")[0].split(", "))
            case Rows(head=head, rows=rows, panels=panels) if found and head[0] == "Pos.":
                open_for_heads = False
                found[-1][1].extend(row[panel * len(head)] for row in rows for panel in range(panels))
            case Boxes(rows=rows, above=False) if found:
                open_for_heads = False
                found[-1][2].extend(box.label for row in rows for box in row)
            case _:
                pass
    return found


def without_a_place(of: Plan, found: Found) -> list[str]:
    """The steps that have neither a row of their name nor a box; of a sample the inspector writes the names, and what
    is done once has boxes without a name."""
    return [step.id for step in of.steps if not _has_one(step, of, found)]


def _has_one(step: Step, of: Plan, found: Found) -> bool:
    below = [(rows, boxes) for stages, rows, boxes in found if of.numbered[step.stage] in stages]
    if len(below) != 1:
        return False
    (rows, boxes), name = below[0], name_of(step, of)
    joint = of.joint_at(step.position, step.stage)  # stands above its boxes
    within = name.partition(":")[2] or name.removeprefix(f"{joint.name} " if joint and not step.set else "")
    boxed = any(box.startswith(f"{of.numbered[step.stage]} · {within} ") for box in boxes)
    once = step.position is None and step.point is None and not rows and bool(boxes)
    return name in rows or "" in rows or boxed or once
