"""Commands and options that had another name: whoever types the old one is told the new one."""

from __future__ import annotations

import click

_COMMANDS = {"touched": "affected", "sheet": "form", "suit": "match", "keys withdraw": "keys revoke"}
_OPTIONS = {
    "check --hold": "--bring",
    "walk --hands": "--done-by",
    "walk --unit": "--equipment",
    "walk --because": "--reason",
    "find --unit": "--equipment",
    "export --unit": "--equipment",
    "export --releases": "--clicks",
    "trend --unit": "--equipment",
    "tools --add-cycles": "--add-pulls",
    "estimate --preload": "--clamp-load",
    "seal --without": "--skip-missing",
    "seal --because": "--reason",
    "release --look-again": "--compare-by",
    "release --because": "--reason",
    "keys revoke --why": "--reason",
    "check --new": "--new-check",
    "walk --new": "--new-person",
    "demo --new": "--new-person",
    "due --new": "--new-person",
    "tools --new": "--new-person",
    "release --new": "--new-person",
    "keys make --new": "--new-person",
    "addendum --new": "--new-person",
    "close-damaged --new": "--new-person",
}


class Commands(click.Group):
    """A group of commands that knows what they were called."""

    def add_command(self, command: click.Command, name: str | None = None) -> None:
        """Add a command, to be listed with the first line of its help."""
        command.short_help = (command.help or "").partition("\n")[0].rstrip(".")
        super().add_command(command, name)

    def resolve_command(
        self, context: click.Context, arguments: list[str]
    ) -> tuple[str | None, click.Command | None, list[str]]:
        """Find the command that is named. Raises UsageError, with the new name for an old one."""
        old = " ".join((*_path(context), *arguments[:1]))
        if (new := _COMMANDS.get(old)) is not None and not context.resilient_parsing:
            context.fail(f"clampbook {old} is now clampbook {new}.")
        return super().resolve_command(context, arguments)


def renamed_to(error: click.NoSuchOption) -> str | None:
    """Name the option that took the place of an unknown one; None where none did."""
    command = "" if error.ctx is None else " ".join(_path(error.ctx))
    new = _OPTIONS.get(f"{command} {error.option_name}")
    return None if new is None else f"{error.option_name} of clampbook {command} is now {new}."


def _path(context: click.Context) -> tuple[str, ...]:
    """The names of a command and of the groups it is in, without that of the program."""
    above = context.parent
    return () if above is None else (*_path(above), context.info_name or "")
