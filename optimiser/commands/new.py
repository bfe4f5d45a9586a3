"""`bankhaul new`: a commented site file to start from."""

import click


@click.command("new")
@click.argument("file", type=click.Path(allow_dash=True), metavar="FILE")
@click.option("--force", is_flag=True, help="Write over FILE if it is there already.")
@click.option(
    "--measured",
    is_flag=True,
    help="Places by what you measure there (tape, slope, offset, compass), with no coordinate.",
)
@click.option(
    "--demonstration", is_flag=True, help="Write the demonstration site instead of the starter."
)
def command(file: str, force: bool, measured: bool, demonstration: bool) -> None:
    """Write a site file to start from.

    It goes to FILE ('-': to standard output) and has a comment on every key.

    \b
    Example: bankhaul new --measured site.toml
    """
    from optimiser.commands.onward import command_line
    from optimiser.site.reading import demonstration_text, measured_starter_text, starter_text
    from shared.errors import Fault, InputError, reason
    from shared.files import check_target, write_atomically

    if measured and demonstration:
        raise click.UsageError("give either --measured or --demonstration, not both")
    text = (
        demonstration_text()
        if demonstration
        else measured_starter_text()
        if measured
        else starter_text()
    )
    if file == "-":
        click.echo(text, nl=False)
        return
    check_target(file, replace=False, force=force)
    try:
        write_atomically(file, text)
    except OSError as problem:
        raise InputError(file, [Fault("", f"cannot be written: {reason(problem)}")]) from problem
    click.echo(f"{file} written. Put your own figures in, then: {command_line('check', file)}")
