/* A text looked up among the names: first what is the very name, then what it begins, sounds or looks like.

   The first part follows `materia name` step by step, with the same scores; what comes of typing only half a name, and
   actions and lessons, are added here. */
(function () {
  "use strict";
  const MATERIA = (window.MATERIA = window.MATERIA || {});
  const SURE = 0.95, LONGEST = 12, WORDS = 6, SHORT = 2, SPOKEN = 12;
  const EARS = [["local", 0.86, "sounds like it"], ["foreign", 0.82, "sounds like it to a foreign ear"]];
  const RUN = /[〇㐀-䶿一-鿿\u{20000}-\u{323af}]+/gu, LATIN = /\p{L}(?:[\p{L}\p{N}\u0300-\u036f'’:-])*/gu;

  /* Hits, best first: {subject, score, name, how, rest}, for terms {term, score, how}; and the index's own words on them. */
  MATERIA.search = function (index, given) {
    const keys = index.keys, text = keys.tidied(given), best = new Map(), names = index.names;
    if (!text) { return { text, hits: [], terms: [] }; }

    function keep(place, score, how, rest) {
      const name = names[place], old = best.get(name.subject);
      if (!old || score > old.score || (score === old.score && name.standard && !old.name.standard)) {
        best.set(name.subject, { subject: name.subject, score, name, place, how: how || "", rest: rest || "" });
      }
    }
    const harm = (subject) => index.subjects[subject].harm;
    const apart = (subject, others) => others.some((other) => harm(other) !== harm(subject));
    const get = (map, key) => map.get(key) || [];

    /* ---- the same name: as stored, in the other script, in another spelling, its words in another order ---- */
    function headingsFirst(places) {
      const headings = places.filter((place) => names[place].standard).map((place) => names[place].subject);
      return places.map((place) => {
        const subject = names[place].subject;
        return [place, headings.length > 0 && !headings.includes(subject) && !apart(subject, headings)];
      });
    }
    function ofReading(base) {
      return [...get(index.read, base).map((place) => [place, index.tones.get(place), 0]), ...get(index.made, base).map(([place, marks]) => [place, marks, 0.02])];
    }
    const folded = keys.folded(text), asked = keys.reading(text), words = keys.wordsOf(text);
    function same() {
      headingsFirst(get(index.exact, keys.plain(text))).forEach(([place, outdone]) => keep(place, names[place].kind === "species" ? 0.93 : outdone ? 0.99 : 1));
      if (folded && !/[\p{L}\p{N}]/u.test(text.replace(RUN, ""))) {
        headingsFirst(get(index.han, folded)).forEach(([place, outdone]) => keep(place, outdone ? 0.98 : 0.99, "written another way"));
      }
      if (!asked.base) { return; }
      for (const [place, marks, less] of ofReading(asked.base)) {
        if (asked.marks === marks && /[^.]/.test(marks)) { keep(place, 0.99 - less, "the same reading"); }
        else if (keys.agree(asked.marks, marks)) { keep(place, 0.97 - less, "tones left out"); }
        else { keep(place, 0.9 - less, "with other tones"); }
      }
      const written = keys.spelled(text), whole = get(index.spelled, written), printed = /['ü]/.test(written) ? [] : get(index.printed, keys.careless(text));
      const held = new Set(whole.map((place) => names[place].subject)), sure = printed.every((place) => held.has(names[place].subject));
      for (const place of new Set([...whole, ...printed])) { keep(place, (sure ? 0.96 : 0.9) - (names[place].kind === "generic" ? 0.01 : 0), "in Wade–Giles"); }
      get(index.joined, words.join("")).forEach((place) => keep(place, names[place].kind === "species" ? 0.92 : 0.97));
      get(index.sorted, words.slice().sort().join(" ")).forEach((place) => keep(place, 0.94, "its words in another order"));
    }
    /* Those that are read alike get one score where they differ in harm and the text has not said which. */
    function level() {
      const top = highest(), first = [...best.values()].filter((hit) => hit.score === top);
      if (top < SURE || (top >= 0.98 && first.some((hit) => !index.tones.has(hit.place)))) { return; }
      const subjects = first.map((hit) => hit.subject);
      for (const hit of best.values()) { if (hit.score >= SURE && hit.score < top && apart(hit.subject, subjects)) { hit.score = top; } }
    }
    function highest() { let top = 0; for (const hit of best.values()) { top = Math.max(top, hit.score); } return top; }

    /* ---- like the name: it stands inside the text, sounds like it or is spelled nearly so ---- */
    const less = (place) => (names[place].kind === "species" ? 0.03 : 0);
    function inside() {
      const found = [];
      for (const run of text.match(RUN) || []) {
        const chars = Array.from(keys.folded(run));
        for (let at = 0; at < chars.length;) {
          let end = Math.min(chars.length, at + LONGEST), places = null;
          for (; end > at + 1; end -= 1) { if ((places = index.han.get(chars.slice(at, end).join("")))) { break; } }
          if (!places) { at += 1; continue; }
          const rest = chars.slice(0, at).concat(chars.slice(end)), short = rest.length > 0 && rest.length <= SHORT;
          found.push([places, short ? rest.join("") : "", short ? (end - at) / chars.length : 1]);
          at = end;
        }
      }
      const said = text.replace(RUN, " ").match(LATIN) || [];
      for (let at = 0; at < said.length;) {
        let end = Math.min(said.length, at + WORDS), places = null;
        for (; end > at; end -= 1) { if ((places = named(said.slice(at, end)))) { break; } }
        if (!places) { at += 1; continue; }
        const rest = said.slice(0, at).concat(said.slice(end)).filter((word) => word.length > SHORT), letters = said.slice(at, end).join("").length;
        const share = rest.length > 0 && rest.length <= SHORT ? letters / (letters + rest.join("").length) : 1;
        found.push([places, share < 1 ? rest.join(" ") : "", share]);
        at = end;
      }
      return found;
    }
    /* A single word must have five letters, several four together: shorter ones are words of any language. */
    function named(some) {
      const joined = some.join(" "), base = keys.reading(joined).base;
      if (base.length < (some.length > 1 || joined.includes("-") ? 4 : 5)) { return null; }
      return index.read.get(base) || index.joined.get(keys.wordsOf(joined).join("")) || index.spelled.get(keys.spelled(joined)) || null;
    }
    function sounding() {
      let heard = [asked];
      if (folded) {
        heard = Array.from(folded).length <= SPOKEN ? keys.read(folded, false).map(keys.reading) : [];
        for (const one of heard) {
          for (const [place, marks, less] of ofReading(one.base)) {
            const agrees = one.marks.length === marks.length && keys.agree(one.marks, marks);
            keep(place, (agrees ? 0.92 : 0.88) - less, agrees ? "is read the same" : "is read the same but for tones");
          }
        }
      }
      for (const [ears, score, how] of EARS) {
        for (const base of new Set(heard.map((one) => one.base).filter(Boolean))) {
          for (const other of get(index[ears], keys.heard(base, ears))) { ofReading(other).forEach(([place, , less]) => keep(place, score - less, how)); }
        }
      }
    }
    function allOf(some) {
      let found = null;
      for (const one of new Set(some)) { const held = get(index.word, one); found = found ? held.filter((place) => found.has(place)) : held; found = new Set(found); }
      return found || [];
    }
    function near() {
      const spread = (map, key, by) => MATERIA.near(index[map + "Near"], key).forEach(([other, score]) => index[map].get(other).forEach((held) => by(held, score)));
      const on = (place, score) => keep(place, score - less(place), "is near");
      const chars = Array.from(folded).length;
      if (chars >= 3) { spread("han", folded, on); }
      let bases;
      if (folded && chars <= 80) { bases = keys.read(folded, false).map((known) => keys.reading(known).base); }
      else {
        bases = [asked.base];
        spread("joined", words.join(""), on);
        spread("sorted", words.slice().sort().join(" "), on);
        mended(words).forEach((score, place) => on(place, score - 0.1));
      }
      for (const base of bases.filter(Boolean)) {
        spread("read", base, on);
        spread("made", base, ([place], score) => on(place, score - 0.02));
      }
    }
    /* Names that hold every word, or the nearest to it; the worst word counts. */
    function mended(some) {
      let found = null;
      for (const word of some) {
        const near = new Map(), add = (place, score) => near.set(place, Math.max(score, near.get(place) || 0));
        get(index.word, word).forEach((place) => add(place, 0.8));
        MATERIA.near(index.wordNear, word).forEach(([other, score]) => index.word.get(other).forEach((place) => add(place, score)));
        if (found) { const both = new Map(); found.forEach((score, place) => { if (near.has(place)) { both.set(place, Math.min(score, near.get(place))); } }); found = both; } else { found = near; }
        if (!found.size) { break; }
      }
      return found || new Map();
    }
    function like() {
      for (const [places, rest, share] of inside()) {
        const score = rest ? Math.min(0.8, 0.1 + 0.9 * share) : 0.9;
        places.forEach((place) => keep(place, score - less(place), rest ? "stands in it" : "stands in it", rest));
      }
      sounding();
      for (const place of allOf(words)) { keep(place, 0.8 + 0.1 * new Set(words).size / keys.wordsOf(names[place].text).length, "holds its words"); }
      near();
    }

    /* ---- half a name, as it is typed ---- */
    function typed() {
      const base = asked.base, han = !/[\p{L}\p{N}]/u.test(text.replace(RUN, "")) ? folded : "";
      const at = (place, share, how, from) => {
        const name = names[place], one = index.subjects[name.subject];
        let score = from + 0.1 * share - (name.standard ? 0 : 0.03) - (one.status ? 0.05 : 0) - (one.harm > 1 && !name.standard ? 0.02 : 0) - (one.kind ? 0.01 : 0) + (one.core ? 0.004 : 0);
        if (name.kind === "misspelling") { score -= 0.1; }
        keep(place, score, how);
      };
      if (han) {
        for (const key of beginning(index.hanSorted, han)) { index.han.get(key).forEach((place) => at(place, han.length / key.length, "begins so", 0.8)); }
        const chars = Array.from(han), rare = chars.map((char) => get(index.grams, char)).sort((a, b) => a.length - b.length)[0];
        for (const place of rare) { const key = keys.folded(names[place].text); if (key.indexOf(han) > 0) { at(place, han.length / key.length, "stands in the name", 0.66); } }
        return;
      }
      if (base) {
        const bare = /^\.*$/.test(asked.marks);
        for (const key of beginning(index.readSorted, base)) {
          for (const place of index.read.get(key)) {
            const marks = index.tones.get(place).slice(0, base.length);
            at(place, base.length / key.length, "begins so", bare || keys.agree(asked.marks, marks) ? 0.8 : 0.72);
          }
        }
        if (base.length > 1) {
          const first = keys.reading(text.split(/[\s'’-]+/)[0]).base;
          for (const place of new Set([...get(index.part, first), ...get(index.part, base)])) {
            const parts = names[place].text.trim().split(/\s+/).map((part) => keys.reading(part).base);
            let length = 0;
            for (let i = 1; i < parts.length; i += 1) { length += parts[i - 1].length; if (parts.slice(i).join("").startsWith(base)) { at(place, base.length / (length + parts.slice(i).join("").length), "stands in the name", 0.66); break; } }
          }
        }
      }
      const joined = words.join("");
      if (joined.length > 1) {
        for (const key of beginning(index.joinedSorted, joined)) { index.joined.get(key).forEach((place) => at(place, joined.length / key.length, "begins so", names[place].kind === "species" ? 0.76 : 0.8)); }
        const last = words[words.length - 1], others = words.slice(0, -1);
        let held = null;
        for (const word of others) { const places = new Set(get(index.word, word)); held = held ? new Set([...held].filter((place) => places.has(place))) : places; }
        if (last.length > 1 && (!held || held.size)) {
          for (const key of beginning(index.wordSorted, last)) {
            for (const place of index.word.get(key)) { if (!held || held.has(place)) { at(place, joined.length / keys.wordsOf(names[place].text).join("").length, "has the word", 0.68); } }
          }
        }
      }
    }

    same(); level();
    const sure = highest() >= SURE;
    if (!sure) { like(); }
    typed();
    const taxa = lookAlikes(), terms = termsOf();
    const hits = [...best.values()].filter((hit) => hit.score > 0.3);
    const rank = (hit) => index.subjects[hit.subject];
    hits.sort((a, b) => Math.round(b.score * 1e4) - Math.round(a.score * 1e4) || (rank(a).kind === 2) - (rank(b).kind === 2) || b.name.standard - a.name.standard || rank(a).kind - rank(b).kind || (rank(a).id < rank(b).id ? -1 : 1));
    return { text, hits, terms, taxa, folded };

    /* A plant or animal that is none of ours leads to what it is taken for. */
    function lookAlikes() {
      const found = new Set();
      for (const key of new Set([folded, asked.base, words.join(""), words.slice(0, 2).join("")])) {
        if (key) { get(index.exact, "\u0000" + key).forEach((taxon) => found.add(taxon)); }
      }
      if (highest() >= SURE) { return []; }
      for (const taxon of found) {
        for (const row of get(index.mixed, taxon)) {
          const home = row.a === taxon ? row.b : row.a;
          if (home < index.known) { best.set(home, { subject: home, score: 0.945, name: names[0], place: 0, how: "taken for it", rest: "", taxon }); }
        }
      }
      return [...found];
    }

    function termsOf() {
      const found = [], joined = words.join(""), han = folded, distance = !sure && joined.length > 5 && joined.length < 33 ? MATERIA.distances(joined) : null;
      if (!joined && !han) { return found; }
      for (const term of index.terms) {
        const whole = term.words.join("");
        let score = 0, how = "begins so";
        if ((han && term.folded.includes(han)) || (joined && (whole === joined || term.read === asked.base && asked.base))) { score = term.kind === 2 ? 0.93 : 0.985 - 0.002 * term.kind; how = ""; }
        else if (han && term.folded.some((one) => one.startsWith(han))) { score = 0.79; }
        else if (joined.length > 2 && whole.startsWith(joined)) { score = 0.8 + 0.09 * joined.length / whole.length - 0.01 * term.kind; }
        else if (joined.length > 2 && words.every((word) => term.words.some((one) => one.startsWith(word)))) { score = 0.7 + 0.09 * joined.length / whole.length - 0.01 * term.kind; how = "has the words"; }
        else if (distance && Math.abs(joined.length - whole.length) < 3) {
          const far = distance(whole, 2);
          if (far < 3) { score = 0.8 * (1 - far / whole.length) - 0.01 * term.kind; how = "is near"; }
        }
        if (score) { found.push({ term, score, how }); }
      }
      return found.sort((a, b) => b.score - a.score);
    }
  };

  /* The keys of a sorted list that begin so and go on. */
  function beginning(sorted, start) {
    let low = 0, high = sorted.length;
    while (low < high) { const middle = (low + high) >> 1; if (sorted[middle] < start) { low = middle + 1; } else { high = middle; } }
    let end = low;
    while (end < sorted.length && sorted[end].startsWith(start)) { end += 1; }
    return sorted.slice(sorted[low] === start ? low + 1 : low, end);
  }
}());
