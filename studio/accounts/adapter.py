"""How allauth behaves here: nobody signs up, letters hold nobody up, secrets are sealed."""

import base64
import logging
from hashlib import sha256
from threading import Thread

from allauth.account.adapter import DefaultAccountAdapter
from allauth.core import context as asked
from allauth.core import ratelimit
from allauth.core.exceptions import ImmediateHttpResponse
from allauth.mfa.adapter import DefaultMFAAdapter
from allauth.mfa.models import Authenticator
from cryptography.fernet import Fernet, MultiFernet
from django.conf import settings
from django.core.exceptions import ValidationError

from studio.accounts.access import STAFF
from studio.accounts.models import Membership
from studio.accounts.sessions import browser

log = logging.getLogger(__name__)
SECOND_FACTORS = [Authenticator.Type.TOTP, Authenticator.Type.WEBAUTHN]
OFTEN = "too_many_login_attempts"
AGAIN = {
    "reauthenticate": "With your password",
    "mfa_reauthenticate": "With a code",
    "mfa_reauthenticate:webauthn": "With your passkey",
}


class InvitedOnly(DefaultAccountAdapter):
    """Nobody signs up: seats are given by invitation."""

    error_messages = DefaultAccountAdapter.error_messages | {
        "cannot_remove_primary_email": "This is your main address. Choose another first.",
        "duplicate_email": "You have this address already.",
        "email_password_mismatch": "Address and password do not belong together. Look at both "
        "again, or have a code sent to you.",
        "enter_current_password": "This is not the password you have now.",
        "incorrect_code": "This is not the code.",
        "incorrect_password": "This is not your password.",
        "rate_limited": "That was too often. Wait a few minutes, then try again.",
        OFTEN: "That was wrong too often. Wait five minutes, then try again.",
    }

    def is_open_for_signup(self, request):
        """Never."""
        return False

    def pre_authenticate(self, request, **credentials):
        """Count wrong passwords by where they come from and whose they are, known or not."""
        count = super().pre_authenticate
        self.unless_too_often(lambda: count(request, **credentials))

    def unless_too_often(self, step):
        """Return what `step` does; if it finds that it was done too often, the page for that."""
        try:
            return step()
        except ValidationError as error:
            if error.code != OFTEN:
                raise
            raise ImmediateHttpResponse(ratelimit.respond_429(asked.request)) from error

    def authenticate(self, request, **credentials):
        """Return the user, unless their account is closed: then it is as if there were none."""
        user = super().authenticate(request, **credentials)
        return user if user and user.is_active else None

    def get_reauthentication_methods(self, user):
        """Name the ways to show once more that it is you."""
        ways = super().get_reauthentication_methods(user)
        return [way | {"description": AGAIN[way["id"]]} for way in ways]

    def send_notification_mail(self, template_prefix, user, context=None, email=None):
        """Tell the owner of an account what was changed, and from which browser."""
        where = {"browser": browser(self.get_http_user_agent(self.request))}
        super().send_notification_mail(template_prefix, user, where | (context or {}), email)

    def send_mail(self, template_prefix, email, context):
        """Hand a letter over and go on: how long a mail server takes must not tell who is known."""
        letter = self.render_mail(template_prefix, email, context)
        if settings.MAIL_IN_BACKGROUND:
            Thread(target=_send, args=(letter,)).start()
        else:
            _send(letter)


def _send(letter):
    try:
        letter.send()
    except OSError:
        log.exception("A letter could not be sent")


class TwoFactors(DefaultMFAAdapter):
    """The secrets of second factors are sealed: the database alone gives none away."""

    error_messages = DefaultMFAAdapter.error_messages | {
        "cannot_delete_authenticator": "It stays: your studio asks for a second factor, and this "
        "is your only one. Add another first.",
        "cannot_generate_recovery_codes": "Add an app or a passkey first.",
        "incorrect_code": "This is not the code. Wait for the next one, then type that.",
    }

    def encrypt(self, text):
        """Seal a secret with the site's key."""
        return _seal().encrypt(text.encode()).decode()

    def decrypt(self, encrypted_text):
        """Open it again, also where the site's key was changed since and the old one is known."""
        return _seal().decrypt(encrypted_text.encode()).decode()

    def can_delete_authenticator(self, authenticator):
        """Keep the last second factor of whoever sits where one is asked for."""
        user = authenticator.user_id
        asked = Membership.objects.filter(user=user, role__in=STAFF, studio__two_factor=True)
        others = Authenticator.objects.filter(user=user, type__in=SECOND_FACTORS)
        return others.exclude(pk=authenticator.pk).exists() or not asked.exists()

    def generate_authenticator_name(self, user, type):
        """Call passkeys by number until somebody names them."""
        return f"Passkey {Authenticator.objects.filter(user=user, type=type).count() + 1}"

    def get_public_key_credential_rp_entity(self):
        """Say to the device what the passkey is for."""
        return super().get_public_key_credential_rp_entity() | {"name": settings.MFA_TOTP_ISSUER}


def _seal():
    keys = [settings.SECRET_KEY, *settings.SECRET_KEY_FALLBACKS]
    return MultiFernet([Fernet(_key(secret)) for secret in keys])


def _key(secret):
    return base64.urlsafe_b64encode(sha256(b"second factors" + secret.encode()).digest())
