"""Send the weekly e-mails that are due; run it every hour, it sends each of them once a week."""

from django.core.management.base import BaseCommand
from django.utils import timezone

from studio.reminders.sending import send_due


class Command(BaseCommand):
    help = __doc__

    def handle(self, **_):
        done = send_due(timezone.now())
        self.stdout.write(f"{done.sent} sent, {done.failed} failed.")
