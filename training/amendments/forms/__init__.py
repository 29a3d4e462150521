"""What is typed about amendments: the module's parts, one step, and the few words around them."""

from training.amendments.forms.pages import PartsForm, StepForm
from training.amendments.forms.short import AddForm, ApproveForm, MoveForm, RefuseForm

__all__ = ["AddForm", "ApproveForm", "MoveForm", "PartsForm", "RefuseForm", "StepForm"]
