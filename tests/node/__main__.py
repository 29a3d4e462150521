"""Have the signed file of a card checked by independent libraries: python -m tests.node

Their exact versions stand in package.json and package-lock.json beside this file; npm brings them. Where npm is missing
or cannot reach its source nothing is checked, and that is said aloud: it is no pass.
"""

import json
import shutil
import subprocess
import sys
import tempfile
from collections.abc import Mapping
from datetime import UTC, datetime, timedelta
from pathlib import Path
from typing import Any

from cryptography.hazmat.primitives.asymmetric.ed25519 import Ed25519PrivateKey

from certs.credentials import code, rules
from certs.credentials.rules import Facts, Purpose

HERE = Path(__file__).parent
SITE = "https://cards.example.org"
ISSUER = f"{SITE}/credentials/issuer/"
PLACE = 4711


def files(at: datetime) -> dict[str, Mapping[str, Any]]:
    """Return a signed file, the documents behind it, and three that have to be refused."""
    key = Ed25519PrivateKey.generate()
    public = code.multikey(key.public_key().public_bytes_raw())

    def seal(document: Mapping[str, Any]) -> dict[str, Any]:
        return code.sign(document, key=key, method=f"{ISSUER}#{public}", created=rules.moment(at))

    def listed(purpose: Purpose) -> dict[str, Any]:
        # The neighbours are set on either side: a list read from the wrong end, or one off, is noticed.
        places = [PLACE - 1, PLACE + 1] if purpose is Purpose.REVOCATION else [0, PLACE + 2]
        return seal(
            rules.status_list(
                address=address(purpose), issuer=ISSUER, purpose=purpose, encoded=code.packed(places), at=at
            )
        )

    good = seal(rules.credential(facts(at, PLACE)))
    later = {"validUntil": rules.moment(at + timedelta(days=4000))}
    return {
        "issuer.json": rules.issuer_document(issuer=ISSUER, keys=[public]),
        **{f"{purpose}.json": listed(purpose) for purpose in Purpose},
        "good.json": good,
        "bad-altered-until.json": good | later,
        "bad-revoked.json": seal(rules.credential(facts(at, PLACE + 1))),
        "bad-suspended.json": seal(rules.credential(facts(at, PLACE + 2))),
    }


def facts(at: datetime, entry: int) -> Facts:
    """Return what the file of an invented card says."""
    return Facts(
        identity="urn:uuid:4e9f1c33-0d6b-4f5e-9a43-0a3b7a1f0c01",
        issuer=ISSUER,
        site=SITE,
        issuer_name="Certification body",
        holder="Zoë O'Hara",
        number="FB-2345-6789",
        scheme="Bonds by pin brazing",
        scheme_slug="bonds",
        issue=1,
        scope="Fixing bonds to running rails with an 8 mm pin.",
        limits="On spots that the railway's drawing shows.",
        criteria="Passed a paper and a practical.",
        starts=at - timedelta(days=1),
        ends=at + timedelta(days=1000),
        lists={purpose: address(purpose) for purpose in Purpose},
        entry=entry,
    )


def address(purpose: Purpose) -> str:
    """Return where the list of a purpose is said to lie."""
    return f"{SITE}/credentials/status/{purpose}/0/"


def main() -> int:
    """Return 0 when every file was judged as it should be, or when nothing could be checked, which is said."""
    if not (shutil.which("npm") and shutil.which("node")):
        return not_checked("node or npm is not on this machine")
    with tempfile.TemporaryDirectory(prefix="ferrule-cross-check-") as made:
        folder = Path(made)
        for name in ("package.json", "package-lock.json", ".npmrc", "verify.mjs"):
            shutil.copy(HERE / name, folder / name)
        brought = subprocess.run(
            ["npm", "ci", "--ignore-scripts"], cwd=folder, capture_output=True, text=True, check=False
        )
        if brought.returncode:
            return not_checked(f"npm could not bring its packages: {brought.stderr.strip()[-300:]}")
        sent = folder / "files"
        sent.mkdir()
        for name, document in files(datetime.now(UTC)).items():
            (sent / name).write_text(json.dumps(document), encoding="utf-8")
        return subprocess.run(["node", "verify.mjs", str(sent)], cwd=folder, check=False).returncode


def not_checked(why: str) -> int:
    """Say aloud that nothing was checked."""
    print(f"!!! NOT CROSS-CHECKED: {why}. The signed files were read by our own code only.")
    return 0


if __name__ == "__main__":
    sys.exit(main())
