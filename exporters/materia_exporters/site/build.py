"""Pages to files: mkdocs with our theme, in one pass, from values that never become Markdown or HTML on the way."""

import json
from collections.abc import Mapping, Sequence
from pathlib import Path
from tempfile import TemporaryDirectory
from typing import Any
from xml.etree import ElementTree

import jinja2
from markdown import Markdown
from markdown.extensions import Extension
from markdown.inlinepatterns import InlineProcessor
from markupsafe import Markup
from mkdocs.commands.build import build
from mkdocs.config import load_config
from mkdocs.plugins import BasePlugin
from mkdocs.structure.files import File

from materia_exporters.site.book import slug
from materia_exporters.site.marks import Marks
from materia_exporters.site.page import Page
from materia_exporters.site.words import BASES, HAN, STATE_WORDS, TEACHING, capital, copied, plain, runs

_THEME = Path(__file__).parent / "theme"


def build_site(pages: Sequence[Page], scripts: Mapping[str, str], common: Mapping[str, Any], out: Path) -> None:
    """Write the site. common: values that every page has; scripts: further files by path.

    Raises mkdocs.exceptions.Abort on any warning.
    """
    with TemporaryDirectory() as folder:
        (Path(folder) / "docs").mkdir()
        (Path(folder) / "mkdocs.yml").write_text(json.dumps(_config()), encoding="utf-8")
        config = load_config(str(Path(folder) / "mkdocs.yml"), site_dir=str(out), strict=True)
        config.plugins["materia-pages"] = _Pages(pages, scripts, common)
        config.markdown_extensions.append(_Safe())  # type: ignore[arg-type]
        config.theme.static_templates = set()
        build(config)


def _config() -> dict[str, Any]:
    return {
        "site_name": "Materia medica",
        "use_directory_urls": False,
        "theme": {"name": None, "custom_dir": str(_THEME), "locale": "en", "static_templates": []},
        "plugins": [],
        "nav": [{"Home": "index.md"}],
        "not_in_nav": "*",
        "validation": {"omitted_files": "ignore", "links": {"not_found": "warn", "anchors": "warn"}},
    }


class _Pages(BasePlugin):  # type: ignore[type-arg,no-untyped-call]
    """Gives mkdocs each page as a Markdown file (empty, but for one with prose), and its template the values."""

    def __init__(self, pages: Sequence[Page], scripts: Mapping[str, str], common: Mapping[str, Any]) -> None:
        self._pages = {page.path.removesuffix(".html") + ".md": page for page in pages}
        self._scripts = scripts
        self._common = common
        self._marks = {root: Marks(root) for root in {"../" * page.path.count("/") for page in pages}}

    def on_files(self, files: Any, *, config: Any) -> Any:
        if sitemap := files.get_file_from_path("sitemap.xml"):
            files.remove(sitemap)  # it would name dates; left out of static_templates alone it would be copied raw
        for path, page in self._pages.items():
            prose = _THEME / page.template.replace(".html", ".md")
            text = prose.read_text(encoding="utf-8") if prose.is_file() else ""
            files.append(
                File.generated(config, path, content=f"---\n{json.dumps({'template': page.template})}\n---\n{text}")
            )
        for path, text in self._scripts.items():
            files.append(File.generated(config, path, content=text))
        return files

    def on_env(self, env: jinja2.Environment, *, config: Any, files: Any) -> jinja2.Environment:
        env.autoescape = True
        env.undefined = jinja2.StrictUndefined
        env.trim_blocks = env.lstrip_blocks = True
        env.filters |= {"t": runs, "capital": capital, "plain": plain, "slug": slug, "copied": copied}
        env.globals |= {"STATES": STATE_WORDS, "BASES": BASES, "TEACHING": TEACHING}
        return env

    def on_page_context(self, context: Any, *, page: Any, config: Any, nav: Any) -> Any:
        made = self._pages[page.file.src_uri]
        page.content = Markup(page.content)  # Markdown of about.md, in which _Safe lets no HTML through
        root = "../" * made.path.count("/")
        return {**context, **self._common, "title": made.title, "at": made.path, "root": root, "marks": self._marks[root], "d": made.values}


class _Han(InlineProcessor):
    def handleMatch(self, m: Any, data: str) -> tuple[ElementTree.Element, int, int]:  # type: ignore[override]
        element = ElementTree.Element("span", {"lang": "zh-Hans"})
        element.text = m.group(0)
        return element, m.start(0), m.end(0)


class _Safe(Extension):
    """No raw HTML in prose, and every run of Chinese characters with its language."""

    def extendMarkdown(self, md: Markdown) -> None:
        md.preprocessors.deregister("html_block")
        md.inlinePatterns.deregister("html")
        md.inlinePatterns.register(_Han(HAN.pattern, md), "han", 5)
