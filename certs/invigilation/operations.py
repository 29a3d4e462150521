"""Confirming who sits down."""

from datetime import date, datetime

from certs.invigilation import queries
from training.people.models import Person
from training.quizzes import operations as quizzes
from training.quizzes.models import Admission
from training.quizzes.operations import NotArranged

__all__ = ["NotArranged", "admit"]


def admit(*, admission: Admission, by: Person, at: datetime, on: date) -> Admission:
    """Confirm who a waiting candidate is. Raises NotArranged: for oneself, without the role, for an own trainee."""
    trained = admission.person_id in queries.trained_by(by, [admission.person_id], on=on)
    return quizzes.admit(admission=admission, by=by, trained=trained, at=at, on=on)
