/* The search box: what matched, why, and what to watch for first; by keyboard alone. */
(function () {
  "use strict";
  const MATERIA = (window.MATERIA = window.MATERIA || {}), doc = document, { make, plain, said, mark, state, name, capital } = MATERIA.draw;
  const form = doc.querySelector("form.find"), field = doc.getElementById("q"), found = doc.getElementById("found"), root = MATERIA.root, MOST = 12, AT_ONCE = 3, PAUSE = 150;
  const NOUN = { id: "id", hans: "name", hant: "traditional name", pinyin: "reading", en: "English name", la: "Latin name", alternate: "other name",
    prescription: "prescription name", joint: "joint name", trade: "trade name", generic: "general name", variant: "variant", old: "old name",
    romanisation: "romanisation", misspelling: "common misspelling", species: "name of its plant or substance" };
  const TAKEN = { name: "by name", look: "by its look", species: "as another species", adulterant: "as an adulterant", historic: "in old books" };
  const GRAVE = ["of no grade", "slightly toxic", "toxic", "very toxic", "withdrawn, or destroys kidney or liver"];
  const KINDS = [["Medicinals", "medicinals.html"], ["Forms", "medicinals.html"], ["Formulas", "formulas.html"]], TERMS = ["Actions", "Categories", "Groups"];
  let index = null;

  /* ---- one result ---- */
  /* The name with the letters that matched marked, where they stand together. */
  function matched(hit, text) {
    const lang = hit.name.lang === "zh-Latn" ? "zh-Latn-pinyin" : hit.name.lang || "en", node = make("span", { lang }), whole = hit.name.text;
    const [from, to] = whereIn(whole, text);
    if (to > from) { node.append(whole.slice(0, from), plain("mark", whole.slice(from, to)), whole.slice(to)); } else { node.textContent = whole; }
    return node;
  }
  function whereIn(whole, text) {
    const letters = (part) => part.normalize("NFKD").toLowerCase().replace(/[^\p{L}\p{N}]/gu, ""), places = [];
    let flat = "", at = 0;
    for (const char of whole) { for (const one of letters(char)) { flat += one; places.push([at, at + char.length]); } at += char.length; }
    const key = letters(/[a-z]/i.test(text) ? text.replace(/[0-5]/g, "").replace(/u:|v/gi, "u") : text), from = key ? flat.indexOf(key) : -1;
    if (from < 0) { const han = index.keys.folded(whole), asked = index.keys.folded(text), start = asked && han.length === whole.length ? han.indexOf(asked) : -1; return start < 0 ? [0, 0] : [start, start + asked.length]; }
    return [places[from][0], places[from + key.length - 1][1]];
  }
  function why(hit, text) {
    if (hit.taxon !== undefined) { const taxon = index.taxa[hit.taxon - index.known]; return make("p", { class: "mat" }, [make("b", {}, [name(taxon)]), " is taken for it: see the frame"]); }
    if (hit.term) { return make("p", { class: "mat" }, ["has the action ", make("b", {}, [hit.term.en]), hit.chief ? ", as a chief one" : ""]); }
    const noun = NOUN[hit.name.kind] || plain("span", hit.name.kind), the = typeof noun === "string" ? noun : hit.name.kind;
    const lead = { "": "the whole " + the, "begins so": "the start of the " + the, "stands in the name": "part of the " + the, "has the word": "a word of the " + the,
      "holds its words": "all the words of the " + the, "is near": "something near the " + the, "stands in it": "the " + the + " inside what you wrote",
      "sounds like it": "by ear, the " + the, "sounds like it to a foreign ear": "by ear, the " + the, "is read the same": "characters read like the " + the,
      "is read the same but for tones": "characters read like the " + the + ", but for tones" }[hit.how];
    return make("p", { class: "mat" }, ["matched ", plain("b", lead || "the whole " + the), ": ", matched(hit, text), lead ? "" : ", " + hit.how]);
  }
  function heading(one, level) {
    return make(level || "h3", {}, [make("a", { href: root + one.page }, [name(one)]), one.status ? " " : "", one.status ? plain("b", one.status, { class: "grade" }) : ""]);
  }
  function content(one) {
    return [make("p", {}, [capital(one.en) + (one.line ? ". " + one.line : "")]), make("p", {}, [state(one.state), one.about ? " " : "", one.about || (one.state === 4 ? ": nobody has looked" : "")])];
  }
  function item(hit, text, frame) {
    const one = index.subjects[hit.subject];
    if (!frame) { return make("li", { class: "hit" }, [make("div", {}, [heading(one), ...content(one)]), why(hit, text)]); }
    return make("li", { class: "hit stop" }, [make("div", {}, [heading(one), ...content(one), ...apart(frame)]), why(hit, text)]);
  }
  function apart(frame) {
    const mine = index.subjects[frame.subject];
    return [make("p", {}, [make("b", {}, ["Not ", mine.hans || mine.en, "."]), " " + (frame.row.harm || "Taken for it.")]), frame.row.tell ? make("p", {}, [make("b", {}, ["Tell apart: "]), frame.row.tell]) : ""];
  }
  /* What is taken for a match and would hurt: under it, in a frame; never hidden, never first. */
  function stop(frame) {
    const taxon = frame.other >= index.known, other = taxon ? index.taxa[frame.other - index.known] : index.subjects[frame.other], mine = index.subjects[frame.subject];
    const head = taxon ? make("h3", {}, [make("a", { href: root + mine.page.split("#")[0] + "#apart" }, [name(other)]), other.latin && other.hans ? " " : "", other.latin && other.hans ? plain("i", other.latin, { lang: "la" }) : ""]) : heading(other);
    return make("li", { class: "hit stop" }, [make("div", {}, [head, taxon ? "" : make("p", {}, [state(other.state), other.about ? " " + other.about : ""]), ...apart(frame)]),
      make("p", { class: "mat" }, ["taken for the match above ", make("b", {}, [TAKEN[frame.row.kind] || frame.row.kind])])]);
  }
  function offBy(mine, other) {
    const one = index.subjects[other];
    return make("li", { class: "hit stop" }, [make("div", {}, [heading(one), ...content(one), make("p", {}, [make("b", {}, ["Not ", index.subjects[mine].hans, "."]), " One character makes it this one, which is " + GRAVE[one.harm] + "."])]),
      make("p", { class: "mat" }, ["differs from the match above ", make("b", {}, ["by one character"])])]);
  }
  function termItem(one) {
    const term = one.term, count = term.chief.length + term.other.length;
    const about = term.kind === 0 ? count + (count === 1 ? " medicinal" : " medicinals") + (term.chief.length ? ", " + term.chief.length + " as a chief action" : "") + ". Opens the list to choose further from." : term.kind === 1 ? "The lesson of this category." : "The lesson of this group.";
    return make("li", { class: "hit" }, [make("div", {}, [make("h3", {}, [make("a", { href: root + term.page }, [capital(term.en)]), " ", term.hans ? plain("span", term.hans, { lang: "zh-Hans", class: "quiet" }) : ""]), make("p", {}, [about])]),
      make("p", { class: "mat" }, ["matched ", make("b", {}, [{ "": "the whole name", "begins so": "the start of the name", "has the words": "words of the name" }[one.how] || "something near the name"]), " of the " + ["action", "category", "group"][term.kind]])]);
  }

  /* ---- all of them ---- */
  /* Who has the action, the chief ones first; what is toxic after what is not. */
  function havers(term) {
    const hits = [...term.chief.map((subject) => [subject, true]), ...term.other.map((subject) => [subject, false])].map(([subject, chief]) => ({ subject, chief, term, score: 0 }));
    const one = (hit) => index.subjects[hit.subject], grave = (hit) => one(hit).harm > 1 || Boolean(one(hit).status);
    return hits.sort((a, b) => grave(a) - grave(b) || b.chief - a.chief || one(b).core - one(a).core || one(a).harm - one(b).harm);
  }
  function notes(told, got) {
    const names = (subjects) => subjects.flatMap((subject, i) => [i ? (i === subjects.length - 1 ? " and " : ", ") : "", make("a", { href: root + index.subjects[subject].page }, [name(index.subjects[subject])])]), made = [];
    const add = (...parts) => made.push(make("p", { class: "note" }, parts));
    if (told.rest) { add(make("b", {}, ["Only a part was understood:"]), " what ", told.rest, " adds may make it another medicinal."); }
    if (told.far) { add(make("b", {}, ["No name is written so."]), " These come near; make sure that you mean them."); }
    for (const one of told.shared) { add(make("b", {}, [one.text]), one.kind === "joint" ? " is one name for several at once: " : " is a general name that may mean another medicinal too; here ", ...names(one.subjects), "."); }
    if (told.unsure.length) { add(make("b", {}, [told.inside ? "The text holds more than one name:" : "The text does not tell which is meant:"]), " ", ...names(told.unsure.slice(0, 6)), told.inside ? "." : ". Look at the characters."); }
    for (const subject of told.graver.slice(0, 3)) { add("It may also be ", ...names([subject]), ", which is ", make("b", {}, [GRAVE[index.subjects[subject].harm]]), "."); }
    if (got.taxa.length && got.hits.length && got.hits[0].taxon !== undefined) { const taxon = index.taxa[got.hits[0].taxon - index.known]; add(make("b", {}, [name(taxon)]), " is no medicinal here. It is taken for the first match."); }
    return made;
  }
  function show() {
    const text = field.value.trim();
    doc.body.classList.toggle("searching", Boolean(text));
    found.hidden = !text;
    found.textContent = "";
    found.removeAttribute("data-whole");
    clearTimeout(pause);
    pause = setTimeout(rest, PAUSE);
    if (!text) { return; }
    if (!index) { found.append(plain("p", "Reading the names …", { role: "status" })); return; }
    found.append(...results(text, AT_ONCE));
  }
  /* What can wait until the typing pauses: the address, and the lower part of long lists. */
  let pause = 0;
  function rest() {
    clearTimeout(pause);
    const text = address();
    if (!text || !index || found.hasAttribute("data-whole") || found.contains(doc.activeElement)) { return; }
    found.setAttribute("data-whole", "");
    if (found.querySelector(".left")) { found.replaceChildren(found.firstChild, ...results(text, MOST).slice(1)); }
  }
  function address() {
    const text = field.value.trim();
    try { history.replaceState(history.state, "", location.pathname + (text ? "?q=" + encodeURIComponent(text) : "") + location.hash); } catch (e) { /* then the address stays */ }
    return text;
  }
  function results(text, most) {
    const got = MATERIA.search(index, text), told = MATERIA.warn(index, got), top = got.hits.length ? got.hits[0].score : 0, terms = got.terms, best = terms.length ? terms[0].score : 0;
    if (best >= 0.93 && top < best) { got.hits = got.hits.filter((hit) => hit.score >= 0.8); told.far = false; }
    const sections = [];
    const groups = [0, 1, 2].map((kind) => got.hits.filter((hit) => index.subjects[hit.subject].kind === kind));
    let having = null;
    if (best > top && terms[0].term.kind === 0) {
      having = terms[0].term;
      const known = new Set(groups[0].map((hit) => hit.subject));
      groups[0] = [...groups[0].filter((hit) => hit.score >= best), ...havers(having).filter((hit) => !known.has(hit.subject)), ...groups[0].filter((hit) => hit.score < best)];
    }
    const framed = new Map(told.mixed.filter((one) => one.other < index.known).map((one) => [one.other, one])), drawn = new Set();
    groups.forEach((hits, kind) => {
      if (!hits.length) { return; }
      const list = make("ol", { class: "body" });
      let rows = 0;
      hits.forEach((hit, place) => {
        const chief = got.hits[0] === hit;
        if (drawn.has(hit.subject) || rows >= most) { return; }
        rows += 1; drawn.add(hit.subject);
        list.append(item(hit, text, place > 0 && !chief && framed.get(hit.subject)));
        for (const frame of told.mixed.filter((one) => one.of === hit.subject)) {
          if (drawn.has(frame.other)) { continue; }
          const again = hits.find((one) => one.subject === frame.other);
          drawn.add(frame.other);
          list.append(again ? item(again, text, frame) : stop(frame));
        }
        for (const [mine, other] of told.off) { if (mine === hit.subject && !drawn.has(other)) { drawn.add(other); list.append(offBy(mine, other)); } }
      });
      const left = hits.filter((hit) => !drawn.has(hit.subject)).length;
      if (left) { list.append(make("li", { class: "quiet left" }, ["and " + left + " more: ", having && kind === 0 ? make("a", { href: root + having.page }, ["browse all with this action"]) : "type another letter"])); }
      sections.push([having && kind === 0 ? best - 0.001 : hits[0].score, KINDS[kind][0], hits.length, list]);
    });
    TERMS.forEach((label, kind) => {
      const some = terms.filter((one) => one.term.kind === kind);
      const drawn = some.slice(0, most > AT_ONCE ? 6 : 3).map(termItem);
      if (some.length > 3 && most === AT_ONCE) { drawn[drawn.length - 1].classList.add("left"); }
      if (some.length) { sections.push([some[0].score, label, some.length, make("ol", { class: "body" }, drawn)]); }
    });
    sections.sort((a, b) => b[0] - a[0]);
    const count = sections.reduce((sum, one) => sum + one[2], 0);
    const head = make("header", { class: "plate" }, [plain("p", "Search", { class: "kind" }), make("div", { role: "status" }, [make("h1", { class: "title" }, [(count || "No") + (count === 1 ? " match" : " matches") + " for “" + text + "”"])]), ...notes(told, got)]);
    if (!count) { head.append(make("p", {}, ["Try fewer letters, another script, or the lists of ", make("a", { href: root + "medicinals.html" }, ["all medicinals"]), " and ", make("a", { href: root + "formulas.html" }, ["all formulas"]), "."])); }
    return [head, ...sections.map(([, label, n, list]) => make("section", { class: "strip" }, [make("h2", {}, [label, " ", plain("small", n + (n === 1 ? " match" : " matches"))]), list]))];
  }

  /* ---- keys ---- */
  function links() { return Array.from(found.querySelectorAll("h3 a")); }
  field.addEventListener("input", show);
  found.addEventListener("click", address);
  form.addEventListener("submit", (event) => {
    event.preventDefault();
    address();
    const first = links()[0];
    if (first) { location.href = first.href; }
  });
  doc.addEventListener("keydown", (event) => {
    if (event.ctrlKey || event.metaKey || event.altKey || event.isComposing) { return; }
    if (event.target === field && event.key === "ArrowDown") { rest(); }
    const list = links(), at = list.indexOf(doc.activeElement);
    if (event.key === "Escape" && (event.target === field || at >= 0)) { event.preventDefault(); field.value = ""; show(); field.focus(); return; }
    if (!list.length || (event.target !== field && at < 0)) { return; }
    if (event.key === "ArrowDown") { event.preventDefault(); list[Math.min(at + 1, list.length - 1)].focus(); }
    if (event.key === "ArrowUp") { event.preventDefault(); if (at > 0) { list[at - 1].focus(); } else { field.focus(); } }
  });
  MATERIA.answers = true;
  show();
  MATERIA.layout(MATERIA.names, (made) => {
    index = MATERIA.index = made;
    form.setAttribute("data-ready", "");
    if (field.value.trim()) { show(); }
    doc.dispatchEvent(new Event("materia-names"));
  });
}());
