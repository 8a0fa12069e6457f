"""Learn each studio's pace from its finished pieces, for the forecasts; once a week is enough."""

from django.core.management.base import BaseCommand

from studio.accounts.models import Studio
from studio.entries.pace import learn


class Command(BaseCommand):
    help = __doc__

    def handle(self, **_):
        for studio in Studio.objects.order_by("pk"):
            self.stdout.write(f"{studio}: {learn(studio).words}.")
