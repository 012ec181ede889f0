"""Pictures of each kind of page on a phone and at a desk: `python tools/screenshots.py SITE OUT`.

SITE: a folder that `materia export site` wrote; OUT: a folder for the pictures. Those of the README are taken by
tools/picture.py. Needs Chromium, and its fonts for Chinese: tools/browser.sh installs both.
"""

import argparse
import shutil
import sys
from collections.abc import Iterator
from pathlib import Path

from playwright.sync_api import Browser, sync_playwright

KINDS = {
    "home": "index.html",
    "medicinals": "medicinals.html",
    "letter": "lists/medicinals-b.html",
    "across": "across.html",
    "action": "across/stop-bleeding.html",
    "dangers": "dangers.html",
    "toxic": "toxic.html",
    "pregnancy": "pregnancy.html",
    "controlled": "controlled.html",
    "antagonisms": "antagonisms.html",
    "rules": "rules.html",
    "theme": "rules/pregnancy.html",
    "sources": "sources.html",
    "certain": "about.html",
    "changes": "changes.html",
    "medicinal": "medicinals/ban-xia.html",
    "formula": "formulas/hai-zao-yu-hu-tang.html",
    "category": "categories/transform-phlegm-stop-cough.html",
    "lesson": "categories/stop-bleeding-herbs.html",
    "group": "groups/warm-cold-phlegm.html",
    "apart": "categories/regulate-qi-apart.html",
    "formulas": "categories/f-dispel-phlegm.html",
    "search": "search.html",
    "browse": "browse.html",
    "compare": "compare.html",
}
SIZES = {"phone": (390, 844), "desk": (1200, 900)}


def main() -> int:
    """Exit 0 when every picture was taken, 2 when there is nothing to take one with or of."""
    asked = argparse.ArgumentParser(description=__doc__)
    asked.add_argument("site", type=Path)
    asked.add_argument("out", type=Path)
    asked.add_argument("--only", default="", help="kinds, by comma")
    asked.add_argument("--dark", action="store_true", help="as a reader of dark pages sees it")
    asked.add_argument("--large", action="store_true", help="in large type")
    asked.add_argument("--whole", action="store_true", help="the whole page, not its first screen")
    args = asked.parse_args()
    found = next(filter(None, map(shutil.which, ("chromium", "chromium-browser", "google-chrome"))), None)
    if found is None:
        sys.stderr.write("Chromium is missing. On Debian: apt-get install chromium fonts-noto-cjk\n")
        return 2
    args.out.mkdir(parents=True, exist_ok=True)
    with sync_playwright() as play:
        browser = play.chromium.launch(executable_path=found, args=["--no-sandbox"])
        for path in _every(browser, args):
            sys.stdout.write(f"{path} {path.stat().st_size // 1000} kB\n")
        browser.close()
    return 0


def _every(browser: Browser, args: argparse.Namespace) -> Iterator[Path]:
    only = set(filter(None, args.only.split(",")))
    for kind, page in KINDS.items():
        if (args.site / page).is_file() and (not only or kind in only):
            for size in SIZES:
                yield _taken(browser, args.site / page, args.out / f"{kind}-{size}.png", size, args)


def _taken(browser: Browser, page: Path, to: Path, size: str, args: argparse.Namespace) -> Path:
    width, height = SIZES[size]
    context = browser.new_context(
        viewport={"width": width, "height": height}, color_scheme="dark" if args.dark else "light"
    )
    shown = context.new_page()
    shown.goto(page.resolve().as_uri())
    if args.large:
        shown.check("#large")
    shown.screenshot(path=to, full_page=args.whole)
    context.close()
    return to


if __name__ == "__main__":
    sys.exit(main())
