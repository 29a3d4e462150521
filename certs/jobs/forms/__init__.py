"""What is typed about jobs, days away, and the kit of a day."""

from certs.jobs.forms.job import AbsenceForm, JobForm, typed_of
from certs.jobs.forms.kit import KitForm
from certs.jobs.forms.listing import AgainForm, ListForm, read_list, why

__all__ = ["AbsenceForm", "AgainForm", "JobForm", "KitForm", "ListForm", "read_list", "typed_of", "why"]
