"""The small pieces of every page, names, marks, states and sources, as safe HTML, each made once."""

from collections.abc import Iterable
from functools import cache

from markupsafe import Markup, escape

from materia_exporters.site.book import Name, Told
from materia_exporters.site.words import BASES, STATE_WORDS, capital, copied, runs

_SYMBOLS = {"contraindicated": "s1", "avoid": "s2", "caution": "s3", "none-stated": "s4"}
_CLASSES = {"contraindicated": "w-contra", "avoid": "w-avoid", "caution": "w-caution", "none-stated": "w-none"}
_UNSTATED = Markup('<span class="un">not stated</span>')
_COMMA = Markup(", ")


class Marks:
    """The pieces for the pages of one folder. root: the way from there to the site's root, `` or `../`."""

    def __init__(self, root: str) -> None:
        self._root = root
        self.name = cache(self._name)
        self.short = cache(self._short)
        self.chars = cache(self._chars)

    def mark(self, state: str) -> Markup:
        """The silhouette of a state of caution."""
        return _mark(state)

    def word(self, state: str, up: bool = False) -> Markup:
        """The word of a state of caution."""
        return _word(state, up)

    def state(self, state: str) -> Markup:
        """Mark and word of a state of caution."""
        return _state(state)

    def hans(self, text: str) -> Markup:
        """Simplified characters."""
        return _lang(text, "zh-Hans")

    def pinyin(self, text: str) -> Markup:
        """A reading."""
        return _lang(text, "zh-Latn-pinyin")

    def stated(self, text: str) -> Markup:
        """The text, or that it is not stated."""
        return runs(text) if text else _UNSTATED

    def inner(self, n: Name) -> Markup:
        """A name without its link: characters and reading, else Latin, else English."""
        return Markup('<span class="n"{}>{}</span>').format(_reading(n), _words(n))

    def _name(self, n: Name) -> Markup:
        """A name with its link."""
        if not n.href:
            return self.inner(n)
        return Markup('<a class="n"{} href="{}">{}</a>').format(_reading(n), self._root + n.href, _words(n))

    def _short(self, n: Name) -> Markup:
        """A name in a list of many: its reading is left out where lists are close."""
        if not (n.href and n.hans):
            return self._name(n)
        reading = Markup('<span class="py" lang="zh-Latn-pinyin"> {}</span>').format(n.pinyin) if n.pinyin else ""
        made = Markup('<a class="n" href="{}"><span lang="zh-Hans">{}</span>{}</a>')
        return made.format(self._root + n.href, n.hans, reading)

    def _chars(self, n: Name) -> Markup:
        """A name as characters alone."""
        if not (n.href and n.hans):
            return self._name(n)
        return Markup('<a class="n" lang="zh-Hans" href="{}">{}</a>').format(self._root + n.href, n.hans)

    def names(self, names: Iterable[Name]) -> Markup:
        """Names with links, comma by comma."""
        return _COMMA.join([self.name(n) for n in names])

    def shorts(self, names: Iterable[Name]) -> Markup:
        """Names with links, close together."""
        return Markup(" ").join([self.short(n) for n in names])

    def alls(self, names: Iterable[Name]) -> Markup:
        """Characters with links, close together."""
        return Markup(" ").join([self.chars(n) for n in names])

    def bare(self, names: Iterable[Name]) -> Markup:
        """Characters without links, close together: for lists of those who have their link elsewhere on the page."""
        held = list(names)
        chars = " ".join(n.hans for n in held if n.hans)
        rest = [_words(n) for n in held if not n.hans]
        return _COMMA.join([*([_lang(chars, "zh-Hans")] if chars else []), *rest])

    def told(self, told: Iterable[Told], here: str = "") -> Markup:
        """Whose word it is. here: the heading that a locator need not name again."""
        return Markup("; ").join([_told(self._root, one, here) for one in told])


@cache
def _mark(state: str) -> Markup:
    return Markup('<svg class="m" aria-hidden="true"><use href="#{}"/></svg>').format(_SYMBOLS.get(state, "s5"))


@cache
def _word(state: str, up: bool) -> Markup:
    text = STATE_WORDS.get(state, state)
    return Markup('<span class="{}">{}</span>').format(
        _CLASSES.get(state, "w-unk"), runs(capital(text) if up else text)
    )


@cache
def _state(state: str) -> Markup:
    return Markup('<span class="mw">{}{}</span>').format(_mark(state), _word(state, False))


@cache
def _lang(text: str, lang: str) -> Markup:
    return Markup('<span lang="{}">{}</span>').format(lang, text) if text else Markup("")


def _reading(n: Name) -> Markup:
    """The language of a name is that of its reading; its characters say theirs."""
    return Markup(' lang="zh-Latn-pinyin"') if n.hans and n.pinyin else Markup("")


@cache
def _words(n: Name) -> Markup:
    if n.hans:
        return Markup("{} {}").format(_lang(n.hans, "zh-Hans"), n.pinyin).rstrip()
    return Markup('<i lang="la">{}</i>').format(n.latin) if n.latin else runs(n.en)


@cache
def _told(root: str, one: Told, here: str) -> Markup:
    place, copy = copied(one.locator)
    basis = escape(BASES.get(one.basis, one.basis))
    if copy:
        words = "read in" if one.basis == "collated" else f"{basis} of"
        basis = Markup('{} <a href="{}sources.html#copy-{}">a copy</a>').format(words, root, copy)
    if not one.source:
        return Markup("{}, no source").format(basis) if one.basis == "common-practice" else basis
    where = Markup(", {}").format(runs(place)) if place and place != here else Markup("")
    dot = " · " if one.basis else ""
    made = Markup('<a href="{}sources.html#{}">{}</a>{}{}{}')
    return made.format(root, one.source, one.source, where, dot, basis)
