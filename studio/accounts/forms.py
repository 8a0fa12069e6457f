"""Forms that offer only what the asker may see, and the forms of people and the studio."""

from django import forms
from django.contrib.auth.password_validation import validate_password

from studio.accounts.access import readable
from studio.accounts.models import Role, Studio, User

# What a row's name is made of, so that a list of choices costs one query.
SHOWN_WITH = {
    "Audition": ("institution",),
    "Deadline": ("audition__institution",),
    "OfferedDate": ("audition__institution",),
    "RequirementSet": ("institution", "instrument"),
    "Entry": ("student", "audition__institution"),
}


class StudioForm(forms.ModelForm):
    """A ModelForm for `who`: every choice of related rows is limited to what they may see."""

    def __init__(self, *args, who, **kwargs):
        super().__init__(*args, **kwargs)
        self.who = who
        for field in self.fields.values():
            if isinstance(field, forms.ModelChoiceField):
                model = field.queryset.model
                shown_with = SHOWN_WITH.get(model.__name__, ())
                field.queryset = readable(who, model).select_related(*shown_with)
            elif isinstance(field, forms.DateField):
                field.widget = forms.DateInput(format="%Y-%m-%d", attrs={"type": "date"})
            elif isinstance(field, forms.TimeField):
                field.widget = forms.TimeInput(format="%H:%M", attrs={"type": "time"})
            elif isinstance(field.widget, forms.Textarea):
                field.widget.attrs["rows"] = 3


class StudioSettingsForm(forms.ModelForm):
    class Meta:
        model = Studio
        fields = ["name", "season", "time_zone", "country", "mark_names", "ready_at"]


class InvitationForm(forms.Form):
    """Invite a member of staff; students are invited from their own page."""

    email = forms.EmailField(label="E-mail")
    role = forms.ChoiceField(
        choices=[(role.value, role.label) for role in (Role.TEACHER, Role.ASSISTANT)]
    )


class AcceptForm(forms.Form):
    """Choose a name and a password when accepting an invitation for the first time."""

    name = forms.CharField(max_length=120, label="Your name")
    password = forms.CharField(
        widget=forms.PasswordInput(attrs={"autocomplete": "new-password"}),
        help_text="At least eight characters, not one of the common ones.",
    )

    def __init__(self, *args, email, **kwargs):
        super().__init__(*args, **kwargs)
        self.email = email

    def clean(self):
        values = super().clean()
        if password := values.get("password"):
            user = User(email=self.email, name=values.get("name", ""))
            try:
                validate_password(password, user)
            except forms.ValidationError as error:
                self.add_error("password", error)
        return values
