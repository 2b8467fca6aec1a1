"""A choice by its stable value, never by its words."""

from typing import Any

from bench_model.walk import StuckError


def value_of(choice: dict[str, Any]) -> str:
    """What a choice stands for."""
    if choice.get("value") is None:
        raise StuckError(f"a choice without a value: {choice}")
    return str(choice["value"])


def values(prompt: dict[str, Any]) -> dict[str, str]:
    """Value to key of all choices of a prompt."""
    return {value_of(choice): str(choice["key"]) for choice in prompt["choices"]}


def keys(prompt: dict[str, Any]) -> list[str]:
    """The keys of a prompt's choices."""
    return [str(choice["key"]) for choice in prompt["choices"]]


def positions_of(prompt: dict[str, Any]) -> list[str]:
    """The fasteners that an order is for: one, or several that are confirmed at once."""
    if prompt["positions"]:
        return [str(position) for position in prompt["positions"]]
    return [] if prompt["position"] is None else [str(prompt["position"])]
