"""Take away all second factors of somebody who has lost them, and sign them out everywhere.

Make sure first, by telephone or face to face, that it is they who ask: from then on the password
alone opens their account. Where their studio asks for a second factor, they add a new one at once.
"""

from allauth.mfa.models import Authenticator
from allauth.usersessions.models import UserSession
from django.core.management.base import BaseCommand, CommandError

from studio.accounts.models import User


class Command(BaseCommand):
    help = __doc__

    def add_arguments(self, parser):
        parser.add_argument("email", help="The address that they sign in with.")

    def handle(self, *, email, **_):
        user = User.objects.filter(email__iexact=email).first()
        if user is None:
            raise CommandError("Nobody signs in with this address.")
        Authenticator.objects.filter(user=user).delete()
        UserSession.objects.filter(user=user).delete()
        self.stdout.write("Their second factors are gone. They sign in with the password alone.")
