"""A sheet as one HTML file that needs nothing else: every text escaped, every run of characters with its language, and
a policy that lets nothing run or load."""

import base64
import re
from collections.abc import Iterable
from hashlib import sha256
from html import escape

from materia_data.study.document import STATE_WORDS, STATES, Line, Run, Runs, Section, Table, counted
from materia_data.study.sheet import Sheet

_HAN = re.compile("([\u2e80-\u2fdf\u3005-\u3007\u3400-\u9fff\uf900-\ufaff\U00020000-\U0003ffff]+)")
MARKS = (
    '<svg width="0" height="0" aria-hidden="true" focusable="false"><defs>'
    '<symbol id="contraindicated" viewBox="0 0 24 24"><path fill="currentColor" fill-rule="evenodd" '
    'd="M2 2h20v20H2zM6 8l4 4-4 4 2 2 4-4 4 4 2-2-4-4 4-4-2-2-4 4-4-4z"/></symbol>'
    '<symbol id="avoid" viewBox="0 0 24 24"><path fill="none" stroke="currentColor" stroke-width="2.5" '
    'd="M12 2l10 10-10 10L2 12z"/><path fill="currentColor" d="M2 12h20L12 22z"/></symbol>'
    '<symbol id="caution" viewBox="0 0 24 24"><path fill="none" stroke="currentColor" stroke-width="2.75" '
    'd="M12 3.5L21.5 20.5H2.5z"/></symbol>'
    '<symbol id="none-stated" viewBox="0 0 24 24"><circle fill="none" stroke="currentColor" stroke-width="1.75" '
    'cx="12" cy="12" r="8.5"/></symbol>'
    '<symbol id="not-checked" viewBox="0 0 24 24"><path fill="none" stroke="currentColor" stroke-width="2" '
    'stroke-dasharray="2.1 3.56" d="M3.5 3.5h17v17h-17z"/></symbol></defs></svg>'
)
STYLE = """:root{color-scheme:light dark;--ink:#15171c;--paper:#fcfcfd;--hair:#c6cad3;--pen:#ffefad}
@media (prefers-color-scheme:dark){:root{--ink:#ecedf1;--paper:#131519;--hair:#3d424d;--pen:#453b10}}
*{box-sizing:border-box}
body{margin:0 auto;padding:1rem;max-width:60rem;font:1.0625rem/1.6 system-ui,"Noto Sans",sans-serif;color:var(--ink);
background:var(--paper);overflow-wrap:anywhere}
[lang|=zh]{font-family:"Noto Sans CJK SC","Source Han Sans SC","PingFang SC","Microsoft YaHei",sans-serif}
[lang=zh-Latn-pinyin]{font-family:inherit;white-space:nowrap}
h1{font-size:1.75rem;line-height:1.25;margin:.25rem 0;border-bottom:2px solid;padding-bottom:.5rem}
h2{font-size:1.25rem;margin:2rem 0 .5rem}h3{font-size:1.0625rem;margin:1.25rem 0 .25rem}
h2 small,.note,.s{font-size:.875rem;font-weight:400}
p{margin:.25rem 0}.n{font-size:1.06em;white-space:nowrap}
.m{width:.9em;height:.9em;vertical-align:-.08em}
.w{display:grid;grid-template-columns:12.5rem 1fr;gap:.75rem;margin:.5rem 0}
.contraindicated{font-weight:700;border:2px solid;padding:0 .25em}
.avoid{font-weight:700;text-decoration:underline;text-decoration-thickness:3px;text-underline-offset:.2em}
.caution{font-weight:700}.not-checked{text-decoration:underline dotted;text-underline-offset:.2em}
.exception{border-left:4px double;padding-left:.5rem}.gap{border-left:2px dotted;padding-left:.5rem}
.heavy{border-left:4px solid;padding-left:.5rem}
.odd{background:var(--pen);text-decoration:underline;text-decoration-thickness:2px;text-underline-offset:.2em}
.b{display:inline-block;border-bottom:1px solid;font-size:.75em;line-height:1.6}
.b.s{width:5rem}.b.m{width:9rem;height:auto}.b.l{width:16rem;max-width:100%}
.pad{border-bottom:1px solid var(--hair);height:2rem}
.two{columns:24rem 2;column-gap:1.5rem}.two p{break-inside:avoid}
.card{border:1px solid;padding:.5rem .75rem;margin:.75rem 0}.card summary{cursor:pointer;min-height:2.75rem}
.card ul{margin:.5rem 0;padding-left:1.25rem;border-top:1px solid var(--hair)}
.x{overflow-x:auto}table{border-collapse:collapse;width:100%;font-size:.9375rem;margin:.25rem 0 1rem}
th,td{text-align:left;vertical-align:top;padding:.3rem .4rem;border-bottom:1px solid var(--hair);font-weight:400}
thead th{border-bottom:2px solid;font-size:.875rem}tbody th{min-width:9rem}.r{text-align:right}
footer{border-top:1px solid;margin-top:2rem;padding-top:.5rem;font-size:.875rem}
footer span.k{white-space:nowrap;margin-right:1.25rem}
@media (max-width:36rem){.w{grid-template-columns:1fr;gap:.25rem}}
@media print{@page{margin:15mm 14mm 17mm;@bottom-left{content:"FOOT";font-size:7pt}@bottom-right{content:counter(page)}}
:root{--ink:#000;--paper:#fff;--pen:#fff;--hair:#999}body{font-size:9.75pt;line-height:1.45;max-width:none;padding:0}
table,.w{font-size:8.75pt}tr,p,h2,h3{break-inside:avoid}h2,h3{break-after:avoid}thead{display:table-header-group}}
"""


def sheet_page(sheet: Sheet, *, key: bool = False, sheet_too: bool = True) -> str:
    """The sheet, its key after it or alone."""
    body: list[str] = []
    if sheet_too:
        depth = f", taught as {sheet.depth}" if sheet.depth else ""
        course = f" · course {sheet.course}" if sheet.course else ""
        body += [_head(sheet, "Lesson sheet" + (", with blanks" if sheet.blanks else ""))]
        about = f"{counted(len(sheet.members), 'member')}{depth}{course}"
        body += [f'<p class="note">{text(about)}</p>']
        body += ['<p>Name <span class="b l"></span> Date <span class="b s"></span></p>'] if sheet.blanks else []
        body += [_section(section) for section in sheet.sections]
    if key:
        body += [_head(sheet, "Key to the blanks"), "<ol>"]
        body += [f"<li>{text(one.text)} <small>({text(one.section)})</small></li>" for one in sheet.answers]
        body += ["</ol>"]
    release = f"materia-data, release {sheet.release}, {sheet.signed}, {sheet.licence}"
    return whole(sheet.title, "\n".join(body), release, sheet.teaching, sheet.words)


def whole(title: str, body: str, release: str, teaching: str, words: str = "") -> str:
    """A page round a body: policy, style, marks, and at its end the key of marks, release and teaching line."""
    style = STYLE.replace("FOOT", re.sub(r"[^\w .,+·;:-]", "", f"{release}. {teaching}"))
    allowed = base64.b64encode(sha256(style.encode()).digest()).decode()
    policy = f"default-src 'none'; style-src 'sha256-{allowed}'; base-uri 'none'; form-action 'none'"
    marks = " ".join(f'<span class="k">{mark(state)} {state_word(state)}</span>' for state in STATES)
    lines = "Double line: an exception with its reason. Dotted line: not known. Heavy line: forbids. "
    said = f"<p>{text(words)}</p>" if words else ""
    return (
        '<!doctype html>\n<html lang="en">\n<head>\n<meta charset="utf-8">\n'
        '<meta name="viewport" content="width=device-width,initial-scale=1">\n'
        f'<meta http-equiv="Content-Security-Policy" content="{policy}">\n'
        f"<title>{escape(_shown(title))}</title>\n<style>{style}</style>\n</head>\n<body>\n{MARKS}\n<main>\n{body}\n</main>\n"
        f"<footer><p>{marks}</p><p>{lines}Underlined: breaks the pattern.</p>{said}"
        f"<p>{text(release)}. {text(teaching)}</p></footer>\n</body>\n</html>\n"
    )


def text(words: str) -> str:
    """Text of the data as HTML that shows just that text, characters marked as Chinese."""
    return _HAN.sub(r'<span lang="zh-Hans">\1</span>', escape(_shown(words)))


def mark(state: str) -> str:
    """The drawn mark of a state; the word stands beside it or in the key."""
    return f'<svg class="m" aria-hidden="true"><use href="#{state}"/></svg>'


def state_word(state: str) -> str:
    """The word of a state with its line."""
    return f'<span class="{state}">{STATE_WORDS[state].capitalize()}</span>'


def runs_html(runs: Runs) -> str:
    """Runs as HTML."""
    return "".join(map(_run, runs))


def _shown(words: str) -> str:
    return "".join(letter if letter.isprintable() or letter == "\u00a0" else f"U+{ord(letter):04X}" for letter in words)


def _head(sheet: Sheet, kind: str) -> str:
    hans = f'<span class="n" lang="zh-Hans">{escape(sheet.name_hans)}</span> ' if sheet.name_hans else ""
    return f'<p class="note">{kind}</p>\n<h1>{hans}{text(sheet.title)}</h1>'


def _section(section: Section) -> str:
    note = f" <small>{text(section.note)}</small>" if section.note else ""
    lines = "\n".join(map(_line, section.lines))
    lines = f'<div class="two">\n{lines}\n</div>' if section.columns == 2 and len(section.lines) > 1 else lines
    tables = _table(section.table) if section.table else ""
    return f'<section id="{section.id}">\n<h2>{text(section.title)}{note}</h2>\n{lines}{tables}\n</section>'


def _line(line: Line) -> str:
    if line.kind == "pad":
        return '<div class="pad"></div>'
    if line.kind == "watch":
        return f'<div class="w"><p>{mark(line.state)} {state_word(line.state)}</p><p>{runs_html(line.runs)}</p></div>'
    kind = f' class="{line.kind}"' if line.kind != "text" else ""
    return f"<p{kind}>{runs_html(line.runs)}</p>"


def _table(table: Table) -> str:
    out = []
    for group in table.groups:
        head = runs_html(group.head)
        note = f"\n<p>{runs_html(group.note)}</p>" if group.note else ""
        titles = "".join(
            f'<th scope="col"{_right(table, place)}>{text(title)}</th>' for place, title in enumerate(table.columns)
        )
        rows = "\n".join(_row(table, row) for row in group.rows)
        out.append(
            f'<h3>{head}</h3>{note}\n<div class="x"><table><thead><tr>{titles}</tr></thead>\n'
            f"<tbody>\n{rows}\n</tbody></table></div>"
        )
    return "\n".join(out)


def _row(table: Table, row: Iterable[Runs]) -> str:
    first, *rest = row
    cells = "".join(f"<td{_right(table, place)}>{runs_html(cell)}</td>" for place, cell in enumerate(rest, 1))
    return f'<tr><th scope="row">{runs_html(first)}</th>{cells}</tr>'


def _right(table: Table, place: int) -> str:
    return ' class="r"' if place in table.right else ""


def _run(run: Run) -> str:
    if run.style == "mark":
        return mark(run.text)
    if run.style == "tally":
        return ""
    if run.style == "blank":
        return f'<span class="b {run.size}">{run.number}</span>'
    if run.style in ("name", "name-strong"):
        inner = f'<span class="n">{text(run.text)}</span>'
        return f"<b>{inner}</b>" if run.style == "name-strong" else inner
    if run.style == "pinyin":
        return f'<span lang="zh-Latn-pinyin">{escape(_shown(run.text))}</span>'
    tag = {"strong": ("<b>", "</b>"), "odd": ('<span class="odd">', "</span>"), "small": ("<small>", "</small>")}
    before, after = tag.get(run.style, ("", ""))
    return f"{before}{text(run.text)}{after}"
