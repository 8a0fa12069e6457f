"""Who is asking: every request carries the asker's seat, and records their changes as one batch."""

from allauth.mfa.models import Authenticator
from allauth.mfa.utils import is_mfa_enabled
from django.contrib import messages
from django.contrib.auth.middleware import LoginRequiredMiddleware
from django.contrib.auth.views import redirect_to_login
from django.shortcuts import redirect
from django.utils import timezone
from django_htmx.http import HttpResponseClientRedirect

from planner.zones import zone
from studio.accounts.access import STAFF
from studio.accounts.history import acting
from studio.accounts.models import Membership

SECOND_FACTORS = [Authenticator.Type.TOTP, Authenticator.Type.WEBAUTHN]


def seat(user):
    """Return the user's seat (Membership) with its studio, or None. One query."""
    if not user.is_authenticated:
        return None
    seats = Membership.objects.select_related("studio__learned_pace", "user")
    return seats.filter(user=user).order_by("pk").first()


class SignInMiddleware(LoginRequiredMiddleware):
    """Ask whoever is signed out to sign in, and lead them back to a page, never to an act."""

    def handle_no_permission(self, request, view_func):
        """Lead to the sign-in page, and from there back to the page that was read."""
        login_url = self.get_login_url(view_func)
        if request.htmx:  # a redirect would put the sign-in page into a piece of the page
            here = request.htmx.current_url_abs_path or ""
            return HttpResponseClientRedirect(redirect_to_login(here, login_url).url)
        if request.method not in {"GET", "HEAD"}:
            return redirect(login_url)
        return super().handle_no_permission(request, view_func)


class WhoMiddleware:
    """Set `request.who`, show times in the studio's zone, record changes as done by the user.

    What is shown to somebody signed in is kept nowhere: not on the way, and not in the browser of
    a computer that others use after them.
    """

    def __init__(self, get_response):
        self.get_response = get_response

    def __call__(self, request):
        request.who = seat(request.user)
        here = zone(request.who.studio.time_zone) if request.who else None
        with timezone.override(here), acting(request.user) as request.act:
            response = self.get_response(request)
        if request.user.is_authenticated:
            response.setdefault("Cache-Control", "private, no-store")
        return response


class TwoFactorMiddleware:
    """Where a studio asks for two factors, lead its staff to setting them up before all else."""

    OPEN = ("mfa_", "account_", "usersessions_")

    def __init__(self, get_response):
        self.get_response = get_response

    def __call__(self, request):
        return self.get_response(request)

    def process_view(self, request, view, args, kwargs):
        """Lead staff without a second factor to the page that adds one."""
        who = request.who
        if who is None or who.role not in STAFF or not who.studio.two_factor:
            return None
        name = request.resolver_match.url_name or ""
        if name.startswith(self.OPEN) or is_mfa_enabled(request.user, SECOND_FACTORS):
            return None
        messages.warning(
            request,
            f"{who.studio} asks for a second factor from all who teach here: add an app or a "
            "passkey, then go on.",
        )
        return redirect("mfa_index")
