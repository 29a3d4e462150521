"""`python -m tests.audit`: are there known faults in the packages of the lock? Says aloud where nobody could tell."""

import json
import subprocess
import sys
from pathlib import Path

ROOT = Path(__file__).resolve().parent.parent
# Without --strict, packages that could not be looked up count as sound.
COMMAND = ["--strict", "--disable-pip", "--require-hashes", "--format", "json", "-r", "requirements.lock"]


def main() -> int:
    """Return 1 where a fault is known; 0 where none is, or where the list of faults could not be reached."""
    program = Path(sys.executable).with_name("pip-audit")
    ran = subprocess.run([program, *COMMAND], cwd=ROOT, capture_output=True, text=True, check=False)
    try:
        found = json.loads(ran.stdout)["dependencies"]
    except (ValueError, KeyError):
        why = (ran.stderr.strip() or "no answer").splitlines()[-1]
        print(f"NOT AUDITED: the list of known faults could not be asked ({why[:200]})")
        return 0
    faulty = [(one["name"], fault["id"]) for one in found for fault in one.get("vulns", [])]
    print("\n".join(f"{name}: {fault}" for name, fault in faulty) or f"{len(found)} packages audited, no known fault")
    return 1 if faulty else 0


if __name__ == "__main__":
    sys.exit(main())
