"""`bankhaul schema`: the JSON Schema of a site file, for editors, and of answers, for programs."""

import click

COMMANDS = (
    "rank", "show", "stages", "buy", "lower", "lever", "why", "sweep", "check", "gear", "words",
)  # fmt: skip
"""The commands that print JSON."""


@click.command("schema")
@click.option(
    "--answers",
    "command_name",
    type=click.Choice(COMMANDS),
    metavar="COMMAND",
    help="Print the schema of what COMMAND prints with --format json instead.",
)
def command(command_name: str | None) -> None:
    """Print the JSON Schema of a site file, or of answers.

    With that of a site file an editor completes and checks the file while it is written. That of answers
    says of every key what it means and in which unit it is, and lets a program check what it reads.

    \b
    Example: bankhaul schema > site.schema.json
    """
    from shared.listing import as_json

    if command_name is None:
        from optimiser.site.document.site import site_schema

        click.echo(as_json(site_schema()), nl=False)
        return
    from optimiser.telling.fields.answers import answer_schema

    click.echo(as_json(answer_schema(command_name)), nl=False)
