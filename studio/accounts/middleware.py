"""Who is asking: every request carries the asker's seat, and records their changes as one batch."""

from allauth.mfa.utils import is_mfa_enabled
from django.contrib.auth.middleware import LoginRequiredMiddleware
from django.contrib.auth.views import redirect_to_login
from django.db import IntegrityError
from django.db.models import Case, Exists, OuterRef, When
from django.shortcuts import redirect, render
from django.urls import reverse
from django.utils import timezone
from django_htmx.http import HttpResponseClientRedirect

from planner.zones import zone
from studio.accounts.adapter import SECOND_FACTORS
from studio.accounts.history import acting
from studio.accounts.meanwhile import Overtaken
from studio.accounts.models import Membership

CHOSEN = "seat"  # of the session: the key of the seat that somebody with several has taken


def seats_of(user):
    """Return the seats (Membership) that somebody may take, with their studios."""
    return Membership.objects.filter(user=user).select_related("studio")


def seat(request):
    """Return the asker's seat with its studio: the one they chose, else their first. One query.

    It has `several`: whether they have others.
    """
    if not request.user.is_authenticated:
        return None
    others = Membership.objects.filter(user=OuterRef("user")).exclude(pk=OuterRef("pk"))
    seats = Membership.objects.select_related("studio__learned_pace", "user")
    chosen = Case(When(pk=request.session.get(CHOSEN, 0), then=0), default=1)
    seats = seats.filter(user=request.user).annotate(several=Exists(others))
    return seats.order_by(chosen, "pk").first()


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
        request.who = seat(request)
        here = zone(request.who.studio.time_zone) if request.who else None
        with timezone.override(here), acting(request.user) as request.act:
            response = self.get_response(request)
        if request.user.is_authenticated:
            response.setdefault("Cache-Control", "private, no-store")
        return response

    def process_exception(self, request, exception):
        """Say that a second click, or somebody else, was quicker by a moment."""
        twice = isinstance(exception, IntegrityError) and "unique" in str(exception).lower()
        if twice or isinstance(exception, Overtaken):
            return render(request, "409.html", status=409)
        return None


class TwoFactorMiddleware:
    """Where a studio asks for two factors, lead its staff to setting them up before all else.

    What is open without signing in stays open.
    """

    OPEN = ("mfa_", "account", "session", "seat_choose")

    def __init__(self, get_response):
        self.get_response = get_response

    def __call__(self, request):
        return self.get_response(request)

    def process_view(self, request, view, args, kwargs):
        """Lead staff without a second factor to the page that adds one."""
        if not getattr(view, "login_required", True) or not _asked(request):
            return None
        page = reverse("mfa_index")
        return HttpResponseClientRedirect(page) if request.htmx else redirect(page)


def _asked(request):
    """Whether the asker has to add a second factor before they go on."""
    if request.who is None or not request.who.needs_two_factors:
        return False
    if (request.resolver_match.url_name or "").startswith(TwoFactorMiddleware.OPEN):
        return False
    return not is_mfa_enabled(request.user, SECOND_FACTORS)
