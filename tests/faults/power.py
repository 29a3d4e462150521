"""A power cut, simulated: what no fsync had promised is thrown away.

Its limits: one extreme only (nothing unsynced survives), no torn pages, no drive that lies about its cache.
"""

import shutil
import subprocess
from dataclasses import dataclass
from pathlib import Path

SHIM = Path(__file__).with_name("shim.c")
ENDINGS = ("", "-wal")


def compiler() -> str | None:
    """Return the C compiler of the machine, if it has one."""
    return shutil.which("cc") or shutil.which("gcc")


def compiled(folder: Path) -> Path:
    """Compile the shim that watches fsync."""
    made = folder / "shim.so"
    command = [compiler() or "cc", "-shared", "-fPIC", "-O1", "-Wall", "-o", str(made), str(SHIM), "-ldl"]
    subprocess.run(command, check=True)
    return made


@dataclass
class Disk:
    """The files of a SQLite database, and beside them what the disk has promised of each."""

    file: Path
    shadow: Path
    shim: Path

    @property
    def environment(self) -> dict[str, str]:
        """Return what makes a process report its syncs."""
        return {"LD_PRELOAD": str(self.shim), "WATCHED": str(self.file.parent.resolve()), "SHADOW": str(self.shadow)}

    def settle(self) -> None:
        """Take everything as promised: before the first process, and after a checker closed and so moved the log."""
        shutil.rmtree(self.shadow, ignore_errors=True)
        self.shadow.mkdir()
        for here, there in self.pairs():
            if here.exists():
                shutil.copyfile(here, there)

    def cut(self) -> None:
        """Put back what was promised and nothing else; the index of the log was only ever in memory."""
        self.file.with_name(f"{self.file.name}-shm").unlink(missing_ok=True)
        for here, there in self.pairs():
            here.unlink(missing_ok=True)
            if there.exists():
                shutil.copyfile(there, here)

    def pairs(self) -> list[tuple[Path, Path]]:
        """Return each file with its shadow."""
        names = [f"{self.file.name}{ending}" for ending in ENDINGS]
        return [(self.file.with_name(name), self.shadow / name) for name in names]
