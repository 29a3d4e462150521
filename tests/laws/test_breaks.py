"""The tests see what keeps people out being broken: two here, all of them by `python -m tests.laws.breaks`."""

import subprocess
import sys

import pytest

from tests.laws.breaks import BREAKS, ROOT


class TestBreaks:
    @pytest.mark.parametrize("one", BREAKS, ids=lambda one: one.what)
    def test_fit_the_code_as_it_is(self, one: object) -> None:
        """A break whose text is gone breaks nothing."""
        assert (ROOT / one.file).read_text(encoding="utf-8").count(one.old) == 1  # type: ignore[attr-defined]

    @pytest.mark.parametrize("what", ["one signs for oneself", "a revoked token opens"])
    def test_are_caught(self, what: str) -> None:
        ran = subprocess.run(
            [sys.executable, "-m", "tests.laws.breaks", "--only", what],
            cwd=ROOT, capture_output=True, text=True, check=False,
        )  # fmt: skip
        assert ran.stdout == f"caught: {what}\n", ran.stderr

    def test_are_many(self) -> None:
        assert len(BREAKS) >= 25
