"""What is typed about jobs, days away, and the kit of a day."""

from certs.jobs.forms.job import AbsenceForm, JobForm, typed_of
from certs.jobs.forms.kit import KitForm

__all__ = ["AbsenceForm", "JobForm", "KitForm", "typed_of"]
