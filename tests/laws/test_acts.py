"""Every act that decides something is in the ledger, and every act of the ledger has its words.

Which operations write to the ledger is read from the code: by name, one room after another, through whatever they call.
What they need not is listed below with the reason; common practice, no source.
"""

import ast
from collections import defaultdict
from collections.abc import Iterator
from functools import lru_cache
from itertools import chain
from pathlib import Path

from certs.cards.rules import Ground, Step
from certs.complaints.rules import Step as ComplaintStep
from certs.trail.queries import ACT_WORDS, KINDS
from certs.trail.queries.records import BY_KEY

ROOT = Path(__file__).resolve().parents[2]
ENTERS = {"write", "_write", "_enter"}
# Acts whose last word is put in when they are written.
EXPANDED = {
    "complaint {step}": [f"complaint {step}" for step in ComplaintStep],
    "card {step}": [f"card {step}" for step in Step],
    "card issued, {ground}": [f"card issued, {ground}" for ground in (Ground.LOST, Ground.REDUCED)],
}
# No longer done, but kept in ledgers.
FORMER = {"password renewed"}
READS = "reads, locks, or takes apart"
NOT_YET = "nothing is in force yet: what puts it in force is in the ledger"
LOGGED = "has a row of its own, written once, with its moment"
MACHINE = "done at the machine: the content's own versions hold digest and moment"
OWN = "one's own learning or wishes: no mark, no card, no permission comes of it"
PLANNED = "work to come, changed freely until it is done; who may do it is judged by the cards on the day"
MAILS = "says what stands elsewhere already"
COPIES = "copies and repairs of the database: the copy's manifest and the service's own log hold them"
NEED_NOT = {
    "certs/agreement": {},
    "certs/batches": {
        "ask": NOT_YET,
        "stop": NOT_YET,
        "resume": NOT_YET,
        "throw_away": "deletes files that can be printed again",
        "forget_photo": "part of an act on the photo, which is in the ledger",
    },
    "certs/cards": {"note_codes": LOGGED, "log_signature": LOGGED},
    "certs/checking": {"make_status_list": LOGGED, "kept_lists": LOGGED, "fresh_list": LOGGED},
    "certs/complaints": {"tell": MAILS, "flaws_in": READS},
    "certs/credentials": {"sign_list": LOGGED},
    "certs/crewing": {
        "ask": NOT_YET,
        "advance": NOT_YET,
        "stop": NOT_YET,
        "resume": NOT_YET,
        "throw_away": NOT_YET,
        "change": NOT_YET,
    },
    "certs/gates": {"note_use": "a day beside the token, for whoever keeps it"},
    "certs/jobs": dict.fromkeys(("add", "bring_in", "change", "close", "reopen", "go_away", "come_back"), PLANNED),
    "certs/notices": dict.fromkeys(("write_notices", "take_back", "mark_sent"), MAILS),
    "certs/schemes": {"load": MACHINE},
    "certs/signoffs": {"locked": READS, "fingerprint": READS},
    "certs/visits": {
        **dict.fromkeys(("ask", "offer"), "asks only: the trainer's answer is in the ledger"),
        "tell": MAILS,
    },
    "training/amendments": {
        **dict.fromkeys(("begin", "keep_parts", "keep_step", "add_step", "move_step", "remove_step"), NOT_YET),
        **dict.fromkeys(("propose", "take_back", "discard"), NOT_YET),
    },
    "training/bank": {"problems": READS, "missing": READS, "load_questions": MACHINE, "bring_up": MACHINE},
    "training/bridges": {"open_bridge": NOT_YET},
    "training/drafts": dict.fromkeys(("begin", "keep", "discard", "revise"), NOT_YET),
    "training/keeping": {
        **dict.fromkeys(("back_up", "thin_out", "manifests", "read_manifest", "digest", "opened", "restore"), COPIES),
        **dict.fromkeys(("settle_file", "settle_folder", "held", "run", "probe"), COPIES),
        "analyze": READS,
        **dict.fromkeys(("guard", "loosen", "loosened", "flag", "close", "reopen"), COPIES),
    },
    "training/mail": dict.fromkeys(("write_down", "send_now", "send_waiting"), MAILS),
    "training/panels": {"keep_estimates": NOT_YET},
    "training/people": {
        **dict.fromkeys(("check_reach", "check_account", "lock"), READS),
        "choose_language": OWN,
        **dict.fromkeys(("end_session", "end_sessions"), "signs out: no record and no right is changed"),
        **dict.fromkeys(("send_link", "tell"), MAILS),
        **dict.fromkeys(("seal", "unseal", "seal_anew"), "keeps the same secret, sealed"),
    },
    "training/practice": {"ask": OWN, "answer": OWN},
    "training/procedures": {"load": MACHINE, "revise": "part of putting an amendment in force, which is in the ledger"},
    "training/quizzes": {"locked": READS, "note_seen": OWN, "load_papers": MACHINE, "hold_back": READS},
    "training/refreshers": {
        **dict.fromkeys(("open_drill", "count_work", "choose_mail"), OWN),
        **dict.fromkeys(("write_reminder", "mark_sent"), MAILS),
    },
    "training/rosters": dict.fromkeys(("bring", "answer", "drop", "forget", "lock"), NOT_YET),
}


@lru_cache
def operations() -> dict[tuple[str, str], list[ast.FunctionDef]]:
    """Return every function of the operations of every room, by room and name."""
    found: dict[tuple[str, str], list[ast.FunctionDef]] = defaultdict(list)
    for room in sorted(path for app in ("training", "certs") for path in (ROOT / app).iterdir() if path.is_dir()):
        for file in (room / "operations.py", *sorted((room / "operations").glob("*.py"))):
            if file.exists():
                for node in ast.parse(file.read_text(encoding="utf-8")).body:
                    if isinstance(node, ast.FunctionDef):
                        found[room.relative_to(ROOT).as_posix(), node.name].append(node)
    return found


def called(node: ast.AST, room: str) -> Iterator[tuple[str, str]]:
    """Yield what is called, as room and name: in the room itself where it has that name, else wherever there is one."""
    known = operations()
    for one in (one for one in ast.walk(node) if isinstance(one, ast.Call)):
        name = one.func.id if isinstance(one.func, ast.Name) else getattr(one.func, "attr", "")
        if isinstance(one.func, ast.Name) and (room, name) in known:
            yield room, name
        else:
            yield from ((other, found) for other, found in known if found == name)


def entering() -> set[tuple[str, str]]:
    """Return the operations that end in `training.ledger.operations.write`."""
    known = operations()
    found = {("training/ledger", "write")}
    while True:
        more = {
            (room, name)
            for (room, name), nodes in known.items()
            if any(found.intersection(called(node, room)) for node in nodes)
        } - found
        if not more:
            return found
        found |= more


def acts() -> set[str]:
    """Return every act that is written anywhere in the code."""
    found: set[str] = set()
    for node in chain.from_iterable(operations().values()):
        for call in (one for one in ast.walk(node) if isinstance(one, ast.Call)):
            name = call.func.id if isinstance(call.func, ast.Name) else ""
            given = [word.value for word in call.keywords if word.arg == "act"]
            for value in [*given, *(call.args if name in ENTERS else [])]:
                found |= set(said(value))
    return found


def said(value: ast.AST) -> Iterator[str]:
    if isinstance(value, ast.Constant) and isinstance(value.value, str):
        yield value.value
    elif isinstance(value, ast.IfExp):
        yield from said(value.body)
        yield from said(value.orelse)
    elif isinstance(value, ast.JoinedStr):
        yield from EXPANDED[ast.unparse(value)[2:-1]]


class TestActs:
    def test_each_operation_enters_what_it_decides(self) -> None:
        found = entering()
        public = {(room, name) for room, name in operations() if not name.startswith("_")}
        listed = {(room, name) for room, names in NEED_NOT.items() for name in names}
        assert sorted(public - found - listed) == []
        assert sorted(listed - public) == []
        assert sorted(listed & found) == []

    def test_each_act_has_its_words(self) -> None:
        assert len(acts()) > 60
        assert acts() | FORMER == set(ACT_WORDS)

    def test_no_key_of_the_ledger_means_two_kinds(self) -> None:
        assert len(BY_KEY) == sum(len(kind.keys) for kind in KINDS.values())
