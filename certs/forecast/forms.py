"""What a forecast may be asked."""

from typing import Any

from certs.board.forms import BoardForm, choices_of
from training.people.access import Viewer


class ForecastForm(BoardForm):
    """A first day, an employer, a site, a crew and a scheme, as the board asks for them."""

    name = standing = within = None  # type: ignore[assignment]


def forecast_form(asked: Any, viewer: Viewer) -> ForecastForm:
    """Return the form of this viewer with what is asked."""
    return ForecastForm(asked, **choices_of(viewer))
