"""The commands by name, each loaded once it is asked for: a walk does not wait for what only others need."""

from __future__ import annotations

from importlib import import_module

import click

from clampbook.commands.renamed import Commands

GROUPED = {  # under what one wants to do, of each command its module here, and its name there
    "Begin": {
        "demo": "walking.demo",
        "new": "making.new",
        "help": "helping.help_",
    },
    "Prepare a procedure": {
        "draft": "drafting.draft",
        "review": "procedures.review",
        "plan": "procedures.plan",
        "match": "matching.match_tools",
        "form": "procedures.form",
        "release": "releasing.release",
        "schema": "procedures.schema",
    },
    "Do the work": {
        "walk": "walking.walk",
        "runs": "bench.runs",
        "due": "due.due",
        "close-damaged": "damaged.close_damaged",
    },
    "Look after tools": {
        "tools": "tools.tools",
        "check": "checking.check",
        "affected": "affected.affected",
        "setting": "setting.setting",
        "estimate": "estimating.estimate",
    },
    "Look into records": {
        "find": "finding.find",
        "record": "bench.record",
        "report": "printing.report",
        "export": "exporting.export",
        "trend": "trending.trend",
        "merge": "merging.merge",
    },
    "Prove a record": {
        "keys": "keys.keys",
        "seal": "seal.seal",
        "verify": "verify.verify",
        "addendum": "seal.addendum",
    },
}
PLACES = {name: place for commands in GROUPED.values() for name, place in commands.items()}


class CommandsByName(Commands):
    """All commands of the program; its help loads every one."""

    def list_commands(self, ctx: click.Context) -> list[str]:
        """Name them in the order in which the work brings them."""
        del ctx
        return list(PLACES)

    def format_commands(self, ctx: click.Context, formatter: click.HelpFormatter) -> None:
        """Write them under what one wants to do, each with its whole line, in columns that are alike."""
        wide = max(map(len, PLACES))
        for wish, places in GROUPED.items():
            named = [(name, self.get_command(ctx, name)) for name in places]
            with formatter.section(wish):
                formatter.write_dl([(f"{name:<{wide}}", held.short_help or "") for name, held in named if held])

    def get_command(self, ctx: click.Context, cmd_name: str) -> click.Command | None:
        """Load the one of this name; None where there is none."""
        if cmd_name in PLACES and cmd_name not in self.commands:
            module, _, name = PLACES[cmd_name].partition(".")
            self.add_command(getattr(import_module(f"clampbook.commands.{module}"), name), cmd_name)
        return super().get_command(ctx, cmd_name)
