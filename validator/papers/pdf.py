"""A page as PDF, its text selectable and its fonts within it. Nothing is fetched while it is made."""

MISSING = (
    "a PDF needs the extra `pdf`: pip install 'assembly-validator[pdf]', and the system's Pango library "
    "(Debian: libpango-1.0-0 libpangoft2-1.0-0)"
)
PAPERS = ("letter", "a4")


class NoPdf(Exception):
    """The library that writes PDF is not here; `str()` says what it takes."""


def pdf_of(html: str, paper: str = PAPERS[0], *, landscape: bool = False) -> bytes:
    """The PDF of a page on one of PAPERS. Raises NoPdf where the library or the letters it draws with are not installed."""
    try:
        from weasyprint import CSS, HTML
        from weasyprint.urls import URLFetcher
    except (ImportError, OSError) as missing:
        raise NoPdf(f"{MISSING}. ({missing})") from None

    class Nothing(URLFetcher):
        def fetch(self, url, headers=None):
            raise ValueError(f"{url} is not fetched: a page holds all that it shows")

    turned = " landscape" if landscape else ""
    sheet = CSS(string=f"@page {{ size: {paper}{turned} !important }}")
    return HTML(string=html, url_fetcher=Nothing(), base_url=None).write_pdf(stylesheets=[sheet])
