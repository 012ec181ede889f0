/* Elements made from values. Text goes in as text, never as markup; each run of characters has its language. */
(function () {
  "use strict";
  const MATERIA = (window.MATERIA = window.MATERIA || {}), doc = document;
  const SVG = "http://www.w3.org/2000/svg", STATES = ["contraindicated", "avoid", "caution", "none-stated", "not-checked"];
  const WORDS = ["contraindicated", "avoid", "caution", "none stated", "not checked"], CLASSES = ["w-contra", "w-avoid", "w-caution", "w-none", "w-unk"];
  const RUN = /[\u2e80-\u2fdf\u3005-\u3007\u3400-\u4dbf\u4e00-\u9fff\uf900-\ufaff\u{20000}-\u{3ffff}]+/gu;

  /* An element; a string among its children is text, what is empty is left out. */
  function make(tag, attributes, children) {
    const node = doc.createElement(tag);
    for (const key of Object.keys(attributes || {})) { if (attributes[key] !== null && attributes[key] !== undefined) { node.setAttribute(key, attributes[key]); } }
    for (const child of [].concat(children === undefined ? [] : children)) { if (child) { node.append(typeof child === "string" ? said(child) : child); } }
    return node;
  }
  function plain(tag, text, attributes) { const node = make(tag, attributes); node.textContent = text; return node; }
  /* Text with each run of characters in a span of its language. */
  function said(text) {
    const part = doc.createDocumentFragment();
    let end = 0;
    for (const run of text.matchAll(RUN)) { part.append(text.slice(end, run.index), plain("span", run[0], { lang: "zh-Hans" })); end = run.index + run[0].length; }
    part.append(text.slice(end));
    return part;
  }
  /* The mark of a state, by number or id; what is no state is not checked. */
  function mark(state) {
    const svg = doc.createElementNS(SVG, "svg"), use = doc.createElementNS(SVG, "use"), at = number(state);
    svg.setAttribute("class", "m"); svg.setAttribute("aria-hidden", "true"); svg.setAttribute("focusable", "false");
    use.setAttribute("href", "#s" + (at + 1)); svg.append(use);
    return svg;
  }
  function number(state) { const at = typeof state === "number" ? state : STATES.indexOf(state); return at < 0 || at > 4 ? 4 : at; }
  function state(value) {
    const at = number(value), word = typeof value === "number" || STATES.includes(value) ? WORDS[at] : value;
    return make("span", { class: "mw" }, [mark(at), plain("span", word, { class: CLASSES[at] })]);
  }
  /* A name: characters and reading, else the Latin, else the English one. */
  function name(one) {
    const node = make("span", { class: "n" });
    if (one.hans) { node.append(plain("span", one.hans, { lang: "zh-Hans" })); }
    if (one.hans && one.pinyin) { node.append(" "); }
    if (one.pinyin) { node.append(plain("span", one.pinyin, { lang: "zh-Latn-pinyin" })); }
    if (!one.hans && !one.pinyin) { node.append(one.latin ? plain("i", one.latin, { lang: "la" }) : said(one.en || one.id || "")); }
    return node;
  }
  function capital(text) { return text.slice(0, 1).toUpperCase() + text.slice(1); }
  /* Fill an element anew. */
  function fill(node, children) { node.textContent = ""; for (const child of children) { if (child) { node.append(child); } } }
  MATERIA.draw = { make, plain, said, mark, state, name, capital, fill };
}());
