"""`bankhaul new`: a commented site file to start from."""

import sys
from io import TextIOWrapper

import click

BEFORE = """\
Answer with the unit ("12 m", "40 ft", "260 kg"), or with a range where you guess ("220..300 kg").
Enter skips a question that says what is taken then. Ctrl-C ends it: nothing is written before the end."""


@click.command("new")
@click.argument("file", type=click.Path(allow_dash=True), metavar="FILE")
@click.option("--force", is_flag=True, help="Write over FILE if it is there already.")
@click.option(
    "--measured",
    is_flag=True,
    help="Places by what you measure there (tape, slope, offset, compass), with no coordinate.",
)
@click.option(
    "--ask",
    is_flag=True,
    help="Ask for everything at the terminal, each with its unit, and write what the answers come to.",
)
@click.option(
    "--demonstration", is_flag=True, help="Write the demonstration site instead of the starter."
)
def command(file: str, force: bool, measured: bool, ask: bool, demonstration: bool) -> None:
    """Write a site file to start from.

    It goes to FILE ('-': to standard output) and has a comment on every key. With --ask it is written from
    your answers: the way by tape and slope, the trees by tape from both ends of it, no coordinate.

    \b
    Example: bankhaul new --measured site.toml
    """
    from optimiser.site.reading import demonstration_text, measured_starter_text, starter_text
    from optimiser.telling.onward import command_line, sentence
    from shared.errors import Fault, InputError, reason
    from shared.files import check_target, write_atomically

    if measured + demonstration + ask > 1:
        raise click.UsageError("give one of --measured, --ask and --demonstration")
    if file != "-":
        check_target(file, replace=False, force=force)
    if ask:
        text = answered()
    elif demonstration:
        text = demonstration_text()
    else:
        text = measured_starter_text() if measured else starter_text()
    if file == "-":
        click.echo(text, nl=False)
        return
    try:
        write_atomically(file, text)
    except OSError as problem:
        raise InputError(file, [Fault("", f"cannot be written: {reason(problem)}")]) from problem
    then = command_line("check", file)
    if ask:
        click.echo(f"{file} written. {sentence(then)}")
    else:
        click.echo(f"{file} written. Put your own figures in, then: {then}")


def answered() -> str:
    """The site file from answers at the terminal. Questions go to standard error, so that the file can go to
    standard output. Raises InputError where the answers end before the questions."""
    from optimiser.commands.options import remind
    from optimiser.site.interview.draft import site_text
    from optimiser.site.interview.prompt import Question
    from optimiser.site.reading import read_site
    from shared.errors import Fault, InputError
    from shared.progress import no_sign_of_life

    if sys.stdin is None:
        raise InputError("standard input", [Fault("", "is closed; expected answers")])
    if isinstance(sys.stdin, TextIOWrapper):
        sys.stdin.reconfigure(encoding="utf-8", errors="replace")

    def put(question: Question, message: str) -> str:
        if message:
            click.echo(f"  {message}", err=True)
        elif question.heading:
            click.echo(f"\n{question.heading}\n", err=True)
        click.echo(question.prompt, err=True, nl=False)
        line = sys.stdin.readline()
        if not sys.stdin.isatty() or not line.endswith("\n"):
            click.echo(line.rstrip("\n"), err=True)  # what a terminal shows as it is typed
        if not line:
            message = f"the answers ended at the question '{question.text}'; nothing was written"
            raise InputError("standard input", [Fault("", message)])
        return line

    no_sign_of_life()
    click.echo(BEFORE, err=True)
    text = site_text(put)
    remind(read_site(text))
    return text
