"""What is sent about a roster."""

from typing import Any

from django import forms
from django.db.models import QuerySet
from django.utils.translation import gettext_lazy as _

from training.people.models import Employer
from training.rosters.queries import Checked
from training.tables.code import MOST_BYTES

SOME, EVERYONE = "some", "everyone"


class BringForm(forms.Form):
    """A file, whose people it holds, and what it means to be missing from it."""

    employer = forms.ModelChoiceField(
        queryset=Employer.objects.none(),
        label=_("Employer"),
        empty_label=_("Choose an employer"),
        error_messages={"required": _("Choose an employer."), "invalid_choice": _("Choose one in the list.")},
    )
    file = forms.FileField(
        label=_("File, CSV or XLSX"),
        max_length=200,
        widget=forms.FileInput(attrs={"accept": ".csv,.tsv,.txt,.xlsx"}),
        error_messages={
            "required": _("Choose the file."),
            "empty": _("The file is empty. Choose one with a line of heads and a line for each person."),
            "max_length": _("Give the file a shorter name."),
        },
    )
    missing = forms.ChoiceField(
        label=_("Whoever is not in the file"),
        choices=[
            (SOME, _("stays as they are: the file holds only some of the people")),
            (EVERYONE, _("has left: the file holds everyone")),
        ],
        initial=SOME,
        widget=forms.RadioSelect,
        error_messages=dict.fromkeys(("required", "invalid_choice"), _("Say what it means not to be in the file.")),
    )

    def __init__(self, *args: Any, employers: QuerySet[Employer], **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.fields["employer"].queryset = employers
        if employers.count() == 1:
            self.fields["employer"].initial = employers.first()

    def clean_file(self) -> Any:
        """Refuse a file that is too big before it is read."""
        file = self.cleaned_data["file"]
        if file.size > MOST_BYTES:
            says = _("The file is too big. Keep the sheet with the people only, below %(size)s MB.")
            raise forms.ValidationError(says % {"size": MOST_BYTES // 1_000_000})
        return file


class AnswersForm(forms.Form):
    """Whom the asked lines mean; a question may stay open."""

    def __init__(self, *args: Any, page: Checked, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        for ask in page.asks:
            self.fields[f"line_{ask.line}"] = forms.TypedChoiceField(
                label=_("Line %(line)s. %(says)s") % {"line": ask.line, "says": ask.says},
                choices=ask.choices,
                coerce=int,
                empty_value=None,
                required=False,
                widget=forms.RadioSelect,
                error_messages={"invalid_choice": _("Choose one of the answers.")},
            )

    def answers(self) -> dict[int, int]:
        """Return the answers given, by line."""
        given = self.cleaned_data.items()
        return {int(name.removeprefix("line_")): value for name, value in given if value is not None}


class ApplyForm(forms.Form):
    """What was seen is to be done."""

    seen = forms.CharField(widget=forms.HiddenInput, max_length=64)

    def __init__(self, *args: Any, page: Checked, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.fields["seen"].initial = page.seen
        if page.missing:
            says = _("People who are not in the file: %(number)s. They leave, and their accounts are closed.")
            self.fields["missing"] = forms.BooleanField(
                label=says % {"number": page.missing},
                error_messages={"required": _("Confirm that the people who are not in the file leave.")},
            )
