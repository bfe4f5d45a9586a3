"""One measurement in a process of its own: `python -m tests.benchmark.one WHAT NAME` prints JSON.

WHAT is `rank` (a generated site or a site file), `again` (a generated site ranked once more with one number
changed), `stages` or `buy` (a generated site) or `imports` (the same libraries, and nothing done with them).
Times are of the processor, not of the clock on the wall: so they hold on a machine that does other work
besides.
"""

import json
import resource
import sys
import time
from contextlib import suppress
from importlib import import_module
from pathlib import Path
from typing import Any

OFFERED = 150
STAGES = 4  # as the command does
LIBRARIES = {
    "click": "click",
    "numpy": "numpy",
    "ortools.sat.python.cp_model": "ortools.sat.cp_model_pb2",
    "pydantic": "pydantic",
    "tabulate": "tabulate",
}
"""By the name one imports it by: a module that reports that it was used."""
OWN = ("optimiser", "catalogue", "shared", "tests", "__main__")


def _site(name: str) -> Any:
    if name.endswith(".toml"):
        from optimiser.site.reading import read_site

        return read_site(name)
    from tests.benchmark.cases import Case

    return Case.named(name).site()


def _ranked(name: str) -> dict[str, Any]:
    from optimiser.jobs.question import RankQuestion
    from optimiser.jobs.rank import rank
    from optimiser.search.stopwatch import go_by

    go_by(time.process_time)
    began = time.process_time()
    site = _site(name)
    load = time.process_time() - began
    found = rank(site, RankQuestion(explain=False, compound=False))
    return {
        "load": load,
        **dict(found.timings),
        "setups": len(found),
        "proven": found.proven,
        "space": found.space,
        "looked_at": found.looked_at,
        "confirmed": found.confirmed,
        "best": found[0].margin if found.setups else 0.0,
    }


def _again(name: str) -> dict[str, Any]:
    """In a process that keeps the tables of the site as it was, and is set up as the program's own are."""
    from dataclasses import replace

    from optimiser.jobs.question import RankQuestion
    from optimiser.jobs.rank import Kept, rank
    from shared.collecting import collect_seldom

    collect_seldom()
    site, kept = _site(name), Kept()
    question = RankQuestion(explain=False, compound=False)
    rank(site, question, kept=kept)
    heavier = replace(site, load=replace(site.load, weight=1.01 * site.load.weight))
    began = time.process_time()
    found = rank(heavier, question, kept=kept)
    return {"again": time.process_time() - began, "setups": len(found)}


def _planned(name: str) -> dict[str, Any]:
    from optimiser.jobs.stages.plan import plan_stages

    site = _site(name)
    began = time.process_time()
    plan = plan_stages(site)
    return {"whole": time.process_time() - began, "setups": len(plan.stages)}


def _bought(name: str) -> dict[str, Any]:
    """With `OFFERED` items of the price list that ships, of all kinds."""
    from catalogue.prices import load_prices
    from optimiser.jobs.buy.shop import buy
    from optimiser.jobs.question import BuyQuestion

    site = _site(name)
    listed = [item for item in load_prices().values() if item.for_sale]
    items = {item.id: item for item in (listed[i * len(listed) // OFFERED] for i in range(OFFERED))}
    began = time.process_time()
    found = buy(site, BuyQuestion(most_stages=STAGES), items=items)
    whole = time.process_time() - began
    return {
        "whole": whole, "setups": len(found.options), "proven": found.proven,
        "staged": found.staged, "offered": len(items), "useful": found.offered,
    }  # fmt: skip


def _peak() -> float:
    """MB this process took at most; 0 where the system does not report it. What `getrusage` gives of a
    child begins with what its parent had when it was started."""
    try:
        lines = Path("/proc/self/status").read_text(encoding="ascii").splitlines()
    except OSError:
        return 0.0
    return next((float(row.split()[1]) / 1024.0 for row in lines if row.startswith("VmHWM:")), 0.0)


def main(what: str, name: str) -> None:
    out: dict[str, Any] = {}
    if what == "imports":
        for module in name.split():
            with suppress(ImportError):  # some are made by what imports them
                import_module(module)
    else:
        from optimiser.rig.gear.solver import cp_sat

        cp_sat()
        for shown_by in LIBRARIES.values():
            import_module(shown_by)
        out = {"rank": _ranked, "again": _again, "stages": _planned, "buy": _bought}[what](name)
    used = resource.getrusage(resource.RUSAGE_SELF)
    out["process"] = used.ru_utime + used.ru_stime
    out["MB"] = _peak() or used.ru_maxrss / 1024.0
    out["modules"] = [module for module in sys.modules if module.partition(".")[0] not in OWN]
    print(json.dumps(out))


if __name__ == "__main__":
    main(*sys.argv[1:])
