"""The command line: `bankhaul COMMAND ...`.

The group imports a command's module only when that command is named or help is requested, and the
modules import what is heavy only inside their functions: so help and completion stay quick.
"""

import gc
import os
import sys
from collections.abc import Sequence
from contextlib import suppress
from io import TextIOWrapper
from typing import Any, NoReturn

import click

from optimiser import __version__
from shared.collecting import collect_seldom
from shared.errors import BankhaulError, InputError, WithheldError, reason
from shared.interrupt import EXIT_INTERRUPTED, STOPPED, end_at_once
from shared.progress import sign_of_life

PROGRAM = "bankhaul"

EXIT_BAD_INPUT = 2
EXIT_NOTHING_FEASIBLE = 3
EXIT_WITHHELD = 4


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
    epilog="Without a SITE a command takes the demonstration site, and so do the examples; SITE is "
    "your own file, and '-' reads it from standard input. Ends with 0 when answered, 2 on bad input, "
    "3 when no setup works, 4 when the program's own re-check finds its answer wrong and withholds it.",
)
@click.version_option(__version__, prog_name=PROGRAM)
@click.pass_context
def cli(ctx: click.Context) -> None:
    """Find the best way to haul one heavy thing up a bank with the gear and trees at hand.

    \b
    Example: bankhaul rank --top 3
    """
    if os.environ.get("NO_COLOR") or os.environ.get("TERM") == "dumb":
        ctx.color = False
    ctx.with_resource(sign_of_life())


def main(argv: Sequence[str] | None = None) -> int:
    """Run the program; what it returns is the exit code."""
    try:
        for stream in (sys.stdout, sys.stderr):
            if isinstance(stream, TextIOWrapper):
                # figures carry signs that not every encoding has, and names of files need not be text
                stream.reconfigure(encoding="utf-8", errors="surrogateescape")
        answer: Any = cli.main(
            None if argv is None else list(argv), prog_name=PROGRAM, standalone_mode=False
        )
        sys.stdout.flush()
    except (click.exceptions.Abort, KeyboardInterrupt):
        _complain(STOPPED)
        return EXIT_INTERRUPTED
    except click.ClickException as problem:
        with suppress(OSError):
            problem.show()
        return EXIT_BAD_INPUT
    except InputError as problem:
        _complain("\n".join(fault.worded(problem.source) for fault in problem.faults))
        return EXIT_BAD_INPUT
    except BankhaulError as problem:
        _complain(str(problem))
        return EXIT_BAD_INPUT
    except WithheldError as problem:
        _complain(problem.worded())
        return EXIT_WITHHELD
    except BrokenPipeError:
        _print_no_more()
        return 0
    except OSError as problem:  # a full disk, a device that is gone
        _print_no_more()
        what = "the answer cannot be printed"
        if problem.filename is not None:
            what = f"{problem.filename}: cannot be read or written"
        _complain(f"{what}: {reason(problem)}")
        return EXIT_BAD_INPUT
    return answer if isinstance(answer, int) else 0


def _complain(text: str) -> None:
    """Print what went wrong, if anybody can read it."""
    with suppress(OSError):
        click.echo(text, err=True)


def _print_no_more() -> None:
    """Nothing more can be printed, and the interpreter must not complain about it on its way out."""
    with suppress(OSError, ValueError):  # no file of its own where a test reads what is printed
        os.dup2(os.open(os.devnull, os.O_WRONLY), sys.stdout.fileno())


def _open_streams() -> None:
    """Open what whoever started the program has closed, so that no file read or written gets its number."""
    for number in range(3):
        try:
            os.fstat(number)
        except OSError:
            os.open(os.devnull, os.O_RDWR)
    if sys.stderr is None:
        sys.stderr = os.fdopen(os.open(os.devnull, os.O_WRONLY), "w", encoding="utf-8")


def run() -> NoReturn:
    """The program in a process of its own."""
    with end_at_once():
        collect_seldom()
        _open_streams()
        if sys.stdout is None:
            _complain("standard output is closed: an answer could not be printed")
            sys.exit(EXIT_BAD_INPUT)
    code = main()
    with end_at_once():
        gc.freeze()  # or all that is left would be gone over three times more on the way out
        sys.exit(code)
