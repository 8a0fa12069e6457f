"""HTML in, PDF out: WeasyPrint with one set of fonts and one parsed stylesheet per process.

They are made when first needed, never before a fork, and never used by two threads at once: a
shared FontConfiguration corrupts memory (measured). Nothing is fetched but files of static/.
A sheet is kept under the hash of all that it is made of, so that only changed sheets cost time.
"""

import hashlib
from dataclasses import dataclass
from functools import cache
from pathlib import Path
from threading import Lock
from urllib.parse import unquote, urlsplit

import weasyprint
from django.conf import settings
from django.core.cache import caches
from django.template.loader import render_to_string
from weasyprint.text.fonts import FontConfiguration
from weasyprint.urls import URLFetcher

STATIC = settings.BASE_DIR / "static"
STYLESHEET = STATIC / "css" / "handout.css"
# Each step is a class of handout.css, smaller than the one before; the first that fits is taken.
STEPS = ("", "dense", "dense tight", "dense tight tiny")
OPTIONS = {"pdf_variant": "pdf/ua-1"}
_turn = Lock()


class StaticOnly(URLFetcher):
    """Fetches nothing but files under static/, whatever a page asks for."""

    def __init__(self):
        super().__init__(allowed_protocols=("file",), allow_redirects=False)

    def fetch(self, url, headers=None):
        """Return a file of static/; ValueError for any other address."""
        path = Path(unquote(urlsplit(url).path)).resolve()
        if not path.is_relative_to(STATIC):
            raise ValueError(f"not a file of ours: {url}")
        return super().fetch(url, headers)


class Nothing(URLFetcher):
    """Fetches nothing: pages carry all they need, and what people type must reach no file."""

    def __init__(self):
        super().__init__(allowed_protocols=(), allow_redirects=False)


@dataclass(frozen=True)
class Press:
    """What every sheet of this process is drawn with."""

    fonts: FontConfiguration
    style: weasyprint.CSS


@cache
def _press():
    fonts = FontConfiguration()
    style = weasyprint.CSS(filename=STYLESHEET, font_config=fonts, url_fetcher=StaticOnly())
    return Press(fonts, style)


@cache
def _edition():
    """What else a sheet depends on: the style, and the program that draws it."""
    return hashlib.sha256(STYLESHEET.read_bytes() + weasyprint.__version__.encode()).hexdigest()


def sheets(template, pages, steps=STEPS, **context):
    """Return a PDF with each of `pages` on one sheet, in type as small as it takes.

    The template draws one of them, `sheet`, in an element of the class `size`. steps: those of
    STEPS worth a try, each takes its time.
    """

    def html(page, size):
        return render_to_string(template, {**context, "sheet": page, "size": size})

    wanted = "".join(html(page, steps[0]) for page in pages)
    return _kept(wanted, lambda: _joined([_fitted(html, page, steps) for page in pages]))


def document(template, context):
    """Return a PDF of as many pages as it takes."""
    html = render_to_string(template, context)
    return _kept(html, lambda: _draw(html))


def _kept(html, make):
    """Return the PDF of `html` from the cache, or made now, one at a time."""
    key = hashlib.sha256((_edition() + html).encode()).hexdigest()
    kept = caches["sheets"]
    if (pdf := kept.get(key)) is None:
        with _turn:
            pdf = make().write_pdf(**OPTIONS)
        kept.set(key, pdf)
    return pdf


def _draw(html):
    page = weasyprint.HTML(string=html, url_fetcher=Nothing())
    return page.render(font_config=_press().fonts, stylesheets=[_press().style], **OPTIONS)


def _fitted(html, page, steps):
    """Draw a page in the largest type in which it fits one sheet."""
    for size in steps:
        drawn = _draw(html(page, size))
        if len(drawn.pages) == 1:
            break
    return drawn


def _joined(drawn):
    """Return one document of all pages; fonts are then embedded once, not once a student."""
    return drawn[0].copy([page for document in drawn for page in document.pages])
