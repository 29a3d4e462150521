"""The site's own beginning, and the employers and crews that people belong to."""

import secrets
from collections.abc import Mapping
from datetime import date, datetime
from typing import TypeVar

from django.db import transaction
from django.utils.text import slugify
from django.utils.translation import gettext_lazy as _

from training.ledger.operations import write
from training.people import rules
from training.people.models import Crew, Employer, Person, RoleHeld, Site
from training.people.operations.accounts import NotTheirs, NotUsed, Refused, check_reach
from training.people.queries import crews_from, people_in, roles_on
from training.people.rules import Role

Named = TypeVar("Named", Employer, Site, Crew)
Place = TypeVar("Place", Site, Crew)


class AlreadyFounded(Refused):
    """The site has its certification body."""

    def __init__(self) -> None:
        super().__init__(_("This site has its certification body already. Its administrator adds people."))


class StillUsed(Refused):
    """Somebody is in the crew, or a crew goes out from the site."""

    def __init__(self, place: Site | Crew) -> None:
        crew = _("People are in this crew, now or later. Set their last day in it first: yesterday ends it now.")
        site = _("Crews in use go out from this site. Give them another site, or put them out of use first.")
        super().__init__(crew if isinstance(place, Crew) else site)


class SiteNotUsed(Refused):
    """A crew would come back into use at a site that is out of it."""

    def __init__(self) -> None:
        super().__init__(_("The site of this crew is out of use. Put the site in use again first."))


class OtherSite(Refused):
    """A crew goes out from a site of its own employer only."""

    def __init__(self) -> None:
        super().__init__({"site": _("Choose a site of the crew's own employer.")})


@transaction.atomic
def found(
    *, body: str, zone: str, username: str, name: str, on: date, at: datetime, slug: str = ""
) -> tuple[Person, str]:
    """Make the certification body and its first administrator; return them and a password kept nowhere.

    Nobody can sign in before this, so it is the one act without a person who asks. Raises AlreadyFounded.
    """
    if Employer.objects.filter(is_body=True).exists():
        raise AlreadyFounded
    employer = Employer(name=body, slug=slug or slugify(body) or "body", zone=zone, is_body=True)
    employer.full_clean()
    employer.save()
    phrase = rules.pass_phrase(secrets.choice)
    person = Person(username=username, name=name, employer=employer)
    person.set_password(phrase)
    person.full_clean()
    person.save()
    RoleHeld.objects.create(person=person, role=Role.ADMINISTRATOR, from_on=on)
    write(by=person.pk, act="site founded", about={"employer": employer.pk, "person": person.pk}, at=at)
    return person, phrase


@transaction.atomic
def add_employer(*, by: Person, name: str, zone: str, on: date, at: datetime, slug: str = "") -> Employer:
    """Add an employer. Raises NotTheirs for anyone but an administrator of the body, ValidationError for bad facts."""
    _check_body(by, on)
    # A name in another script leaves nothing to make a slug of.
    employer = Employer(name=name, slug=slug or slugify(name) or f"employer-{secrets.token_hex(4)}", zone=zone)
    employer.full_clean()
    employer.save()
    write(by=by.pk, act="employer added", about={"employer": employer.pk}, at=at)
    return employer


@transaction.atomic
def add_site(*, by: Person, employer: Employer, name: str, on: date, at: datetime) -> Site:
    """Add a site to an employer whose accounts this administrator keeps. Raises NotTheirs or ValidationError."""
    check_reach(by, employer, on=on)
    site = Site(employer=employer, name=name)
    site.full_clean()
    site.save()
    write(by=by.pk, act="site added", about={"site": site.pk, "employer": employer.pk}, at=at)
    return site


@transaction.atomic
def add_crew(*, by: Person, employer: Employer, name: str, on: date, at: datetime, site: Site | None = None) -> Crew:
    """Add a crew to an employer whose accounts this administrator keeps.

    Raises NotTheirs, OtherSite, or ValidationError.
    """
    check_reach(by, employer, on=on)
    _check_site(employer, site)
    crew = Crew(employer=employer, name=name, site=site)
    crew.full_clean()
    crew.save()
    write(by=by.pk, act="crew added", about=_about(crew), at=at)
    return crew


@transaction.atomic
def place_crew(*, by: Person, crew: Crew, site: Site | None, on: date, at: datetime) -> Crew:
    """Say from which site a crew goes out, or that none is known. Raises NotTheirs or OtherSite."""
    check_reach(by, crew.employer, on=on)
    _check_site(crew.employer, site)
    crew.site = site
    crew.save(update_fields=["site"])
    write(by=by.pk, act="crew placed", about=_about(crew), at=at)
    return crew


@transaction.atomic
def rename_employer(*, by: Person, employer: Employer, name: str, on: date, at: datetime) -> Employer:
    """Give an employer another name; its address on this site stays. Raises as `add_employer`."""
    _check_body(by, on)
    employer = Employer.objects.select_for_update().get(pk=employer.pk)
    return _renamed(employer, name, by=by, act="employer renamed", about={"employer": employer.pk}, at=at)


@transaction.atomic
def rename_site(*, by: Person, site: Site, name: str, on: date, at: datetime) -> Site:
    """Give a site another name. Raises NotTheirs or ValidationError."""
    check_reach(by, site.employer, on=on)
    site = Site.objects.select_for_update().get(pk=site.pk)
    about = {"site": site.pk, "employer": site.employer_id}
    return _renamed(site, name, by=by, act="site renamed", about=about, at=at)


@transaction.atomic
def rename_crew(*, by: Person, crew: Crew, name: str, on: date, at: datetime) -> Crew:
    """Give a crew another name. Raises NotTheirs or ValidationError."""
    check_reach(by, crew.employer, on=on)
    crew = Crew.objects.select_for_update().get(pk=crew.pk)
    return _renamed(crew, name, by=by, act="crew renamed", about=_about(crew), at=at)


@transaction.atomic
def use_crew(*, by: Person, crew: Crew, used: bool, on: date, at: datetime) -> Crew:
    """Put a crew out of use, or in use again. Raises NotTheirs, StillUsed or SiteNotUsed."""
    check_reach(by, crew.employer, on=on)
    # A roster that puts people into the crew holds its employer.
    Employer.objects.select_for_update(no_key=True).get(pk=crew.employer_id)
    crew = Crew.objects.select_for_update().get(pk=crew.pk)
    if used and crew.site is not None and not crew.site.is_used:
        raise SiteNotUsed
    if not used and people_in(crew, on=on).exists():
        raise StillUsed(crew)
    facts = {"by": by, "about": _about(crew), "at": at}
    return _used(crew, used, act="crew put in use again" if used else "crew put out of use", **facts)


@transaction.atomic
def use_site(*, by: Person, site: Site, used: bool, on: date, at: datetime) -> Site:
    """Put a site out of use, or in use again. Raises NotTheirs or StillUsed."""
    check_reach(by, site.employer, on=on)
    site = Site.objects.select_for_update().get(pk=site.pk)
    if not used and crews_from(site).exists():
        raise StillUsed(site)
    facts = {"by": by, "about": {"site": site.pk, "employer": site.employer_id}, "at": at}
    return _used(site, used, act="site put in use again" if used else "site put out of use", **facts)


def _used(place: Place, used: bool, *, act: str, by: Person, about: Mapping[str, object], at: datetime) -> Place:
    """Keep whether a place is in use; pressed twice it is one act."""
    if place.is_used != used:
        place.is_used = used
        place.save(update_fields=["is_used"])
        write(by=by.pk, act=act, about=about, at=at)
    return place


def _renamed(place: Named, name: str, *, by: Person, act: str, about: Mapping[str, object], at: datetime) -> Named:
    """Keep another name; the ledger holds none, for a crew may be called after somebody."""
    if place.name != name:
        place.name = name
        place.full_clean()
        place.save(update_fields=["name"])
        write(by=by.pk, act=act, about=about, at=at)
    return place


def _check_body(by: Person, on: date) -> None:
    """Refuse anyone but an administrator of the body."""
    if not (by.employer.is_body and Role.ADMINISTRATOR in roles_on(by, on=on)):
        raise NotTheirs


def _check_site(employer: Employer, site: Site | None) -> None:
    if site is None:
        return
    if site.employer_id != employer.pk:
        raise OtherSite
    if not Site.objects.select_for_update().get(pk=site.pk).is_used:
        raise NotUsed("site")


def _about(crew: Crew) -> dict[str, int | None]:
    return {"crew": crew.pk, "employer": crew.employer_id, "site": crew.site_id}
