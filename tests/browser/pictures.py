"""Make the pictures of the README again, from the invented studio: `make pictures`."""

import os
import subprocess
import sys
import tempfile
import time
import urllib.request
from pathlib import Path

from playwright.sync_api import sync_playwright

ROOT = Path(__file__).resolve().parent.parent.parent
PICTURES = ROOT / "static" / "pictures"
PORT = 8765
SITE = f"http://127.0.0.1:{PORT}"
TEACHER = "amadi@quayside.example"
STUDENT = "ines@quayside.example"
CHROMIUM = "/usr/bin/chromium"


def serve(folder):
    """Start the demo in a database of its own; return the process once it answers."""
    settings = {**os.environ, "DATABASE_URL": f"sqlite:///{folder}/demo.sqlite3"}
    command = [sys.executable, "manage.py", "demo", "--port", str(PORT)]
    server = subprocess.Popen(command, cwd=ROOT, env=settings, stdout=subprocess.DEVNULL)
    for _ in range(120):
        try:
            urllib.request.urlopen(f"{SITE}/account/login/", timeout=2)
            return server
        except OSError:
            time.sleep(0.5)
    server.kill()
    raise SystemExit("The demo did not start: try `make demo`.")


def sign_in(browser, email, **look):
    """Return a page signed in as `email`."""
    from studio.workbook.demo import PASSWORD

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
    command = ["pdftoppm", "-r", "70", "-png", "-singlefile", str(pdf), str(pdf.with_suffix(""))]
    subprocess.run(command, check=True)
    pdf.unlink()


def draw(browser):
    """Save all pictures."""
    laptop = {"viewport": {"width": 1280, "height": 860}}
    page = sign_in(browser, TEACHER, **laptop)
    page.goto("/score/")
    page.screenshot(path=PICTURES / "score.png")
    first = page.locator("a[href*='/students/']").first.get_attribute("href")
    page.goto(f"{first}lesson/")
    page.screenshot(path=PICTURES / "lesson.png")
    page.goto("/days/")
    sheet(page, page.locator("a[href*='day-sheet.pdf']").first.get_attribute("href"), "day-sheet")
    phone = sign_in(browser, STUDENT, viewport={"width": 390, "height": 844}, color_scheme="dark")
    phone.screenshot(path=PICTURES / "part.png")


def main():
    PICTURES.mkdir(exist_ok=True)
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
