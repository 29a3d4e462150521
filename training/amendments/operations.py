"""Amending a procedure: begin, keep, propose, take back, throw away, and the decision of a second person."""

from collections.abc import Callable, Mapping
from datetime import datetime
from typing import Any

from django.db import transaction
from django.utils.translation import gettext as _

from training.amendments import queries, rules
from training.amendments.models import Amendment
from training.ledger.operations import write
from training.people.models import Person
from training.procedures import operations as procedures
from training.procedures.models import Module, Revision

Body = Mapping[str, Any]


class Taken(Exception):
    """The module is being amended already; `amendment` is the open one."""

    def __init__(self, amendment: Amendment) -> None:
        """Say by whom."""
        self.amendment = amendment
        words = _("%(name)s is amending this procedure already. One amendment at a time.")
        super().__init__(words % {"name": amendment.author.name})


class Closed(Exception):
    """The amendment is proposed, decided or thrown away, so its text stands as it is."""

    def __init__(self) -> None:
        """Say so."""
        super().__init__(_("The amendment is no longer being written: it was proposed, decided or thrown away."))


class Unsound(Exception):
    """The text has mistakes."""


class Unready(Exception):
    """The amendment cannot be proposed or approved, for the reason it says."""


class Decided(Exception):
    """Somebody has decided already."""

    def __init__(self) -> None:
        """Say that nothing came of it."""
        super().__init__(_("This was decided or taken back a moment ago. Nothing more was recorded."))


class OwnWork(Exception):
    """The author would decide about their own amendment."""

    def __init__(self) -> None:
        """Say what to do."""
        super().__init__(_("Nobody decides on their own amendment. Ask a second person."))


REFUSALS = (Closed, Unready, Decided, OwnWork)


def begin(*, base: Revision, by: Person, at: datetime, again: Amendment | None = None) -> Amendment:
    """Begin an amendment of the revision in force, or go on from a refused one. Raises Taken or Unready.

    A refused text that began from another revision would undo what came between, so it is not taken up.
    """
    if again and again.base_id != base.pk:
        raise Unready(_outrun(again))
    with transaction.atomic():
        # The module's row makes two who begin at once wait for one another.
        module = Module.objects.select_for_update(no_key=True).get(pk=base.module_id)
        held = Amendment.objects.select_related("author").filter(module=module, decided_at__isnull=True).first()
        if held is not None:
            raise Taken(held)
        body = again.body if again else rules.begun(base.body)
        words = again.what_changed if again else ""
        return Amendment.objects.create(
            module=module, author=by, base=base, body=body, what_changed=words, opened_at=at
        )


def keep_parts(*, amendment: Amendment, parts: Body, what_changed: str) -> Amendment:
    """Keep the parts beside the steps and the words about the change, sound or not. Raises Closed."""
    return _kept(amendment, lambda body: {**body, **parts}, what_changed=what_changed)


def keep_step(*, amendment: Amendment, step: Body) -> Amendment:
    """Keep one step, sound or not. Raises Closed."""
    return _kept(amendment, lambda body: rules.with_step(body, step))


def add_step(*, amendment: Amendment, title: str, fault: bool, after: str) -> str:
    """Put in an empty step and return its slug. Raises Closed, or Unready where there are too many."""
    slug = ""

    def change(body: Body) -> Body:
        nonlocal slug
        if len(body["steps"]) >= rules.MOST_STEPS:
            raise Unready(_("A procedure has at most %(most)d steps.") % {"most": rules.MOST_STEPS})
        body, slug = rules.added(body, title, fault=fault, after=after)
        return body

    _kept(amendment, change)
    return slug


def move_step(*, amendment: Amendment, slug: str, move: rules.Move) -> Amendment:
    """Move a step one place; a step that is not there any more moves nothing. Raises Closed."""
    return _kept(amendment, lambda body: rules.moved(body, slug, move) if rules.step_of(body, slug) else body)


def remove_step(*, amendment: Amendment, slug: str) -> Amendment:
    """Take out a step. Raises Closed."""
    return _kept(amendment, lambda body: rules.without_step(body, slug))


def _kept(amendment: Amendment, change: Callable[[Body], Body], *, what_changed: str | None = None) -> Amendment:
    with transaction.atomic():
        held = _writing(amendment)
        held.body = change(held.body)
        if what_changed is not None:
            held.what_changed = what_changed
        held.save(update_fields=["body", "what_changed"])
        return held


def propose(*, amendment: Amendment, at: datetime) -> Amendment:
    """Ask a second person to look. Raises Closed, Unsound, or Unready with the reason."""
    with transaction.atomic():
        held = _writing(amendment)
        if queries.check(held).spec is None:
            raise Unsound
        if not rules.differs(held.base.body, queries.assembled(held)):
            words = _("Nothing differs from revision %(number)d. Change something first.")
            raise Unready(words % {"number": held.base.number})
        if queries.newest(held) != held.base:
            raise Unready(_outrun(held))
        held.proposed_at = at
        held.save(update_fields=["proposed_at"])
        return held


def take_back(*, amendment: Amendment) -> Amendment:
    """Go on writing what was proposed. Raises Decided where it is decided already or was never proposed."""
    with transaction.atomic():
        held = _proposed(amendment)
        held.proposed_at = None
        held.save(update_fields=["proposed_at"])
        return held


def discard(*, amendment: Amendment) -> None:
    """Throw away what nobody has decided about. Raises Decided."""
    with transaction.atomic():
        rows = Amendment.objects.select_for_update(of=("self",)).filter(pk=amendment.pk, decided_at__isnull=True)
        if not rows.exists():
            raise Decided
        rows.delete()


def refuse(*, amendment: Amendment, by: Person, reason: str, at: datetime) -> Amendment:
    """Refuse what is proposed. Raises OwnWork or Decided."""
    with transaction.atomic():
        held = _decided(_proposed(amendment), by=by, granted=False, at=at)
        held.reason = reason
        held.save()
        about = {"amendment": held.pk, "module": held.module_id, "base": held.base_id}
        write(by=by.pk, act="amendment refused", about=about, at=at)
        return held


def approve(*, amendment: Amendment, by: Person, digest: str, at: datetime) -> Revision:
    """Put what is proposed in force as the module's next revision, and return the revision.

    `digest` is that of the text the approver looked at. Raises OwnWork, Decided, or Unready with the reason.
    """
    with transaction.atomic():
        held = _decided(_proposed(amendment), by=by, granted=True, at=at)
        spec = queries.check(held).spec
        if spec is None or spec.digest != digest:
            raise Unready(_("This is not the text you looked at, or it no longer passes its check. Look again."))
        try:
            held.revision = procedures.revise(base=held.base, spec=spec, at=at)
        except procedures.Superseded:
            raise Unready(_outrun(held)) from None
        except procedures.Withdrawn:
            raise Unready(_("The procedure has been taken out of use. Refuse the amendment.")) from None
        held.save()
        about = {"amendment": held.pk, "revision": held.revision_id, "digest": spec.digest}
        write(by=by.pk, act="procedure revised", about=about, at=at)
        return held.revision


def _outrun(held: Amendment) -> str:
    words = _(
        "Revision %(number)d came into force while this was open, so this amendment cannot follow it."
        " Begin again from that revision."
    )
    return words % {"number": queries.newest(held).number}


def _writing(amendment: Amendment) -> Amendment:
    held = _held(amendment)
    if held is None or held.proposed_at is not None:
        raise Closed
    return held


def _proposed(amendment: Amendment) -> Amendment:
    held = _held(amendment)
    if held is None or held.proposed_at is None or held.decided_at is not None:
        raise Decided
    return held


def _held(amendment: Amendment) -> Amendment | None:
    """Return the amendment as it stands now; nobody else changes it until the transaction ends."""
    rows = Amendment.objects.select_related("module", "base").select_for_update(of=("self",))
    return rows.filter(pk=amendment.pk).first()


def _decided(held: Amendment, *, by: Person, granted: bool, at: datetime) -> Amendment:
    if held.author_id == by.pk:
        raise OwnWork
    held.decided_by, held.granted, held.decided_at = by, granted, at
    return held
