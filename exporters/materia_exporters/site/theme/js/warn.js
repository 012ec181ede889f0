/* What is uncertain in a search, and which mistake would hurt: the same as `materia name` warns of. */
(function () {
  "use strict";
  const MATERIA = (window.MATERIA = window.MATERIA || {});
  const SURE = 0.95, CLOSE = 0.15, NEAR = 0.8, TOXIC = 2;
  const TYPED = new Set(["begins so", "stands in the name", "has the word"]);

  /* {rest, far, shared: [{text, kind, subjects}], unsure: subjects, inside, graver: subjects, off: [[subject, other]],
     mixed: [{subject, other, row}]}; `other` from index.known on is a taxon. */
  MATERIA.warn = function (index, found) {
    const hits = found.hits, told = { rest: "", far: false, shared: [], unsure: [], inside: false, graver: [], off: [], mixed: [] };
    if (!hits.length) { return told; }
    const harm = (subject) => index.subjects[subject].harm, typed = TYPED.has(hits[0].how), first = hits.filter((hit) => hit.score === hits[0].score);
    if (hits[0].rest) { told.rest = hits[0].rest; } else { told.far = !typed && hits[0].score < NEAR; }
    if (!typed) {
      const by = new Set();
      for (const kind of ["generic", "joint"]) {
        const some = first.filter((hit) => hit.name.kind === kind);
        if (some.length) { told.shared.push({ text: some[0].name.text, kind, subjects: some.map((hit) => hit.subject) }); some.forEach((hit) => by.add(hit.subject)); }
      }
      if (first.length > Math.max(1, by.size)) { told.unsure = first.map((hit) => hit.subject); told.inside = first.every((hit) => hit.how === "stands in it"); }
      const grave = Math.max(...first.map((hit) => harm(hit.subject)));
      for (const hit of hits.slice(first.length)) {
        const close = hits[0].score - hit.score <= CLOSE && (hits[0].score < 1 || hit.score >= SURE);
        if (close && !TYPED.has(hit.how) && harm(hit.subject) > grave) { told.graver.push(hit.subject); }
      }
    }
    const herbs = (subject) => (index.subjects[subject].kind === 1 ? index.numbers.get(index.subjects[subject].id.split(".")[0]) : subject), seen = new Set();
    for (const hit of first.slice(0, 6)) {
      for (const mine of new Set([hit.subject, herbs(hit.subject)])) {
        for (const row of index.mixed.get(mine) || []) {
          if (!seen.has(row)) { seen.add(row); told.mixed.push({ subject: mine, of: hit.subject, other: row.a === mine ? row.b : row.a, row }); }
        }
      }
    }
    if (hits[0].score >= SURE && found.folded) {
      const named = new Set(told.mixed.flatMap((one) => [one.subject, one.other]));
      for (const hit of first) { offByOne(index, hit, named).forEach((other) => told.off.push([hit.subject, other])); }
    }
    return told;
  };

  /* Toxic or withdrawn medicinals whose heading of three characters and more differs from the name in one. */
  function offByOne(index, hit, named) {
    const written = Array.from(index.keys.folded(hit.name.text) || index.subjects[hit.subject].hans), herb = (one) => one.id.split(".")[0], mine = herb(index.subjects[hit.subject]), found = [];
    if (written.length < 3) { return found; }
    index.subjects.forEach((one, at) => {
      if (one.harm < TOXIC || herb(one) === mine || named.has(at) || one.hans.length < 3) { return; }
      const theirs = Array.from(one.hans);
      if (theirs.length === written.length && theirs.filter((char, i) => char !== written[i]).length === 1) { found.push(at); }
    });
    return found;
  }
}());
