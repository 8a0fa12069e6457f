"""Choosing the files of a workbook."""

from django import forms


class FilesInput(forms.ClearableFileInput):
    """A file field that takes several files."""

    allow_multiple_selected = True


class FilesField(forms.FileField):
    """One file or several at once; cleans to a list."""

    def clean(self, data, initial=None):
        """Return the list of files."""
        given = data if isinstance(data, list | tuple) else [data]
        return [super(FilesField, self).clean(one, initial) for one in given or [None]]


class WorkbookForm(forms.Form):
    """The upload of a workbook."""

    files = FilesField(
        label="Workbook",
        widget=FilesInput(attrs={"accept": ".xlsx,.zip,.csv"}),
        help_text="One .xlsx, one .zip of .csv files, or several .csv files at once. "
        "At most 10 MB. Nothing is written before you have seen what it would do.",
    )
