"""`python -m tests.laws.breaks [--only WORD]`: break what keeps people out, one place at a time, and see it caught.

Each break is an edit of one file in a copy of the tree; the tests named beside it are run there and one has to fail.
"""

import argparse
import os
import shutil
import subprocess
import sys
import tempfile
from dataclasses import dataclass
from pathlib import Path

ROOT = Path(__file__).resolve().parents[2]
TABLE = "tests/laws/test_permissions.py"
HEADERS = "tests/laws/test_headers.py"
DRILL = "tests/faults/test_restore_drill.py"


@dataclass(frozen=True, slots=True)
class Break:
    """A text in a file, what takes its place, and the tests that have to see it."""

    what: str
    file: str
    old: str
    new: str
    tests: tuple[str, ...]


BREAKS = (
    Break("people of other employers are seen", "training/people/access.py",
          "return Person.objects.filter(employer_id=viewer.person.employer_id)", "return Person.objects.all()",
          ("tests/training/people/test_access.py",)),
    Break("who moved is seen where they were", "training/people/access.py",
          "return Person.objects.filter(employer_id=viewer.person.employer_id)",
          "return Person.objects.filter(crew_memberships__crew__employer=viewer.person.employer).distinct()",
          (f"{TABLE}::TestWhoMovedToAnotherEmployer::test_is_seen_by_the_new_supervisor_and_not_by_the_old",)),
    Break("nobody waits for a lock", "training/config/settings.py",
          '"timeout": 5,', '"timeout": 0.2,', ("tests/faults/test_full_and_locked.py", "-k", "lock_is")),
    Break("a colleague sees colleagues", "training/people/access.py",
          "return Person.objects.filter(pk=viewer.person.pk)",
          "return Person.objects.filter(employer_id=viewer.person.employer_id)",
          ("tests/training/people/test_access.py",)),
    Break("a stranger is told by another answer", "training/people/access.py",
          ".filter(pk=pk).first()\n    if person is None:\n        raise Http404\n    return person",
        ".filter(pk=pk).first()\n    if person is None:\n        raise PermissionDenied\n    return person",
          ("tests/training/people",)),
    Break("who is complained of reads it", "certs/complaints/rules.py",
          "if {Tie.NOT_ADMINISTRATOR, Tie.COMPLAINED_OF, Tie.CLOSED} & set(found):",
          "if {Tie.NOT_ADMINISTRATOR, Tie.CLOSED} & set(found):", ("tests/certs/complaints",)),
    Break("who assessed handles a complaint", "certs/complaints/operations/steps.py",
          "    if tied:\n", "    if False:\n", ("tests/certs/complaints/test_pages.py", "-k", "assessed")),
    Break("any role does", "training/people/access.py",
          "if not self.has(*roles):", "if not self.roles:", ("tests/training/people",)),
    Break("pages open without signing in", "training/config/settings.py",
          '    "training.config.sessions.SignedIn",\n', "",
          (f"{TABLE}::TestEveryUrl::test_answers_as_the_table_says[nobody]",)),
    Break("forms are taken from other sites", "training/config/settings.py",
          '    "django.middleware.csrf.CsrfViewMiddleware",\n', "", (HEADERS, "-k", "token")),
    Break("staff need no second factor", "training/config/sessions.py",
          "return _to_the_factor(request, person)", "return None", ("tests/training/config",)),
    Break("sessions never end", "training/config/sessions.py",
          "if session_limits(roles_now(request)).over(times, now=now):", "if False:", ("tests/training/config",)),
    Break("a used recovery code is told nobody", "training/config/factors.py",
          "operations.tell(self.user, Change.CODE_USED, at=timezone.now())", "pass",
          ("tests/training/config/test_told.py",)),
    Break("another's sign-out is told nobody", "training/people/operations/accounts.py",
          "tell(person, Change.SIGNED_OUT, at=at)", "pass", ("tests/training/config/test_told.py",)),
    Break("a mail that fails undoes a change", "training/people/operations/telling.py",
          "transaction.on_commit(send, robust=True)", "send()", ("tests/training/config/test_told.py",)),
    Break("secrets of factors are kept in the open", "training/people/operations/sealing.py",
          "return _keys().encrypt(text.encode()).decode()", "return text", ("tests/training/config/test_sealing.py",)),
    Break("an unsealed secret is believed", "training/people/operations/sealing.py",
          "where it holds anything but ASCII\n        raise OtherKey from None", "\n        return kept",
          ("tests/training/config/test_sealing.py",)),
    Break("another person gets what was typed", "training/config/typed.py",
          "if typed is None or typed.who != person.pk:", "if typed is None:", ("tests/training/config/test_typed.py",)),
    Break("what was typed is shown to whoever is there", "training/config/typed.py",
          "if typed is None or typed.who != request.user.pk:", "if typed is None:",
          ("tests/training/config/test_typed.py",)),
    Break("another person's old tab counts as one's own", "training/config/typed.py",
          "marks = marks if who_had == request.user.pk else []", "pass",
          ("tests/training/config/test_typed.py",)),
    Break("what was typed stands in the open", "training/config/typed.py",
          "return _box().encrypt(json.dumps(asdict(typed)).encode()).decode()", "return json.dumps(asdict(typed))",
          ("tests/training/config/test_typed.py",)),
    Break("passwords are kept with what was typed", "training/config/typed.py",
          "if any(part in name for name in fields for part in SECRET):", "if False:",
          ("tests/training/config/test_typed.py",)),
    Break("what was typed becomes markup", "training/config/refill.py",
          "escape(left[one.name].pop(0))", "left[one.name].pop(0)", ("tests/training/config/test_refill.py",)),
    Break("a form leads to another site", "training/config/typed.py",
          " and url_has_allowed_host_and_scheme(page, allowed_hosts=None)", "",
          ("tests/training/config/test_typed.py",)),
    Break("a full database keeps readers out", "training/config/sessions.py",
          "except (UpdateError, OperationalError) as fault:", "except ZeroDivisionError as fault:",
          ("tests/training/config/test_reading.py",)),
    Break("a session that was never dated opens pages", "training/config/sessions.py",
          "elif held is None or request.method not in READING:", "elif request.method not in READING:",
          ("tests/training/config/test_reading.py",)),
    Break("a failed write makes a session last longer", "training/config/sessions.py",
          "times = SessionTimes(began, seen or now)", "times = SessionTimes(began, max(seen, self.rests_until) or now)",
          ("tests/training/config/test_reading.py",)),
    Break("a full database is a fault of who asks", "training/config/sessions.py",
          "raise why(gone.__context__) or gone from None", "raise",
          ("tests/training/config/test_reading.py",)),
    Break("an account is never stopped", "training/config/throttle.py",
          "return person is not None and too_many_failures(failures_in_a_row(person))", "return False",
          ("tests/training/people/test_entrance.py",)),
    Break("short passwords will do", "training/config/passwords.py",
          "LEAST = 15", "LEAST = 8", ("tests/training/config/test_passwords.py",)),
    Break("passwords may be guessed", "training/config/passwords.py",
          "LEAST_SCORE = 3", "LEAST_SCORE = 0", ("tests/training/config/test_passwords.py",)),
    Break("scripts of other hosts run", "training/config/settings.py",
          '"script-src": [SELF]', '"script-src": [SELF, "*"]', (TABLE, "-k", "nobody")),
    Break("private pages are cached", "training/config/headers.py",
          'response["Cache-Control"] = "no-store"', "pass", (TABLE, "-k", "moira")),
    Break("one signs for oneself", "certs/signoffs/rules/persons.py",
          "(case.is_oneself, Objection.ONESELF),\n        (not case.is_active, Objection.CLOSED),\n"
          "        (not case.candidate_active, Objection.CANDIDATE_CLOSED),\n        (not case.may_assess",
          "(not case.may_assess", ("tests/certs/signoffs/test_rules.py",)),
    Break("one signs for one's own trainee", "certs/signoffs/rules/persons.py",
          "(near and case.leave is Leave.NONE, Objection.TRAINED),", "", ("tests/certs/signoffs/test_rules.py",)),
    Break("a refused exception is still in use", "certs/signoffs/queries/persons.py",
          "objects.filter(unused, refused_at=None)", "objects.filter(unused)",
          ("tests/certs/signoffs/test_refused.py",)),
    Break("what was refused is approved after all", "certs/signoffs/queries/persons.py",
          "answered=exception.approved_at is not None or exception.refused_at is not None", "answered=False",
          ("tests/certs/signoffs/test_refused.py",)),
    Break("nobody asks who may sign", "certs/signoffs/operations/signing.py",
          "found = rules.objections(facts, on=sheet.assessed_on)", "found = ()",
          ("tests/certs/signoffs/test_operations.py",)),
    Break("signatures are not checked", "certs/cards/code/sign1.py",
          "Ed25519PublicKey.from_public_bytes(keys[named]).verify(signature, _to_be_signed(named, payload, purpose))",
          "pass", ("tests/outside/test_card_code.py",)),
    Break("a code is read in any spelling", "certs/cards/code/sign1.py",
          "if _text(raw) != text:", "if False:", ("tests/outside", "tests/certs/cards", "-k", "code or cose or bit")),
    Break("a purpose is as good as another", "certs/checking/code.py",
          'CARDS_PURPOSE = b"list of cards"', 'CARDS_PURPOSE = b"list of keys"', ("tests/certs/checking",)),
    Break("a revoked token opens", "certs/gates/access.py",
          " or row.revoked_at is not None", "", ("tests/certs/gates",)),
    Break("a token opens other employers", "certs/gates/queries.py",
          "Person.objects.filter(employer=employer, **named)", "Person.objects.filter(**named)",
          ("tests/certs/gates",)),
    Break("a photo keeps what the phone wrote", "certs/photos/code.py",
          "upright = _upright(picture, LONGEST_SIDE)\n", "upright = picture.copy()\n", ("tests/certs/photos",)),
    Break("pictures of any size are opened", "certs/photos/code.py",
          "if picture.width * picture.height > MOST_PIXELS:", "if False:", ("tests/certs/photos",)),
    Break("files unpack without end", "training/tables/code/reading.py",
          "MOST_UNPACKED = 20_000_000", "MOST_UNPACKED = 20_000_000_000", ("tests/training/tables",)),
    Break("prints fetch what a page names", "training/printing/pdf/press.py",
          "    if held.refused:\n", "    if False:\n", ("tests/training/printing",)),
    Break("a changed entry goes unseen", "training/ledger/rules.py",
          "if link.mark != mark(", "if False and link.mark != mark(", ("tests/training/ledger",)),
    Break("a ledger cut off is whole", "training/ledger/rules.py",
          "if kept and kept.seq >= expected:", "if False:", ("tests/training/ledger",)),
    Break("evidence may be deleted", "training/keeping/operations/guards.py",
          'f\'CREATE TRIGGER IF NOT EXISTS "kept_delete_{table}" BEFORE DELETE ON "{table}" {refuse}\',', "",
          ("tests/training/keeping/test_guards.py",)),
    Break("SQLite need not wait for the disk", "training/config/settings.py",
          "PRAGMA synchronous=FULL", "PRAGMA synchronous=NORMAL", (DRILL, "-k", "SQLite and whole")),
    Break("a copy is not proved", "training/keeping/operations/restore.py",
          "    if found != manifest.sha256:", "    if False:", (DRILL, "-k", "SQLite and whole")),
    Break("anybody reads the ledger", "certs/trail/views.py",
          "    keeper(viewer_for(request, at=timezone.now()))", "    viewer_for(request, at=timezone.now())",
          ("tests/certs/trail",)),
    Break("anybody's name is erased by anybody", "certs/retention/access.py",
          "return person_for(keeper(viewer), pk)", "return person_for(viewer, pk)",
          ("tests/certs/retention/test_pages.py",)),
    Break("the copy explains the draws of papers", "certs/retention/queries/held.py",
          'LEFT_OUT = {"seed", ', "LEFT_OUT = {", ("tests/certs/retention/test_pages.py",)),
    Break("others see what is held on one", "certs/retention/queries/held.py",
          "found = Q(about__person=person.pk)", "found = Q(about__has_key=\"person\")",
          ("tests/certs/retention/test_pages.py",)),
    Break("an erased name stays in reasons", "certs/retention/operations/erasing.py",
          "            _sweep(held)\n            _rename", "            _rename",
          ("tests/certs/retention/test_erasing.py",)),
    Break("an erased name stays on the card", "certs/retention/operations/erasing.py",
          "    Card.objects.filter(person=person).update(holder_name=_name(person))\n", "",
          ("tests/certs/retention/test_erasing.py",)),
    Break("a holder of a card in force is erased", "certs/retention/queries/against.py",
          "for card in in_force.filter(person=person):", "for card in in_force.none():",
          ("tests/certs/retention/test_erasing.py",)),
    Break("sessions of an erased person stay", "certs/retention/operations/erasing.py",
          "            session.delete()", "            continue", ("tests/certs/retention/test_erasing.py",)),
)  # fmt: skip


def tree() -> Path:
    """Copy what the project holds into a folder of its own."""
    folder = Path(tempfile.mkdtemp(prefix="ferrule-breaks-"))
    listed = subprocess.run(["git", "ls-files", "-z"], cwd=ROOT, capture_output=True, check=True).stdout
    for name in listed.decode().split("\0"):
        if name and (ROOT / name).is_file():
            (folder / name).parent.mkdir(parents=True, exist_ok=True)
            shutil.copy2(ROOT / name, folder / name)
    return folder


def caught(one: Break, folder: Path) -> bool:
    """Make one break in the copy, run its tests, put the file back; say whether a test failed."""
    path = folder / one.file
    sound = path.read_text(encoding="utf-8")
    path.write_text(sound.replace(one.old, one.new), encoding="utf-8")
    command = [sys.executable, "-m", "pytest", "-x", "-q", "--no-cov", "-p", "no:cacheprovider", *one.tests]
    environment = {name: value for name, value in os.environ.items() if not name.startswith("PYTEST_")}
    try:
        ran = subprocess.run(command, cwd=folder, env=environment, capture_output=True, text=True, check=False)
    finally:
        path.write_text(sound, encoding="utf-8")
    # 1: a test failed. Anything else, such as a file that no longer imports, is no catch.
    return ran.returncode == 1 and " failed" in ran.stdout


def main() -> int:
    """Try the breaks; return how many went unseen."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--only", default="", help="words of the break")
    parser.add_argument("--every", type=int, default=1, help="one in so many, from --from on")
    parser.add_argument("--from", type=int, default=0, dest="first")
    asked = parser.parse_args()
    chosen = [one for one in BREAKS if asked.only in one.what][asked.first % asked.every :: asked.every]
    folder = tree()
    unseen = 0
    try:
        for one in chosen:
            seen = caught(one, folder)
            unseen += not seen
            print(f"{'caught' if seen else 'UNSEEN'}: {one.what}", flush=True)
    finally:
        shutil.rmtree(folder)
    return unseen


if __name__ == "__main__":
    sys.exit(main())
