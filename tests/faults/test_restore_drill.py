"""The restore drill: a copy made while the site is written to, and what comes back from it."""

import json
import shutil
import sqlite3
import subprocess
from contextlib import closing
from pathlib import Path

import pytest

from tests.cluster import postgresql
from tests.faults.drill import Drill


@pytest.fixture
def site(demo: tuple[Path, str], tmp_path: Path) -> Drill:
    """A filled site; the demo's, which the migrations made."""
    return Drill(Path(shutil.copytree(demo[0], tmp_path / "data")))


def entries(database: Path, what: str = "max(seq)") -> int:
    """Ask the ledger in a file."""
    with closing(sqlite3.connect(database)) as opened:
        return int(opened.execute(f"SELECT {what} FROM training_entry").fetchone()[0])  # noqa: S608


def last_said(writer: "subprocess.Popen[str]") -> int:
    """Kill the writer and return the last entry it said was kept."""
    writer.kill()
    assert writer.stdout
    whole = [line for line in writer.stdout.read().splitlines(keepends=True) if line.endswith("\n")]
    writer.stdout.close()
    writer.wait()
    return int(whole[-1])


def made(folder: Path) -> tuple[Path, int]:
    """Return the newest copy and the last entry of the ledger in it."""
    note = max(folder.glob("*.json"))
    return note.with_suffix(""), json.loads(note.read_text())["head"][0]


class TestOnSQLite:
    def test_comes_back_whole_and_refuses_what_it_cannot_prove(self, site: Drill, tmp_path: Path) -> None:
        copies, database = tmp_path / "copies", site.folder / "ferrule.sqlite3"
        before = entries(database)
        writer = site.writer()
        try:
            said = site.manage("backup", "--to", str(copies))
            copy, held = made(copies)
            assert held >= before + 50
            assert f"up to entry {held}" in said
            # Twin that must fail: the file alone misses what is still in its log.
            shutil.copyfile(database, tmp_path / "plain.sqlite3")
            in_plain = entries(tmp_path / "plain.sqlite3", "count(*)")
            assert "is there already" in site.manage("restore", str(copy), fails=True)
            assert "in use" in site.manage("restore", str(copy), "--replace", fails=True)
        finally:
            kept = last_said(writer)
        assert in_plain < kept
        said = site.manage("restore", str(copy), "--replace")
        assert f"up to entry {held}" in said
        assert "The database that was there is" in said
        assert f"Its head: {held}" in site.manage("ledger")
        site.manage("migrate", "--check")
        site.manage("check", "--database", "default")
        assert entries(next(site.folder.glob("*.before-*Z"))) >= kept

        note = Path(f"{copy}.json")
        newer = json.loads(note.read_text())
        newer["steps"]["training"] = [*newer["steps"]["training"], "9999_later"]
        note.write_text(json.dumps(newer))
        assert "a newer Ferrule" in site.manage("restore", str(copy), "--replace", fails=True)
        with copy.open("r+b") as damaged:
            damaged.seek(8192)
            damaged.write(b"\xff" * 64)
        assert "was changed after it was made" in site.manage("restore", str(copy), "--replace", fails=True)
        assert "manage.py backup made" in site.manage("restore", str(tmp_path / "none"), fails=True)
        assert f"Its head: {held}" in site.manage("ledger")

    def test_leaves_nothing_half_made_on_a_full_disk(self, site: Drill, tmp_path: Path) -> None:
        """A limit on the size of files stands for a full disk: the copy stops in its middle."""
        copies = tmp_path / "copies"
        limited = f"""
import resource, runpy, signal, sys
signal.signal(signal.SIGXFSZ, signal.SIG_IGN)
resource.setrlimit(resource.RLIMIT_FSIZE, (100_000, 100_000))
sys.argv = ["manage.py", "backup", "--to", {str(copies)!r}]
runpy.run_path("manage.py", run_name="__main__")
"""
        ran = site.python(limited)
        assert "No copy was made" in ran.stderr
        assert list(copies.iterdir()) == []


@pytest.mark.long
class TestOnPostgreSQL:
    def test_comes_back_whole(self, tmp_path: Path) -> None:
        (tmp_path / "data").mkdir()
        with postgresql() as url:
            site = Drill(tmp_path / "data", url)
            site.manage("migrate", "-v", "0")
            writer = site.writer()
            try:
                site.manage("backup", "--to", str(tmp_path / "copies"))
            finally:
                kept = last_said(writer)
            copy, held = made(tmp_path / "copies")
            assert 50 <= held <= kept
            assert "not empty" in site.manage("restore", str(copy), fails=True)
            create = "import django; django.setup(); from django.db import connection as c\n"
            create += "with c.cursor() as k: k.execute('CREATE DATABASE brought_back')"
            assert site.python(create).returncode == 0
            fresh = Drill(tmp_path / "data", url.replace("/postgres", "/brought_back"))
            assert f"up to entry {held}" in fresh.manage("restore", str(copy))
            assert f"Its head: {held}" in fresh.manage("ledger")
            fresh.manage("migrate", "--check")
