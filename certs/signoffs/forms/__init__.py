"""The sheet of a practical, its signing, a declared exception, a decision."""

from certs.signoffs.forms.fields import Quantity, problems_of
from certs.signoffs.forms.laying import count_of, fresh, grown, lay_out
from certs.signoffs.forms.others import DecisionForm, ExceptionForm, RefusalForm
from certs.signoffs.forms.parts import Whose
from certs.signoffs.forms.sheet import SheetForm
from certs.signoffs.forms.signing import DoAgainForm, SigningForm

__all__ = [
    "DecisionForm",
    "DoAgainForm",
    "ExceptionForm",
    "Quantity",
    "RefusalForm",
    "SheetForm",
    "SigningForm",
    "Whose",
    "count_of",
    "fresh",
    "grown",
    "lay_out",
    "problems_of",
]
