"""Pictures of the reference site for the README: `python tools/picture.py` writes docs/img/site-*.png.

Needs playwright and a Chromium with Chinese fonts (Debian: apt-get install chromium fonts-noto-cjk).
"""

import os
import shutil
import sys
from pathlib import Path
from tempfile import TemporaryDirectory

from materia_exporters.site import export
from playwright.sync_api import sync_playwright

from materia_data import load

_OUT = Path(__file__).parent.parent / "docs" / "img"
_PICTURES = {
    "medicinal": ("medicinals/ban-xia.html", "", 1200, 1000, "light"),
    "category": ("categories/transform-phlegm-stop-cough.html#members", "", 1200, 1000, "light"),
    "search": ("index.html", "mu tong", 1200, 860, "light"),
    "phone": ("medicinals/ban-xia.html", "", 390, 840, "dark"),
}


def pictures(out: Path) -> list[Path]:
    """Build the site of the shipped data and take each picture. Returns the files written."""
    out.mkdir(parents=True, exist_ok=True)
    found = next(filter(None, map(shutil.which, ("chromium", "chromium-browser", "google-chrome"))), None)
    if found is None:
        sys.exit("There is no Chromium. On Debian: apt-get install chromium fonts-noto-cjk")
    written = []
    with TemporaryDirectory() as folder, sync_playwright() as play:
        export(load(), Path(folder) / "site", {})
        browser = play.chromium.launch(executable_path=found, args=["--no-sandbox"] if os.geteuid() == 0 else [])
        for name, (page_path, typed, width, height, scheme) in _PICTURES.items():
            context = browser.new_context(
                viewport={"width": width, "height": height}, color_scheme=scheme, reduced_motion="reduce"
            )
            page = context.new_page()
            page_path, _, place = page_path.partition("#")
            page.goto((Path(folder) / "site" / page_path).as_uri() + (f"#{place}" if place else ""))
            if typed:
                page.fill("#q", typed)
                page.wait_for_selector("#found .hit")
            page.screenshot(path=out / f"site-{name}.png")
            written.append(out / f"site-{name}.png")
            context.close()
        browser.close()
    return written


if __name__ == "__main__":
    for path in pictures(_OUT):
        print(path.relative_to(Path.cwd()) if path.is_relative_to(Path.cwd()) else path)
