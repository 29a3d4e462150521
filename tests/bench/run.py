"""`manage.py bench [NAME|all] [--json] [--database postgresql]`: ratios of two ways of doing the same.

They are measured side by side. Lower is better. Absolute times say little on a shared machine, so each figure is the
median over rounds that run both sides one after the other.
"""

import argparse
import json
import os
import subprocess
import sys
from collections.abc import Callable
from dataclasses import asdict

from django.db import connection

from tests.bench import assembling, board, cards, crewing, paper, responses
from tests.bench.measure import Figure
from tests.cluster import postgresql


def benches() -> dict[str, Callable[[], tuple[Figure, ...]]]:
    """Return every bench by name; each gives one figure or more."""
    return {
        "board": board.over_a_register,
        "cards": cards.printing,
        "crewing": crewing.planned,
        "draw": paper.draw_and_mark,
        "papers": assembling.put_together,
        "statistics": responses.in_blocks,
    }


def main(arguments: list[str]) -> int:
    """Run the named benches; exit 1 when a ratio misses its goal."""
    parser = argparse.ArgumentParser(prog="manage.py bench", description=__doc__)
    parser.add_argument("name", nargs="?", default="all")
    parser.add_argument("--json", action="store_true", help="one JSON object a line")
    parser.add_argument("--database", choices=["sqlite", "postgresql"], help="postgresql: a private cluster")
    options = parser.parse_args(arguments)
    if options.database == "postgresql" and connection.vendor != "postgresql":
        # Settings are read once, so the other database needs a process of its own.
        with postgresql() as url:
            command = [sys.executable, "manage.py", "bench", *arguments]
            return subprocess.run(command, check=False, env={**os.environ, "DATABASE_URL": url}).returncode
    known = benches()
    names = list(known) if options.name == "all" else [options.name]
    if unknown := [name for name in names if name not in known]:
        print(f"No bench is called {unknown[0]}. There are: {', '.join(known)}.", file=sys.stderr)
        return 2
    missed = False
    for figure in (figure for name in names for figure in known[name]()):
        missed |= figure.ratio > figure.goal
        if options.json:
            print(json.dumps(asdict(figure)), flush=True)
        else:
            verdict = "misses" if figure.ratio > figure.goal else "meets"
            print(
                f"{figure.name}: {figure.ratio} times the reference ({verdict} the goal of {figure.goal}); "
                f"{figure.value} {figure.unit}",
                flush=True,
            )
    return int(missed)
