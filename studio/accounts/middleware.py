"""Who is asking: every request carries the asker's seat, and records their changes as one batch."""

from studio.accounts.history import acting
from studio.accounts.models import Membership


def seat(user):
    """Return the user's seat (Membership) with its studio, or None. One query."""
    if not user.is_authenticated:
        return None
    seats = Membership.objects.select_related("studio", "user")
    return seats.filter(user=user).order_by("pk").first()


class WhoMiddleware:
    """Set `request.who` and record all changes of the request as done by its user."""

    def __init__(self, get_response):
        self.get_response = get_response

    def __call__(self, request):
        request.who = seat(request.user)
        with acting(request.user) as request.act:
            return self.get_response(request)
