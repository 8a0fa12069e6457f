"""Who is asking: every request carries the asker's seat, and records their changes as one batch."""

from django.utils import timezone

from planner.zones import zone
from studio.accounts.history import acting
from studio.accounts.models import Membership


def seat(user):
    """Return the user's seat (Membership) with its studio, or None. One query."""
    if not user.is_authenticated:
        return None
    seats = Membership.objects.select_related("studio", "user")
    return seats.filter(user=user).order_by("pk").first()


class WhoMiddleware:
    """Set `request.who`, show times in the studio's zone, record changes as done by the user."""

    def __init__(self, get_response):
        self.get_response = get_response

    def __call__(self, request):
        request.who = seat(request.user)
        here = zone(request.who.studio.time_zone) if request.who else None
        with timezone.override(here), acting(request.user) as request.act:
            return self.get_response(request)
