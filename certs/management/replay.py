"""The invented company: its people, and what they did, replayed through the operations of the site."""

import tomllib
from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field, replace
from datetime import date, datetime, time, timedelta
from decimal import Decimal
from pathlib import Path
from typing import Any
from uuid import NAMESPACE_URL, uuid5

from allauth.mfa.recovery_codes.internal.auth import RecoveryCodes
from allauth.mfa.totp.internal.auth import TOTP, generate_totp_secret
from django.conf import settings

from certs.agreement import operations as agreement
from certs.agreement.rules import How
from certs.cards import operations as cards
from certs.cards.models import Card
from certs.cards.rules import Step, local_day
from certs.complaints.rules import Step as ComplaintStep
from certs.gates import operations as gates
from certs.gates.models import GateToken
from certs.invigilation import operations as invigilation
from certs.management import complaining, planning
from certs.management import drawn as pictures
from certs.portraits import operations as portraits
from certs.schemes import operations as schemes
from certs.schemes import queries as scheme_queries
from certs.schemes.models import Scheme, SchemeIssue
from certs.schemes.rules import Act
from certs.signoffs import operations as signoffs
from certs.signoffs import queries as signoff_queries
from certs.signoffs.models import Signoff
from certs.signoffs.rules import Bond, Instrument, Look, Sheet, Tool
from certs.worklog import operations as worklog
from training.bank.queries import drawn
from training.content.load import Content
from training.content.procedures import ModuleSpec
from training.people import operations as accounts
from training.people.models import Crew, Employer, Person
from training.people.queries import roles_on
from training.people.rules import Role, asks_second_factor
from training.procedures import operations as procedures
from training.procedures.models import Revision
from training.procedures.queries import standing
from training.procedures.rules import seed
from training.quizzes import operations as quizzes
from training.quizzes.models import Paper, Sitting
from training.rosters import operations as rosters
from training.rosters.queries import checked

# Everyone is on the books since then; the acts are counted back from the day the demo is made.
SINCE_DAYS = 1300
FILES = settings.BASE_DIR / "fixtures" / "demo"
Row = Mapping[str, Any]


def password(username: str) -> str:
    """Return the pass phrase of a demo account; the demo refuses to run anywhere else."""
    return f"{username} fires true bonds"


@dataclass
class Company:
    """The invented people by user name, the content they work to, and the day the demo is made."""

    now: datetime
    content: Content
    people: dict[str, Person] = field(default_factory=dict)
    signs_in: dict[str, str] = field(default_factory=dict)

    def moment(self, days_ago: int, hour: int = 10) -> datetime:
        """Return a moment so many days back, at an hour of the working day."""
        return (self.now - timedelta(days=days_ago)).replace(hour=hour, minute=0, second=0, microsecond=0)

    @property
    def founder(self) -> Person:
        """Return the administrator of the certification body, who opens the accounts."""
        return self.people[self.signs_in["administrator"]]


def read(folder: Path, name: str) -> Row:
    """Read one file of the demo."""
    return tomllib.loads((folder / name).read_text(encoding="utf-8"))


def as_it_was(content: Content, row: Row) -> Content:
    """Return the content as it stood before one procedure was revised."""
    modules = tuple(_earlier(one, row["changed"]) if one.slug == row["module"] else one for one in content.modules)
    return replace(content, modules=modules)


def _earlier(module: ModuleSpec, changed: str) -> ModuleSpec:
    return replace(module, changed=changed, revision=None, steps=tuple(replace(one, ask=()) for one in module.steps))


def settle(company: Company, rows: Row) -> None:
    """Make employers, crews, people, their roles and their permissions."""
    at = company.moment(SINCE_DAYS)
    on = local_day(at, "UTC")
    body = next(row for row in rows["employer"] if row.get("is_body"))
    people = sorted(rows["person"], key=lambda row: row.get("signs_in") != "administrator")
    for row in people:
        if "signs_in" in row:
            company.signs_in[row["signs_in"]] = row["username"]
    first = people[0]
    founder, _phrase = accounts.found(
        body=body["name"], slug=body["slug"], zone=body["zone"], username=first["username"], name=first["name"],
        on=on, at=at,
    )  # fmt: skip
    company.people[first["username"]] = founder
    for row in rows["employer"]:
        if not row.get("is_body"):
            employer = accounts.add_employer(
                by=founder, name=row["name"], slug=row["slug"], zone=row["zone"], on=on, at=at
            )
            for name, crews in row["sites"].items():
                site = accounts.add_site(by=founder, employer=employer, name=name, on=on, at=at)
                for crew in crews:
                    accounts.add_crew(by=founder, employer=employer, name=crew, site=site, on=on, at=at)
    for row in people[1:]:
        engage(company, row, on=on, at=at)
    for row in people:
        person = company.people[row["username"]]
        person.set_password(password(row["username"]))
        person.save(update_fields=["password"])
        if asks_second_factor(roles_on(person, on=on)):
            TOTP.activate(person, generate_totp_secret())
            RecoveryCodes.activate(person)
    for row in rows["authority"]:
        for act in row["acts"]:
            schemes.grant(
                person=company.people[row["person"]], scheme=Scheme.objects.get(slug=row["scheme"]), act=Act(act),
                from_on=on, until_on=None, by=founder, at=at, on=on,
            )  # fmt: skip


def engage(company: Company, row: Row, *, on: date, at: datetime) -> None:
    """Open one account with its roles and crew."""
    employer = Employer.objects.get(slug=row["employer"])
    crew = Crew.objects.get(employer=employer, name=row["crew"]) if "crew" in row else None
    first, *others = [Role(role) for role in row["roles"]]
    person = accounts.add_person(
        by=company.founder, name=row["name"], username=row["username"], email=f"{row['username']}@example.org",
        employer=employer, role=first, crew=crew, on=on, at=at,
    )  # fmt: skip
    for role in others:
        accounts.give_role(by=company.founder, person=person, role=role, from_on=on, until_on=None, on=on, at=at)
    company.people[row["username"]] = person


def replay(company: Company, rows: Row) -> Iterator[str]:
    """Do every act in turn, yielding what was done; an act the rules forbid raises."""
    for row in sorted(rows["act"], key=lambda row: -row["days_ago"]):
        ACTS[row["do"]](company, row, company.people[row["who"]])
        yield f"{row['days_ago']} days ago: {row['who']} {row['do']}"


def revises(company: Company, row: Row, who: Person) -> None:
    """Load the procedures as their files hold them now."""
    procedures.load(company.content.modules, at=company.moment(row["days_ago"]))


def reads(company: Company, row: Row, who: Person) -> None:
    """Read the modules of a scheme."""
    for slug in scheme_queries.spec(scheme_queries.current_issue(row["scheme"])).modules:
        revision = Revision.objects.select_related("module").filter(module__slug=slug).latest("number")
        at = company.moment(row["days_ago"])
        answer_holds(who, revision, at=at)
        procedures.record_reading(person=who, revision=revision, at=at)


def answer_holds(who: Person, revision: Revision, *, at: datetime) -> None:
    """Answer every open question at the hold points of a revision rightly."""
    holds, versions = standing(revision, person=who)
    for hold in holds:
        if hold.is_open:
            version = versions[hold.ask.key]
            item = drawn(version, seed=seed(who.pk, hold.ask, turn=hold.turn))
            sides = zip(item.key()["parts"], item.shown()["parts"], strict=True)
            procedures.answer_hold(
                person=who, revision=revision, step=hold.ask.step, version=version.pk, turn=hold.turn,
                answers={1: {part["name"]: right(part, shown) for part, shown in sides}}, at=at,
            )  # fmt: skip


def sits(company: Company, row: Row, who: Person) -> None:
    """Sit a paper, leaving so many of the questions blank that carry no safety."""
    at = company.moment(row["days_ago"])
    seed = uuid5(NAMESPACE_URL, f"{row['who']} {row['paper']} {row['days_ago']}").hex
    paper = Paper.objects.get(slug=row["paper"])
    try:
        sitting = quizzes.open_sitting(person=who, paper=paper, seed=seed, at=at)
    except quizzes.NotAdmitted:
        admitted(who, company.people[row["invigilator"]], at)
        sitting = quizzes.open_sitting(person=who, paper=paper, seed=seed, at=at)
    quizzes.hand_in(sitting=sitting, answers=answers(sitting, row["misses"]), at=at + timedelta(minutes=38))


def admitted(who: Person, invigilator: Person, at: datetime) -> None:
    """Confirm who sits down to an invigilated paper."""
    waiting = who.admissions.get(sitting__isnull=True)
    invigilation.admit(admission=waiting, by=invigilator, at=at, on=local_day(at, invigilator.employer.zone))


def answers(sitting: Sitting, misses: int) -> dict[int, dict[str, object]]:
    """Return the right answers of a sitting, with so many questions answered wrongly."""
    given: dict[int, dict[str, object]] = {}
    for item in sitting.items.select_related("question_version").order_by("position"):
        wrong = misses > 0 and not item.question_version.safety
        misses -= wrong
        given[item.position] = {
            part["name"]: mistaken(part, shown) if wrong else right(part, shown)
            for part, shown in zip(item.sealed["parts"], item.shown["parts"], strict=True)
        }
    return given


def right(part: Row, shown: Row) -> object:
    """Return the right answer of a part as its form would send it."""
    if shown["answer"] == "number":
        return f"{part['shown']} {shown['unit']}".strip()
    if shown["answer"] == "order":
        return part["order"]
    return part["right"][0] if shown["answer"] == "one" else part["right"]


def mistaken(part: Row, shown: Row) -> object:
    """Return a likely wrong answer: a known mistake, a wrong option, an order turned round."""
    if shown["answer"] == "number":
        return f"{part['wrong'][0]['shown']} {shown['unit']}".strip() if part["wrong"] else ""
    if shown["answer"] == "order":
        return part["order"][::-1]
    safe = [o["id"] for o in shown["options"] if o["id"] not in part["right"] and o["id"] not in part["unsafe"]]
    return safe[0] if shown["answer"] == "one" and safe else safe


def trained(company: Company, row: Row, who: Person) -> None:
    """Record training given."""
    at = company.moment(row["days_ago"])
    schemes.record_training(
        trainer=who, candidate=company.people[row["candidate"]], scheme=Scheme.objects.get(slug=row["scheme"]),
        ended_on=local_day(at, "UTC"), at=at, on=local_day(at, "UTC"),
    )  # fmt: skip


def signs(company: Company, row: Row, who: Person) -> None:
    """Sign a clean practical."""
    at = company.moment(row["days_ago"], hour=14)
    issue = scheme_queries.current_issue(row["scheme"])
    on = local_day(at, scheme_queries.spec(issue).zone)
    signoffs.sign_off(
        candidate=company.people[row["candidate"]], scheme_issue=issue, assessor=who,
        sheet=clean_sheet(issue, row["place"], on, row["days_ago"]), at=at, on=on,
    )  # fmt: skip


def declares_exception(company: Company, row: Row, who: Person) -> None:
    """Declare an exception for somebody one has trained."""
    at = company.moment(row["days_ago"], hour=9)
    signoffs.declare_exception(
        candidate=company.people[row["candidate"]], scheme_issue=scheme_queries.current_issue(row["scheme"]),
        assessor=who, why=row["why"], safeguard=row["safeguard"], at=at, on=local_day(at, who.employer.zone),
    )  # fmt: skip


def refuses_exception(company: Company, row: Row, who: Person) -> None:
    """Refuse the exception that waits for a third person."""
    at, waiting = company.moment(row["days_ago"], hour=15), signoff_queries.open_exceptions().get()
    on = local_day(at, who.employer.zone)
    signoffs.refuse_exception(exception=waiting, by=who, reason=row["reason"], at=at, on=on)


def marks_again(company: Company, row: Row, who: Person) -> None:
    """Mark a practical as its second assessor: every step done right but those that are named."""
    at = company.moment(row["days_ago"], hour=16)
    signoff = signed(company, row)
    marks = {check["slug"]: check["slug"] not in row["not_right"] for check in signoff.checks}
    marks |= dict.fromkeys(row["untold"])
    agreement.mark_again(
        signoff=signoff, by=who, how=How(row["how"]), marks=marks, remarks=row["remarks"], at=at,
        on=local_day(at, who.employer.zone),
    )  # fmt: skip


def signed(company: Company, row: Row) -> Signoff:
    """Return the last practical of the candidate under a scheme."""
    signoffs_of = company.people[row["candidate"]].signoffs.filter(scheme_issue__scheme__slug=row["scheme"])
    return signoffs_of.latest("signed_at")


def clean_sheet(issue: SchemeIssue, place: str, on: date, salt: int) -> Sheet:
    """Return a sheet on which every check was seen and every bond is good, with readings that differ a little."""
    bonds = tuple(
        Bond(
            spot=str(number + 1),
            pin_lot=f"L{2200 + salt % 40}",
            meter="M-2041",
            air_c=Decimal(salt % 25 - 6),
            cell_c=Decimal(salt % 25 - 6 + 8),
            leads_in=True,
            burn="ring flush",
            looks=frozenset(Look),
            pack_v=Decimal("39.60") - Decimal(number) / 20,
            visual_good=True,
            hammer_good=True,
            forward_uv=Decimal(690 + (salt * 7 + number * 13) % 90),
            reversed_uv=Decimal(-(480 + (salt * 5 + number * 11) % 70)),
            current_a=Decimal("10.00"),
        )
        for number in range(scheme_queries.spec(issue).bonds)
    )
    return Sheet(
        assessed_on=on, place=place, air_c=Decimal(salt % 25 - 6), leads_in=True, meter="M-2041",
        calibrated_until=on + timedelta(days=200), seen=frozenset(c.slug for c in scheme_queries.checks(issue)),
        bonds=bonds, confirmed=True, started=time(9, 10), stopped=time(11, 40),
        further=(Instrument(Tool.SET, "S-118", on + timedelta(days=150)),),
    )  # fmt: skip


def decides(company: Company, row: Row, who: Person) -> None:
    """Grant or refuse after a practical."""
    at = company.moment(row["days_ago"], hour=15)
    signoff = signed(company, row)
    on = local_day(at, scheme_queries.spec(signoff.scheme_issue).zone)
    signoffs.decide(signoff=signoff, by=who, granted=row["granted"], reasons=row["reasons"], at=at, on=on)


def card_of(company: Company, row: Row) -> Card:
    """Return the open card an act is about."""
    holder = company.people[row["holder"]]
    return Card.objects.get(person=holder, scheme__slug=row["scheme"], closed_at__isnull=True)


def confirms(company: Company, row: Row, who: Person) -> None:
    """Confirm work, or say that there is doubt."""
    at, card = company.moment(row["days_ago"], hour=16), card_of(company, row)
    cards.confirm(
        card=card, by=who, shots=row["shots"], evidence=row["evidence"], doubts=row["doubts"],
        on=local_day(at, card.zone), at=at,
    )  # fmt: skip


def records(company: Company, row: Row, who: Person) -> None:
    """Record bonds made on a day, as the phone sent them in the evening."""
    at = company.moment(row["days_ago"], hour=17)
    on = local_day(at, who.employer.zone)
    names = ("place", "job", "bonds")
    entry = {"done_on": on, "air_c": Decimal(str(row["air_c"])), **{name: row[name] for name in names}}
    key = uuid5(NAMESPACE_URL, f"{row['who']} {row['job']} {row['days_ago']}")
    worklog.record(
        key=key, person=who, scheme=Scheme.objects.get(slug=row["scheme"]), entry=entry, digest=key.hex,
        phone_time=at - timedelta(hours=3), on=on, at=at,
    )  # fmt: skip


def measures(company: Company, row: Row, who: Person) -> None:
    """Suspend, reinstate or withdraw."""
    at, card = company.moment(row["days_ago"], hour=16), card_of(company, row)
    cards.measure(card=card, step=Step(row["step"]), by=who, reason=row["reason"], on=local_day(at, card.zone), at=at)


def loses(company: Company, row: Row, who: Person) -> None:
    """Give a new number for a lost card."""
    at, card = company.moment(row["days_ago"], hour=16), card_of(company, row)
    cards.replace_lost(card=card, by=who, reason=row["reason"], on=local_day(at, card.zone), at=at)


def reduces(company: Company, row: Row, who: Person) -> None:
    """Narrow what a card is good for."""
    at, card = company.moment(row["days_ago"], hour=16), card_of(company, row)
    texts = {name: row[name] for name in ("scope", "limits", "reason")}
    cards.reduce_scope(card=card, by=who, on=local_day(at, card.zone), at=at, **texts)


def puts_up(company: Company, row: Row, who: Person) -> None:
    """Put up a photo for one's card; it is drawn, for nobody here exists."""
    at = company.moment(row["days_ago"], hour=12)
    on = local_day(at, who.employer.zone)
    consent = {"agreed_on": on, "how": "", "at_check": row["at_check"]}
    portraits.put_up(person=who, by=who, photo=pictures.face(), on=on, at=at, **consent)


def plans_job(company: Company, row: Row, who: Person) -> None:
    """Keep a job to come."""
    planning.add_job(row, by=who, at=company.moment(row["days_ago"]), now=company.now)


def brings_roster(company: Company, row: Row, who: Person) -> None:
    """Bring in a roster of the demo's files, look it over and apply it."""
    at, employer = company.moment(row["days_ago"], hour=9), Employer.objects.get(slug=row["employer"])
    on = local_day(at, who.employer.zone)
    data = (FILES / row["file"]).read_bytes()
    brought = rosters.bring(by=who, employer=employer, data=data, is_everyone=False, on=on, at=at)
    seen = checked(brought, by=who, on=on).seen
    rosters.apply(by=who, roster=brought, seen=seen, on=on, at=at + timedelta(minutes=4))


def plans_crews(company: Company, row: Row, who: Person) -> None:
    """Have a plan of who goes to which job."""
    planning.plan_crews(row, by=who, at=company.moment(row["days_ago"]), now=company.now)


def keeps_away(company: Company, row: Row, who: Person) -> None:
    """Keep days on which somebody is away."""
    person = company.people[row["person"]]
    planning.go_away(row, person=person, by=who, at=company.moment(row["days_ago"]), now=company.now)


def asks_visit(company: Company, row: Row, who: Person) -> None:
    """Ask a trainer to come."""
    people = [company.people[name] for name in row["people"]]
    trainer, at = company.people[row["trainer"]], company.moment(row["days_ago"])
    planning.ask_visit(row, trainer=trainer, people=people, by=who, at=at, now=company.now)


def accepts_visit(company: Company, row: Row, who: Person) -> None:
    """Accept the visit that is asked for."""
    planning.accept_visit(trainer=who, at=company.moment(row["days_ago"], hour=16))


def reads_in(company: Company, row: Row, who: Person) -> None:
    """Choose the language of one's cards and mails."""
    at = company.moment(row["days_ago"], hour=12)
    on = local_day(at, who.employer.zone)
    accounts.choose_language(by=who, person=who, language=row["language"], on=on, at=at)


def opens_gate(company: Company, row: Row, who: Person) -> None:
    """Make a token for a gate of one's employer, last used on a later day; its text is shown to nobody."""
    gates.make_token(employer=who.employer, name=row["name"], by=who, at=company.moment(row["days_ago"]))
    token = GateToken.objects.get(employer=who.employer, name=row["name"], revoked_at=None)
    gates.note_use(token=token, on=local_day(company.moment(row["used_days_ago"]), who.employer.zone))


def closes_gate(company: Company, row: Row, who: Person) -> None:
    """Revoke that token."""
    token = GateToken.objects.get(employer=who.employer, name=row["name"], revoked_at=None)
    gates.revoke_token(token=token, by=who, at=company.moment(row["days_ago"]))


def complains(company: Company, row: Row, who: Person) -> None:
    """Complain about a trainer."""
    complaining.complain(row, by=who, of=company.people[row["of"]], at=company.moment(row["days_ago"]))


def hears_from_outside(company: Company, row: Row, who: Person) -> None:
    """Write down what the owner of a line complains of."""
    complaining.write_down(row, card=card_of(company, row), by=who, at=company.moment(row["days_ago"]))


def takes_up(company: Company, row: Row, who: Person) -> None:
    """Take a complaint up."""
    complaining.take_up(row, by=who, at=company.moment(row["days_ago"], hour=11))


# The hours keep what is done on one day in its order.
GOES_ON = {
    "asks side": (ComplaintStep.ASKED, 12),
    "gives side": (ComplaintStep.SIDE, 13),
    "tells progress": (ComplaintStep.WORD, 14),
    "finds": (ComplaintStep.FOUND, 15),
    "acts on": (ComplaintStep.DONE, 16),
    "closes": (ComplaintStep.CLOSED, 17),
}


def goes_on(company: Company, row: Row, who: Person) -> None:
    """Do a step with a complaint."""
    step, hour = GOES_ON[row["do"]]
    asked = company.people[row["asked"]] if "asked" in row else None
    complaining.go_on(row, step=step, by=who, asked=asked, at=company.moment(row["days_ago"], hour=hour))


ACTS = {
    "trained": trained,
    "reads": reads,
    "revises": revises,
    "sits": sits,
    "signs": signs,
    "declares exception": declares_exception,
    "refuses exception": refuses_exception,
    "marks again": marks_again,
    "decides": decides,
    "confirms": confirms,
    "measures": measures,
    "records": records,
    "loses": loses,
    "reduces": reduces,
    "puts up": puts_up,
    "brings roster": brings_roster,
    "plans job": plans_job,
    "keeps away": keeps_away,
    "plans crews": plans_crews,
    "asks visit": asks_visit,
    "accepts visit": accepts_visit,
    "reads in": reads_in,
    "opens gate": opens_gate,
    "closes gate": closes_gate,
    "complains": complains,
    "hears from outside": hears_from_outside,
    "takes up": takes_up,
    **dict.fromkeys(GOES_ON, goes_on),
}
