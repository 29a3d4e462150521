"""The sheet of a practical: read from what a browser or a phone sends, worked out, and never judged for who signs."""

from collections.abc import Iterator, Mapping
from typing import Any

from django import forms
from django.forms import BoundField
from django.utils.text import format_lazy
from django.utils.translation import gettext
from django.utils.translation import gettext_lazy as _

from certs.schemes.forms import day_field
from certs.signoffs import rules
from certs.signoffs.forms.bonds import FOLDED, FURTHER, PARTS, READINGS, bond, bond_fields, carried_on
from certs.signoffs.forms.fields import choice, text_field, tick, time_field
from certs.signoffs.forms.parts import DIAL, BondGroup, CheckGroup, tool_fields
from certs.signoffs.models import SLIP_WORDS
from certs.signoffs.queries import SheetPage, Worked, work_out
from certs.signoffs.rules import Instrument, Pause, Sheet, Slip, Tool

MOST_PAUSES = 10
# Stands for the number of a bond that the script adds.
BLANK = "NNN"
HEAD = ("assessed_on", "place", "started", "assessor")


class SheetForm(forms.Form):
    """The sheet of one candidate under one issue of a scheme, with as many bonds as asked for.

    After `is_valid`, `sheet` and `worked` hold what was written and what it comes to; both are None while something
    on the sheet itself cannot be read.
    """

    key = forms.UUIDField(widget=forms.HiddenInput)
    candidate = forms.IntegerField(widget=forms.HiddenInput)
    scheme = forms.SlugField(widget=forms.HiddenInput)
    issue = forms.IntegerField(widget=forms.HiddenInput)
    bonds = forms.IntegerField(widget=forms.HiddenInput, required=False)
    pauses = forms.IntegerField(widget=forms.HiddenInput, required=False)
    replaces = forms.UUIDField(widget=forms.HiddenInput, required=False)
    on_paper = forms.CharField(widget=forms.HiddenInput, required=False, max_length=3)
    phone_time = forms.CharField(widget=forms.HiddenInput, required=False, max_length=40)
    assessed_on = day_field(_("Day of the practical"))
    place = text_field(_("Place"), 120, says=_("Give the line and the distance, or the yard."))
    started = time_field(_("Start"))
    assessor = choice(
        _("Assessor who saw it and signed the paper"), (), required=False, says=_("Say whose sheet on paper this is.")
    )
    stopped = time_field(_("End"))
    remarks = forms.CharField(
        label=_("Remarks (optional)"), max_length=4000, required=False, widget=forms.Textarea(attrs={"rows": 3})
    )

    sheet: Sheet | None = None
    worked: Worked | None = None

    def __init__(
        self,
        data: Mapping[str, Any] | None = None,
        *,
        page: SheetPage,
        count: int,
        pauses: int = 1,
        initial: Mapping[str, Any] | None = None,
    ) -> None:
        """Lay out the sheet with so many bonds and interruptions."""
        super().__init__(data, initial=dict(initial or {}))
        self.page, self.count, self.pause_count = page, count, pauses
        self._lay_out_head()
        for prompt in page.prompts:
            check = prompt.check
            label = gettext("%(text)s (must be right)") % {"text": check.text} if check.critical else check.text
            self.fields[f"check_{check.slug}"] = field = tick(label, check.good)
            if not check.critical:
                field.widget.attrs["data-good"] = f"checks-{check.module}"
        for position in range(1, count + 1):
            self._lay_out_bond(position)
        for n in range(1, pauses + 1):
            self._lay_out_pause(n)

    def _lay_out_head(self) -> None:
        self.fields |= tool_fields()
        paper: forms.ChoiceField = self.fields["assessor"]
        if self.on_paper_asked:
            paper.choices, paper.required = [("", ""), *((str(pk), name) for pk, name in self.page.assessors)], True
        else:
            del self.fields["assessor"]

    def _lay_out_bond(self, position: int, name: str = "") -> None:
        needed = position <= self.page.wanted.bonds or self._is_begun(position)
        for inner, field in bond_fields(required=needed, first=position == 1).items():
            # The list of errors names fields without their surroundings.
            number = name or position
            field.label = format_lazy(_("Bond {position}: {label}"), position=number, label=field.label)
            if inner.startswith("look_"):
                field.widget.attrs["data-good"] = f"bond-{number}"
            self.fields[f"bond_{number}_{inner}"] = field

    def _lay_out_pause(self, n: int) -> None:
        begun = any(str(self.data.get(f"pause_{n}_{name}", "")).strip() for name in ("begun", "ended", "why"))
        self.fields |= {
            f"pause_{n}_begun": time_field(format_lazy(_("Interruption {n}: from"), n=n), required=begun),
            f"pause_{n}_ended": time_field(format_lazy(_("Interruption {n}: to"), n=n), required=begun),
            f"pause_{n}_why": text_field(
                format_lazy(_("Interruption {n}: why"), n=n), 200, required=begun, says=_("Say what stopped the work.")
            ),
        }

    @property
    def on_paper_asked(self) -> bool:
        """Whether this sheet was filled in on paper and is entered afterwards."""
        return bool(self.data.get("on_paper") if self.is_bound else self.initial.get("on_paper"))

    def _is_begun(self, position: int) -> bool:
        return any(str(self.data.get(f"bond_{position}_{name}", "")).strip() for name in READINGS)

    def clean_candidate(self) -> int:
        """Refuse a sheet that was laid out for somebody else."""
        number: int = self.cleaned_data["candidate"]
        if number != self.page.candidate.pk:
            raise forms.ValidationError(
                _("This sheet was laid out for somebody else. Open an empty one from the list.")
            )
        return number

    def clean_issue(self) -> int:
        """Refuse a sheet laid out for another issue of the scheme."""
        number: int = self.cleaned_data["issue"]
        if number != self.page.issue.number:
            raise forms.ValidationError(
                _("A new issue of the scheme came into force. Look through the checks again, then send.")
            )
        return number

    def clean(self) -> None:
        """Work the sheet out once all of it can be read, and put what would not count beside its field."""
        missing = [name for name in DIAL.values() if self._half(name)]
        for name in missing:
            self.add_error(f"{name}_until", _("Give the last day its calibration is good, as on the label."))
        for position in range(1, self.count + 1):
            meter = self.cleaned_data.get(f"bond_{position}_meter")
            if meter == Tool.SPARE.value and not self.cleaned_data.get("spare_meter"):
                sentence = _("Give the serial number of the second voltmeter, or choose the first.")
                self.add_error(f"bond_{position}_meter", sentence)
        if self.errors:
            return
        self.sheet = self._written()
        self.worked = work_out(self.sheet.bonds, self.page.checks, self.sheet.seen, self.page.bounds)
        for slip, position in rules.slips(self.sheet, wanted=self.page.wanted.bonds, on=self.page.on):
            if slip is not Slip.UNCONFIRMED:
                self.add_error(self._field_of(slip, position), SLIP_WORDS[slip])

    def _half(self, name: str) -> bool:
        serial, until = self.cleaned_data.get(f"{name}_meter"), self.cleaned_data.get(f"{name}_until")
        return bool(serial) and until is None and f"{name}_until" not in self.errors

    def _field_of(self, slip: Slip, position: int) -> str:
        if slip is Slip.METER:
            tool = self.sheet.instruments[position].tool if self.sheet else Tool.VOLT
            return f"{DIAL[tool]}_until"
        fields = {Slip.ORDER: f"bond_{position}_reversed_uv", Slip.REASON: f"bond_{position}_why"}
        return fields.get(slip, "assessed_on")

    def _written(self) -> Sheet:
        data = self.cleaned_data
        serials = {tool: data[f"{name}_meter"] for tool, name in DIAL.items() if data[f"{name}_meter"]}
        begun = [n for n in range(1, self.count + 1) if data[f"bond_{n}_forward_uv"] is not None]
        names = bond_fields(required=False, first=True)
        read = carried_on([{name: data[f"bond_{n}_{name}"] for name in names} for n in begun])
        bonds = tuple(bond(one, serials) for one in read)
        return Sheet(
            assessed_on=data["assessed_on"],
            place=data["place"],
            air_c=bonds[0].air_c,
            leads_in=bonds[0].leads_in,
            meter=serials[Tool.VOLT],
            calibrated_until=data["volt_until"],
            further=tuple(
                Instrument(tool, serial, data[f"{DIAL[tool]}_until"])
                for tool, serial in serials.items()
                if tool is not Tool.VOLT
            ),
            started=data["started"],
            stopped=data["stopped"],
            pauses=tuple(self._pauses()),
            seen=frozenset(one.slug for one in self.page.checks if data[f"check_{one.slug}"]),
            bonds=bonds,
            confirmed=False,
            remarks=data["remarks"],
            replaces=self.page.replaces and self.page.replaces.pk,
            key=data["key"],
        )

    def _pauses(self) -> Iterator[Pause]:
        for n in range(1, self.pause_count + 1):
            begun, ended, why = (self.cleaned_data[f"pause_{n}_{name}"] for name in ("begun", "ended", "why"))
            if begun and ended:
                yield Pause(begun, ended, why)

    def hidden_fields(self) -> list[BoundField]:
        """Return what goes with the sheet unseen."""
        return [self[name] for name in ("key", "candidate", "scheme", "issue", "bonds", "pauses", "replaces",
                                        "on_paper", "phone_time")]  # fmt: skip

    def head_fields(self) -> list[BoundField]:
        """Return the fields at the head of the sheet."""
        return [self[name] for name in HEAD if name in self.fields]

    def tool_groups(self) -> list[tuple[BoundField, BoundField]]:
        """Return the two fields of each instrument."""
        return [(self[f"{name}_meter"], self[f"{name}_until"]) for name in DIAL.values()]

    def pause_groups(self) -> list[list[BoundField]]:
        """Return the three fields of each interruption."""
        return [
            [self[f"pause_{n}_{name}"] for name in ("begun", "ended", "why")] for n in range(1, self.pause_count + 1)
        ]

    def bond_groups(self) -> Iterator[BondGroup]:
        """Yield each bond's position and fields."""
        for position in range(1, self.count + 1):
            yield self._group(str(position))

    def blank_bond(self) -> BondGroup:
        """Return a bond with BLANK for its number, which the script copies where a bond is added without a signal."""
        self._lay_out_bond(self.count + 1, BLANK)
        try:
            return self._group(BLANK)
        finally:
            for name in [name for name in self.fields if name.startswith(f"bond_{BLANK}_")]:
                del self.fields[name]

    def _group(self, number: str) -> BondGroup:
        parts = [tuple(self[f"bond_{number}_{name}"] for name in part) for part in PARTS]
        folded = (*parts[PARTS.index(FOLDED)], *parts[PARTS.index(FURTHER)])
        return BondGroup(number, *parts, opened=number == "1" or any(field.errors for field in folded))

    def check_groups(self) -> Iterator[CheckGroup]:
        """Yield each module of the practical and its checks."""
        for module, title in self.page.modules:
            asked = [one for one in self.page.prompts if one.check.module == module]
            rows = tuple((one, self[f"check_{one.check.slug}"]) for one in asked)
            yield CheckGroup(module, title, rows, any(not one.check.critical for one in asked))

    def typed(self) -> dict[str, Any]:
        """Return what was typed, to be shown again unjudged."""
        return {name: field.widget.value_from_datadict(self.data, {}, name) for name, field in self.fields.items()}
