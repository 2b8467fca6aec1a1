"""What the four pulls have in common: tightening, turning, rechecking, and what is read beside them."""

from __future__ import annotations

from clampbook.run.prompts import Where


def estimate(where: Where) -> tuple[str, ...]:
    """What the step does to the clamp load, as it was planned."""
    return () if where.estimate is None else (where.estimate,)
