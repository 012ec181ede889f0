"""What a host needs beside the pages: a map of the site, and a folder for each release with one for the latest."""

import shutil
from collections.abc import Iterable
from pathlib import Path
from urllib.parse import quote
from xml.sax.saxutils import escape

from materia_exporters.site.settings import Settings

_ON = """<!doctype html>
<html lang="en">
<head>
<meta charset="utf-8">
<meta http-equiv="Content-Security-Policy" content="default-src 'none'">
<meta http-equiv="refresh" content="0; url=latest/index.html">
<title>Materia medica</title>
</head>
<body><p><a href="latest/index.html">The latest release</a></p></body>
</html>
"""


def host(out: Path, inner: Path, settings: Settings, pages: Iterable[str]) -> None:
    """Add the map where the address is known; `latest` and a page that leads there where releases have folders.

    inner: the folder that holds the pages: `out` itself, or the folder of the release in it.
    """
    if settings.releases:
        shutil.copytree(inner, out / "latest")
        (out / "index.html").write_text(_ON, encoding="utf-8", newline="\n")
    if settings.site_url:
        at = f"{settings.site_url}{'latest/' if settings.releases else ''}"
        lines = "".join(f"<url><loc>{escape(at + quote(path))}</loc></url>\n" for path in pages)
        text = f'<urlset xmlns="http://www.sitemaps.org/schemas/sitemap/0.9">\n{lines}</urlset>\n'
        (out / "sitemap.xml").write_text(
            f'<?xml version="1.0" encoding="UTF-8"?>\n{text}', encoding="utf-8", newline="\n"
        )
