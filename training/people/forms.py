"""What an administrator types about people."""

from collections.abc import Iterable, Mapping
from datetime import date
from typing import Any, ClassVar

from django import forms
from django.contrib.auth.password_validation import validate_password
from django.core.exceptions import ValidationError
from django.db.models import QuerySet
from django.utils.formats import date_format
from django.utils.text import format_lazy
from django.utils.translation import gettext
from django.utils.translation import gettext_lazy as _

from training.people.models import (
    CHECK_WORDS,
    PURPOSE_WORDS,
    ROLE_WORDS,
    Crew,
    CrewMembership,
    Employer,
    Person,
    RoleHeld,
    Site,
)
from training.people.rules import LANGUAGES, IdentityCheck, Purpose, Role, folded, purposes

# Digits of a key: one more could be beyond what a database counts to.
LONGEST_KEY = 18


# A year typed with two digits is one of the first century to a browser's calendar.
FIRST_YEAR, LAST_YEAR = 1950, 2099


def in_our_time(day: date) -> None:
    """Refuse a day of another age: the year was mistyped."""
    if not FIRST_YEAR <= day.year <= LAST_YEAR:
        says = gettext("Check the year, and type all four digits: it has to be from %(first)d to %(last)d.")
        raise forms.ValidationError(says % {"first": FIRST_YEAR, "last": LAST_YEAR})


class DayField(forms.DateField):
    """A day, from the phone's own calendar or typed."""

    default_validators: ClassVar = [in_our_time]

    def __init__(self, **kwargs: Any) -> None:
        super().__init__(
            # The calendar of a browser takes and gives this one format, whatever it shows.
            widget=forms.DateInput(attrs={"type": "date"}, format="%Y-%m-%d"),
            input_formats=["%Y-%m-%d", "%d %b %Y", "%d %B %Y"],
            error_messages={
                "required": _("Give the day, such as 30 Nov 2026."),
                "invalid": _("Give the day as 2026-11-30 or 30 Nov 2026."),
            },
            **kwargs,
        )


class RoleField(forms.TypedChoiceField):
    """One of the roles this administrator may give."""

    def __init__(self, roles: Iterable[Role], **kwargs: Any) -> None:
        choices = [("", _("Choose a role")), *((role.value, ROLE_WORDS[role]) for role in roles)]
        errors = {"required": _("Choose a role."), "invalid_choice": _("Choose one of the roles in the list.")}
        super().__init__(label=_("Role"), choices=choices, coerce=Role, error_messages=errors, **kwargs)


class PeopleField(forms.ModelMultipleChoiceField):
    """Several of these people."""

    def clean(self, value: Any) -> Any:
        """Refuse a number that no table has: looked up among others, SQLite cannot even compare it."""
        for one in value or ():
            if len(str(one)) > LONGEST_KEY:
                raise ValidationError(self.error_messages["invalid_choice"], "invalid_choice", {"value": one})
        return super().clean(value)


class SpellField(forms.ModelChoiceField):
    """A role held or a time in a crew, told apart by its first day."""

    def label_from_instance(self, row: RoleHeld | CrewMembership) -> str:
        """Name the role or the crew, and its first day."""
        what = ROLE_WORDS[Role(row.role)] if isinstance(row, RoleHeld) else row.crew.name
        return gettext("%(what)s, from %(day)s") % {"what": what, "day": date_format(row.from_on)}


class SearchForm(forms.Form):
    """A name or a part of one."""

    name = forms.CharField(label=_("Name or user name"), max_length=120, required=False)


class AddForm(forms.Form):
    """A new person."""

    blames = "number"
    name = forms.CharField(
        label=_("Full name"), max_length=120, error_messages={"required": _("Give the full name, as on the card.")}
    )
    username = forms.RegexField(
        r"\A[a-z0-9][a-z0-9._-]*\Z",
        label=_("User name"),
        max_length=60,
        help_text=_("For signing in: small letters, digits, dots and hyphens."),
        error_messages={
            "required": _("Give a user name, such as a.smith."),
            "invalid": _("Use small letters, digits, dots and hyphens only, such as a.smith."),
        },
    )
    number = forms.CharField(
        label=_("Employer’s number (optional)"),
        max_length=40,
        required=False,
        help_text=_("It tells two people of one name apart."),
    )
    email = forms.EmailField(
        label=_("E-mail (optional)"),
        required=False,
        error_messages={"invalid": _("Give the address in full, such as a.smith@example.org, or leave it out.")},
    )

    def __init__(
        self, *args: Any, employers: QuerySet[Employer], crews: QuerySet[Crew], roles: Iterable[Role], **kwargs: Any
    ) -> None:
        super().__init__(*args, **kwargs)
        self.fields["employer"] = forms.ModelChoiceField(
            employers,
            label=_("Employer"),
            initial=employers.first() if employers.count() == 1 else None,
            empty_label=_("Choose an employer"),
            error_messages={
                "required": _("Choose an employer."),
                "invalid_choice": _("Choose one of the employers in the list."),
            },
        )
        self.fields["role"] = RoleField(roles, initial=Role.CREW)
        self.fields["crew"] = CrewField(crews, label=_("Crew (optional)"), required=False)

    def clean_username(self) -> str:
        """Refuse a user name that somebody has, here or at another employer."""
        username = str(self.cleaned_data["username"])
        if Person.objects.filter(username=username).exists():
            raise ValidationError(gettext("Somebody has this user name already. Give another one."))
        return username

    def clean(self) -> dict[str, Any]:
        """Ask for a number where somebody of that name is there: else one person would get two records by a slip."""
        typed = self.cleaned_data
        there = Person.objects.filter(employer=typed.get("employer"), folded=folded(typed.get("name", "")))
        if typed.get("employer") and typed.get("name") and not typed.get("number") and there.exists():
            says = gettext("There is a %(name)s at this employer already. If this is somebody else, give the number.")
            self.add_error("number", says % {"name": typed["name"]})
        return typed


class CrewField(forms.ModelChoiceField):
    """A crew, told apart by its employer."""

    def __init__(self, crews: QuerySet[Crew], **kwargs: Any) -> None:
        errors = {"required": _("Choose a crew."), "invalid_choice": _("Choose one of the crews in the list.")}
        super().__init__(crews, **{"empty_label": _("Choose a crew"), "error_messages": errors} | kwargs)

    def label_from_instance(self, crew: Crew) -> str:
        """Name the employer and the crew."""
        return f"{crew.employer}: {crew.name}"


class ChangeForm(forms.Form):
    """One change to a person; `act` tells the forms of a page apart, `blames` is the field that the rows can refuse."""

    act: ClassVar[str]
    done: ClassVar[str]
    blames: ClassVar[str | None] = None

    def clean_until_on(self) -> date | None:
        """Refuse a last day before the first, where both are asked for."""
        first, last = self.cleaned_data.get("from_on"), self.cleaned_data["until_on"]
        if first and last and last < first:
            raise ValidationError(_("Give a last day that is not before the first."))
        return last


class GiveRoleForm(ChangeForm):
    """A role with its days."""

    act = "give_role"
    done = _("The role is given.")

    def __init__(self, *args: Any, roles: Iterable[Role], on: date, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.fields["role"] = RoleField(roles)
        self.fields["from_on"] = DayField(label=_("First day"), initial=on)
        self.fields["until_on"] = DayField(label=_("Last day (optional)"), required=False)


class EndRoleForm(ChangeForm):
    """The last day of a role."""

    act = "end_role"
    done = _("The role has its last day.")

    def __init__(self, *args: Any, held: QuerySet[RoleHeld], on: date, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        errors = {
            "required": _("Choose the role that ends."),
            "invalid_choice": _("Choose one of the roles in the list."),
        }
        self.fields["held"] = SpellField(held, label=_("Role"), empty_label=_("Choose a role"), error_messages=errors)
        self.fields["until_on"] = DayField(label=_("Last day"), initial=on)


class JoinCrewForm(ChangeForm):
    """A crew with the days in it."""

    act = "join_crew"
    done = _("The person is in the crew.")

    def __init__(self, *args: Any, crews: QuerySet[Crew], on: date, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.fields["crew"] = CrewField(crews, label=_("Crew"))
        self.fields["from_on"] = DayField(label=_("First day"), initial=on)
        self.fields["until_on"] = DayField(label=_("Last day (optional)"), required=False)


class LeaveCrewForm(ChangeForm):
    """The last day in a crew."""

    act, blames = "leave_crew", "until_on"
    done = _("The time in the crew has its last day.")

    def __init__(self, *args: Any, memberships: QuerySet[CrewMembership], on: date, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        errors = {
            "required": _("Choose the crew to leave."),
            "invalid_choice": _("Choose one of the crews in the list."),
        }
        self.fields["membership"] = SpellField(
            memberships, label=_("Crew"), empty_label=_("Choose a crew"), error_messages=errors
        )
        self.fields["until_on"] = DayField(label=_("Last day"), initial=on)


class EmployerField(forms.ModelChoiceField):
    """One of the employers this administrator keeps."""

    def __init__(self, employers: QuerySet[Employer]) -> None:
        errors = {
            "required": _("Choose an employer."),
            "invalid_choice": _("Choose one of the employers in the list."),
        }
        super().__init__(employers, label=_("Employer"), empty_label=_("Choose an employer"), error_messages=errors)


class FactsForm(ChangeForm):
    """Name, number and address, corrected."""

    act, blames = "put_right", "number"
    done = _("Kept. A card that was printed before keeps the old name: print it again if the name has changed.")

    name = forms.CharField(
        label=_("Full name"), max_length=120, error_messages={"required": _("Give the full name, as on the card.")}
    )
    number = forms.CharField(label=_("Employer’s number (optional)"), max_length=40, required=False)
    email = forms.EmailField(
        label=_("E-mail (optional)"),
        help_text=_("Without an address the person gets no mail about cards, visits and sign-ins."),
        max_length=254,
        required=False,
        error_messages={"invalid": _("Give the address in full, such as a.smith@example.org, or leave it out.")},
    )


class MoveForm(ChangeForm):
    """Another employer."""

    act, blames = "move", "number"
    done = _("The person works for the new employer from now on.")

    number = forms.CharField(label=_("Number there (optional)"), max_length=40, required=False)
    field_order = ("employer", "number")

    def __init__(self, *args: Any, employers: QuerySet[Employer], **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.fields["employer"] = EmployerField(employers)
        self.order_fields(self.field_order)


class CloseForm(ChangeForm):
    """The account closed."""

    act = "close"
    done = _("The account is closed: this person can no longer sign in.")


class OpenForm(ChangeForm):
    """The account open again."""

    act = "open"
    done = _("The account is open: this person can sign in again.")


class LanguageForm(ChangeForm):
    """The language of cards and mails."""

    act = "language"
    done = _("The language is kept, for the next mail and the next print of a card.")

    language = forms.ChoiceField(
        label=_("Language of cards and mails"),
        help_text=_("With none chosen, a card comes in the language of its scheme and a mail in English."),
        choices=[("", _("None chosen")), *LANGUAGES.items()],
        required=False,
        error_messages={"invalid_choice": _("Choose one of the languages in the list.")},
    )


class InviteForm(ChangeForm):
    """A link to a first or a new password."""

    act = "invite"
    done = _("The link is made.")

    def __init__(self, *args: Any, person: Person, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        choices = [(one.value, PURPOSE_WORDS[one]) for one in purposes(has_password=person.has_usable_password())]
        self.fields["purpose"] = forms.TypedChoiceField(
            label=_("The link is for"),
            choices=choices,
            coerce=Purpose,
            initial=choices[0][0],
            widget=forms.RadioSelect,
            error_messages={"required": _("Say what the link is for."), "invalid_choice": _("Choose one in the list.")},
        )
        self.fields["checked"] = forms.TypedChoiceField(
            label=_("How do you know who is asking?"),
            choices=[(one.value, words) for one, words in CHECK_WORDS.items()],
            coerce=IdentityCheck,
            widget=forms.RadioSelect,
            help_text=_("It goes into the ledger with your name. Whoever has the link can sign in as this person."),
            error_messages={
                "required": _("Say how you made sure who is asking."),
                "invalid_choice": _("Choose one in the list."),
            },
        )
        if person.email:
            label = format_lazy(_("Send it to {address} as well"), address=person.email)
            self.fields["by_mail"] = forms.BooleanField(label=label, required=False)


class RevokeForm(ChangeForm):
    """An open link taken back."""

    act = "revoke"
    done = _("The link is taken back. It leads nowhere now.")


class StartForm(forms.Form):
    """A password of one's own, by a link."""

    password = forms.CharField(
        label=_("Your password"),
        strip=False,
        widget=forms.PasswordInput(attrs={"autocomplete": "new-password"}),
        help_text=_("Fifteen letters or more. A few words in a row, with spaces, are easy to remember."),
        error_messages={"required": _("Type a password.")},
    )
    again = forms.CharField(
        label=_("The same once more"),
        strip=False,
        widget=forms.PasswordInput(attrs={"autocomplete": "new-password"}),
        error_messages={"required": _("Type it once more, so that a slip shows.")},
    )

    def __init__(self, *args: Any, person: Person, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.person = person

    def clean_password(self) -> str:
        """Refuse what is easy to guess, with the reason."""
        password: str = self.cleaned_data["password"]
        validate_password(password, self.person)
        return password

    def clean(self) -> None:
        """Refuse two that differ."""
        first, second = self.cleaned_data.get("password"), self.cleaned_data.get("again")
        if first and second and first != second:
            self.add_error("again", _("The two are not the same. Type the second once more."))


def change_forms(
    data: Mapping[str, Any] | None,
    *,
    person: Person,
    roles: Iterable[Role],
    held: QuerySet[RoleHeld],
    crews: QuerySet[Crew],
    memberships: QuerySet[CrewMembership],
    employers: QuerySet[Employer],
    on: date,
    language: str,
) -> dict[str, ChangeForm]:
    """Return every form of a person's page by its act; only the one that was sent is bound."""
    roles = tuple(roles)

    def made(form: type[ChangeForm], **kwargs: Any) -> ChangeForm:
        sent = data if data and data.get("act") == form.act else None
        return form(sent, prefix=form.act, **kwargs)

    every = [
        made(GiveRoleForm, roles=roles, on=on),
        made(EndRoleForm, held=held.filter(role__in=roles), on=on),
        made(JoinCrewForm, crews=crews.select_related("employer"), on=on),
        made(LeaveCrewForm, memberships=memberships, on=on),
        made(FactsForm, initial={"name": person.name, "number": person.number, "email": person.email}),
        made(MoveForm, employers=employers),
        made(CloseForm),
        made(OpenForm),
        made(InviteForm, person=person),
        made(RevokeForm),
        made(LanguageForm, initial={"language": language}),
    ]
    return {form.act: form for form in every}


class EmployerForm(forms.Form):
    """A new employer."""

    act, blames = "add_employer", "name"
    done = _("The employer is added.")

    name = forms.CharField(
        label=_("Name of the employer"), max_length=120, error_messages={"required": _("Give the name.")}
    )
    zone = forms.CharField(
        label=_("Time zone"),
        max_length=64,
        initial="Europe/London",
        help_text=_("By its full name, such as Europe/London. A day ends when it ends there."),
        error_messages={"required": _("Give the time zone, such as Europe/London.")},
    )

    def clean_name(self) -> str:
        """Refuse a name that is taken."""
        return free(str(self.cleaned_data["name"]), Employer.objects.all())


def free(name: str, others: QuerySet[Employer]) -> str:
    """Return the name of an employer, unless one of these others has it."""
    if others.filter(name=name).exists():
        raise ValidationError(gettext("There is an employer of that name already. Give another one."))
    return name


class SiteField(forms.ModelChoiceField):
    """A site, told apart by its employer; none where it is not known."""

    def __init__(self, sites: QuerySet[Site]) -> None:
        super().__init__(
            sites,
            label=_("Site (optional)"),
            required=False,
            empty_label=_("No site"),
            error_messages={"invalid_choice": _("Choose one of the sites in the list.")},
        )

    def label_from_instance(self, site: Site) -> str:
        """Name the employer and the site."""
        return f"{site.employer}: {site.name}"


class SiteForm(forms.Form):
    """A new site."""

    act, blames = "add_site", "name"
    done = _("The site is added.")

    name = forms.CharField(
        label=_("Name of the site"),
        max_length=80,
        help_text=_("A place of work from which crews go out, such as a depot."),
        error_messages={"required": _("Give the name.")},
    )
    field_order = ("employer", "name")

    def __init__(self, *args: Any, employers: QuerySet[Employer], **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.fields["employer"] = EmployerField(employers)
        self.order_fields(self.field_order)


class CrewForm(forms.Form):
    """A new crew."""

    act, blames = "add_crew", "name"
    done = _("The crew is added.")

    name = forms.CharField(label=_("Name of the crew"), max_length=80, error_messages={"required": _("Give the name.")})
    field_order = ("employer", "name", "site")

    def __init__(self, *args: Any, employers: QuerySet[Employer], sites: QuerySet[Site], **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.fields["employer"] = EmployerField(employers)
        self.fields["site"] = SiteField(sites)
        self.order_fields(self.field_order)


class PlaceForm(forms.Form):
    """The site a crew goes out from."""

    act, blames = "place_crew", "site"
    done = _("The crew has its site.")

    def __init__(self, *args: Any, crews: QuerySet[Crew], sites: QuerySet[Site], **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.fields["crew"] = CrewField(crews, label=_("Crew"))
        self.fields["site"] = SiteField(sites)


class RenameForm(forms.Form):
    """Another name for an employer, a site or a crew, filled in with that of today."""

    act, blames = "rename", "name"
    done = _("The new name is kept.")

    def __init__(self, *args: Any, place: Employer | Site | Crew, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.place = place
        self.fields["name"] = forms.CharField(
            label=_("Name"),
            max_length=place._meta.get_field("name").max_length,
            initial=place.name,
            error_messages={"required": _("Give the name.")},
        )

    def clean_name(self) -> str:
        """Refuse the name of another employer; of sites and crews the rows say so."""
        name = str(self.cleaned_data["name"])
        return free(name, Employer.objects.exclude(pk=self.place.pk)) if isinstance(self.place, Employer) else name


class UseForm(forms.Form):
    """A site or a crew put out of use, or in use again: the button says which."""

    act, blames = "use", None
    done = _("Kept. What is on record stays as it was.")

    used = forms.BooleanField(widget=forms.HiddenInput, required=False)


def changes_of(data: Mapping[str, Any] | None, place: Employer | Site | Crew) -> dict[str, RenameForm | UseForm]:
    """Return the forms of the page of a place by their act; only the one that was sent is bound."""
    act = data.get("act") if data else None
    rename = RenameForm(data if act == RenameForm.act else None, place=place)
    return {"rename": rename, "use": UseForm(data if act == UseForm.act else None)}


def place_forms(
    data: Mapping[str, Any] | None,
    *,
    employers: QuerySet[Employer],
    sites: QuerySet[Site],
    crews: QuerySet[Crew],
    across: bool,
) -> dict[str, forms.Form]:
    """Return every form of the page of employers by its act; only the one that was sent is bound."""

    def sent(act: str) -> Mapping[str, Any] | None:
        return data if data and data.get("act") == act else None

    made: dict[str, forms.Form] = {
        "add_crew": CrewForm(sent("add_crew"), prefix="crew", employers=employers, sites=sites),
        "add_site": SiteForm(sent("add_site"), prefix="site", employers=employers),
        "place_crew": PlaceForm(sent("place_crew"), prefix="place", crews=crews, sites=sites),
    }
    return made | ({"add_employer": EmployerForm(sent("add_employer"), prefix="employer")} if across else {})
