"""What comes out when a page is printed by the browser."""

from io import BytesIO

import pytest
from django.urls import reverse
from pypdf import PdfReader

from tests.browser.season import entry_around_today


@pytest.mark.parametrize("script", [True, False])
def test_the_score_prints_with_its_table_unfolded(people, open_page, script):
    entry_around_today(people.sam_student)
    page = open_page(people.ines.user, script=script)
    page.goto(reverse("score"))
    text = "".join(sheet.extract_text() for sheet in PdfReader(BytesIO(page.pdf())).pages)
    assert "The score as a table" in text
    assert "In time" in text  # the heading of a column, nowhere else on the page
