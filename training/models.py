"""Table of contents: every table of `training`, room by room."""

from training.amendments.models import Amendment
from training.bank.models import Correction, Question, QuestionVersion
from training.bridges.models import Bridge
from training.drafts.models import Draft, Retirement
from training.keeping.models import Copy, Probe
from training.ledger.models import Entry
from training.mail.models import UnsentMail
from training.panels.models import Panel, PanelEstimate, PanelJudge, PanelMinute, PanelQuestion
from training.people.models import Crew, CrewMembership, Employer, Invitation, Person, RoleHeld, Site
from training.practice.models import Practice
from training.procedures.models import HoldAnswer, Module, Reading, Revision
from training.quizzes.models import (
    Accommodation,
    Admission,
    Answer,
    Paper,
    PaperIssue,
    PartMark,
    Remark,
    RemarkedPart,
    Retraining,
    Seen,
    Sitting,
    SittingItem,
)
from training.refreshers.models import Drill, MailChoice, Reminder, WorkDone
from training.reviews.models import Appeal
from training.rosters.models import Roster

__all__ = [
    "Accommodation",
    "Admission",
    "Amendment",
    "Answer",
    "Appeal",
    "Bridge",
    "Copy",
    "Correction",
    "Crew",
    "CrewMembership",
    "Draft",
    "Drill",
    "Employer",
    "Entry",
    "HoldAnswer",
    "Invitation",
    "MailChoice",
    "Module",
    "Panel",
    "PanelEstimate",
    "PanelJudge",
    "PanelMinute",
    "PanelQuestion",
    "Paper",
    "PaperIssue",
    "PartMark",
    "Person",
    "Practice",
    "Probe",
    "Question",
    "QuestionVersion",
    "Reading",
    "Remark",
    "RemarkedPart",
    "Reminder",
    "Retirement",
    "Retraining",
    "Revision",
    "RoleHeld",
    "Roster",
    "Seen",
    "Site",
    "Sitting",
    "SittingItem",
    "UnsentMail",
    "WorkDone",
]
