"""The command line: `bankhaul COMMAND ...`.

The group imports a command's module only when that command is named or help is requested, and the
modules import what is heavy only inside their functions: so help and completion stay quick.
"""

import gc
import os
import sys
from collections.abc import Sequence
from io import TextIOWrapper
from typing import Any, NoReturn

import click

from optimiser import __version__

PROGRAM = "bankhaul"

EXIT_BAD_INPUT = 2
EXIT_NOTHING_FEASIBLE = 3
EXIT_INTERRUPTED = 130

SELDOM = 200_000
"""Objects more than before at which the collector looks for cycles: few are ever made, so looking after
every 700 as usual only goes over the libraries again and again."""


class LazyGroup(click.Group):
    """A group whose commands live in one module each: `optimiser.commands.NAME`, as `command`."""

    def list_commands(self, ctx: click.Context) -> list[str]:
        from optimiser.commands import COMMANDS

        return list(COMMANDS)

    def get_command(self, ctx: click.Context, cmd_name: str) -> click.Command | None:
        from importlib import import_module

        from optimiser.commands import COMMANDS

        if cmd_name not in COMMANDS:
            return None
        found = import_module(f"optimiser.commands.{COMMANDS[cmd_name]}").command
        return found if isinstance(found, click.Command) else None

    def resolve_command(
        self, ctx: click.Context, args: list[str]
    ) -> tuple[str | None, click.Command | None, list[str]]:
        from shared.words import did_you_mean

        name = args[0]
        if self.get_command(ctx, name) is None and not ctx.resilient_parsing:
            known = self.list_commands(ctx)
            near = did_you_mean(name, known) or f": the commands are {', '.join(known)}"
            raise click.UsageError(f"no command '{name}'{near}", ctx)
        return super().resolve_command(ctx, args)


@click.group(
    cls=LazyGroup,
    name=PROGRAM,
    context_settings={"help_option_names": ["-h", "--help"], "max_content_width": 100},
    epilog="Without a SITE a command takes the demonstration site; '-' reads it from standard "
    "input. Ends with 0 when answered, 2 on bad input, 3 when no setup works.",
)
@click.version_option(__version__, prog_name=PROGRAM)
@click.pass_context
def cli(ctx: click.Context) -> None:
    """Find the best way to haul one heavy thing up a bank with the gear and trees at hand.

    Example: bankhaul rank site.toml
    """
    if os.environ.get("NO_COLOR") or os.environ.get("TERM") == "dumb":
        ctx.color = False


def main(argv: Sequence[str] | None = None) -> int:
    """Run the program; what it returns is the exit code."""
    from shared.errors import BankhaulError, InputError

    for stream in (sys.stdout, sys.stderr):
        if isinstance(stream, TextIOWrapper):  # figures carry signs that not every encoding has
            stream.reconfigure(encoding="utf-8")
    try:
        answer: Any = cli.main(
            None if argv is None else list(argv), prog_name=PROGRAM, standalone_mode=False
        )
        sys.stdout.flush()
    except click.exceptions.Abort:
        return _interrupted()
    except KeyboardInterrupt:
        return _interrupted()
    except click.ClickException as problem:
        problem.show()
        return EXIT_BAD_INPUT
    except InputError as problem:
        for fault in problem.faults:
            click.echo(fault.worded(problem.source), err=True)
        return EXIT_BAD_INPUT
    except BankhaulError as problem:
        click.echo(str(problem), err=True)
        return EXIT_BAD_INPUT
    except BrokenPipeError:
        return _nobody_reads()
    return answer if isinstance(answer, int) else 0


def _interrupted() -> int:
    click.echo("stopped", err=True)
    return EXIT_INTERRUPTED


def _nobody_reads() -> int:
    """Whoever read the answer has seen enough; the interpreter must not complain on its way out."""
    os.dup2(os.open(os.devnull, os.O_WRONLY), sys.stdout.fileno())
    return 0


def run() -> NoReturn:
    """The program in a process of its own: `bankhaul` and `python -m optimiser`."""
    gc.set_threshold(SELDOM)
    code = main()
    gc.freeze()  # or all that is left would be gone over three times more on the way out
    sys.exit(code)
