"""Table of contents: every table of `certs`, room by room."""

from certs.agreement.models import SecondMarking
from certs.batches.models import Batch, BatchCard, BatchPart
from certs.cards.models import Card, CardKey, Confirmation, Measure, Signature
from certs.checking.models import KeyList, StatusList
from certs.complaints.models import Complaint, ComplaintStep, Outsider
from certs.credentials.models import Credential
from certs.crewing.models import Plan, PlanTurn
from certs.exports.models import CalendarFeed
from certs.gates.models import GateToken
from certs.jobs.models import Absence, Job, JobWant
from certs.notices.models import Notice
from certs.photos.models import Photo
from certs.portraits.models import Consent, Portrait
from certs.schemes.models import Authority, Scheme, SchemeIssue, TrainingAct
from certs.signoffs.models import AssessorException, Decision, DoAgain, ReceivedSheet, Signoff, TestBond
from certs.visits.models import Visit, VisitRefusal, VisitStep
from certs.worklog.models import WorkEntry

__all__ = [
    "Absence",
    "AssessorException",
    "Authority",
    "Batch",
    "BatchCard",
    "BatchPart",
    "CalendarFeed",
    "Card",
    "CardKey",
    "Complaint",
    "ComplaintStep",
    "Confirmation",
    "Consent",
    "Credential",
    "Decision",
    "DoAgain",
    "GateToken",
    "Job",
    "JobWant",
    "KeyList",
    "Measure",
    "Notice",
    "Outsider",
    "Photo",
    "Plan",
    "PlanTurn",
    "Portrait",
    "ReceivedSheet",
    "Scheme",
    "SchemeIssue",
    "SecondMarking",
    "Signature",
    "Signoff",
    "StatusList",
    "TestBond",
    "TrainingAct",
    "Visit",
    "VisitRefusal",
    "VisitStep",
    "WorkEntry",
]
