"""Make the environment the project runs in, with the standard library only.

Outside a virtual environment `.venv` is built from requirements.lock by venv and pip, stamped
with the hash of the lock, and the same command starts again inside it.
"""

import ctypes.util
import hashlib
import os
import shlex
import shutil
import subprocess
import sys
import venv
from collections import deque
from collections.abc import Sequence
from pathlib import Path

ROOT = Path(__file__).resolve().parent.parent.parent
LOCK = ROOT / "requirements.lock"
VENV = ROOT / ".venv"
STAMP = VENV / "lock.sha256"
POSTGRES = "/usr/lib/postgresql"

# What pip cannot bring: (Debian package, how to tell that it is there).
FOR_PDF = {
    "libpango-1.0-0": lambda: _library("pango-1.0"),
    "libpangoft2-1.0-0": lambda: _library("pangoft2-1.0"),
    "libharfbuzz-subset0": lambda: _library("harfbuzz-subset"),
}
FOR_TESTS = {
    "chromium": lambda: bool(shutil.which("chromium")),
    "postgresql": lambda: bool(shutil.which("initdb") or any(Path(POSTGRES).glob("*/bin/initdb"))),
    "git": lambda: bool(shutil.which("git")),
    # The simulated power cut watches fsync from a few lines of C.
    "gcc": lambda: bool(shutil.which("cc") or shutil.which("gcc")),
    "libc6-dev": lambda: Path("/usr/include/stdio.h").exists(),
}


def _library(name: str) -> bool:
    return bool(ctypes.util.find_library(name) or ctypes.util.find_library(f"{name}-0"))


def enter(argv: Sequence[str]) -> None:
    """Return when the environment is ready; otherwise build it and replace this process."""
    command = argv[1] if len(argv) > 1 else ""
    bring_system_libraries(FOR_PDF | (FOR_TESTS if command == "test" else {}))
    if sys.prefix != sys.base_prefix:
        return
    python = VENV / "bin" / "python"
    wanted = hashlib.sha256(LOCK.read_bytes()).hexdigest()
    if not STAMP.exists() or STAMP.read_text(encoding="ascii") != wanted:
        build(python)
        STAMP.write_text(wanted, encoding="ascii")
    os.execv(python, [str(python), *argv])  # noqa: S606  the same command, inside


def bring_system_libraries(wanted: dict[str, "object"]) -> None:
    """Install missing Debian packages as root, or say the one line to type and stop."""
    missing = [package for package, there in wanted.items() if not there()]  # type: ignore[operator]
    if not missing:
        return
    line = ["apt-get", "install", "-y", "--no-install-recommends", *missing]
    if os.geteuid() != 0 or not shutil.which("apt-get"):
        sys.exit(f"Missing on this machine: {', '.join(missing)}. Type: sudo {shlex.join(line)}")
    say(f"Installing system packages: {', '.join(missing)}")
    quiet = {"stdout": subprocess.DEVNULL, "env": {**os.environ, "DEBIAN_FRONTEND": "noninteractive"}}
    subprocess.run(["apt-get", "update"], check=True, **quiet)  # type: ignore[call-overload]  # noqa: S607
    subprocess.run(line, check=True, **quiet)  # type: ignore[call-overload]  # noqa: S603


def build(python: Path) -> None:
    """Make .venv afresh and install the locked packages into it, telling how far it is."""
    packages = sum(1 for line in LOCK.read_text(encoding="utf-8").splitlines() if "==" in line)
    say(f"Making {VENV.name} with {packages} packages from {LOCK.name} (once; about a minute)")
    if VENV.is_symlink():
        # What it leads to may be another checkout's, and would be cleared through it.
        VENV.unlink()
    venv.create(VENV, with_pip=True, clear=True)
    install = [str(python), "-m", "pip", "install", "--disable-pip-version-check", "--no-input"]
    install += ["--require-hashes", "--progress-bar", "off", "-r", str(LOCK)]
    with subprocess.Popen(install, stdout=subprocess.PIPE, stderr=subprocess.STDOUT, text=True) as pip:  # noqa: S603
        fetched, last = 0, deque[str](maxlen=30)
        for line in pip.stdout or ():
            last.append(line)
            if line.startswith("Collecting "):
                fetched += 1
                if fetched % 10 == 0:
                    say(f"  {fetched} of about {packages} packages fetched")
            elif line.startswith("Installing collected"):
                say("  installing them")
    if pip.returncode:
        shutil.rmtree(VENV, ignore_errors=True)
        say("".join(last).rstrip())
        sys.exit("The packages could not be installed: read pip's last lines above, mend that, and run this again.")


def say(line: str) -> None:
    """Print one line at once, so that a long step is never silent."""
    print(line, flush=True)
