"""`bankhaul completion`: what a shell needs to complete commands and options."""

import click

SHELLS = ("bash", "zsh", "fish")


@click.command("completion")
@click.argument("shell", type=click.Choice(SHELLS))
def command(shell: str) -> None:
    """Print the completion script of a shell.

    \b
    Example: bankhaul completion bash > bankhaul.bash
    """
    from click.shell_completion import ShellComplete, get_completion_class

    from optimiser.cli import PROGRAM, cli

    found = get_completion_class(shell)
    if found is None:
        raise click.UsageError(f"no completion for {shell}")
    made = found(cli, {}, PROGRAM, f"_{PROGRAM.upper()}_COMPLETE")
    # The base class's text: the one for bash first runs bash to learn its age; it may be absent.
    click.echo(ShellComplete.source(made))
