"""Which token asks and whether it may, and who keeps the tokens of which employer."""

from datetime import datetime
from enum import StrEnum
from zoneinfo import ZoneInfo

from allauth.account.adapter import get_adapter
from django.db.models import QuerySet
from django.http import Http404, HttpRequest

from certs.gates import operations
from certs.gates.models import GateToken
from certs.gates.rules import (
    ASKED_A_MINUTE,
    MINUTE,
    QUARTER,
    REFUSED_A_QUARTER,
    Malformed,
    bearer,
    read_token,
)
from training.people.access import Viewer, employers_seen_by
from training.people.models import Employer
from training.people.rules import Role, local_day
from training.tokens.access import count, counted
from training.tokens.rules import digest, fits, span

# Compared where there is no token of that handle, so that the answer takes as long.
NOBODY = digest("")


class Refusal(StrEnum):
    """Why nothing is answered."""

    NO_TOKEN = "no token"  # noqa: S105
    MALFORMED = "malformed"
    UNKNOWN = "unknown"
    TOO_OFTEN = "too often"


class NotLetIn(Exception):
    """The request is not answered; `wait` is the seconds after which it may be, where waiting helps."""

    def __init__(self, why: Refusal, wait: int = 0) -> None:
        super().__init__(why)
        self.why, self.wait = why, wait


def employer_asking(request: HttpRequest, *, at: datetime) -> Employer:
    """Return the employer whose token asks, and note the use. Raises NotLetIn."""
    peer = f"gates:refused:{get_adapter().get_client_ip(request)}"
    if counted(peer, seconds=QUARTER, at=at) >= REFUSED_A_QUARTER:
        raise NotLetIn(Refusal.TOO_OFTEN, span(at, QUARTER)[1])
    token = _token(request, peer, at)
    if count(f"gates:asked:{token.handle}", seconds=MINUTE, at=at) > ASKED_A_MINUTE:
        raise NotLetIn(Refusal.TOO_OFTEN, span(at, MINUTE)[1])
    operations.note_use(token=token, on=local_day(at, ZoneInfo(token.employer.zone)))
    return token.employer


def _token(request: HttpRequest, peer: str, at: datetime) -> GateToken:
    try:
        text = bearer(request.headers.get("Authorization", ""))
    except Malformed:
        raise NotLetIn(Refusal.MALFORMED) from None
    if not text:
        raise NotLetIn(Refusal.NO_TOKEN)
    sent = read_token(text)
    handle, secret = (sent.handle, sent.secret) if sent else ("", text)
    row = GateToken.objects.select_related("employer").filter(handle=handle).first()
    if not fits(secret, row.digest if row else NOBODY) or row is None or row.revoked_at is not None:
        count(peer, seconds=QUARTER, at=at)
        raise NotLetIn(Refusal.UNKNOWN)
    return row


def employers_kept_by(viewer: Viewer) -> QuerySet[Employer]:
    """Return the employers whose tokens this viewer keeps; 403 for who is neither administrator nor supervisor."""
    viewer.require(Role.ADMINISTRATOR, Role.SUPERVISOR)
    everyone = employers_seen_by(viewer)
    # Who works across employers as a trainer, and is a supervisor of the body, keeps the body's tokens alone.
    return everyone if viewer.has(Role.ADMINISTRATOR) else everyone.filter(pk=viewer.person.employer_id)


def token_kept_by(viewer: Viewer, pk: int) -> GateToken:
    """Load a token this viewer keeps, else raise 404; 403 without the role."""
    token = GateToken.objects.filter(pk=pk, employer__in=employers_kept_by(viewer)).first()
    if token is None:
        raise Http404
    return token
