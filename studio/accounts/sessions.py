"""Where somebody is signed in, in short words; and ending it, elsewhere or everywhere."""

from dataclasses import dataclass
from datetime import datetime

from allauth.account.signals import password_changed, password_reset, password_set
from allauth.usersessions.models import UserSession
from django.contrib.sessions.models import Session
from django.db.models.signals import post_delete, pre_save
from django.dispatch import receiver
from django.utils import timezone

from studio.accounts.models import Membership

# What a browser calls itself, the more special first: nearly all of them say "Safari" too.
BROWSERS = (
    ("Edg", "Edge"),
    ("OPR/", "Opera"),
    ("SamsungBrowser/", "Samsung Internet"),
    ("Firefox/", "Firefox"),
    ("FxiOS/", "Firefox"),
    ("Chrome/", "Chrome"),
    ("CriOS/", "Chrome"),
    ("Safari/", "Safari"),
)
SYSTEMS = (
    ("iPhone", "iPhone"),
    ("iPad", "iPad"),
    ("Android", "Android"),
    ("Windows", "Windows"),
    ("Macintosh", "Mac"),
    ("CrOS", "ChromeOS"),
    ("Linux", "Linux"),
)


@dataclass(frozen=True)
class SignedIn:
    """One browser in which somebody is signed in; here: the one that asks."""

    pk: int
    browser: str
    since: datetime
    here: bool


def browser(agent):
    """Return "Firefox on Linux" from what a browser says of itself."""
    name = next((name for sign, name in BROWSERS if sign in agent), "Another browser")
    system = next((system for sign, system in SYSTEMS if sign in agent), "")
    return f"{name} on {system}" if system else name


def signed_in(request):
    """Return where the asker is signed in, this browser first, then the newest. Two queries."""
    rows = list(_own(request.user).order_by("-created_at"))
    keys = [row.session_key for row in rows]
    live = Session.objects.filter(session_key__in=keys, expire_date__gt=timezone.now())
    live = set(live.values_list("session_key", flat=True))
    here = request.session.session_key
    found = [
        SignedIn(row.pk, browser(row.user_agent), row.created_at, row.session_key == here)
        for row in rows
        if row.session_key in live
    ]
    return sorted(found, key=lambda each: not each.here)


def elsewhere(request):
    """Return the rows of the asker's sessions in other browsers."""
    return _own(request.user).exclude(session_key=request.session.session_key)


def begun(request):
    """Write down a sign-in that went past the sign-in page: by an invitation."""
    UserSession.objects.create_from_request(request)


def _own(user):
    return UserSession.objects.filter(user=user)


@receiver(pre_save, sender=UserSession)
def _from_nowhere(instance, **_):
    """Keep the browser, by which people know their own; not the address they came from."""
    instance.ip = "0.0.0.0"  # noqa: S104


@receiver(post_delete, sender=UserSession)
def _end(instance, **_):
    """End what a row stands for: whoever holds its cookie is signed out at once."""
    Session.objects.filter(session_key=instance.session_key).delete()


@receiver(post_delete, sender=Session)
def _forget(instance, **_):
    """Keep nothing of a session that is over, signed out or run out."""
    UserSession.objects.filter(session_key=instance.session_key).delete()


@receiver(post_delete, sender=Membership)
def _without_a_seat(instance, **_):
    """Whose seat is taken away signs in anew, to what is left."""
    if instance.user_id:
        UserSession.objects.filter(user=instance.user_id).delete()


@receiver([password_changed, password_set])
def _new_password(request, user, **_):
    """A password that somebody else may know opens nothing any more."""
    elsewhere(request).delete()


@receiver(password_reset)
def _found_again(user, **_):
    """Whoever lost their password is signed in nowhere."""
    _own(user).delete()
