"""The tests of the computations see them break: a sample here, all of it by `python -m tests.laws.mutants`."""

import json
import subprocess
import sys

from tests.laws.equivalent import EQUIVALENT
from tests.laws.mutants import ROOT
from tests.laws.mutation import modules, mutants

SAMPLE = 20


class TestFaults:
    def test_are_caught(self) -> None:
        """A broken formula cannot pass its tests."""
        command = [sys.executable, "-m", "tests.laws.mutants", "--json", "--sample", str(SAMPLE)]
        done = subprocess.run(command, cwd=ROOT, capture_output=True, text=True, check=False)
        rows = [json.loads(line) for line in done.stdout.splitlines()]
        assert len(rows) == SAMPLE, done.stderr
        assert [row for row in rows if row["verdict"] != "caught"] == []

    def test_reach_every_computation(self) -> None:
        """Every function that returns a value has a fault, and every one has its own name."""
        found = [mutant for module in modules() for mutant in mutants(module)]
        assert len({mutant.place for mutant in found}) == len(found) > 120
        assert set(EQUIVALENT) <= {mutant.place for mutant in found}
