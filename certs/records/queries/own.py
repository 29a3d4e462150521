"""Where one person stands under each scheme, and what comes next: a fixed number of queries."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import date, datetime

from django.db.models import Exists, OuterRef, QuerySet
from django.urls import reverse
from django.utils.formats import date_format
from django.utils.functional import Promise
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from certs.cards.models import Card
from certs.cards.queries import CardFace, Owing, standings
from certs.records import rules
from certs.records.rules import Next, Practical, Progress, Step
from certs.schemes.models import SchemeIssue
from certs.schemes.queries import current_issues
from certs.signoffs.models import Signoff
from training.people.models import Person
from training.procedures.queries import unread_by
from training.quizzes.models import Sitting
from training.quizzes.queries import PaperRow, passed, rows

# Said to the holder and to their supervisor alike.
SENTENCES: Mapping[Step, str | Promise] = {
    Step.GO_ON: gettext_lazy("A paper is open. Go on with it and hand it in."),
    Step.ASK: gettext_lazy("No work under this card. Ask the certification body what clears the suspension."),
    Step.START: gettext_lazy("The card counts from %(day)s. No work under it before."),
    Step.CONFIRM: gettext_lazy("Ask the supervisor to confirm the work by %(day)s."),
    Step.READ_CHANGED: gettext_lazy("Read the changed procedure by %(day)s."),
    Step.ANSWER: gettext_lazy("Answer the questions about the changed procedure by %(day)s."),
    Step.READ: gettext_lazy("Read these procedures."),
    Step.WAIT: gettext_lazy("The paper was not passed. It may be sat again from %(day)s."),
    Step.SIT: gettext_lazy("Sit the theory paper."),
    Step.PRACTICAL: gettext_lazy("Paper passed. Wait for an assessor to see the practical."),
    Step.PRACTICAL_AGAIN: gettext_lazy("Show the practical again. Ask the trainer what to put right first."),
    Step.DECISION: gettext_lazy("Practical passed. Wait for the decision."),
    Step.NOTHING: gettext_lazy("Nothing to do. Renewal opens on %(day)s."),
}


@dataclass(frozen=True, slots=True)
class Action:
    """A link to press, with its words."""

    url: str
    label: str


@dataclass(frozen=True, slots=True)
class OwnScheme:
    """One scheme as its crew member sees it today; `day` is the one that belongs to the step, if any does."""

    title: str
    face: CardFace | None
    step: Step
    sentence: str
    unread: tuple[tuple[str, str, str], ...]
    action: Action | None
    day: date | None = None

    @property
    def renews(self) -> bool:
        """Whether the step renews a card whose renewal is open."""
        others = {Step.CONFIRM, Step.READ_CHANGED, Step.ANSWER}
        return self.face is not None and self.face.renewal_open and self.step not in others

    @property
    def confirm_by(self) -> date | None:
        """The day to which work is confirmed; None for a card that does not hold, or that ends no later."""
        if self.face is None or not self.face.holds or self.face.warning:
            return None
        return self.face.confirmed_to if self.face.confirmed_to < self.face.last_day else None


def own_schemes(
    person: Person, *, on: date, at: datetime, held: Mapping[tuple[int, int], CardFace] | None = None
) -> tuple[OwnScheme, ...]:
    """Return where a crew member stands under each scheme in use, in ten queries.

    `held` is what `standings` would load, where that is known already.
    """
    return own_schemes_of([person], on=on, at=at, held=held)[person.pk]


def own_schemes_of(
    people: Sequence[Person], *, on: date, at: datetime, held: Mapping[tuple[int, int], CardFace] | None = None
) -> dict[int, tuple[OwnScheme, ...]]:
    """Return by person what `own_schemes` says: as many queries for a hundred people as for one.

    Their employers must be loaded, or each is one query more.
    """
    issues, keys = list(current_issues()), [one.pk for one in people]
    faces = standings(keys, on=on) if held is None else held
    to_read = unread_by(keys, {slug for issue in issues for slug in issue.body["modules"]})
    papers = rows(people, at=at)
    passed = _passed(keys)
    signed = {(one.person_id, one.scheme_issue.scheme_id, one.sitting_id): one for one in _signoffs(keys)}
    found: dict[int, tuple[OwnScheme, ...]] = {}
    for person in keys:
        offered, own = {row.terms.slug: row for row in papers[person]}, []
        for issue in issues:
            slug = issue.body["paper"]
            names = tuple(one for one in to_read[person] if one[0] in issue.body["modules"])
            face, sitting = faces.get((person, issue.scheme_id)), passed.get((person, slug))
            signoff = signed.get((person, issue.scheme_id, sitting.pk)) if sitting else None
            progress = _progress(face, len(names), offered.get(slug), sitting, signoff)
            own.append(_own(issue, face, rules.next_step(progress, on=on), names, offered.get(slug)))
        found[person] = tuple(own)
    return found


def _passed(people: Sequence[int]) -> dict[tuple[int, str], Sitting]:
    """Return the last passed sitting of each paper, by person and paper: what the next practical goes with."""
    sittings = passed(Sitting.objects.filter(person__in=people)).select_related("paper").order_by("handed_in_at")
    return {(sitting.person_id, sitting.paper.slug): sitting for sitting in sittings}


def _signoffs(people: Sequence[int]) -> QuerySet[Signoff]:
    """Return the practicals of people that no correction replaced, the newest last."""
    found = Signoff.objects.filter(person__in=people, replaced_by=None).order_by("signed_at")
    found = found.annotate(has_card=Exists(Card.objects.filter(evidence=OuterRef("pk"))))
    return found.select_related("scheme_issue", "decision").defer("scheme_issue__body")


def _progress(
    face: CardFace | None, to_read: int, paper: PaperRow | None, sitting: Sitting | None, signoff: Signoff | None
) -> Progress:
    # A pass that has earned a card is spent: the next card takes a new one.
    spent = signoff is not None and signoff.has_card
    return Progress(
        standing=face.standing if face else None,
        valid_from=face.valid_from if face else None,
        last_day=face.last_day if face else None,
        renew_from=face.renew_from if face else None,
        confirmed_to=face.confirmed_to if face else None,
        owed_by=face.owed[0].by_day if face and face.owed else None,
        owed_unread=bool(face and face.owed and face.owed[0].to_read),
        unread=to_read,
        sitting_open=paper is not None and paper.open_sitting is not None,
        free_on=paper.free_on if paper else None,
        paper_passed=sitting is not None and not spent,
        practical=_practical(signoff) if signoff and not spent else Practical.NONE,
    )


def _practical(signoff: Signoff) -> Practical:
    if not signoff.passed:
        return Practical.FAILED
    return Practical.REFUSED if hasattr(signoff, "decision") and not signoff.decision.granted else Practical.WAITS


def _own(
    issue: SchemeIssue,
    face: CardFace | None,
    step: Next,
    to_read: tuple[tuple[str, str, str], ...],
    paper: PaperRow | None,
) -> OwnScheme:
    day = date_format(step.day) if step.day else ""
    action = None
    if step.step is Step.GO_ON and paper:
        action = Action(reverse("quizzes:sitting", args=[paper.open_sitting]), _("Go on with the paper"))
    elif step.step in {Step.READ_CHANGED, Step.ANSWER} and face:
        action = _about_change(face.owed[0])
    elif step.step is Step.READ:
        action = Action(
            reverse("procedures:module", args=[to_read[0][0]]), _("Read: %(title)s") % {"title": to_read[0][1]}
        )
    elif step.step is Step.WAIT and paper and paper.last:
        action = Action(reverse("quizzes:sitting", args=[paper.last]), _("See what to read again"))
    elif step.step is Step.SIT:
        action = Action(reverse("quizzes:start", args=[issue.body["paper"]]), _("To the paper"))
    shown = to_read if step.step is Step.READ else ()
    return OwnScheme(issue.title, face, step.step, str(SENTENCES[step.step]) % {"day": day}, shown, action, step.day)


def _about_change(owed: Owing) -> Action:
    facts = {"title": owed.title}
    if owed.to_read:
        return Action(reverse("procedures:module", args=[owed.slug]), _("Read what changed: %(title)s") % facts)
    return Action(reverse("bridges:bridge", args=[owed.slug, owed.number]), _("Answer: %(title)s") % facts)


def main_action(own: Sequence[OwnScheme]) -> Action | None:
    """Return what gets the main button: the most pressing step, under a scheme already begun before a new one."""
    # Sorting keeps the order of equals, so a scheme with a card comes first among the same steps.
    ordered = sorted(own, key=lambda one: one.face is None)
    place = rules.most_pressing([one.step for one in ordered])
    return None if place is None else ordered[place].action
