"""What a print of many cards may be asked."""

from typing import Any

from django import forms
from django.utils.translation import gettext_lazy as _

from certs.board.forms import BoardForm
from certs.cards.pdf import LANGUAGES, Layout

LAYOUT_WORDS = {
    Layout.CARDS: _("Cards, one by one, for a card printer"),
    Layout.TEN: _("A4 paper, 10 cards on a sheet, no gaps"),
    Layout.EIGHT: _("A4 paper, 8 cards on a sheet, with gaps"),
}


class FilterForm(BoardForm):
    """The filters of the board, for today: a card is printed as it stands now."""

    def __init__(self, asked: Any, **choices: Any) -> None:
        super().__init__(asked, **choices)
        del self.fields["on"]


class BatchForm(forms.Form):
    """Which cards, onto what, in which language."""

    numbers = forms.MultipleChoiceField(
        required=False, error_messages={"invalid_choice": _("A card has left the list. Choose again.")}
    )
    everyone = forms.BooleanField(label=_("All cards of this list, on every page of it"), required=False)
    layout = forms.ChoiceField(
        label=_("Print onto"),
        choices=[(one.value, words) for one, words in LAYOUT_WORDS.items()],
        initial=Layout.TEN.value,
        widget=forms.RadioSelect,
        error_messages={"required": _("Choose what to print onto."), "invalid_choice": _("Choose from the list.")},
    )
    language = forms.ChoiceField(
        label=_("Language of the words on the card"),
        choices=[("", _("As each holder chose, else as the scheme is written")), *LANGUAGES.items()],
        required=False,
        error_messages={"invalid_choice": _("Choose one of the languages in the list.")},
    )

    def __init__(self, typed: Any = None, *, numbers: list[str]) -> None:
        super().__init__(typed)
        self.fields["numbers"].choices = [(number, number) for number in numbers]  # type: ignore[attr-defined]

    @property
    def ticked(self) -> set[str]:
        """The numbers ticked so far, so that none is lost when the page comes back."""
        return set(self.data.getlist("numbers")) if self.is_bound else set()  # type: ignore[attr-defined]
