"""Pages to HTML: mkdocs with our theme, from values that never become Markdown or HTML on the way."""

import json
import re
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

from materia_exporters.site.assets import referred
from materia_exporters.site.book import slug
from materia_exporters.site.columns import column_of, columns_of
from materia_exporters.site.marks import Marks
from materia_exporters.site.page import Page
from materia_exporters.site.words import BASES, HAN, STATE_WORDS, TEACHING, capital, copied, plain, runs

THEME = Path(__file__).parent / "theme"
_once: dict[str, jinja2.Environment] = {}  # templates are compiled once for all batches of pages


def render(pages: Sequence[Page], common: Mapping[str, Any]) -> dict[str, str]:
    """The HTML of each page by its path. common: values that every page has.

    Assets are marked, as `assets` tells. Raises mkdocs.exceptions.Abort on any warning.
    """
    with TemporaryDirectory() as folder:
        (Path(folder) / "docs").mkdir()
        (Path(folder) / "mkdocs.yml").write_text(json.dumps(_config(pages[0].path)), encoding="utf-8")
        config = load_config(str(Path(folder) / "mkdocs.yml"), site_dir=f"{folder}/site", strict=True)
        config.plugins["materia-pages"] = _Pages(pages, common)
        config.markdown_extensions = [_Safe()]  # type: ignore[list-item]
        config.theme.static_templates = set()
        build(config)
        made = Path(folder) / "site"
        return {page.path: referred((made / page.path).read_text(encoding="utf-8")) for page in pages}


def _config(first: str) -> dict[str, Any]:
    return {
        "site_name": "Materia medica",
        "use_directory_urls": False,
        "theme": {"name": None, "custom_dir": str(THEME), "locale": "en", "static_templates": []},
        "plugins": [],
        "nav": [{"Home": _source(first)}],
        "not_in_nav": "*",
        "validation": {"omitted_files": "ignore", "links": {"not_found": "warn", "anchors": "warn"}},
    }


def _source(path: str) -> str:
    return path.removesuffix(".html") + ".md"


class _Pages(BasePlugin):  # type: ignore[type-arg,no-untyped-call]
    """Gives mkdocs each page as a Markdown file (empty, but for one with prose), and its template the values."""

    def __init__(self, pages: Sequence[Page], common: Mapping[str, Any]) -> None:
        self._pages = {_source(page.path): page for page in pages}
        self._common = common
        self._marks = {root: Marks(root) for root in {"../" * page.path.count("/") for page in pages}}

    def on_files(self, files: Any, *, config: Any) -> Any:
        for file in list(files):
            files.remove(file)  # styles and scripts are laid beside the pages under names of their content
        for path, page in self._pages.items():
            prose = THEME / page.template.replace(".html", ".md")
            text = prose.read_text(encoding="utf-8") if prose.is_file() else ""
            files.append(
                File.generated(config, path, content=f"---\n{json.dumps({'template': page.template})}\n---\n{text}")
            )
        return files

    def on_env(self, env: jinja2.Environment, *, config: Any, files: Any) -> jinja2.Environment:
        if "env" in _once:
            return _once["env"]
        _once["env"] = env
        env.autoescape = True
        env.undefined = jinja2.StrictUndefined
        env.trim_blocks = env.lstrip_blocks = True
        env.filters |= {"t": runs, "capital": capital, "plain": plain, "slug": slug, "copied": copied}
        env.globals |= {"STATES": STATE_WORDS, "BASES": BASES, "TEACHING": TEACHING}
        env.globals |= {"column_of": column_of, "columns_of": columns_of}
        return env

    def on_page_context(self, context: Any, *, page: Any, config: Any, nav: Any) -> Any:
        made = self._pages[page.file.src_uri]
        page.content = Markup(page.content)  # Markdown of about.md, in which _Safe lets no HTML through
        root = "../" * made.path.count("/")
        here = {"title": made.title, "at": made.path, "root": root, "marks": self._marks[root], "d": made.values}
        return {**context, **self._common, **here, "beside": sorted(made.beside)}

    def on_post_page(self, output: str, *, page: Any, config: Any) -> str:
        return re.sub(r"\n\s+", "\n", output)


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
