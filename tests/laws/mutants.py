"""`python -m tests.laws.mutants [--json] [--sample N]`: would the tests of a computation see it break?

Every function of the computations is broken many ways, one fault at a time, and the tests of its
subject are run against each fault until one fails. Nothing is written: pytest collects once, then each
fault lives and dies in a forked process.
"""

import argparse
import gc
import json
import os
import random
import signal
import sys
import time
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field
from pathlib import Path

import hypothesis
import pytest
from _pytest.runner import runtestprotocol
from hypothesis import Phase

from tests.laws.equivalent import EQUIVALENT
from tests.laws.mutation import Mutant, modules, mutants, target

ROOT = Path(__file__).resolve().parents[2]
LONGEST = 20  # seconds; a fault that never ends is caught
ALSO = {"cells": ("pack", "lifting"), "whole": ("whole",)}  # modules whose tests are named for their users
CAUGHT, SURVIVED = "caught", "survived"


@dataclass(slots=True)
class Trial:
    """Breaks the computations after pytest has collected their tests; pytest calls it as a plugin."""

    sample: int | None
    jobs: int
    verdicts: dict[Mutant, str] = field(default_factory=dict)
    sound: bool = False

    def pytest_runtestloop(self, session: pytest.Session) -> bool:
        """Try every fault, several at a time, in the place of pytest's own loop."""
        tests: dict[str, list[pytest.Item]] = {}
        for item in session.items:
            tests.setdefault(item.path.stem.removeprefix("test_"), []).append(item)
        running: dict[int, Mutant] = {}
        gc.freeze()  # what is there now stays shared with every process below
        faults = chosen(self.sample)
        self.start(
            None, [item for name in sorted({mutant.subject for mutant in faults}) for item in tests.get(name, [])]
        )
        self.sound = os.wait()[1] == 0
        for mutant in faults if self.sound else ():
            if len(running) == self.jobs:
                self.wait(running)
            running[self.start(mutant, list(covering(mutant, tests)))] = mutant
        while running:
            self.wait(running)
        return True

    def wait(self, running: dict[int, Mutant]) -> None:
        """Take the verdict of whichever ends first."""
        pid, status = os.wait()
        self.verdicts[running.pop(pid)] = SURVIVED if status == 0 else CAUGHT

    @staticmethod
    def start(mutant: Mutant | None, items: Sequence[pytest.Item]) -> int:
        """Run these tests against a fault, or none, in a process of its own; it exits 0 when all pass."""
        if pid := os.fork():
            return pid
        if mutant:
            signal.alarm(LONGEST)
            module = next(module for module in modules() if module.__name__.endswith(f".{mutant.subject}"))
            target(module, mutant.function).__code__ = mutant.code
        for item, following in zip(items, [*items[1:], None], strict=True):
            reports = runtestprotocol(item, nextitem=following, log=False)
            if any(report.failed for report in reports):
                os._exit(1)
        os._exit(0)


def chosen(sample: int | None) -> list[Mutant]:
    """Return every fault, or as many as asked for: the same ones every time."""
    found = [mutant for module in modules() for mutant in mutants(module)]
    if sample is None:
        return found
    return random.Random(1).sample([one for one in found if one.place not in EQUIVALENT], sample)


def covering(mutant: Mutant, tests: dict[str, list[pytest.Item]]) -> Iterator[pytest.Item]:
    """Yield the tests of a fault's subject: those that name the function first, drawn ones (they take longer) last."""
    found = [item for name in ALSO.get(mutant.subject, (mutant.subject,)) for item in tests.get(name, [])]
    yield from sorted(found, key=lambda item: (mutant.function not in words(item), drawn(item)))


def words(item: pytest.Item) -> tuple[str, ...]:
    """Return the names that the code of a test uses."""
    function = getattr(item, "function", None)
    inner = getattr(getattr(function, "hypothesis", None), "inner_test", function)
    code = getattr(inner, "__code__", None)
    return code.co_names if code else ()


def drawn(item: pytest.Item) -> bool:
    """Say whether a test draws its values."""
    return hasattr(getattr(item, "obj", None), "hypothesis")


def test_files() -> list[str]:
    """Return the test files of all subjects."""
    subjects = {name for module in modules() for name in (module.__name__.rpartition(".")[2],)}
    subjects |= {name for names in ALSO.values() for name in names}
    folders = (ROOT / "tests/training/calc", ROOT / "tests/outside")
    return [str(file) for folder in folders for name in sorted(subjects) for file in folder.glob(f"test_{name}*.py")]


def tried(sample: int | None, jobs: int) -> dict[Mutant, str]:
    """Return the verdict on every fault tried."""
    hypothesis.settings.register_profile(
        "mutants", deadline=None, database=None, derandomize=True, max_examples=40,
        phases=[Phase.explicit, Phase.generate],
    )  # fmt: skip
    hypothesis.settings.load_profile("mutants")
    trial = Trial(sample, jobs)
    code = pytest.main(
        ["--noconftest", "-p", "no:django", "-p", "no:xdist", "-p", "no:cov",
         "-p", "no:cacheprovider", "-p", "no:terminal", "--rootdir", str(ROOT), "-c", os.devnull,
         "--import-mode=importlib", *test_files()],
        plugins=[trial],
    )  # fmt: skip
    if not trial.sound:
        raise SystemExit(f"The tests fail before anything is broken, or were not collected (pytest answered {code}).")
    return trial.verdicts


def main(arguments: Sequence[str]) -> int:
    """Print each fault with its verdict; exit 1 when one survives that is not known to be equivalent."""
    parser = argparse.ArgumentParser(prog="python -m tests.laws.mutants", description=__doc__)
    parser.add_argument("--json", action="store_true", help="one JSON object a line")
    parser.add_argument("--sample", type=int, help="try only so many, always the same")
    parser.add_argument("--jobs", type=int, default=os.cpu_count() or 1, help="how many at a time")
    options = parser.parse_args(arguments)
    start = time.monotonic()
    verdicts = tried(options.sample, options.jobs)
    rows = [row(mutant, verdict) for mutant, verdict in sorted(verdicts.items(), key=lambda pair: pair[0].place)]
    for one in rows:
        print(json.dumps(one) if options.json else "{verdict:<10} {file}:{line} {change}{reason}".format(
            **one | {"reason": one["reason"] and f"  [{one['reason']}]"}))  # fmt: skip
    counts = {name: sum(one["verdict"] == name for one in rows) for name in (CAUGHT, SURVIVED, "equivalent")}
    share = counts[CAUGHT] / max(1, counts[CAUGHT] + counts[SURVIVED])
    print(f"{counts[CAUGHT]} caught, {counts[SURVIVED]} survived, {counts['equivalent']} equivalent: {share:.1%} "
          f"in {time.monotonic() - start:.0f} s", file=sys.stderr)  # fmt: skip
    return int(counts[SURVIVED] > 0)


def row(mutant: Mutant, verdict: str) -> dict[str, str | int]:
    """Return a fault and its verdict as plain values."""
    reason = EQUIVALENT.get(mutant.place, "") if verdict == SURVIVED else ""
    return {"verdict": "equivalent" if reason else verdict, "file": f"training/calc/{mutant.subject}.py",
            "line": mutant.line, "function": mutant.function, "change": mutant.change, "reason": reason}  # fmt: skip


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
