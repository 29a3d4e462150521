"""Who gets what from every URL, by every method: a URL without a row fails.

Everything asked for belongs to Moira, a crew member of Harrowmere. 404 is the answer for what is not yours (and
names nobody), 403 for what your role does not do, 405 for a method a page does not have.
"""

import json
from collections.abc import Callable, Iterable, Iterator
from datetime import datetime
from io import BytesIO
from uuid import UUID, uuid4

import pytest
from allauth.mfa.models import Authenticator
from allauth.usersessions.models import UserSession
from axes.models import AccessFailureLog
from django.db import transaction
from django.http import HttpResponse
from django.test import Client
from django.urls import URLPattern, URLResolver, get_resolver, reverse
from django.utils import timezone
from PIL import Image

from certs.batches import operations as batches
from certs.batches.models import Batch
from certs.cards.models import Card
from certs.cards.pdf import Layout
from certs.complaints.models import Complaint
from certs.credentials.operations import take_along
from certs.crewing.models import Plan
from certs.exports.operations import open_feed
from certs.gates.models import GateToken
from certs.gates.operations import make_token
from certs.jobs.models import Absence, Job
from certs.management.replay import Company, clean_sheet
from certs.photos.models import Photo
from certs.portraits.models import Portrait
from certs.portraits.queries import at_check
from certs.schemes.queries import current_issue
from certs.signoffs import operations as signoffs
from certs.signoffs.models import AssessorException, ReceivedSheet, Signoff
from certs.visits.models import Visit
from tests import company as demo
from tests import passkeys
from tests.kept import once
from tests.laws.headers import lacking
from training.amendments import operations as amendments
from training.amendments.models import Amendment
from training.bank.models import Correction, QuestionVersion
from training.drafts import operations as drafts
from training.drafts.models import Draft
from training.panels import operations as panels
from training.panels.models import Panel
from training.panels.rules import Extent
from training.people import operations as people
from training.people.access import secret_of
from training.people.models import Crew
from training.people.rules import FAILURES_IN_A_ROW, Purpose
from training.practice import operations as practice
from training.practice.models import Practice
from training.procedures.models import Reading, Revision
from training.quizzes import operations
from training.quizzes.models import Admission, Paper, PaperIssue, Sitting
from training.reviews.models import Appeal
from training.rosters import operations as rosters
from training.rosters.models import Roster

# signed out, Moira, her mate, her supervisor, a trainer, an administrator, crew and supervisor elsewhere
ACTORS = ("nobody", "moira", "tomas", "piet", "iver", "nadia", "yara", "signe")
Asked = Callable[[Company], dict[str, object]]


def nothing(company: Company) -> dict[str, object]:
    return {}


def moira(company: Company) -> dict[str, object]:
    return {"pk": company.people["moira"].pk}


def harrowmere(company: Company) -> dict[str, object]:
    return {"pk": company.people["moira"].employer_id}


def depot(company: Company) -> dict[str, object]:
    return {"pk": gang_of(company).site_id}


def gang(company: Company) -> dict[str, object]:
    return {"pk": gang_of(company).pk}


def gang_of(company: Company) -> Crew:
    return Crew.objects.get(memberships__person=company.people["moira"])


def slug(name: str) -> Asked:
    return lambda company: {"slug": name}


def kind(company: Company) -> dict[str, object]:
    return {"kind": "csv"}


def brought(company: Company) -> dict[str, object]:
    """A roster with a new person, one to put right and one to ask about."""
    found = Roster.objects.filter(applied_at=None).first()
    if found is None:
        data = "Name,Crew\nNils Orre,Gang North\nOla Berg,Gang West\nMoira Tárn,Gang South\n".encode()
        facts = {"employer": company.people["moira"].employer, "is_everyone": False, "at": timezone.now()}
        found = rosters.bring(by=company.people["nadia"], data=data, on=timezone.now().date(), **facts)
    return {"pk": found.pk}


def topic(company: Company) -> dict[str, object]:
    return {"topic": "setup"}


def drawing(company: Company) -> dict[str, object]:
    return {"slug": "setup", "name": "pin"}


def theory(company: Company) -> dict[str, object]:
    return {"slug": "bonding-theory"}


def reported(company: Company) -> dict[str, object]:
    return theory(company) | {"key": "pack-sum-of-three"}


def panel(company: Company) -> dict[str, object]:
    return {"pk": Panel.objects.get().pk}


def hold(company: Company) -> dict[str, object]:
    return {"slug": "setup", "step": "pin"}


def card(company: Company) -> dict[str, object]:
    return {"number": Card.objects.get(person=company.people["moira"]).number}


def together(company: Company) -> dict[str, object]:
    """A print of Moira's card that her supervisor asked for."""
    asked = {"layout": Layout.TEN, "language": "", "at": timezone.now()}
    held = [Card.objects.get(person=company.people["moira"])]
    batch = Batch.objects.first() or batches.ask(by=company.people["piet"], chosen=held, **asked)
    return {"pk": batch.pk}


def job(company: Company) -> dict[str, object]:
    return {"pk": Job.objects.get(reference="HB-31").pk}


def visit(company: Company) -> dict[str, object]:
    return {"pk": Visit.objects.get(accepted=None).pk}


def complaint(company: Company) -> dict[str, object]:
    """The complaint of Moira, which Nadia handled and closed."""
    return {"pk": Complaint.objects.get(complainant=company.people["moira"]).pk}


def complaint_step(company: Company) -> dict[str, object]:
    return complaint(company) | {"name": "put-right"}


def absence(company: Company) -> dict[str, object]:
    return {"pk": Absence.objects.get(person=company.people["moira"]).pk}


def plan(company: Company) -> dict[str, object]:
    """The plan that Piet had made."""
    return {"pk": Plan.objects.get().pk}


def revoked(company: Company) -> dict[str, object]:
    return {"purpose": "revocation", "number": 0}


def feed(company: Company) -> dict[str, object]:
    return {"secret": open_feed(person=company.people["moira"], at=timezone.now())}


def gate(company: Company) -> dict[str, object]:
    """A token of Moira's employer."""
    token = GateToken.objects.filter(revoked_at=None, employer=company.people["moira"].employer).first()
    if token is None:
        facts = {"employer": company.people["moira"].employer, "name": "Gate", "by": company.people["piet"]}
        make_token(**facts, at=timezone.now())
        return gate(company)
    return {"pk": token.pk}


def key(company: Company) -> dict[str, object]:
    return {"key": UUID(int=7)}


def photo(company: Company) -> dict[str, object]:
    return {"pk": Photo.objects.get(made_by=company.people["moira"]).pk}


def portrait(company: Company) -> dict[str, object]:
    """The photo that Moira put up in the history of the demo."""
    return {"key": Portrait.objects.get(consent__person=company.people["moira"]).pk}


def compared(company: Company) -> dict[str, object]:
    return {"address": at_check(company.people["moira"].pk, at=timezone.now())}


def signoff(company: Company) -> dict[str, object]:
    return {"pk": Signoff.objects.get(person=company.people["moira"]).pk}


def unused(company: Company) -> dict[str, object]:
    return {"pk": UUID(int=7)}


def sheet(company: Company) -> dict[str, object]:
    return {"pk": ReceivedSheet.objects.get(candidate=company.people["moira"]).pk}


def sheet_photo(company: Company) -> dict[str, object]:
    pk = sheet(company)["pk"]
    return {"pk": pk, "photo": Photo.objects.get(kind="sheet", record=pk).pk}


def open_sitting(company: Company) -> dict[str, object]:
    return {"pk": Sitting.objects.get(person=company.people["moira"], handed_in_at__isnull=True).pk}


def first_question(company: Company) -> dict[str, object]:
    return open_sitting(company) | {"position": 1}


def setup_topic(company: Company) -> dict[str, object]:
    return {"topic": "setup"}


def practised(company: Company) -> dict[str, object]:
    return {"pk": Practice.objects.get().pk}


def admission(company: Company) -> dict[str, object]:
    return {"pk": Admission.objects.get(sitting__isnull=True).pk}


def candidate(company: Company) -> dict[str, object]:
    return {"person": company.people["moira"].pk, "scheme": "rail-bonds"}


def draft(company: Company) -> dict[str, object]:
    return {"pk": Draft.objects.get().pk}


def shipped(company: Company) -> dict[str, object]:
    return {"key": "pack-sum-of-three", "version": 1}


def amendment(company: Company) -> dict[str, object]:
    return {"pk": Amendment.objects.get().pk}


def amended(company: Company) -> dict[str, object]:
    return amendment(company) | {"slug": Amendment.objects.get().body["steps"][0]["slug"]}


def exception(company: Company) -> dict[str, object]:
    return {"pk": AssessorException.objects.get(refused_at=None).pk}


def sat(company: Company) -> dict[str, object]:
    return {"pk": company.people["moira"].sittings.get(passed=True).pk}


def correction(company: Company) -> dict[str, object]:
    return {"pk": Correction.objects.get().pk}


def appeal(company: Company) -> dict[str, object]:
    return {"pk": Appeal.objects.get().pk}


def asking(company: Company) -> dict[str, object]:
    return {"slug": "setup", "number": Revision.objects.get(module__slug="setup", demand="answer").number}


def passkey(company: Company) -> dict[str, object]:
    return {"pk": Authenticator.objects.get(user=company.people["moira"], type=Authenticator.Type.WEBAUTHN).pk}


def link(company: Company) -> dict[str, object]:
    """A link made for a mate of Moira's: whoever holds it may open it, signed in or not."""
    tomas = company.people["tomas"]
    made = tomas.invitations.open().first() or people.invite_from_the_server(
        person=tomas, purpose=Purpose.FORGOTTEN, at=timezone.now()
    )
    return {"secret": secret_of(made)}


def session(company: Company) -> dict[str, object]:
    return {"pk": UserSession.objects.get(user=company.people["moira"], ip="192.0.2.7").pk}


# name: (what it is asked for, answers to GET, answers to POST with nothing in it), in the order of ACTORS
TABLE: dict[str, tuple[Asked, str, str]] = {
    "account_login": (nothing, "200 302 302 302 302 302 302 302", "200 302 302 302 302 302 302 302"),
    "account_logout": (nothing, "302 200 200 200 200 200 200 200", "302 302 302 302 302 302 302 302"),
    "account_inactive": (nothing, "200 200 200 200 200 200 200 200", "405 405 405 405 405 405 405 405"),
    "account_reauthenticate": (nothing, "302 200 200 200 200 200 200 200", "302 200 200 200 200 200 200 200"),
    "account_change_password": (nothing, "302 200 200 200 200 200 200 200", "302 200 200 200 200 200 200 200"),
    "mfa_index": (nothing, "302 200 200 200 200 200 200 200", "302 405 405 405 405 405 405 405"),
    "mfa_authenticate": (nothing, "302 302 302 302 302 302 302 302", "302 302 302 302 302 302 302 302"),
    "mfa_reauthenticate": (nothing, "302 302 302 200 200 200 302 200", "302 302 302 200 200 200 302 200"),
    "mfa_activate_totp": (nothing, "302 302 302 302 302 302 302 302", "302 302 302 302 302 302 302 302"),
    "mfa_deactivate_totp": (nothing, "302 404 404 302 302 302 404 302", "302 404 404 302 302 302 404 302"),
    "mfa_view_recovery_codes": (nothing, "302 404 404 302 302 302 404 302", "302 405 405 405 405 405 405 405"),
    "mfa_generate_recovery_codes": (nothing, "302 302 302 302 302 302 302 302", "302 302 302 302 302 302 302 302"),
    "mfa_list_webauthn": (nothing, "302 200 200 200 200 200 200 200", "302 405 405 405 405 405 405 405"),
    "mfa_add_webauthn": (nothing, "302 302 302 302 302 302 302 302", "302 302 302 302 302 302 302 302"),
    "mfa_reauthenticate_webauthn": (nothing, "302 200 302 302 302 302 302 302", "302 302 302 302 302 302 302 302"),
    "mfa_login_webauthn": (nothing, "302 302 302 302 302 302 302 302", "302 302 302 302 302 302 302 302"),
    # Whoever asks shows first that it is them; whose passkey it is comes after (tests/training/config/test_factors.py).
    "mfa_edit_webauthn": (passkey, "302 302 302 302 302 302 302 302", "302 302 302 302 302 302 302 302"),
    "mfa_remove_webauthn": (passkey, "302 302 302 302 302 302 302 302", "302 302 302 302 302 302 302 302"),
    "usersessions_list": (nothing, "302 200 200 200 200 200 200 200", "302 302 302 302 302 302 302 302"),
    "people:start": (link, "200 200 200 200 200 200 200 200", "200 200 200 200 200 200 200 200"),
    "people:shut_out": (nothing, "302 403 403 200 403 200 403 200", "302 405 405 405 405 405 405 405"),
    "people:let_in": (moira, "302 405 405 405 405 405 405 405", "302 403 403 302 403 302 403 404"),
    "people:sign_out_there": (session, "302 405 405 405 405 405 405 405", "302 302 404 404 404 404 404 404"),
    "offline": (nothing, "200 200 200 200 200 200 200 200", "405 405 405 405 405 405 405 405"),
    "worker": (nothing, "200 200 200 200 200 200 200 200", "405 405 405 405 405 405 405 405"),
    "waiting": (nothing, "200 200 200 200 200 200 200 200", "405 405 405 405 405 405 405 405"),
    "who": (nothing, "302 200 200 200 200 200 200 200", "302 405 405 405 405 405 405 405"),
    "manifest": (nothing, "200 200 200 200 200 200 200 200", "405 405 405 405 405 405 405 405"),
    "keeping:health": (nothing, "200 200 200 200 200 200 200 200", "405 405 405 405 405 405 405 405"),
    "keeping:promises": (nothing, "200 200 200 200 200 200 200 200", "405 405 405 405 405 405 405 405"),
    "keeping:index": (nothing, "302 403 403 403 403 200 403 403", "302 403 403 403 403 200 403 403"),
    "trail:index": (nothing, "302 403 403 403 403 200 403 403", "302 405 405 405 405 405 405 405"),
    "retention:own": (nothing, "302 200 200 200 200 200 200 200", "302 405 405 405 405 405 405 405"),
    "retention:copy": (nothing, "302 200 200 200 200 200 200 200", "302 405 405 405 405 405 405 405"),
    "retention:erase": (moira, "302 403 403 403 403 200 403 403", "302 403 403 403 403 200 403 403"),
    "style": (nothing, "200 200 200 200 200 200 200 200", "405 405 405 405 405 405 405 405"),
    "records:home": (nothing, "302 200 200 200 200 200 200 200", "302 405 405 405 405 405 405 405"),
    "records:plan": (nothing, "302 200 200 200 200 200 200 200", "302 405 405 405 405 405 405 405"),
    "records:person": (moira, "302 200 404 200 200 200 404 404", "302 405 405 405 405 405 405 405"),
    "people:index": (nothing, "302 403 403 403 403 200 403 403", "302 405 405 405 405 405 405 405"),
    "people:employers": (nothing, "302 403 403 403 403 200 403 403", "302 403 403 403 403 200 403 403"),
    "people:employer": (harrowmere, "302 403 403 403 403 200 403 403", "302 403 403 403 403 200 403 403"),
    "people:site": (depot, "302 403 403 403 403 200 403 403", "302 403 403 403 403 200 403 403"),
    "people:crew": (gang, "302 403 403 403 403 200 403 403", "302 403 403 403 403 200 403 403"),
    "people:add": (nothing, "302 403 403 403 403 200 403 403", "302 403 403 403 403 200 403 403"),
    "people:own": (nothing, "302 200 200 200 200 200 200 200", "302 302 302 302 302 302 302 302"),
    "people:person": (moira, "302 403 403 403 403 200 403 403", "302 403 403 403 403 200 403 403"),
    "rosters:index": (nothing, "302 403 403 403 403 200 403 403", "302 403 403 403 403 200 403 403"),
    "rosters:empty": (kind, "302 403 403 403 403 200 403 403", "302 405 405 405 405 405 405 405"),
    "rosters:present": (nothing, "302 403 403 403 403 404 403 403", "302 405 405 405 405 405 405 405"),
    "rosters:without_sign_in": (nothing, "302 403 403 403 403 200 403 403", "302 405 405 405 405 405 405 405"),
    "rosters:roster": (brought, "302 403 403 403 403 200 403 403", "302 405 405 405 405 405 405 405"),
    "rosters:answers": (brought, "302 405 405 405 405 405 405 405", "302 403 403 403 403 302 403 403"),
    "rosters:apply": (brought, "302 405 405 405 405 405 405 405", "302 403 403 403 403 200 403 403"),
    "rosters:undo": (brought, "302 403 403 403 403 200 403 403", "302 403 403 403 403 302 403 403"),
    "rosters:drop": (brought, "302 405 405 405 405 405 405 405", "302 403 403 403 403 302 403 403"),
    "procedures:index": (nothing, "302 200 200 200 200 200 200 200", "302 405 405 405 405 405 405 405"),
    "procedures:module": (slug("setup"), "302 200 200 200 200 200 200 200", "302 405 405 405 405 405 405 405"),
    "procedures:drawing": (drawing, "302 200 200 200 200 200 200 200", "302 405 405 405 405 405 405 405"),
    "procedures:changes": (slug("setup"), "302 200 200 200 200 200 200 200", "302 405 405 405 405 405 405 405"),
    "procedures:kept": (slug("setup"), "302 200 200 200 200 200 200 200", "302 405 405 405 405 405 405 405"),
    "procedures:print": (slug("setup"), "302 200 200 200 200 200 200 200", "302 405 405 405 405 405 405 405"),
    "procedures:hold": (hold, "302 405 405 405 405 405 405 405", "302 302 302 302 302 302 302 302"),
    "procedures:read": (slug("setup"), "302 405 405 405 405 405 405 405", "302 302 302 302 302 302 302 302"),
    "bridges:bridge": (asking, "302 200 200 200 200 200 200 200", "302 302 302 302 302 302 302 302"),
    "quizzes:index": (nothing, "302 200 200 200 200 200 200 200", "302 405 405 405 405 405 405 405"),
    "quizzes:sitting": (open_sitting, "302 200 404 404 404 404 404 404", "302 302 404 404 404 404 404 404"),
    "quizzes:question": (first_question, "302 200 404 404 404 404 404 404", "302 302 404 404 404 404 404 404"),
    "quizzes:review": (open_sitting, "302 200 404 404 404 404 404 404", "302 200 404 404 404 404 404 404"),
    "quizzes:pause": (open_sitting, "302 405 405 405 405 405 405 405", "302 302 404 404 404 404 404 404"),
    "quizzes:data": (slug("bonding-theory"), "302 200 200 200 200 200 200 200", "302 405 405 405 405 405 405 405"),
    "quizzes:supply": (nothing, "302 403 403 403 200 200 403 403", "302 405 405 405 405 405 405 405"),
    "quizzes:arrangements": (nothing, "302 403 403 403 200 200 403 403", "302 403 403 403 200 200 403 403"),
    "practice:index": (nothing, "302 200 200 200 200 200 200 200", "302 405 405 405 405 405 405 405"),
    "practice:ask": (setup_topic, "302 405 405 405 405 405 405 405", "302 302 302 302 302 302 302 302"),
    "practice:question": (practised, "302 200 404 404 404 404 404 404", "302 302 404 404 404 404 404 404"),
    "invigilation:waiting": (nothing, "302 403 403 403 200 403 403 403", "302 405 405 405 405 405 405 405"),
    "invigilation:admit": (admission, "302 405 405 405 405 405 405 405", "302 403 403 403 302 403 403 403"),
    "invigilation:here": (slug("bonding-theory"), "302 200 404 404 404 404 404 404", "302 200 404 404 404 404 404 404"),
    "quizzes:keep": (open_sitting, "302 405 405 405 405 405 405 405", "302 302 404 404 404 404 404 404"),
    "quizzes:start": (slug("bonding-theory"), "302 200 200 200 200 200 200 200", "302 200 200 200 200 200 200 200"),
    "amendments:index": (nothing, "302 403 403 403 200 200 403 403", "302 405 405 405 405 405 405 405"),
    "amendments:begin": (slug("safety"), "302 405 405 405 405 405 405 405", "302 403 403 403 302 302 403 403"),
    "amendments:toml": (slug("safety"), "302 403 403 403 200 200 403 403", "302 405 405 405 405 405 405 405"),
    "amendments:amendment": (amendment, "302 403 403 403 200 200 403 403", "302 405 405 405 405 405 405 405"),
    "amendments:parts": (amendment, "302 403 403 403 200 403 403 403", "302 403 403 403 302 403 403 403"),
    "amendments:add": (amendment, "302 403 403 403 200 403 403 403", "302 403 403 403 200 403 403 403"),
    "amendments:step": (amended, "302 403 403 403 200 403 403 403", "302 403 403 403 302 403 403 403"),
    "amendments:move": (amended, "302 405 405 405 405 405 405 405", "302 403 403 403 302 403 403 403"),
    "amendments:remove": (amended, "302 403 403 403 200 403 403 403", "302 403 403 403 302 403 403 403"),
    "amendments:preview": (amendment, "302 403 403 403 200 200 403 403", "302 405 405 405 405 405 405 405"),
    "amendments:propose": (amendment, "302 405 405 405 405 405 405 405", "302 403 403 403 302 403 403 403"),
    "amendments:back": (amendment, "302 405 405 405 405 405 405 405", "302 403 403 403 302 403 403 403"),
    "amendments:discard": (amendment, "302 403 403 403 200 403 403 403", "302 403 403 403 302 403 403 403"),
    "amendments:approve": (amendment, "302 405 405 405 405 405 405 405", "302 403 403 403 302 302 403 403"),
    "amendments:refuse": (amendment, "302 405 405 405 405 405 405 405", "302 403 403 403 200 200 403 403"),
    "amendments:again": (amendment, "302 405 405 405 405 405 405 405", "302 403 403 403 404 403 403 403"),
    "drafts:index": (nothing, "302 403 403 403 200 200 403 403", "302 405 405 405 405 405 405 405"),
    "drafts:new": (nothing, "302 403 403 403 200 200 403 403", "302 403 403 403 200 200 403 403"),
    "drafts:edit": (draft, "302 403 403 403 200 200 403 403", "302 403 403 403 200 200 403 403"),
    "drafts:draws": (draft, "302 403 403 403 302 302 403 403", "302 403 403 403 302 302 403 403"),
    "drafts:discard": (draft, "302 403 403 403 200 200 403 403", "302 403 403 403 302 302 403 403"),
    "drafts:version": (shipped, "302 403 403 403 200 200 403 403", "302 405 405 405 405 405 405 405"),
    "drafts:toml": (shipped, "302 403 403 403 200 200 403 403", "302 405 405 405 405 405 405 405"),
    "drafts:revise": (shipped, "302 405 405 405 405 405 405 405", "302 403 403 403 302 302 403 403"),
    "drafts:retire": (shipped, "302 403 403 403 200 200 403 403", "302 403 403 403 200 200 403 403"),
    "refreshers:index": (nothing, "302 200 200 200 200 200 200 200", "302 302 302 302 302 302 302 302"),
    "refreshers:drill": (topic, "302 200 200 200 200 200 200 200", "302 302 302 302 302 302 302 302"),
    "trials:bench": (nothing, "302 200 200 200 200 200 200 200", "302 405 405 405 405 405 405 405"),
    "analysis:index": (nothing, "302 403 403 403 200 200 403 403", "302 405 405 405 405 405 405 405"),
    "analysis:paper": (slug("bonding-theory"), "302 403 403 403 200 200 403 403", "302 405 405 405 405 405 405 405"),
    "analysis:paper_pdf": (theory, "302 403 403 403 200 200 403 403", "302 405 405 405 405 405 405 405"),
    "analysis:question": (reported, "302 403 403 403 200 200 403 403", "302 405 405 405 405 405 405 405"),
    "analysis:question_pdf": (reported, "302 403 403 403 200 200 403 403", "302 405 405 405 405 405 405 405"),
    "panels:index": (nothing, "302 403 403 403 200 200 403 403", "302 405 405 405 405 405 405 405"),
    "panels:open": (slug("lead-theory"), "302 403 403 403 200 200 403 403", "302 403 403 403 200 200 403 403"),
    "panels:panel": (panel, "302 403 403 403 200 200 403 403", "302 405 405 405 405 405 405 405"),
    "panels:judges": (panel, "302 403 403 403 200 200 403 403", "302 403 403 403 200 200 403 403"),
    "panels:estimates": (panel, "302 403 403 403 200 403 403 403", "302 403 403 403 200 403 403 403"),
    "panels:close": (panel, "302 403 403 403 200 200 403 403", "302 403 403 403 200 200 403 403"),
    "panels:minutes": (panel, "302 405 405 405 405 405 405 405", "302 403 403 403 200 200 403 403"),
    "reviews:index": (nothing, "302 403 403 403 200 200 403 403", "302 405 405 405 405 405 405 405"),
    "reviews:correct": (shipped, "302 403 403 403 200 200 403 403", "302 403 403 403 200 200 403 403"),
    "reviews:correction": (correction, "302 403 403 403 200 200 403 403", "302 405 405 405 405 405 405 405"),
    "reviews:apply": (correction, "302 405 405 405 405 405 405 405", "302 403 403 403 302 302 403 403"),
    "reviews:refuse": (correction, "302 405 405 405 405 405 405 405", "302 403 403 403 200 200 403 403"),
    "reviews:paper": (sat, "302 200 404 404 404 404 404 404", "302 200 404 404 404 404 404 404"),
    "reviews:appeal": (appeal, "302 200 404 404 200 200 404 404", "302 405 405 405 405 405 405 405"),
    "reviews:take": (appeal, "302 405 405 405 405 405 405 405", "302 403 403 403 302 302 403 403"),
    "reviews:answer": (appeal, "302 405 405 405 405 405 405 405", "302 403 403 403 200 200 403 403"),
    "agreement:index": (nothing, "302 403 403 403 200 200 403 403", "302 405 405 405 405 405 405 405"),
    "agreement:mark": (signoff, "302 403 403 403 200 200 403 403", "302 403 403 403 200 200 403 403"),
    "schemes:index": (nothing, "302 403 403 200 200 200 403 200", "302 405 405 405 405 405 405 405"),
    "schemes:scheme": (slug("rail-bonds"), "302 403 403 200 200 200 403 200", "302 405 405 405 405 405 405 405"),
    "schemes:grant": (slug("rail-bonds"), "302 403 403 403 403 200 403 403", "302 403 403 403 403 200 403 403"),
    "schemes:trained": (slug("rail-bonds"), "302 403 403 403 403 403 403 403", "302 403 403 403 403 403 403 403"),
    "signoffs:waiting": (nothing, "302 403 403 403 200 200 403 403", "302 405 405 405 405 405 405 405"),
    "signoffs:to_sign": (nothing, "302 403 403 403 200 403 403 403", "302 403 403 403 200 403 403 403"),
    "signoffs:receive": (unused, "302 405 405 405 405 405 405 405", "302 403 403 403 422 403 403 403"),
    "signoffs:filled": (sheet, "302 200 404 200 200 200 404 404", "302 403 404 403 403 403 404 404"),
    "signoffs:again": (sheet, "302 403 403 403 200 403 403 403", "302 403 403 403 200 403 403 403"),
    "signoffs:paper": (sheet, "302 200 404 200 200 200 404 404", "302 405 405 405 405 405 405 405"),
    "signoffs:add_photo": (sheet, "302 405 405 405 405 405 405 405", "302 403 403 403 302 403 403 403"),
    "signoffs:photo": (sheet_photo, "302 200 404 200 200 200 404 404", "302 405 405 405 405 405 405 405"),
    "signoffs:blank": (candidate, "302 403 403 403 200 403 403 403", "302 405 405 405 405 405 405 405"),
    "signoffs:rule": (slug("rail-bonds"), "302 403 403 200 200 200 403 200", "302 405 405 405 405 405 405 405"),
    "signoffs:approve": (exception, "302 405 405 405 405 405 405 405", "302 403 403 403 302 302 403 403"),
    "signoffs:refuse": (exception, "302 403 403 403 200 200 403 403", "302 403 403 403 200 200 403 403"),
    "signoffs:signoff": (signoff, "302 200 404 200 200 200 404 404", "302 405 405 405 405 405 405 405"),
    "signoffs:decide": (signoff, "302 403 404 403 403 403 404 404", "302 403 404 403 403 403 404 404"),
    "signoffs:sheet": (candidate, "302 403 403 403 200 403 403 403", "302 403 403 403 403 403 403 403"),
    "signoffs:exception": (candidate, "302 403 403 403 200 403 403 403", "302 403 403 403 200 403 403 403"),
    "photos:keep": (key, "302 405 405 405 405 405 405 405", "302 422 422 422 422 422 422 422"),
    "photos:photo": (photo, "302 200 404 200 200 200 404 404", "302 405 405 405 405 405 405 405"),
    "portraits:person": (moira, "302 200 404 403 403 200 404 404", "302 200 404 403 403 200 404 404"),
    "portraits:take_away": (moira, "302 200 404 403 403 200 404 404", "302 302 404 403 403 302 404 404"),
    "portraits:keep_from_check": (moira, "302 405 405 405 405 405 405 405", "302 302 404 403 403 302 404 404"),
    "portraits:photo": (portrait, "302 200 404 200 200 200 404 404", "302 405 405 405 405 405 405 405"),
    "portraits:at_check": (compared, "200 200 200 200 200 200 200 200", "405 405 405 405 405 405 405 405"),
    "worklog:index": (nothing, "302 200 200 403 403 403 200 403", "302 405 405 405 405 405 405 405"),
    "worklog:add": (nothing, "302 200 200 403 403 403 200 403", "302 200 200 403 403 403 200 403"),
    "worklog:receive": (key, "302 405 405 405 405 405 405 405", "302 422 422 422 422 422 422 422"),
    "worklog:people": (nothing, "302 403 403 200 200 200 403 200", "302 405 405 405 405 405 405 405"),
    "worklog:confirm": (card, "302 403 404 200 403 403 404 404", "302 403 404 200 403 403 404 404"),
    "cards:card": (card, "302 200 404 200 200 200 404 404", "302 405 405 405 405 405 405 405"),
    "cards:pdf": (card, "302 200 404 200 200 200 404 404", "302 405 405 405 405 405 405 405"),
    "cards:measure": (card, "302 403 404 403 403 200 404 404", "302 403 404 403 403 200 404 404"),
    "cards:replace": (card, "302 403 404 403 403 200 404 404", "302 403 404 403 403 200 404 404"),
    "cards:reduce": (card, "302 403 404 403 403 200 404 404", "302 403 404 403 403 200 404 404"),
    "credentials:issuer": (nothing, "200 200 200 200 200 200 200 200", "405 405 405 405 405 405 405 405"),
    "credentials:status": (revoked, "200 200 200 200 200 200 200 200", "405 405 405 405 405 405 405 405"),
    "credentials:take_along": (card, "302 405 405 405 405 405 405 405", "302 200 404 403 403 403 404 404"),
    "exports:register_csv": (nothing, "302 403 403 200 200 200 403 200", "302 405 405 405 405 405 405 405"),
    "exports:register_xlsx": (nothing, "302 403 403 200 200 200 403 200", "302 405 405 405 405 405 405 405"),
    "exports:calendar": (nothing, "302 200 200 200 200 200 200 200", "302 405 405 405 405 405 405 405"),
    "exports:calendar_open": (nothing, "302 302 302 302 302 302 302 302", "302 200 200 200 200 200 200 200"),
    "exports:calendar_close": (nothing, "302 302 302 302 302 302 302 302", "302 302 302 302 302 302 302 302"),
    "exports:visit": (visit, "302 403 403 200 200 200 403 404", "302 405 405 405 405 405 405 405"),
    "exports:feed": (feed, "200 200 200 200 200 200 200 200", "405 405 405 405 405 405 405 405"),
    "gates:standing": (nothing, "401 401 401 401 401 401 401 401", "405 405 405 405 405 405 405 405"),
    "gates:about": (nothing, "200 200 200 200 200 200 200 200", "405 405 405 405 405 405 405 405"),
    "gates:index": (nothing, "302 403 403 200 403 200 403 200", "302 405 405 405 405 405 405 405"),
    "gates:make": (nothing, "302 405 405 405 405 405 405 405", "302 403 403 200 403 200 403 200"),
    "gates:revoke": (gate, "302 403 403 200 403 200 403 404", "302 403 403 302 403 302 403 404"),
    "check_kept": (nothing, "200 200 200 200 200 200 200 200", "405 405 405 405 405 405 405 405"),
    "checking:check": (nothing, "200 200 200 200 200 200 200 200", "405 405 405 405 405 405 405 405"),
    "checking:code": (nothing, "405 405 405 405 405 405 405 405", "200 200 200 200 200 200 200 200"),
    "checking:lists": (nothing, "200 200 200 200 200 200 200 200", "405 405 405 405 405 405 405 405"),
    "checking:list_pdf": (nothing, "302 200 200 200 200 200 200 200", "302 405 405 405 405 405 405 405"),
    "checking:number": (card, "200 200 200 200 200 200 200 200", "405 405 405 405 405 405 405 405"),
    "board:grid": (nothing, "302 403 403 200 200 200 403 200", "302 405 405 405 405 405 405 405"),
    "board:day_sheet": (nothing, "302 403 403 200 200 200 403 200", "302 405 405 405 405 405 405 405"),
    "forecast:page": (nothing, "302 403 403 200 200 200 403 200", "302 405 405 405 405 405 405 405"),
    "batches:index": (nothing, "302 403 403 200 403 200 403 200", "302 403 403 200 403 200 403 200"),
    "batches:batch": (together, "302 403 403 200 403 404 403 404", "302 405 405 405 405 405 405 405"),
    "batches:pdf": (together, "302 403 403 302 403 404 403 404", "302 405 405 405 405 405 405 405"),
    "batches:advance": (together, "302 405 405 405 405 405 405 405", "302 403 403 302 403 404 403 404"),
    "batches:going": (together, "302 403 403 302 403 404 403 404", "302 405 405 405 405 405 405 405"),
    "batches:stop": (together, "302 405 405 405 405 405 405 405", "302 403 403 302 403 404 403 404"),
    "batches:resume": (together, "302 405 405 405 405 405 405 405", "302 403 403 302 403 404 403 404"),
    "batches:throw_away": (together, "302 403 403 200 403 404 403 404", "302 403 403 302 403 404 403 404"),
    "crewing:index": (nothing, "302 403 403 200 403 200 403 200", "302 403 403 200 403 200 403 200"),
    "crewing:plan": (plan, "302 403 403 200 403 200 403 404", "302 405 405 405 405 405 405 405"),
    "crewing:change": (plan, "302 403 403 404 403 404 403 404", "302 403 403 404 403 404 403 404"),
    "crewing:advance": (plan, "302 405 405 405 405 405 405 405", "302 403 403 302 403 302 403 404"),
    "crewing:stop": (plan, "302 405 405 405 405 405 405 405", "302 403 403 302 403 302 403 404"),
    "crewing:resume": (plan, "302 405 405 405 405 405 405 405", "302 403 403 302 403 302 403 404"),
    "crewing:accept": (plan, "302 405 405 405 405 405 405 405", "302 403 403 302 403 302 403 404"),
    "crewing:take_back": (plan, "302 405 405 405 405 405 405 405", "302 403 403 302 403 302 403 404"),
    "crewing:throw_away": (plan, "302 403 403 200 403 200 403 404", "302 403 403 302 403 302 403 404"),
    "jobs:index": (nothing, "302 403 403 200 403 200 403 200", "302 405 405 405 405 405 405 405"),
    "jobs:new": (nothing, "302 403 403 200 403 200 403 200", "302 403 403 200 403 200 403 200"),
    "jobs:bring_in": (nothing, "302 403 403 200 403 200 403 200", "302 403 403 200 403 200 403 200"),
    "jobs:bring_in_all": (nothing, "302 405 405 405 405 405 405 405", "302 403 403 200 403 200 403 200"),
    "jobs:away": (nothing, "302 403 403 200 403 200 403 200", "302 403 403 200 403 200 403 200"),
    "jobs:come_back": (absence, "302 405 405 405 405 405 405 405", "302 403 403 302 403 302 403 404"),
    "jobs:job": (job, "302 403 403 200 403 200 403 404", "302 405 405 405 405 405 405 405"),
    "jobs:change": (job, "302 403 403 200 403 200 403 404", "302 403 403 200 403 200 403 404"),
    "jobs:close": (job, "302 405 405 405 405 405 405 405", "302 403 403 302 403 302 403 404"),
    "jobs:reopen": (job, "302 405 405 405 405 405 405 405", "302 403 403 302 403 302 403 404"),
    "jobs:sheet": (job, "302 403 403 200 403 200 403 404", "302 405 405 405 405 405 405 405"),
    "visits:index": (nothing, "302 403 403 200 200 200 403 200", "302 405 405 405 405 405 405 405"),
    "visits:ask": (nothing, "302 403 403 200 403 200 403 200", "302 403 403 200 403 200 403 200"),
    "visits:visit": (visit, "302 403 403 200 200 200 403 404", "302 405 405 405 405 405 405 405"),
    "visits:accept": (visit, "302 405 405 405 405 405 405 405", "302 403 403 403 302 403 403 403"),
    "visits:decline": (visit, "302 403 403 403 200 403 403 403", "302 403 403 403 200 403 403 403"),
    "visits:offer": (visit, "302 405 405 405 405 405 405 405", "302 403 403 200 403 200 403 404"),
    "visits:call_off": (visit, "302 403 403 200 403 200 403 404", "302 403 403 302 403 302 403 404"),
    "complaints:index": (nothing, "302 200 200 200 200 200 200 200", "302 405 405 405 405 405 405 405"),
    "complaints:new": (nothing, "302 200 200 200 200 200 200 200", "302 200 200 200 200 200 200 200"),
    "complaints:outside": (nothing, "302 403 403 403 403 200 403 403", "302 403 403 403 403 200 403 403"),
    "complaints:complaint": (complaint, "302 200 404 404 404 200 404 404", "302 405 405 405 405 405 405 405"),
    "complaints:take": (complaint, "302 405 405 405 405 405 405 405", "302 403 404 404 404 302 404 404"),
    "complaints:step": (complaint_step, "302 403 404 404 404 200 404 404", "302 403 404 404 404 200 404 404"),
    "gaps:plan": (nothing, "302 403 403 200 403 200 403 200", "302 405 405 405 405 405 405 405"),
}


def url_names(patterns: list[URLPattern | URLResolver], space: str = "", *, ending: str = "") -> Iterator[str]:
    """Every name in the site map, with its namespace; only those of addresses that end so."""
    for pattern in patterns:
        if isinstance(pattern, URLResolver):
            inner = f"{space}{pattern.namespace}:" if pattern.namespace else space
            yield from url_names(pattern.url_patterns, inner, ending=ending)
        elif str(pattern.pattern).endswith(ending):
            yield f"{space}{pattern.name}"


def world() -> Company:
    """The company, with a paper open and an exception declared for Moira."""
    return once(_more, now=timezone.now())


def _more(now: datetime) -> Company:
    company = demo.make(now)
    person = company.people["moira"]
    paper = Paper.objects.get(slug="lead-theory")
    setup = Revision.objects.get(module__slug="setup")
    copied = {name: getattr(setup, name) for name in ("module", "language", "title", "order", "body", "changed")}
    asked = {"demand": "answer", "due_on": timezone.now().date(), "overdue": "due", "questions": ["rested-39-5"]}
    newer = Revision.objects.create(number=2, digest="0" * 64, loaded_at=timezone.now(), **copied, **asked)
    # Who waits for the practical has read it, so that there is a sheet to fill in.
    Reading.objects.create(person=company.people["tomas"], revision=newer, read_at=timezone.now())
    practice.ask(person=person, topic="setup", seed="law", at=timezone.now(), on=timezone.now().date())
    now, trainer = timezone.now(), company.people["iver"]
    Admission.objects.create(person=person, paper=paper, agreed_at=now, invigilator=trainer, admitted_at=now)
    operations.open_sitting(person=person, paper=paper, seed="law", at=timezone.now())
    theory = Paper.objects.get(slug="bonding-theory")
    Admission.objects.create(person=person, paper=theory, agreed_at=timezone.now())
    firing = Revision.objects.select_related("module").get(module__slug="firing", number=2)
    begun = amendments.begin(base=firing, by=company.people["iver"], at=timezone.now())
    amendments.keep_parts(amendment=begun, parts={"stops": ["Wet gloves"]}, what_changed="Wet gloves stop the job.")
    drafts.begin(computation="leads.drop", by=company.people["iver"], at=timezone.now())
    issue = PaperIssue.objects.get(paper__slug="bonding-theory")
    judging = {"people": [company.people["iver"]], "extent": Extent.PAPER, "on": timezone.now().date()}
    panels.open_panel(issue=issue, by=company.people["nadia"], at=timezone.now(), **judging)
    version = QuestionVersion.objects.get(question__key="pack-sum-of-three", version=1)
    dropped = {"what": "drop", "part": "", "lines": [], "absolute": "0", "relative": "0"}
    proposed = {"proposed_by": company.people["iver"], "proposed_at": timezone.now()}
    Correction.objects.create(question_version=version, change=dropped, reason="Read twice.", **proposed)
    paper = person.sittings.get(passed=True)
    facts = {"candidate": person, "wish": "conduct", "reason": "The lamp failed."}
    Appeal.objects.create(sitting=paper, asked_at=timezone.now(), **facts)
    send_sheet(company, "moira")
    send_sheet(company, "tomas")
    AssessorException.objects.create(
        candidate=person,
        scheme=Card.objects.get(person=person).scheme,
        assessor=company.people["edda"],
        why="Nobody else is near.",
        safeguard="Recorded test.",
        asked_at=timezone.now(),
    )
    facts = {"id": UUID(int=8), "record": UUID(int=9), "kind": "bonds", "made_by": person, "kept_at": timezone.now()}
    Photo.objects.create(**facts, digest="0" * 64, jpeg=b"")
    passkeys.passkey(person)
    failure = {"username": "moira", "attempt_time": timezone.now()}
    AccessFailureLog.objects.bulk_create([AccessFailureLog(**failure)] * FAILURES_IN_A_ROW)
    UserSession.objects.create(user=person, ip="192.0.2.7", session_key="elsewhere", user_agent="Another browser")
    take_along(card=Card.objects.get(person=person), by=person, at=timezone.now())
    return company


def picture() -> bytes:
    """A photo with nothing on it."""
    made = BytesIO()
    Image.new("RGB", (64, 48), "white").save(made, "JPEG")
    return made.getvalue()


def send_sheet(company: Company, username: str) -> None:
    """Send a sheet of somebody as Iver, through the operation."""
    issue, iver, now = current_issue("rail-bonds"), company.people["iver"], timezone.now()
    filled = clean_sheet(issue, "Siding", now.date(), 3)
    written = signoffs.Written(
        candidate=company.people[username], scheme_issue=issue, assessor=iver, on_paper=False, sheet=filled
    )
    raw = json.dumps({"made_by": iver.pk, "phone_time": now.isoformat(), "fields": {}}).encode()
    signoffs.receive(pk=filled.key, raw=raw, by=iver, at=now, reader=lambda _sent: written)
    Photo.objects.create(
        id=uuid4(), made_by=iver, kind="sheet", record=filled.key, digest="0" * 64, jpeg=picture(), kept_at=now
    )


def entered(company: Company, actor: str) -> Callable[[], Client]:
    """Sign in once, and return what makes a browser with that session, whatever another one was sent."""
    if actor == "nobody":
        return Client
    first = Client()
    first.force_login(company.people[actor])
    held = first.cookies.output(attrs=[], header="", sep=";")

    def browser() -> Client:
        again = Client()
        again.cookies.load(held)
        return again

    return browser


def answer(client: Client, method: str, url: str) -> HttpResponse:
    """Ask once and undo what it did."""
    with transaction.atomic():
        response = getattr(client, method)(url)
        if response.streaming:
            list(response.streaming_content)  # to its end, where its file is closed
        transaction.set_rollback(True)
    return response


def unlike(company: Company, actor: str, rows: Iterable[str], *, column: str) -> list[str]:
    """Ask for the rows as an actor; return what is not as that column says, names who it must not or lacks headers."""
    browser, wrong = entered(company, actor), []
    for name in rows:
        asked, *expected = TABLE[name]
        url = reverse(name, kwargs=asked(company))
        for method, codes in zip(("get", "post"), expected, strict=True):
            response = answer(browser(), method, url)
            status, wanted = response.status_code, int(codes.split()[ACTORS.index(column)])
            if status != wanted or (status == 404 and actor != "moira" and "Moira" in response.text):
                wrong.append(f"{method.upper()} {name}: {status}, not {wanted}")
            if method == "get" and (lacks := lacking(response, signed_in=actor != "nobody")):
                wrong.append(f"GET {name}: {lacks}")
    return wrong


@pytest.mark.django_db
@pytest.mark.usefixtures("unprinted")
class TestEveryUrl:
    def test_has_a_row(self) -> None:
        """A page nobody thought about cannot be reached by mistake."""
        assert set(url_names(get_resolver().url_patterns)) == set(TABLE)

    @pytest.mark.parametrize("actor", ACTORS)
    def test_answers_as_the_table_says(self, actor: str) -> None:
        """Each role gets exactly what is written down, under its headers, and a refusal names nobody."""
        assert unlike(world(), actor, TABLE, column=actor) == []


@pytest.mark.django_db
@pytest.mark.usefixtures("unprinted")
class TestWhoMovedToAnotherEmployer:
    def test_is_a_stranger_where_they_were(self) -> None:
        """Piet supervised Moira, had her card printed and her crew's plan made: now he gets what Signe always got."""
        company = world()
        # As no page would: with the old role still running.
        company.people["piet"].employer = company.people["signe"].employer
        company.people["piet"].save(update_fields=["employer"])
        assert unlike(company, "piet", TABLE, column="signe") == []

    def test_is_seen_by_the_new_supervisor_and_not_by_the_old(self) -> None:
        """What is Moira's own goes with her: Signe gets all that Piet got, and Piet what Signe got."""
        own = (moira, card, sheet, sheet_photo, signoff, photo, portrait)
        rows = [name for name, (asked, *_codes) in TABLE.items() if asked in own]
        company = world()
        there, now = company.people["signe"].employer, timezone.now()
        who = {"by": company.people["nadia"], "person": company.people["moira"]}
        company.people["moira"] = people.move(**who, employer=there, number="", on=now.date(), at=now)
        assert len(rows) >= 25
        assert unlike(company, "signe", rows, column="piet") == []
        assert unlike(company, "piet", rows, column="signe") == []
        assert unlike(company, "moira", rows, column="moira") == []
