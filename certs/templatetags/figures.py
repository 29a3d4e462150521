"""Figures in running text."""

from django import template

from training.questions.rounding import printed

register = template.Library()


@register.filter
def minus(figure: object) -> str:
    """Return a figure with a real minus sign, as a hyphen below zero is too easily read over."""
    return printed(str(figure), "")
