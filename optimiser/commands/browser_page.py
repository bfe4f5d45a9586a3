"""`bankhaul page`: the site in the browser, on this machine alone."""

import sys
from pathlib import Path

import click

MISSING = (
    "bankhaul page needs two more libraries, which are not installed: "
    "run `pip install 'bankhaul[page]'` (in a checkout: `pip install -c constraints.txt '.[page]'`)"
)


@click.command("page")
@click.argument("site", required=False, type=click.Path(), metavar="[SITE]")
@click.option(
    "--port",
    type=click.IntRange(min=0, max=65535),
    default=0,
    metavar="N",
    help="The port of this machine to serve on; any that is free if left out.",
)
@click.option("--no-browser", is_flag=True, help="Print the address only; open no browser.")
def command(site: str | None, port: int, no_browser: bool) -> None:
    """Open a page in the browser: see the bank, place and move things, watch the answer follow.

    The page is served on this machine alone, by this program, until Ctrl-C. SITE is written only when you
    save; one that is not there yet is begun. The address that is printed is for you: it lets whoever has it
    change the site.

    \b
    Example: bankhaul page site.toml
    """
    from optimiser.site.reading import STANDARD_INPUT, demonstration_text, starter_text

    if site == STANDARD_INPUT:
        raise click.BadParameter(
            "the page works on a file, not on standard input", param_hint="SITE"
        )
    try:
        from optimiser.telling.page.serving import open_page  # an extra
    except ModuleNotFoundError as problem:
        if problem.name and problem.name.partition(".")[0] in ("optimiser", "catalogue", "shared"):
            raise
        raise click.ClickException(MISSING) from problem
    from optimiser.telling.page.workspace import Workspace
    from shared.files import check_target
    from shared.progress import no_sign_of_life

    path = None if site is None else Path(site)
    if path is not None and not path.exists():
        check_target(path, force=True)
    workspace = Workspace.of(path, demonstration_text() if path is None else starter_text())
    program = (sys.executable, "-P", "-m", "optimiser")
    opened = open_page(workspace, program, port)
    no_sign_of_life()
    click.echo(opened.address)
    sys.stdout.flush()
    if not no_browser:
        import threading
        import webbrowser

        threading.Thread(target=webbrowser.open, args=(opened.address,), daemon=True).start()
    opened.run()
