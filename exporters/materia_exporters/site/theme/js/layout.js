/* The names of the package, laid out so that a text finds its subjects without going through them all.

   `MATERIA.names` holds: subjects [kind 0 medicinal 1 form 2 formula, id, hans, hant, pinyin, English, Latin, page unless
   the usual one, heaviest state, what it is about, a line, harm 0 to 4, status unless current, 1 if taught as core];
   names, for each subject, [text, kind, language] one after the other, by number in kinds and langs; taxa [hans, hant,
   pinyin, English, Latin, definition], which count on from the subjects; mixed [one, other, kind, harm, tell apart];
   terms [0 action 1 category 2 group, English, hans, hant, pinyin, page, who has it as a chief one, who otherwise];
   keys, the tables of folding. */
(function () {
  "use strict";
  const MATERIA = (window.MATERIA = window.MATERIA || {});
  const CELLS = [["id", ""], ["hans", "zh-Hans"], ["hant", "zh-Hant"], ["pinyin", "zh-Latn"], ["en", "en"], ["la", "la"]];
  const SLICE = 10;

  function put(map, key, value) {
    const held = map.get(key);
    if (held) { held.push(value); } else { map.set(key, [value]); }
  }

  /* Lay out in slices of some milliseconds, so that typing is never held up; `done` gets the index. */
  MATERIA.layout = function (data, done) {
    const keys = MATERIA.keys(data.keys), index = { keys, subjects: data.subjects.map(subject), names: [], terms: [], taxa: [] };
    for (const map of ["exact", "han", "read", "made", "spelled", "printed", "joined", "sorted", "word", "local", "foreign", "part", "grams"]) { index[map] = new Map(); }
    index.tones = new Map();
    index.known = data.subjects.length;
    index.numbers = new Map(index.subjects.map((one, at) => [one.id, at]));
    data.taxa.forEach((one) => index.taxa.push({ hans: one[0], hant: one[1], pinyin: one[2], en: one[3], latin: one[4], line: one[5] }));
    index.mixed = new Map();
    data.mixed.forEach((row) => { const one = { a: row[0], b: row[1], kind: row[2], harm: row[3], tell: row[4] }; put(index.mixed, one.a, one); put(index.mixed, one.b, one); });
    const work = [], cells = new Set(CELLS.map((cell) => cell[0]));
    index.subjects.forEach((one, at) => work.push(() => {
      CELLS.forEach(([kind, lang], i) => { if (data.subjects[at][i + 1]) { name(at, data.subjects[at][i + 1], kind, lang); } });
      const more = data.names[at];
      for (let i = 0; i < more.length; i += 3) { name(at, more[i], data.kinds[more[i + 1]], data.langs[more[i + 2]]); }
    }));
    index.taxa.forEach((one, i) => work.push(() => {
      [["hans", "zh-Hans"], ["hant", "zh-Hant"], ["pinyin", "zh-Latn"], ["en", "en"], ["latin", "la"]].forEach(([cell, lang]) => {
        if (one[cell]) { put(index.exact, "\u0000" + taxonKey(one[cell], lang), index.known + i); }
      });
    }));
    data.terms.forEach((row) => work.push(() => index.terms.push(term(row))));
    for (const [map, ears] of [["local", "local"], ["foreign", "foreign"]]) {
      work.push(() => { const bases = new Set([...index.read.keys(), ...index.made.keys()]); for (const base of bases) { put(index[map], keys.heard(base, ears), base); } });
    }
    for (const map of ["read", "made", "han", "joined", "sorted", "word"]) { work.push(() => { index[map + "Near"] = measured(index[map]); }); }
    for (const map of ["read", "han", "joined", "word"]) { work.push(() => { index[map + "Sorted"] = Array.from(index[map].keys()).sort(); }); }
    let next = 0;
    (function slice() {
      const began = performance.now();
      while (next < work.length && performance.now() - began < SLICE) { work[next](); next += 1; }
      if (next < work.length) { setTimeout(slice, 0); } else { index.taxonKey = taxonKey; done(index); }
    }());

    function subject(row) {
      return { kind: row[0], id: row[1], hans: row[2], hant: row[3], pinyin: row[4], en: row[5], latin: row[6], page: row[7] || usual(row[0], row[1]),
        state: row[8], about: row[9], line: row[10], harm: row[11], status: row[12], core: row[13] };
    }
    function usual(kind, id) {
      return kind === 1 ? "medicinals/" + id.split(".")[0] + ".html#" + id : (kind === 2 ? "formulas/" : "medicinals/") + id + ".html";
    }
    function taxonKey(text, lang) {
      return lang.startsWith("zh-Han") ? keys.folded(text) : lang === "zh-Latn" ? keys.reading(text).base : keys.wordsOf(text).slice(0, lang === "la" ? 2 : 9).join("");
    }
    function term(row) {
      const read = keys.reading(row[4]).base;
      return { kind: row[0], en: row[1], hans: row[2], page: row[5], words: keys.wordsOf(row[1]), folded: [row[2], row[3]].map(keys.folded).filter(Boolean), read,
        chief: from(row[6] || []), other: from(row[7] || []) };
    }
    function from(steps) { let last = 0; return steps.map((step) => (last += step)); }

    function name(subject, text, kind, lang) {
      const place = index.names.length, standard = cells.has(kind);
      index.names.push({ subject, text, kind, lang, standard });
      put(index.exact, keys.plain(text), place);
      if (lang.startsWith("zh-Han")) {
        const han = keys.folded(text);
        if (Array.from(han).length !== Array.from(text).length) { return; }
        put(index.han, han, place);
        for (const char of new Set(han)) { put(index.grams, char, place); }
        if (!standard) {
          for (const known of keys.read(han, true)) {
            const made = keys.reading(known);
            put(index.made, made.base, [place, made.marks]);
            if (kind === "generic") { spell(place, keys.wade(known)); }
          }
        }
      } else if (lang.startsWith("zh-Latn")) {
        if (lang === "zh-Latn-wadegile") { spell(place, keys.spelled(text)); index.tones.set(place, ""); return; }
        const known = keys.reading(text);
        if (known.base) {
          put(index.read, known.base, place);
          index.tones.set(place, known.marks);
          const parts = text.trim().split(/\s+/);
          if (parts.length > 2) { parts.slice(1).forEach((part) => put(index.part, keys.reading(part).base, place)); }
        }
        if (standard) { spell(place, keys.wade(text)); }
      } else if (lang) {
        const words = keys.wordsOf(text);
        if (words.length) {
          put(index.joined, words.join(""), place);
          put(index.sorted, words.slice().sort().join(" "), place);
          for (const word of new Set(words)) { put(index.word, word, place); }
        }
      }
    }
    function spell(place, written) {
      if (written) { put(index.spelled, written, place); put(index.printed, keys.careless(written), place); }
    }
  };

  /* The keys of a map by length, each with the set of its letters as bits, to pass over at once what cannot be near. */
  function measured(map) {
    const lengths = [];
    for (const key of map.keys()) {
      const length = key.length;
      if (length < 3 || length > 115) { continue; }
      (lengths[length] = lengths[length] || { keys: [], bits: [] }).keys.push(key);
    }
    for (const held of lengths) { if (held) { held.bits = Int32Array.from(held.keys, bits); } }
    return lengths;
  }
  function bits(text) {
    let made = 0;
    for (let i = 0; i < text.length; i += 1) { made |= 1 << (text.charCodeAt(i) % 31); }
    return made;
  }
  MATERIA.bits = bits;
}());
