"""What is typed about questions: the page of a draft, and the few words around it."""

from training.drafts.forms.draft import EDITS, DraftForm
from training.drafts.forms.short import ChooseForm, RetireForm, UseForm

__all__ = ["EDITS", "ChooseForm", "DraftForm", "RetireForm", "UseForm"]
