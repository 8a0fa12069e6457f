"""Open a studio and print the one-time link with which its owner signs in first."""

from django.core.exceptions import ValidationError
from django.core.management.base import BaseCommand, CommandError

from studio.accounts.models import INVITATION_DAYS, Invitation
from studio.entries.opening import open_studio


class Command(BaseCommand):
    help = __doc__

    def add_arguments(self, parser):
        parser.add_argument("name", help="The studio's name.")
        parser.add_argument("email", help="The owner's e-mail address.")
        parser.add_argument("--season", required=True, help="As you write it: 2026–27.")
        parser.add_argument("--time-zone", required=True, help="For example America/Chicago.")
        parser.add_argument("--country", default="", help="Whose holidays count: US, DE-BY.")
        parser.add_argument("--bare", action="store_true", help="Leave the usual lists out.")
        parser.add_argument("--site", default="http://127.0.0.1:8000", help="The site's address.")

    def handle(self, *, name, email, season, time_zone, country, bare, site, **_):
        try:
            seat = open_studio(
                name=name, season=season, time_zone=time_zone, country=country, bare=bare
            )
        except ValidationError as error:
            raise CommandError(" ".join(error.messages)) from error
        self.stdout.write(f"{name} is open. Its owner accepts within {INVITATION_DAYS} days at")
        self.stdout.write(f"{site}{Invitation.issue(seat, email)}")
