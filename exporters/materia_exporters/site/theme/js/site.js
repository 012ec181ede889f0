/* Search over every name, and the large type that is remembered. A classic script, so that it runs from disk. */
(function () {
  "use strict";
  var doc = document, form = doc.querySelector("form.find"), field = doc.getElementById("q"), found = doc.getElementById("found");
  var root = form.getAttribute("data-root"), entries = null, loading = false;

  /* ---- large type ---- */
  var large = doc.getElementById("large");
  try { large.checked = localStorage.getItem("materia-large") === "1"; } catch (e) { /* storage may be closed to files */ }
  large.addEventListener("change", function () {
    try { localStorage.setItem("materia-large", large.checked ? "1" : "0"); } catch (e) { /* then it holds for this page only */ }
  });

  /* ---- reading names ---- */
  var HAN = /[\u2e80-\u2fdf\u3005-\u3007\u3400-\u9fff\uf900-\ufaff]|[\ud840-\ud8ff][\udc00-\udfff]/;
  var TONES = { "\u0304": 1, "\u0301": 2, "\u030c": 3, "\u0300": 4 };
  var NOUN = { hans: "name", hant: "traditional name", pinyin: "reading", en: "English name", la: "Latin name", alternate: "other name",
    prescription: "prescription name", joint: "joint name", trade: "trade name", generic: "generic name", variant: "variant", old: "old name",
    romanisation: "romanisation", misspelling: "common misspelling", species: "name of its plant or substance" };
  var LESS = { hans: 0, hant: 1, pinyin: 2, en: 3, la: 4, prescription: 20, alternate: 22, joint: 24, generic: 24, variant: 24, romanisation: 26, trade: 30, old: 32,
    species: 36, misspelling: 40 };
  var TAKEN = { name: "by name", look: "by its look", species: "as another species", adulterant: "as an adulterant", historic: "in old books" };
  var STATES = { "contraindicated": ["s1", "w-contra", "contraindicated"], "avoid": ["s2", "w-avoid", "avoid"], "caution": ["s3", "w-caution", "caution"],
    "none-stated": ["s4", "w-none", "none stated"], "not-checked": ["s5", "w-unk", "not checked"] };

  /* Letters, digits of names and characters only, without tones; with the place each came from. */
  function fold(text) {
    var letters = "", places = [], i, j, bare;
    for (i = 0; i < text.length; i += 1) {
      bare = text[i].normalize("NFKD").toLowerCase().replace(/[\u0300-\u036f]/g, "");
      for (j = 0; j < bare.length; j += 1) {
        if (/[a-z0-9]/.test(bare[j]) || bare.charCodeAt(j) > 0x2e7f) { letters += bare[j]; places.push(i); }
      }
    }
    return { text: letters, places: places };
  }
  /* Tones in order, as digits: bàn xià and ban4 xia4 are both 44; nothing where none are written. */
  function tones(text) {
    var marks = text.normalize("NFD").match(/[\u0304\u0301\u030c\u0300]/g) || [];
    if (marks.length) { return marks.map(function (mark) { return TONES[mark]; }).join(""); }
    return (text.match(/[a-z\u00fc:]([1-4])(?![0-9])/gi) || []).map(function (part) { return part.slice(-1); }).join("");
  }
  function words(text) { return text.split(/[\s,;()'’-]+/).map(function (word) { return fold(word).text; }).filter(Boolean); }
  /* Letters to change, add, drop or swap; more than `most` is as good as endless. */
  function distance(one, two, most) {
    if (Math.abs(one.length - two.length) > most) { return most + 1; }
    var before = [], last = [], now, i, j;
    for (j = 0; j <= two.length; j += 1) { last.push(j); }
    for (i = 1; i <= one.length; i += 1) {
      now = [i];
      for (j = 1; j <= two.length; j += 1) {
        now[j] = Math.min(last[j] + 1, now[j - 1] + 1, last[j - 1] + (one[i - 1] === two[j - 1] ? 0 : 1));
        if (i > 1 && j > 1 && one[i - 1] === two[j - 2] && one[i - 2] === two[j - 1]) { now[j] = Math.min(now[j], before[j - 2] + 1); }
      }
      before = last; last = now;
    }
    return last[two.length];
  }

  function prepare(raw) {
    var keys = ["hans", "hant", "pinyin", "en", "la"], langs = ["zh-Hans", "zh-Hant", "zh-Latn-pinyin", "en", "la"];
    return raw.map(function (entry, id) {
      var names = [];
      function add(text, kind, lang) {
        if (!text) { return; }
        var folded = fold(text).text;
        if (folded) { names.push({ text: text, kind: kind, lang: lang, folded: folded, tones: /Latn/.test(lang) ? tones(text) : "", words: HAN.test(text) ? [] : words(text) }); }
      }
      entry.n.forEach(function (text, i) { add(text, keys[i], langs[i]); });
      entry.o.forEach(function (other) { add(other[0], other[1], other[2]); });
      entry.id = id; entry.names = names;
      return entry;
    });
  }

  /* ---- matching ---- */
  function reading(text) {
    var digits = /[a-z\u00fc:][1-5](?![0-9])/i.test(text), bare = digits ? text.replace(/([a-z\u00fc:])[1-5](?![0-9])/gi, "$1") : text;
    var folded = fold(bare.replace(/u:/gi, "u")).text;
    return { text: text, folded: folded, other: /^[a-z]+$/.test(folded) ? folded.replace(/v/g, "u") : folded, tones: tones(text), words: words(bare), han: HAN.test(text) };
  }
  function match(asked, name) {
    var key = asked.folded, size = key.length / name.folded.length;
    if (name.folded === key || (name.folded === asked.other && name.kind === "pinyin")) {
      if (asked.tones && name.tones && asked.tones !== name.tones) { return { score: 860, how: "other tones" }; }
      return { score: asked.tones && name.tones || asked.han || !name.tones ? 1000 : 980, how: "whole", loose: Boolean(name.tones) && !asked.tones };
    }
    if (name.kind === "misspelling") { return null; }
    if (key.length < (asked.han ? 1 : 2)) { return null; }
    if (name.folded.indexOf(key) === 0) { return { score: 700 + 100 * size, how: "start", loose: Boolean(name.tones) && !asked.tones }; }
    if (name.words.some(function (word) { return word === key; })) { return { score: 690 + 100 * size, how: "word" }; }
    if (name.words.some(function (word) { return word.indexOf(key) === 0; })) { return { score: 640 + 100 * size, how: "word" }; }
    if (name.tones && aligned(asked.words, name.words)) { return { score: 680 + 10 * size, how: "part", loose: !asked.tones }; }
    if ((asked.han || key.length > 3) && name.folded.indexOf(key) > 0) { return { score: 560 + 100 * size, how: "part", loose: Boolean(name.tones) && !asked.tones }; }
    return null;
  }
  /* Whole syllables in a row: bei mu in chuān bèi mǔ. */
  function aligned(some, all) {
    return some.length > 1 && all.some(function (word, at) { return some.every(function (one, i) { return all[at + i] === one; }); });
  }
  function near(asked, name) {
    var key = asked.folded, most = key.length < 6 ? 1 : 2;
    if (asked.han || key.length < 4 || HAN.test(name.text)) { return null; }
    var best = distance(key, name.folded, most), whole = true;
    name.words.forEach(function (word) {
      var one = word.length > 3 ? distance(key, word, most) : most + 1;
      if (one < best) { best = one; whole = false; }
    });
    return best > most ? null : { score: (whole ? 420 : 400) - 50 * best, how: "near" };
  }
  function all(asked, entry) {
    if (asked.words.length < 2) { return null; }
    var held = entry.names.reduce(function (list, name) { return list.concat(name.words); }, []);
    return asked.words.every(function (word) { return held.some(function (one) { return one.indexOf(word) === 0; }); }) ? { score: 450, how: "words" } : null;
  }
  function search(text) {
    var asked = reading(text), hits = {}, best = 0;
    if (!asked.folded) { return { asked: asked, hits: [] }; }
    function offer(entry, name, got) {
      if (!got) { return; }
      var score = got.score - (LESS[name.kind] || 0);
      if (got.how === "whole" || got.how === "other tones") { score -= { form: 8, formula: 12 }[entry.k] || 0; } else { score -= { form: 40, formula: 60 }[entry.k] || 0; }
      if ((entry.w || entry.r > 1) && LESS[name.kind] > 4) { score -= 6; }
      if (entry.w && got.how !== "whole") { score -= 20; }
      if (entry.c) { score += 3; }
      if (!hits[entry.id] || score > hits[entry.id].score) { hits[entry.id] = { entry: entry, name: name, how: got.how, loose: got.loose, score: score }; }
      best = Math.max(best, score);
    }
    entries.forEach(function (entry) { entry.names.forEach(function (name) { offer(entry, name, match(asked, name)); }); });
    if (best < 700) {
      entries.forEach(function (entry) {
        offer(entry, entry.names[0], all(asked, entry));
        entry.names.forEach(function (name) { offer(entry, name, near(asked, name)); });
        if (asked.han && (entry.x || []).some(function (link) { return (link[2] + link[3]).indexOf(text) >= 0; })) { offer(entry, entry.names[0], { score: 300, how: "told" }); }
      });
    }
    return { asked: asked, hits: settle(hits) };
  }
  /* Who is taken for a match and would hurt stands under it, in a frame: never hidden, never first. */
  function settle(hits) {
    var list = Object.keys(hits).map(function (id) { return hits[id]; });
    list.filter(function (hit) { return hit.entry.k === "look-alike"; }).forEach(function (hit) {
      hit.entry.x.forEach(function (link) {
        var home = entries[link[0]];
        if (!hits[home.id]) { hits[home.id] = { entry: home, name: hit.name, how: "look-alike", of: hit, score: hit.score - 1 }; list.push(hits[home.id]); }
      });
    });
    list = list.filter(function (hit) { return hit.entry.k !== "look-alike"; });
    list.sort(function (one, two) { return two.score - one.score || (one.entry.r || 0) - (two.entry.r || 0) || one.entry.id - two.entry.id; });
    list.forEach(function (hit, place) {
      hit.stops = (hit.entry.x || []).filter(function (link) { return place === 0 || hits[link[0]] && entries[link[0]].k === "look-alike"; });
    });
    return list;
  }

  /* ---- laying out ---- */
  function make(tag, attributes, children) {
    var node = doc.createElement(tag);
    Object.keys(attributes || {}).forEach(function (key) { node.setAttribute(key, attributes[key]); });
    (children || []).forEach(function (child) { if (child) { node.appendChild(typeof child === "string" ? said(child) : child); } });
    return node;
  }
  /* Text with each run of characters in a span of its language. */
  function said(text) {
    var part = doc.createDocumentFragment(), run = /(?:[\u2e80-\u2fdf\u3005-\u3007\u3400-\u9fff\uf900-\ufaff]|[\ud840-\ud8ff][\udc00-\udfff])+/g, end = 0, got;
    while ((got = run.exec(text))) {
      part.appendChild(doc.createTextNode(text.slice(end, got.index)));
      var span = doc.createElement("span"); span.lang = "zh-Hans"; span.textContent = got[0]; part.appendChild(span);
      end = got.index + got[0].length;
    }
    part.appendChild(doc.createTextNode(text.slice(end)));
    return part;
  }
  function plain(tag, text, attributes) { var node = make(tag, attributes); node.textContent = text; return node; }
  function mark(state) {
    var space = "http://www.w3.org/2000/svg", svg = doc.createElementNS(space, "svg"), use = doc.createElementNS(space, "use"), known = STATES[state] || STATES["not-checked"];
    svg.setAttribute("class", "m"); svg.setAttribute("aria-hidden", "true"); use.setAttribute("href", "#" + known[0]); svg.appendChild(use);
    return make("span", { "class": "mw" }, [svg, plain("span", STATES[state] ? known[2] : state, { "class": known[1] })]);
  }
  function title(entry) {
    var n = entry.n, node = make("span", { "class": "n" });
    if (n[0]) { node.appendChild(plain("span", n[0], { lang: "zh-Hans" })); }
    if (n[0] && n[2]) { node.appendChild(doc.createTextNode(" ")); }
    if (n[2]) { node.appendChild(plain("span", n[2], { lang: "zh-Latn-pinyin" })); }
    if (!n[0] && !n[2]) { node.appendChild(plain("i", n[4] || n[3], { lang: n[4] ? "la" : "en" })); }
    return node;
  }
  /* The name with the letters that matched marked. */
  function marked(name, asked) {
    var at = fold(name.text), from = at.text.indexOf(asked.folded), key = asked.folded;
    if (from < 0) { key = asked.other; from = at.text.indexOf(key); }
    var node = make("span", { lang: name.lang });
    if (from < 0) { node.textContent = name.text; return node; }
    var start = at.places[from], end = at.places[from + key.length - 1] + 1;
    node.appendChild(doc.createTextNode(name.text.slice(0, start)));
    node.appendChild(plain("mark", name.text.slice(start, end)));
    node.appendChild(doc.createTextNode(name.text.slice(end)));
    return node;
  }
  function why(hit, asked) {
    var noun = NOUN[hit.name.kind] || hit.name.kind;
    if (hit.how === "words") { return make("p", { "class": "mat" }, ["matched ", plain("b", "all the words"), " among its names"]); }
    if (hit.how === "look-alike") { return make("p", { "class": "mat" }, [marked(hit.of.name, asked), " is taken for it: see the frame"]); }
    if (hit.how === "told") { return make("p", { "class": "mat" }, ["no name is written so; ", make("b", {}, [asked.text]), " is named in what tells it apart: see the frames"]); }
    var lead = { "whole": "the whole " + noun, "other tones": "the " + noun + " with other tones", "start": "the start of the " + noun, "word": "a word of the " + noun,
      "part": "part of the " + noun, "near": "something near the " + noun }[hit.how];
    return make("p", { "class": "mat" }, ["matched ", plain("b", lead), ": ", marked(hit.name, asked), hit.loose ? ", tones left out" : null]);
  }
  function item(hit, asked) {
    var entry = hit.entry, about = [mark(entry.s)];
    if (entry.a) { about.push(" "); about.push(entry.a); }
    return make("li", { "class": "hit" }, [make("div", {}, [
      make("h3", {}, [make("a", { href: root + entry.h }, [title(entry)]), entry.w ? " " : null, entry.w ? make("b", { "class": "grade" }, [entry.w]) : null]),
      make("p", {}, [entry.n[3] + (entry.d ? ". " + entry.d : "")]), make("p", {}, about)]), why(hit, asked)]);
  }
  function stop(link, hit) {
    var other = entries[link[0]], known = other.k !== "look-alike";
    var head = known ? make("a", { href: root + other.h }, [title(other)]) : make("a", { href: root + hit.entry.h.split("#")[0] + "#apart" }, [title(other)]);
    var latin = !known && other.n[4] && other.n[0] ? make("i", { lang: "la" }, [other.n[4]]) : null;
    return make("li", { "class": "hit stop" }, [make("div", {}, [make("h3", {}, [head, latin ? " " : null, latin]),
      make("p", {}, [make("b", {}, ["Not ", hit.entry.n[0] || hit.entry.n[3], "."]), " " + link[2]]), link[3] ? make("p", {}, [make("b", {}, ["Tell apart: "]), link[3]]) : null]),
      make("p", { "class": "mat" }, ["taken for the match above ", make("b", {}, [TAKEN[link[1]] || link[1]])])]);
  }
  function show() {
    var text = field.value.trim();
    doc.body.classList.toggle("searching", Boolean(text));
    found.hidden = !text;
    found.textContent = "";
    try { history.replaceState(null, "", location.pathname + (text ? "?q=" + encodeURIComponent(text) : "") + (text ? "" : location.hash)); } catch (e) { /* then the address stays */ }
    if (!text) { return; }
    if (!entries) { load(); found.appendChild(plain("p", "Reading the names …", { role: "status" })); return; }
    var got = search(text), kinds = [], groups = {};
    got.hits.forEach(function (hit) {
      if (!groups[hit.entry.k]) { groups[hit.entry.k] = []; kinds.push(hit.entry.k); }
      groups[hit.entry.k].push(hit);
    });
    var count = got.hits.length, same = got.hits.filter(function (hit) { return hit.how === "whole" && hit.entry.k === "medicinal"; }).length;
    var head = make("header", { "class": "plate" }, [plain("p", "Search", { "class": "kind" }),
      make("div", { role: "status" }, [make("h1", { "class": "title" }, [(count || "No") + (count === 1 ? " match" : " matches") + " for “" + text + "”"])])]);
    if (count && got.hits[0].score < 500) { head.appendChild(make("p", { "class": "note" }, ["No name is written so. These come near; make sure that you mean them."])); }
    if (same > 1) { head.appendChild(make("p", { "class": "note" }, [make("b", {}, [same + " medicinals answer to this name."]), " Look at the characters."])); }
    if (!count) { head.appendChild(make("p", {}, ["Try fewer letters, another script, or the list of ", make("a", { href: root + "medicinals.html" }, ["all medicinals"]), "."])); }
    found.appendChild(head);
    kinds.forEach(function (kind) {
      var most = 12, list = make("ol", { "class": "body" }), hits = groups[kind];
      hits.slice(0, most).forEach(function (hit) {
        list.appendChild(item(hit, got.asked));
        hit.stops.forEach(function (link) { list.appendChild(stop(link, hit)); });
      });
      if (hits.length > most) { list.appendChild(plain("li", "and " + (hits.length - most) + " more: type another letter", { "class": "quiet" })); }
      var label = { medicinal: "Medicinals", form: "Forms", formula: "Formulas" }[kind];
      found.appendChild(make("section", { "class": "strip" }, [make("h2", {}, [label, " ", plain("small", hits.length + (hits.length === 1 ? " match" : " matches"))]), list]));
    });
  }
  function load() {
    if (loading || entries) { return; }
    loading = true;
    var script = doc.createElement("script");
    script.src = root + "js/names.js";
    script.onload = function () { entries = prepare(window.MATERIA); if (field.value.trim()) { show(); } };
    script.onerror = function () { loading = false; found.textContent = "The names could not be read: js/names.js is missing."; };
    doc.head.appendChild(script);
  }

  /* ---- keys ---- */
  function links() { return Array.prototype.slice.call(found.querySelectorAll("h3 a")); }
  function empty() { field.value = ""; show(); field.focus(); }
  field.addEventListener("focus", load);
  field.addEventListener("input", show);
  form.addEventListener("submit", function (event) {
    event.preventDefault();
    var first = links()[0];
    if (first) { location.href = first.href; }
  });
  doc.addEventListener("keydown", function (event) {
    var inside = /^(INPUT|TEXTAREA|SELECT)$/.test(event.target.tagName), list = links(), at = list.indexOf(doc.activeElement);
    if (event.ctrlKey || event.metaKey || event.altKey) { return; }
    if (event.key === "/" && !inside) { event.preventDefault(); field.focus(); field.select(); return; }
    if (event.key === "Escape" && (event.target === field || at >= 0)) { event.preventDefault(); empty(); return; }
    if (!list.length || (event.target !== field && at < 0)) { return; }
    if (event.key === "ArrowDown") { event.preventDefault(); list[Math.min(at + 1, list.length - 1)].focus(); }
    if (event.key === "ArrowUp") { event.preventDefault(); if (at > 0) { list[at - 1].focus(); } else { field.focus(); } }
  });
  var given = new URLSearchParams(location.search).get("q");
  if (given) { field.value = given; show(); }
}());
