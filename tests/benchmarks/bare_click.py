"""A bare click program that answers at once: what Python and the command line's library cost by themselves."""

from __future__ import annotations

import click


@click.group()
@click.version_option("1.0")
def bare() -> None:
    """Answer."""


@bare.command()
@click.option("--json", "as_json", is_flag=True, help="Answer as JSON")
@click.argument("name", required=False)
def answer(name: str | None, as_json: bool) -> None:
    """Say a name."""
    click.echo(f'{{"name": "{name}"}}' if as_json else name)


if __name__ == "__main__":
    bare()
