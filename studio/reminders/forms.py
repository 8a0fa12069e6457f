"""The form of the weekly e-mail."""

from studio.accounts.forms import StudioForm
from studio.accounts.models import Membership


class WeeklyForm(StudioForm):
    """Whether the asker's own seat gets it."""

    class Meta:
        model = Membership
        fields = ["weekly_mail"]
        labels = {"weekly_mail": "Send it to me"}
        help_texts = {"weekly_mail": ""}
