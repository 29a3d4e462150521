"""The words of procedures by their slugs."""

from collections.abc import Collection

from training.procedures.models import Revision


def titles_of(modules: Collection[str]) -> dict[str, str]:
    """Return the titles of modules by slug, and of their steps by `module.step`, as the latest revision has them."""
    titles: dict[str, str] = {}
    for revision in Revision.objects.select_related("module").filter(module__slug__in=modules).order_by("number"):
        slug = revision.module.slug
        titles[slug] = revision.title
        titles |= {f"{slug}.{step['slug']}": step["title"] for step in revision.body.get("steps", ())}
    return titles
