"""The commands by name, each loaded once it is asked for: a walk does not wait for what only others need."""

from __future__ import annotations

from importlib import import_module

import click

from clampbook.commands.renamed import Commands

PLACES = {  # of each command its module here, and its name there
    "addendum": "seal.addendum",
    "affected": "affected.affected",
    "check": "checking.check",
    "close-damaged": "damaged.close_damaged",
    "demo": "walking.demo",
    "estimate": "estimating.estimate",
    "export": "finding.export",
    "find": "finding.find",
    "form": "procedures.form",
    "keys": "keys.keys",
    "match": "matching.match_tools",
    "merge": "merging.merge",
    "plan": "procedures.plan",
    "record": "bench.record",
    "release": "releasing.release",
    "report": "printing.report",
    "review": "procedures.review",
    "runs": "bench.runs",
    "schema": "procedures.schema",
    "seal": "seal.seal",
    "setting": "setting.setting",
    "tools": "tools.tools",
    "trend": "trending.trend",
    "verify": "verify.verify",
    "walk": "walking.walk",
}


class CommandsByName(Commands):
    """All commands of the program; its help loads every one."""

    def list_commands(self, ctx: click.Context) -> list[str]:
        """Name them in the order of the alphabet."""
        del ctx
        return sorted(PLACES)

    def get_command(self, ctx: click.Context, cmd_name: str) -> click.Command | None:
        """Load the one of this name; None where there is none."""
        if cmd_name in PLACES and cmd_name not in self.commands:
            module, _, name = PLACES[cmd_name].partition(".")
            self.add_command(getattr(import_module(f"clampbook.commands.{module}"), name), cmd_name)
        return super().get_command(ctx, cmd_name)
