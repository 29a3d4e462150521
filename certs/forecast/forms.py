"""What a forecast may be asked."""

from typing import Any

from certs.board.forms import BoardForm
from training.people.access import Viewer, crews_seen_by, employers_seen_by


class ForecastForm(BoardForm):
    """A first day, an employer, a crew and a scheme, as the board asks for them."""

    name = standing = within = None  # type: ignore[assignment]


def forecast_form(asked: Any, viewer: Viewer) -> ForecastForm:
    """Return the form of this viewer with what is asked."""
    crews, employers = crews_seen_by(viewer), employers_seen_by(viewer)
    return ForecastForm(asked, crews=crews, employers=employers, across=viewer.across, today=viewer.on)
