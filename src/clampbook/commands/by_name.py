"""The commands by name, each loaded once it is asked for: a walk does not wait for what only others need."""

from __future__ import annotations

from importlib import import_module

import click

from clampbook.commands.renamed import Commands

PLACES = {  # of each command its module here, and its name there, in the order in which they are listed
    "demo": "walking.demo",
    "new": "making.new",
    "walk": "walking.walk",
    "runs": "bench.runs",
    "due": "due.due",
    "record": "bench.record",
    "report": "printing.report",
    "find": "finding.find",
    "export": "finding.export",
    "trend": "trending.trend",
    "merge": "merging.merge",
    "check": "checking.check",
    "affected": "affected.affected",
    "tools": "tools.tools",
    "match": "matching.match_tools",
    "setting": "setting.setting",
    "estimate": "estimating.estimate",
    "review": "procedures.review",
    "plan": "procedures.plan",
    "form": "procedures.form",
    "release": "releasing.release",
    "schema": "procedures.schema",
    "keys": "keys.keys",
    "seal": "seal.seal",
    "verify": "verify.verify",
    "addendum": "seal.addendum",
    "close-damaged": "damaged.close_damaged",
}


class CommandsByName(Commands):
    """All commands of the program; its help loads every one."""

    def list_commands(self, ctx: click.Context) -> list[str]:
        """Name them in the order in which the work brings them."""
        del ctx
        return list(PLACES)

    def get_command(self, ctx: click.Context, cmd_name: str) -> click.Command | None:
        """Load the one of this name; None where there is none."""
        if cmd_name in PLACES and cmd_name not in self.commands:
            module, _, name = PLACES[cmd_name].partition(".")
            self.add_command(getattr(import_module(f"clampbook.commands.{module}"), name), cmd_name)
        return super().get_command(ctx, cmd_name)
