"""The sheet of a practical, a declared exception, a decision."""

from collections.abc import Callable, Iterator, Mapping
from decimal import Decimal
from fractions import Fraction
from typing import Any
from uuid import uuid4

from django import forms
from django.forms import BoundField
from django.utils.text import format_lazy
from django.utils.translation import gettext
from django.utils.translation import gettext_lazy as _

from certs.schemes.forms import day_field
from certs.signoffs import rules
from certs.signoffs.models import SLIP_WORDS
from certs.signoffs.queries import SheetPage, Worked, bonds_of, work_out
from certs.signoffs.rules import Bond, Sheet, Slip
from training.questions.reading import Unreadable, read
from training.questions.units import convert, fits, unit

MOST_BONDS = 20
TYPED = ("pin_lot", "pack_v", "forward_uv", "reversed_uv", "current_a")


class Quantity(forms.CharField):
    """A number as people type it: decimal comma or point, any minus sign, with or without its unit."""

    def __init__(self, *, spelling: str, low: int | str, high: int | str, decimals: int, **options: Any) -> None:
        self.spelling, self.decimals = spelling, decimals
        self.low, self.high = Decimal(low), Decimal(high)
        self.sentence = format_lazy(
            _("Give a number in {unit} from {low} to {high}, no finer than {step}."),
            unit=unit(spelling).symbol,
            low=str(low).replace("-", "\N{MINUS SIGN}"),
            high=high,
            step=Decimal(1).scaleb(-decimals),
        )
        widget = forms.TextInput(attrs={"inputmode": "decimal", "class": "short", "autocomplete": "off"})
        super().__init__(max_length=80, widget=widget, error_messages={"required": self.sentence}, **options)

    def clean(self, value: Any) -> Decimal | None:
        """Return the number in the field's unit, exactly as typed; refuse what is out of range with the range."""
        text = super().clean(value)
        if not text:
            return None
        try:
            found = read(text, like=self.spelling)
        except Unreadable as error:
            # Where there are digits the reader knows what is unclear about them.
            clue = f"{error.sentence} " if any(map(str.isdigit, text)) else ""
            raise forms.ValidationError(f"{clue}{self.sentence}") from error
        if found.unit is not None and not fits(found.unit, self.spelling):
            raise forms.ValidationError(self.sentence)
        exact = convert(found.value, found.unit, self.spelling) if found.unit is not None else found.value
        whole = exact * 10**self.decimals
        if whole.denominator != 1 or not Fraction(self.low) <= exact <= Fraction(self.high):
            raise forms.ValidationError(self.sentence)
        return Decimal(whole.numerator).scaleb(-self.decimals)


def _text(label: Any, most: int, *, required: bool = True, says: Any = "") -> forms.CharField:
    return forms.CharField(label=label, max_length=most, required=required, error_messages={"required": says})


def _tick(label: Any, help_text: Any = "", *, required: bool = False, says: Any = "") -> forms.BooleanField:
    return forms.BooleanField(label=label, help_text=help_text, required=required, error_messages={"required": says})


def _bond_fields(*, required: bool) -> dict[str, forms.Field]:
    """Return the fields of one bond, by name."""
    micro: dict[str, Any] = {"spelling": "uV", "low": -100_000, "high": 100_000, "decimals": 1, "required": required}
    return {
        "pin_lot": _text(_("Pin lot"), 40, required=required, says=_("Give the lot number printed on the pins' box.")),
        "pack_v": Quantity(label=_("Pack at rest, V"), spelling="V", low=24, high=45, decimals=2, required=required),
        "visual_good": _tick(_("Looks good all round")),
        "hammer_good": _tick(_("Held in the hammer test, cold, from two sides")),
        "forward_uv": Quantity(label=_("Forward reading, µV"), **micro),
        "reversed_uv": Quantity(label=_("Reading with the current reversed, µV"), **micro),
        "reversed_below": _tick(_("Below zero"), _("For keypads without a minus sign: tick it and type the digits.")),
        "current_a": Quantity(
            label=_("Measuring current, A"), spelling="A", low="0.1", high=200, decimals=2, required=required
        ),
    }


class SheetForm(forms.Form):
    """The sheet of one candidate under one issue of a scheme, with as many bonds as asked for.

    After `is_valid`, `sheet` and `worked` hold what was written and what it comes to; both are None while something
    on the sheet itself cannot be read.
    """

    key = forms.UUIDField(widget=forms.HiddenInput)
    issue = forms.IntegerField(widget=forms.HiddenInput)
    bonds = forms.IntegerField(widget=forms.HiddenInput, required=False)
    agreed = forms.CharField(widget=forms.HiddenInput, required=False)
    assessed_on = day_field(_("Day of the practical"))
    place = _text(_("Place"), 120, says=_("Give the line and the distance, or the yard."))
    air_c = Quantity(label=_("Air temperature, °C"), spelling="degC", low=-60, high=60, decimals=1)
    air_below = _tick(_("Below zero"), _("For keypads without a minus sign: tick it and type the digits."))
    leads = forms.ChoiceField(
        label=_("Leads"),
        choices=[("in", _("Both leads in the circuit")), ("out", _("Leads left out, as the procedure for cold says"))],
        widget=forms.RadioSelect,
        error_messages={"required": _("Say whether the leads were in the circuit.")},
    )
    meter = _text(_("Meter, serial number"), 60, says=_("Give the serial number of the meter that was read."))
    calibrated_until = day_field(_("Meter's calibration good to"))
    remarks = forms.CharField(
        label=_("Remarks (optional)"), max_length=4000, required=False, widget=forms.Textarea(attrs={"rows": 3})
    )
    confirmed = _tick(
        _("Candidate: it went as this sheet says, and I was told the result"), required=True,
        says=SLIP_WORDS[Slip.UNCONFIRMED],
    )  # fmt: skip
    password = forms.CharField(
        label=_("Your password again"),
        strip=False,
        max_length=200,
        widget=forms.PasswordInput(attrs={"autocomplete": "current-password"}),
        error_messages={"required": _("Type your password: it is your signature.")},
    )

    sheet: Sheet | None = None
    worked: Worked | None = None

    def __init__(
        self,
        data: Mapping[str, Any] | None = None,
        *,
        page: SheetPage,
        count: int,
        refusal: Callable[[str], str] | None = None,
        initial: Mapping[str, Any] | None = None,
    ) -> None:
        """Lay out the sheet. `refusal` says why a password is refused; without it the sheet is only worked out."""
        super().__init__(data, initial=dict(initial or {}))
        self.page, self.count, self.refusal = page, count, refusal
        for check in page.checks:
            label = gettext("%(text)s (must be right)") % {"text": check.text} if check.critical else check.text
            self.fields[f"check_{check.slug}"] = _tick(label, check.good)
        for position in range(1, count + 1):
            needed = position <= page.wanted.bonds or self._is_begun(position)
            for name, field in _bond_fields(required=needed).items():
                # The list of errors names fields without their surroundings.
                field.label = format_lazy(_("Bond {position}: {label}"), position=position, label=field.label)
                self.fields[f"bond_{position}_{name}"] = field
        if refusal is None:
            self.fields["confirmed"].required = self.fields["password"].required = False

    def _is_begun(self, position: int) -> bool:
        return any(str(self.data.get(f"bond_{position}_{name}", "")).strip() for name in TYPED)

    def clean_password(self) -> str:
        """Refuse a password that is not the assessor's."""
        password: str = self.cleaned_data["password"]
        if self.refusal is not None and (sentence := self.refusal(password)):
            raise forms.ValidationError(sentence)
        return password

    def clean_issue(self) -> int:
        """Refuse a sheet laid out for another issue of the scheme."""
        number: int = self.cleaned_data["issue"]
        if number != self.page.issue.number:
            raise forms.ValidationError(
                _("A new issue of the scheme came into force. Look through the checks again, then sign.")
            )
        return number

    def clean(self) -> None:
        """Work the sheet out once all of it can be read, and put what cannot be signed beside its field."""
        apart = {"password", "confirmed", "agreed", "bonds"}
        if set(self.errors) - apart:
            return
        self.sheet = self._written()
        self.worked = work_out(self.sheet.bonds, self.page.checks, self.sheet.seen, self.page.bounds)
        fields = {Slip.METER: "calibrated_until", Slip.ORDER: "bond_{}_reversed_uv"}
        for slip, position in rules.slips(self.sheet, wanted=self.page.wanted.bonds, on=self.page.on):
            if slip is not Slip.UNCONFIRMED:
                self.add_error(fields.get(slip, "assessed_on").format(position), SLIP_WORDS[slip])

    def _written(self) -> Sheet:
        data = self.cleaned_data
        return Sheet(
            assessed_on=data["assessed_on"],
            place=data["place"],
            air_c=_signed(data["air_c"], data["air_below"]),
            leads_in=data["leads"] == "in",
            meter=data["meter"],
            calibrated_until=data["calibrated_until"],
            seen=frozenset(one.slug for one in self.page.checks if data[f"check_{one.slug}"]),
            bonds=tuple(self._bond(n) for n in range(1, self.count + 1) if data[f"bond_{n}_pin_lot"]),
            confirmed=bool(data.get("confirmed")),
            remarks=data["remarks"],
            replaces=self.page.replaces and self.page.replaces.pk,
            key=data["key"],
        )

    def _bond(self, position: int) -> Bond:
        read_off = {name: self.cleaned_data[f"bond_{position}_{name}"] for name in _bond_fields(required=False)}
        below = read_off.pop("reversed_below")
        return Bond(**read_off | {"reversed_uv": _signed(read_off["reversed_uv"], below)})

    def head_fields(self) -> list[BoundField]:
        """Return the fields at the head of the sheet."""
        return [
            self[name] for name in ("assessed_on", "place", "air_c", "air_below", "leads", "meter", "calibrated_until")
        ]

    def bond_groups(self) -> Iterator[tuple[int, list[BoundField]]]:
        """Yield each bond's position and fields."""
        for position in range(1, self.count + 1):
            yield position, [self[f"bond_{position}_{name}"] for name in _bond_fields(required=False)]

    def check_groups(self) -> Iterator[tuple[str, list[BoundField]]]:
        """Yield each module of the practical and its checks."""
        for module, title in self.page.modules:
            yield title, [self[f"check_{one.slug}"] for one in self.page.checks if one.module == module]

    def typed(self) -> dict[str, Any]:
        """Return what was typed, to be shown again unjudged; the password is not kept."""
        names = set(self.fields) - {"password"}
        fields = {name: self.fields[name] for name in names}
        return {name: field.widget.value_from_datadict(self.data, {}, name) for name, field in fields.items()}


def _signed(value: Decimal, below: bool) -> Decimal:
    """Return a number with the Below zero box heeded; a minus typed as well is not turned round."""
    return -abs(value) if below else value


class ExceptionForm(forms.Form):
    """Why an assessor who trained the candidate is to sign, and what keeps it fair."""

    why = forms.CharField(
        label=_("Why nobody else can assess"),
        max_length=2000,
        widget=forms.Textarea(attrs={"rows": 3}),
        error_messages={"required": _("Say why no other assessor can come.")},
    )
    safeguard = forms.CharField(
        label=_("Safeguard"),
        help_text=_("For instance: a second assessor watches, or the practical is filmed and kept."),
        max_length=2000,
        widget=forms.Textarea(attrs={"rows": 3}),
        error_messages={"required": _("Say what keeps the assessment fair.")},
    )


class DecisionForm(forms.Form):
    """Grant or refuse, with reasons."""

    granted = forms.ChoiceField(
        label=_("Decision"),
        choices=[("yes", _("Grant the card")), ("no", _("Refuse the card"))],
        widget=forms.RadioSelect,
        error_messages={"required": _("Choose: grant or refuse."), "invalid_choice": _("Choose: grant or refuse.")},
    )
    reasons = forms.CharField(
        label=_("Reasons"),
        help_text=_("They stay on the record, and the candidate reads them."),
        max_length=4000,
        widget=forms.Textarea(attrs={"rows": 4}),
        error_messages={"required": _("Write the reasons: they stay on the record.")},
    )


def fresh(page: SheetPage, *, count: int) -> SheetForm:
    """Return an empty sheet; for a correction it holds what the old record says, except the signatures."""
    initial: dict[str, Any] = {"key": uuid4(), "issue": page.issue.number, "bonds": count, "assessed_on": page.on}
    old = page.replaces
    if old is not None:
        names = ("assessed_on", "place", "air_c", "meter", "calibrated_until", "remarks")
        initial |= {name: getattr(old, name) for name in names} | {"leads": "in" if old.leads_in else "out"}
        initial |= {f"check_{one['slug']}": one["seen"] for one in old.checks}
        for position, bond in enumerate(bonds_of(old), start=1):
            fields = set(_bond_fields(required=False)) - {"reversed_below"}
            initial |= {f"bond_{position}_{name}": getattr(bond, name) for name in fields}
    return SheetForm(page=page, count=count, initial=initial)


def count_of(typed: str, *, page: SheetPage, more: int = 0) -> int:
    """Return how many bonds to lay out: what is asked for, at least what the scheme wants, never a runaway number."""
    wanted = page.wanted.bonds
    asked = int(typed) if typed.isascii() and typed.isdigit() and len(typed) < 4 else wanted
    return max(wanted, min(asked + more, max(MOST_BONDS, wanted)))
