"""Building the environment."""

import sys
import venv
from pathlib import Path

import pytest

from training.config import bootstrap


class TestBuild:
    def test_leaves_what_a_link_leads_to(self, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
        """A checkout that borrows another's environment gets one of its own, and the other stays."""
        (tmp_path / "theirs").mkdir()
        (tmp_path / "theirs" / "kept").touch()
        (tmp_path / ".venv").symlink_to(tmp_path / "theirs")
        lock = tmp_path / "requirements.lock"
        lock.touch()
        monkeypatch.setattr(bootstrap, "VENV", tmp_path / ".venv")
        monkeypatch.setattr(bootstrap, "LOCK", lock)
        create = venv.create
        monkeypatch.setattr(venv, "create", lambda folder, **asked: create(folder, clear=asked["clear"]))
        bootstrap.build(Path(sys.executable))
        assert (tmp_path / "theirs" / "kept").exists()
        assert (tmp_path / ".venv" / "pyvenv.cfg").exists()
