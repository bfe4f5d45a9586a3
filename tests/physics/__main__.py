"""Compares made-up site files with the physics engine: python -m tests.physics [--sites 30]."""

import argparse
import sys

from tests.physics.compare import WITHIN, along_the_path, on_rings, solved


def main() -> int:
    parser = argparse.ArgumentParser(prog="python -m tests.physics", description=__doc__)
    parser.add_argument("--sites", type=int, default=30)
    most, off, number, compared = 0.0, 0, 0, 0
    wanted = parser.parse_args().sites
    while compared < wanted:
        site = solved(number)
        number += 1
        if site.setup is None:
            continue
        compared += 1
        found = [
            *(one for share in (0.0, 0.5, 0.8) for one in along_the_path(site, share)),
            *on_rings(site),
        ]
        worst = max(found, key=lambda one: one.difference)
        most = max(most, worst.difference)
        off += worst.difference > WITHIN
        print(
            f"site {site.number}, {site.kind.name}, {site.setup['run'].count('round a block')} blocks, "
            f"{len(found)} figures: {100 * worst.difference:.3f} % ({worst.what} at {worst.at:.2f} m: "
            f"{worst.ours:.1f} N, engine {worst.engine:.1f} N)",
            flush=True,
        )
    print(f"{compared} sites, most {100 * most:.3f} %, {off} off")
    return int(off > 0)


if __name__ == "__main__":
    sys.exit(main())
