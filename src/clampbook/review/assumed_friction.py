"""A group whose friction is not given, as if it had any that there is: for what else can be told of its bolts."""

from __future__ import annotations

from msgspec.structs import replace

from clampbook.procedure.model import Group

ANY = (0.10, 0.30)  # nut factors from anti-seize to black finish, Shigley 9th ed., Table 8-15


def has_friction(group: Group) -> bool:
    """True where the file says how torque becomes clamp load."""
    return group.nut_factor is not None or (group.friction_thread is not None and group.friction_head is not None)


def with_any_friction(group: Group) -> Group:
    """The group itself where its friction is given."""
    return group if has_friction(group) else replace(group, nut_factor=ANY)
