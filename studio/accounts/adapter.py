"""How allauth behaves here: nobody signs up, letters hold nobody up, secrets are sealed."""

import base64
import logging
from hashlib import sha256
from threading import Thread

from allauth.account.adapter import DefaultAccountAdapter
from allauth.mfa.adapter import DefaultMFAAdapter
from cryptography.fernet import Fernet, MultiFernet
from django.conf import settings

log = logging.getLogger(__name__)


class InvitedOnly(DefaultAccountAdapter):
    """Nobody signs up: seats are given by invitation."""

    def is_open_for_signup(self, request):
        """Never."""
        return False

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

    def encrypt(self, text):
        """Seal a secret with the site's key."""
        return _seal().encrypt(text.encode()).decode()

    def decrypt(self, encrypted_text):
        """Open it again, also where the site's key was changed since and the old one is known."""
        return _seal().decrypt(encrypted_text.encode()).decode()


def _seal():
    keys = [settings.SECRET_KEY, *settings.SECRET_KEY_FALLBACKS]
    return MultiFernet([Fernet(_key(secret)) for secret in keys])


def _key(secret):
    return base64.urlsafe_b64encode(sha256(b"second factors" + secret.encode()).digest())
