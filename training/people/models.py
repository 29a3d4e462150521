"""Employers, crews, people, and the dated rows that join them."""

from datetime import date, datetime
from typing import Any, ClassVar
from zoneinfo import available_timezones

from django.conf import settings
from django.contrib.auth.base_user import AbstractBaseUser, BaseUserManager
from django.core.exceptions import ValidationError
from django.db import models
from django.db.models import F, Q
from django.utils.translation import gettext_lazy as _

from training.people import rules
from training.people.rules import LANGUAGES, IdentityCheck, Purpose, Role, folded

ROLE_WORDS = {
    Role.CREW: _("crew member"),
    Role.TRAINER: _("trainer"),
    Role.SUPERVISOR: _("supervisor"),
    Role.ADMINISTRATOR: _("administrator"),
}


def known_zone(name: str) -> None:
    """Refuse a time zone that the zone database does not list."""
    if name not in available_timezones():
        raise ValidationError(_("Give a time zone by its full name, such as Europe/London."))


class DatedQuerySet(models.QuerySet):  # type: ignore[type-arg]
    """Rows that hold from one day until another."""

    def in_force_on(self, on: date) -> "DatedQuerySet":
        """Keep the rows that hold on a day, both end days included."""
        return self.filter(Q(until_on__isnull=True) | Q(until_on__gte=on), from_on__lte=on)


class Dated(models.Model):
    """First and last day on which a row holds; no last day means until further notice."""

    from_on = models.DateField(_("from"))
    until_on = models.DateField(_("until"), null=True, blank=True)

    objects = DatedQuerySet.as_manager()

    class Meta:
        abstract = True
        constraints: ClassVar = [
            models.CheckConstraint(
                condition=Q(until_on__isnull=True) | Q(until_on__gte=F("from_on")),
                name="%(app_label)s_%(class)s_ends_after_it_starts",
                violation_error_message=_("Give a last day that is not before the first."),
            )
        ]


class Like(models.Lookup):  # type: ignore[type-arg]
    """A text of the shape of a pattern, in which `%` stands for any characters and `_` for any one."""

    lookup_name = "like"

    def as_sql(self, compiler: Any, connection: Any) -> Any:
        """Write it as both databases know it."""
        left, left_values = self.process_lhs(compiler, connection)
        right, right_values = self.process_rhs(compiler, connection)
        return f"{left} LIKE {right}", (*left_values, *right_values)


models.CharField.register_lookup(Like)


class Employer(models.Model):
    """A company whose people hold cards, or the certification body itself."""

    name = models.CharField(_("name"), max_length=120, unique=True)
    slug = models.SlugField(unique=True)
    zone = models.CharField(_("time zone"), max_length=64, validators=[known_zone])
    is_body = models.BooleanField(_("runs this site"), default=False)

    class Meta:
        constraints: ClassVar = [
            models.UniqueConstraint(
                fields=["is_body"],
                condition=Q(is_body=True),
                name="training_employer_one_body",
                violation_error_message=_("Only one certification body can run this site."),
            )
        ]

    def __str__(self) -> str:
        return self.name


class PersonManager(BaseUserManager["Person"]):
    """Creates people with a hashed password."""

    def create_user(self, username: str, password: str | None = None, **fields: object) -> "Person":
        """Save a person; without a password the account cannot be signed in to."""
        person = self.model(username=username, **fields)
        person.set_password(password)
        person.save(using=self._db)
        return person


class Person(AbstractBaseUser):
    """Anyone with an account: belongs to one employer, works in any number of crews."""

    username = models.CharField(_("user name"), max_length=60, unique=True)
    name = models.CharField(_("full name"), max_length=120)
    # The name as searches compare it.
    folded = models.CharField(max_length=400, blank=True, editable=False)
    email = models.EmailField(_("e-mail"), blank=True)
    employer = models.ForeignKey(Employer, models.PROTECT, related_name="people")
    # The employer's own number tells two people of one name apart.
    number = models.CharField(_("employer's number"), max_length=40, blank=True)
    is_active = models.BooleanField(_("may sign in"), default=True)
    # Of cards and mails; left empty, a card is in the language of its scheme and a mail in that of the site.
    language = models.CharField(_("language"), max_length=8, blank=True)
    # Part of what a session is bound to: adding one ends them all.
    sessions_ended = models.PositiveIntegerField(default=0, editable=False)

    objects: ClassVar[PersonManager] = PersonManager()  # type: ignore[misc]

    USERNAME_FIELD = "username"
    EMAIL_FIELD = "email"
    REQUIRED_FIELDS: ClassVar[list[str]] = []

    class Meta:
        # Long lists are paged by name and number, of one employer or of all.
        indexes: ClassVar = [
            models.Index(fields=["employer", "name", "id"], name="training_person_by_employer"),
            models.Index(fields=["name", "id"], name="training_person_by_name"),
            models.Index(fields=["name", "id"], condition=Q(is_active=True), name="training_person_active"),
        ]
        constraints: ClassVar = [
            models.UniqueConstraint(
                fields=["employer", "number"],
                condition=~Q(number=""),
                name="training_person_number_once",
                violation_error_message=_("This employer already has a person of that number."),
            ),
            models.CheckConstraint(
                condition=Q(language__in=["", *LANGUAGES]),
                name="training_person_known_language",
                violation_error_message=_("Choose one of the languages in the list."),
            ),
        ]

    def __str__(self) -> str:
        return self.name

    @property
    def reads(self) -> str:
        """The language of mails to this person."""
        return self.language or str(settings.LANGUAGE_CODE)

    def set_password(self, raw_password: str | None) -> None:
        """Keep the hash of a password; the same letters typed on another keyboard must make the same password."""
        super().set_password(rules.same_everywhere(raw_password) if raw_password is not None else None)

    def check_password(self, raw_password: str) -> bool:
        """Say whether this is the password."""
        return super().check_password(rules.same_everywhere(raw_password))

    def _get_session_auth_hash(self, secret: str | None = None) -> str:
        return f"{super()._get_session_auth_hash(secret=secret)}{self.sessions_ended}"  # type: ignore[misc]

    def save(self, *args: Any, update_fields: Any = None, **more: Any) -> None:
        """Save the name as searches compare it with every change of the name."""
        self.folded = folded(self.name)
        if update_fields is not None and "name" in update_fields:
            update_fields = {*update_fields, "folded"}
        super().save(*args, update_fields=update_fields, **more)


class RoleHeld(Dated):
    """A role a person holds for a time."""

    person = models.ForeignKey(Person, models.CASCADE, related_name="roles_held")
    role = models.CharField(_("role"), max_length=16, choices=[(r.value, w) for r, w in ROLE_WORDS.items()])

    class Meta(Dated.Meta):
        constraints: ClassVar = [
            *Dated.Meta.constraints,
            models.UniqueConstraint(
                fields=["person", "role", "from_on"],
                name="training_roleheld_once_a_day",
                violation_error_message=_("This person already holds that role from that day."),
            ),
            models.CheckConstraint(
                condition=Q(role__in=[role.value for role in Role]),
                name="training_roleheld_known_role",
                violation_error_message=_("Choose one of the roles in the list."),
            ),
        ]

    def __str__(self) -> str:
        return f"{self.person_id} {self.role} {self.from_on}"


class Site(models.Model):
    """A place of work of one employer, such as a depot, from which crews go out."""

    employer = models.ForeignKey(Employer, models.PROTECT, related_name="sites")
    name = models.CharField(_("name"), max_length=80)
    # Out of use it is offered no more; what was keeps it.
    is_used = models.BooleanField(_("in use"), default=True)

    class Meta:
        constraints: ClassVar = [
            models.UniqueConstraint(
                fields=["employer", "name"],
                name="training_site_name_once",
                violation_error_message=_("This employer already has a site of that name."),
            )
        ]

    def __str__(self) -> str:
        return self.name


class Crew(models.Model):
    """A gang of one employer that goes out together, from a site of that employer where one is known."""

    employer = models.ForeignKey(Employer, models.PROTECT, related_name="crews")
    name = models.CharField(_("name"), max_length=80)
    site = models.ForeignKey(Site, models.PROTECT, null=True, blank=True, related_name="crews")
    is_used = models.BooleanField(_("in use"), default=True)

    class Meta:
        constraints: ClassVar = [
            models.UniqueConstraint(
                fields=["employer", "name"],
                name="training_crew_name_once",
                violation_error_message=_("This employer already has a crew of that name."),
            )
        ]

    def __str__(self) -> str:
        return self.name


class CrewMembership(Dated):
    """A person's time in a crew."""

    person = models.ForeignKey(Person, models.CASCADE, related_name="crew_memberships")
    crew = models.ForeignKey(Crew, models.CASCADE, related_name="memberships")

    class Meta(Dated.Meta):
        constraints: ClassVar = [
            *Dated.Meta.constraints,
            models.UniqueConstraint(
                fields=["person", "crew", "from_on"],
                name="training_crewmembership_once_a_day",
                violation_error_message=_("This person already joins that crew on that day."),
            ),
        ]

    def __str__(self) -> str:
        return f"{self.person_id} in {self.crew_id} from {self.from_on}"


PURPOSE_WORDS = {
    Purpose.FIRST: _("the first sign-in"),
    Purpose.FORGOTTEN: _("a lost password"),
    Purpose.FACTOR: _("a lost phone or passkey: password and second factor are set up anew"),
}
CHECK_WORDS = {
    IdentityCheck.KNOWN: _("I know the person, and they asked me face to face"),
    IdentityCheck.DOCUMENT: _("The person showed me a proof of identity with a picture"),
    IdentityCheck.CALLED: _("I called back on the number the employer has on file, and knew the voice"),
    IdentityCheck.SUPERVISOR: _("Their supervisor told me face to face, or by a call I made"),
}


class InvitationQuerySet(models.QuerySet):  # type: ignore[type-arg]
    """Links by which a person comes to a password."""

    def open(self) -> "InvitationQuerySet":
        """Keep those neither used nor taken back; they may be too old all the same."""
        return self.filter(used_at=None, revoked_at=None)


class Invitation(models.Model):
    """A link with which a person sets a password, once. Only its number is in the link, signed."""

    person = models.ForeignKey(Person, models.CASCADE, related_name="invitations")
    purpose = models.CharField(max_length=12, choices=[(one.value, words) for one, words in PURPOSE_WORDS.items()])
    checked = models.CharField(max_length=12, choices=[(one.value, one.value) for one in IdentityCheck])
    made_by = models.ForeignKey(Person, models.PROTECT, related_name="+")
    made_at = models.DateTimeField()
    used_at = models.DateTimeField(null=True, blank=True)
    revoked_at = models.DateTimeField(null=True, blank=True)

    objects = InvitationQuerySet.as_manager()

    class Meta:
        constraints: ClassVar = [
            models.UniqueConstraint(
                fields=["person"],
                condition=Q(used_at=None, revoked_at=None),
                name="training_invitation_one_open",
                violation_error_message=_("This person has an open link. Take it back first."),
            ),
            models.CheckConstraint(
                condition=Q(used_at=None) | Q(revoked_at=None),
                name="training_invitation_used_or_revoked",
                violation_error_message=_("A link that was used cannot be taken back."),
            ),
        ]

    def __str__(self) -> str:
        return f"{self.person_id} {self.purpose} {self.made_at}"

    def is_good(self, *, at: datetime) -> bool:
        """Say whether the link still leads to a password at a moment."""
        return self.used_at is None and self.revoked_at is None and at < rules.link_ends(self.made_at)
