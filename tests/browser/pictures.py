"""Make the pictures of README and manual again, from the invented studio: `make pictures`."""

import os
import subprocess
import sys
import tempfile
import time
import urllib.request
from pathlib import Path

import django
from playwright.sync_api import sync_playwright

from tests import calibration

ROOT = Path(__file__).resolve().parent.parent.parent
PICTURES = ROOT / "static" / "pictures"
PORT = 8765
SITE = f"http://127.0.0.1:{PORT}"
TEACHER = "amadi@quayside.example"
STUDENT = "ines@quayside.example"
LESSON_OF = "Park Jun-seo"
SHEET_OF = "Ines Okafor"
PLAN_OF = "Samir Oyelaran"
DATES_OF = "Samir Oyelaran"
LAPTOP = {"width": 1440, "height": 900}
PHONE = {"width": 390, "height": 844}
CHROMIUM = "/usr/bin/chromium"


def serve(folder):
    """Start the demo in a database of its own; return the process once it answers."""
    settings = {**os.environ, "DATABASE_URL": f"sqlite:///{folder}/demo.sqlite3"}
    command = [sys.executable, "manage.py", "demo", "--port", str(PORT)]
    server = subprocess.Popen(command, cwd=ROOT, env=settings, stdout=subprocess.DEVNULL)
    while server.poll() is None:
        try:
            urllib.request.urlopen(f"{SITE}/account/login/", timeout=2)
            return server
        except OSError:
            time.sleep(0.5)
    raise SystemExit("The demo did not start: try `make demo`.")


def sign_in(browser, email, **look):
    """Return a page signed in as `email`."""
    from studio.workbook.demo import PASSWORD  # needs settings

    page = browser.new_context(base_url=SITE, **look).new_page()
    page.goto("/account/login/")
    page.fill("[name=login]", email)
    page.fill("[name=password]", PASSWORD)
    page.press("[name=password]", "Enter")
    page.wait_for_load_state()
    return page


def sheet(page, link, name):
    """Save the first page of the PDF behind `link` as a picture."""
    pdf = PICTURES / f"{name}.pdf"
    pdf.write_bytes(page.request.get(link).body())
    command = ["pdftoppm", "-r", "100", "-png", "-singlefile", str(pdf), str(pdf.with_suffix(""))]
    subprocess.run(command, check=True)
    pdf.unlink()


def down_to(page, last, name):
    """Save the page from its top down to the element `last`."""
    box = last.bounding_box()
    size = {**page.viewport_size, "height": int(box["y"] + box["height"])}
    page.screenshot(path=PICTURES / f"{name}.png", full_page=True, clip={"x": 0, "y": 0, **size})


def draw(browser):
    """Save all pictures."""
    page = sign_in(browser, TEACHER, viewport=LAPTOP)
    page.goto("/score/")
    down_to(page, page.locator(".score-strips > li").nth(8), "score")
    page.locator(".score-name", has_text=LESSON_OF).click()
    page.get_by_role("link", name="Lesson", exact=True).click()
    page.get_by_role("heading", name="lesson").wait_for()
    page.set_viewport_size({**LAPTOP, "height": 1240})  # the bar for saving stands under the rows
    page.screenshot(path=PICTURES / "lesson.png")
    page.set_viewport_size(LAPTOP)
    page.goto("/students/")
    page.get_by_role("link", name=PLAN_OF).first.click()
    page.get_by_role("link", name="Plan the music").click()
    down_to(page, page.get_by_role("button", name="Take over the whole plan"), "plan")
    page.goto("/students/")
    page.get_by_role("link", name=DATES_OF).first.click()
    page.get_by_role("link", name="Plan the dates").click()
    down_to(page, page.locator(".dates-map-wide"), "dates")
    page.goto("/students/")
    page.get_by_role("link", name=LESSON_OF).first.click()
    page.get_by_role("link", name="Deadlines", exact=True).click()
    down_to(page, page.locator(".deadlines-drawing"), "deadlines")
    page.goto("/students/")
    page.get_by_role("link", name=SHEET_OF).first.click()
    part = page.url
    page.get_by_role("link", name="Readiness", exact=True).click()
    down_to(page, page.locator(".readiness-piece").nth(1), "readiness")
    page.goto(part)
    page.get_by_role("link", name="Practice", exact=True).click()
    down_to(page, page.locator(".practice-days"), "practice")
    page.goto(part)
    page.get_by_role("link", name="Scales", exact=True).click()
    engraved = page.get_by_role("link", name="Letter").first
    sheet(page, engraved.get_attribute("href"), "scales")
    page.goto("/week/")
    page.locator(".week-ahead li:has(.red) a").nth(1).click()
    page.screenshot(path=PICTURES / "week.png", full_page=True)
    page.goto("/days/")
    page.locator("tr:has(.number) a", has_text=SHEET_OF).first.click()  # whose call is known
    sheet_link = page.get_by_role("link", name="Print the day sheet, Letter")
    sheet(page, sheet_link.get_attribute("href"), "day-sheet")
    phone = sign_in(browser, STUDENT, viewport=PHONE, color_scheme="dark")
    down_to(phone, phone.locator("li.cue").nth(2), "part")


def main():
    os.environ.setdefault("DJANGO_SETTINGS_MODULE", "studio.settings")
    django.setup()
    PICTURES.mkdir(exist_ok=True)
    calibration.main()
    with tempfile.TemporaryDirectory() as folder:
        server = serve(folder)
        try:
            with sync_playwright() as playwright:
                browser = playwright.chromium.launch(
                    executable_path=CHROMIUM, args=["--no-sandbox"]
                )
                draw(browser)
                browser.close()
        finally:
            server.terminate()
            server.wait()


if __name__ == "__main__":
    main()
