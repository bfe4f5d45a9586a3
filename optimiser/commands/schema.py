"""`bankhaul schema`: the JSON Schema of a site file, for editors."""

import click


@click.command("schema")
def command() -> None:
    """Print the JSON Schema of a site file.

    With it an editor completes and checks the file while it is written.

    \b
    Example: bankhaul schema > site.schema.json
    """
    from optimiser.site.document.site import site_schema
    from shared.listing import as_json

    click.echo(as_json(site_schema()), nl=False)
