"""Loading schemes, giving permissions under them, and recording training given."""

from collections.abc import Iterable
from datetime import date, datetime

from django.db import transaction
from django.utils.translation import gettext as _

from certs.schemes import queries, rules
from certs.schemes.models import Authority, Scheme, TrainingAct
from certs.schemes.rules import Act, Fate, Grantless, Untaught
from training.content.practicals import CheckSpec
from training.content.schemes import SchemeSpec
from training.content.tally import Tally
from training.ledger.operations import write
from training.people.models import Person
from training.questions.canonical import digest


class IssuesRefused(Exception):
    """Issues that cannot be loaded; `sentences` names each of them."""

    def __init__(self, sentences: Iterable[str]) -> None:
        self.sentences = tuple(sentences)
        super().__init__("\n".join(self.sentences))


class NotGranted(Exception):
    """A permission cannot be given as asked; `sentences` says why."""

    def __init__(self, reasons: Iterable[Grantless]) -> None:
        words = {
            Grantless.ORDER: _("Give a last day that is not before the first."),
            Grantless.PAST: _("End the permission yesterday or later: what was signed under it stays signed."),
            Grantless.CLOSED: _("This account is closed. Choose another person."),
            Grantless.NOT_STAFF: _("Only a trainer or an administrator can be given a permission."),
        }
        self.sentences = tuple(words[reason] for reason in reasons)
        super().__init__(" ".join(self.sentences))


class NotRecorded(Exception):
    """Training cannot be recorded as given; `sentences` says why."""

    def __init__(self, reasons: Iterable[Untaught]) -> None:
        words = {
            Untaught.ONESELF: _("Nobody trains themself: choose another person."),
            Untaught.FUTURE: _("Record training when it has ended: give today or an earlier day."),
            Untaught.MAY_NOT: _("You did not hold 'may train' under this scheme on that day."),
        }
        self.sentences = tuple(words[reason] for reason in reasons)
        super().__init__(" ".join(self.sentences))


@transaction.atomic
def load(specs: Iterable[SchemeSpec], *, checks: Iterable[CheckSpec], at: datetime) -> Tally:
    """Bring the schemes in line with the files; `checks` are those of every module's practical.

    An issue on record never changes. Raises IssuesRefused naming every issue that would.
    """
    specs, checks = list(specs), list(checks)
    refused: list[str] = []
    tally = sum((_load_one(spec, checks, refused, at=at) for spec in specs), Tally())
    if refused:
        raise IssuesRefused(refused)
    gone = Scheme.objects.filter(retired_at=None).exclude(slug__in=[spec.slug for spec in specs])
    return tally + Tally(retired=gone.update(retired_at=at))


def _load_one(spec: SchemeSpec, checks: list[CheckSpec], refused: list[str], *, at: datetime) -> Tally:
    asked = [check for module in spec.practical for check in checks if check.module == module]
    body = {**spec.as_json(), queries.CHECKS: [check.as_json() for check in asked]}
    scheme, _made = Scheme.objects.get_or_create(slug=spec.slug)
    stored = dict(scheme.issues.values_list("number", "digest"))
    fate = rules.fate(spec.issue, digest(body), stored=stored)
    refused += _refusals(spec, fate, latest=max(stored, default=0), bare={*spec.practical} - {c.module for c in asked})
    back = scheme.retired_at is not None
    if back:
        scheme.retired_at = None
        scheme.save(update_fields=["retired_at"])
    if fate in (Fate.FIRST, Fate.NEXT):
        scheme.issues.create(number=spec.issue, title=spec.title, body=body, digest=digest(body), loaded_at=at)
    return Tally(new=1) if fate is Fate.FIRST else Tally(revised=1) if back or fate is Fate.NEXT else Tally(unchanged=1)


def _refusals(spec: SchemeSpec, fate: Fate, *, latest: int, bare: set[str]) -> Iterable[str]:
    name = _("%(slug)s, issue %(issue)d") % {"slug": spec.slug, "issue": spec.issue}
    if fate is Fate.CHANGED:
        yield _("%(name)s: its content or its practical checks changed. Give it a new issue number.") % {"name": name}
    if fate is Fate.OLDER:
        facts = {"name": name, "latest": latest}
        yield _("%(name)s: issue %(latest)d is on record. Give it a higher issue number.") % facts
    for module in sorted(bare):
        yield _("%(name)s: the module %(module)s has no practical checks.") % {"name": name, "module": module}


@transaction.atomic
def grant(
    *,
    person: Person,
    scheme: Scheme,
    act: Act,
    from_on: date,
    until_on: date | None,
    by: Person,
    at: datetime,
    on: date,
) -> Authority:
    """Give a permission with dates; one that already starts on that day gets the last day given. Raises NotGranted."""
    # The row of the person is the lock: two administrators at once must not both find nothing.
    person = Person.objects.select_for_update().get(pk=person.pk)
    known = Authority.objects.filter(person=person, scheme=scheme, act=act, from_on=from_on).first()
    if known is not None and known.until_on == until_on:
        return known
    objections = rules.grant_objections(
        from_on=from_on,
        until_on=until_on,
        is_known=known is not None,
        is_active=person.is_active,
        is_staff=queries.staff_on(on).filter(pk=person.pk).exists(),
        on=on,
    )
    if objections:
        raise NotGranted(objections)
    authority = known or Authority(person=person, scheme=scheme, act=act, from_on=from_on)
    authority.until_on, authority.granted_by, authority.granted_at = until_on, by, at
    authority.save()
    about = {"authority": authority.pk, "person": person.pk, "scheme": scheme.pk, "permission": act.value}
    days = {"from": from_on.isoformat(), "until": until_on.isoformat() if until_on else None}
    write(by=by.pk, act="permission changed" if known else "permission given", about={**about, **days}, at=at)
    return authority


@transaction.atomic
def record_training(
    *, trainer: Person, candidate: Person, scheme: Scheme, ended_on: date, at: datetime, on: date
) -> TrainingAct:
    """Record that a trainer trained a candidate up to a day; a second time changes nothing. Raises NotRecorded."""
    objections = rules.training_objections(
        is_oneself=trainer.pk == candidate.pk,
        ended_on=ended_on,
        may_train=queries.may(trainer, scheme, Act.TRAINS, ended_on),
        on=on,
    )
    if objections:
        raise NotRecorded(objections)
    training, is_new = TrainingAct.objects.get_or_create(
        scheme=scheme, trainer=trainer, candidate=candidate, ended_on=ended_on, defaults={"recorded_at": at}
    )
    if is_new:
        about = {"training": training.pk, "person": candidate.pk, "scheme": scheme.pk}
        write(by=trainer.pk, act="training recorded", about=about, at=at)
    return training
