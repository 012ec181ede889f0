/* Two to six side by side: what sets them apart first.

   `MATERIA.facts` holds: ids; predicates [id, whether of safety]; facts [pattern, label, value in words, predicate, how many
   qualifiers, facts that leave nothing to be said by it]; closed, by predicate, subjects whose lack is a stated no; topics
   [topic, target, topics that cover it]; axes; part, how many subjects a part has. `MATERIA.partN` holds subjects [hans,
   pinyin, English, page, heaviest state, what about, dose in g, cautions [topic, state]*, antagonists [[state, name …] …],
   toxicity, status unless current, own facts, other true ones, own that are not true, denied, left open], contrasts [id,
   shared, [subject, axis, point]*, source, locator, basis] and mixed [one, other, kind, harm, tell apart]. Lists of facts
   and subjects are written as steps. */
(function () {
  "use strict";
  const MATERIA = window.MATERIA, doc = document, { make, plain, said, state, name, capital, fill } = MATERIA.draw, root = MATERIA.root, all = MATERIA.facts;
  const MOST = 6, YES = "has", NO = "has-not", SILENT = "silent", ASKED_FIRST = 2, NOT_CHECKED = 4;
  const TAKEN = { name: "by name", look: "by look", species: "as another species", adulterant: "as an adulterant", historic: "in old books" };
  const BASES = { collated: "read in the source", memory: "from memory", "common-practice": "common practice" };
  const ROWS = [["nature", "Nature"], ["flavor", "Flavors"], ["channel", "Channels"], ["direction", "Direction"], ["part", "Part used"], ["method", "Made by"], ["trait", "Traits"], ["handling", "Handling"], ["category", "Category"], ["subgroup", "Group"], ["kind", "Kind of form"]];
  const numbers = new Map(all.ids.map((id, at) => [id, at])), places = new Map(all.predicates.map(([id], at) => [id, at])), records = new Map();
  const from = (steps) => { let last = 0; return steps.map((step) => (last += step)); };
  const closed = new Map(Object.entries(all.closed).map(([predicate, held]) => [places.get(predicate), new Set(from(held))]));

  /* ---- what is stated of a subject ---- */
  function record(at) {
    if (!records.has(at)) {
      const row = MATERIA["part" + Math.floor(at / all.part)].subjects[at % all.part], own = from(row[11]), bare = new Set(from(row[13]));
      records.set(at, { at, id: all.ids[at], hans: row[0], pinyin: row[1], en: row[2], page: row[3], state: row[4], about: row[5], dose: row[6], cautions: row[7], against: row[8], toxicity: row[9], status: row[10],
        own, true: new Set([...own, ...from(row[12])].filter((fact) => !bare.has(fact))), denied: new Set(from(row[14])), open: new Set(from(row[15])) });
    }
    return records.get(at);
  }
  function side(one, fact) {
    if (one.true.has(fact)) { return YES; }
    const held = closed.get(all.facts[fact][3]);
    return one.denied.has(fact) || (held && held.has(one.at) && !one.open.has(fact)) ? NO : SILENT;
  }
  function silent(sides) { return sides.includes(SILENT); }
  /* The same as `materia contrast`: shared labels, and the fewest facts that tell each from the others. */
  function contrast(some) {
    const asked = new Map();
    all.predicates.forEach((predicate, at) => {
      for (const one of some) {
        for (const fact of one.own) {
          if (all.facts[fact][3] === at && !asked.has(fact)) {
            const sides = some.map((each) => side(each, fact));
            asked.set(fact, { fact, sides, predicate: predicate[0], safety: Boolean(predicate[1]), weight: [silent(sides) ? 1 : 0, predicate[1] ? 0 : 1, at, all.facts[fact][4]] });
          }
        }
      }
    });
    const list = [...asked.values()], shared = list.filter((one) => one.sides.every((each) => each === YES)), held = new Set(shared.map((one) => one.fact));
    const narrowest = shared.filter((one) => !all.facts[one.fact][5].some((other) => held.has(other)));
    return { asked: list, shared: [...new Set(narrowest.map((one) => all.facts[one.fact][1]))], ...MATERIA.fewest(list, some.length) };
  }
  /* By ids, once their parts are read: for whoever asks from outside. */
  MATERIA.contrast = (ids) => {
    const got = contrast(ids.map((id) => record(numbers.get(id))));
    return { shared: got.shared, apart: got.chosen.map((one) => [all.facts[one.fact][0], one.sides]), alike: got.alike };
  };

  /* ---- reading parts ---- */
  const reading = new Map();
  function part(at) {
    const key = Math.floor(at / all.part);
    if (!reading.has(key)) {
      reading.set(key, new Promise((done, failed) => {
        if (MATERIA["part" + key]) { done(); return; }
        const script = doc.createElement("script");
        script.src = root + "js/facts-" + key + ".js";
        script.onload = done; script.onerror = () => failed(new Error(script.getAttribute("src")));
        doc.head.append(script);
      }));
    }
    return reading.get(key);
  }
  MATERIA.parts = (ids) => Promise.all(ids.map((id) => part(numbers.get(id))));

  /* ---- tables ---- */
  function table(some, first, rows, headed) {
    const head = make("thead", { class: headed ? null : "hd" }, [make("tr", {}, [plain("th", first, { scope: "col" }), ...some.map((one) => make("th", { scope: "col" }, headed ?
      [make("a", { href: root + one.page }, [who(one)]), make("br"), plain("span", one.pinyin, { lang: "zh-Latn-pinyin", class: "nm" })] : [who(one)]))])]);
    return make("table", { class: "t cmp trio of" + some.length }, [head, make("tbody", {}, rows)]);
  }
  function who(one) { return make("span", { class: "n" }, [one.hans ? plain("span", one.hans, { lang: "zh-Hans" }) : said(one.en || one.id)]); }
  function row(some, label, cells, kind) {
    return make("tr", { class: kind || null }, [make("th", { scope: "row" }, label), ...cells.map((cell, i) => make("td", { "data-who": some[i].hans || some[i].en, class: cell.only ? "only" : null }, cell.content))]);
  }
  function unsaid() { return plain("span", "not stated", { class: "un" }); }
  function says(value, alone) {
    if (value === YES) { return { only: alone, content: [plain("b", "yes")] }; }
    return value === NO ? { only: alone, content: [plain("b", "no"), ", stated"] } : { content: [unsaid()] };
  }
  function telling(some, one) {
    const count = (value) => one.sides.filter((each) => each === value).length, label = [capital(all.facts[one.fact][1])];
    if (!one.sides.includes(NO)) { label.push(plain("span", "told only by what is not said", { class: "sub" })); }
    return row(some, label, one.sides.map((value) => says(value, value !== SILENT && count(value) === 1)));
  }
  function strip(title, small, children, kind) { return make("section", { class: "strip" + (kind ? " " + kind : "") }, [make("h2", {}, [title, small ? " " : "", small ? plain("small", small) : ""]), make("div", { class: "body" }, children)]); }

  /* ---- safety ---- */
  function safety(some) {
    const rows = [], cell = (content) => ({ content }), topics = new Map();
    rows.push(row(some, ["Heaviest", plain("span", "forms too", { class: "sub" })], some.map((one) => cell([state(one.state), one.about ? make("span", { class: "src" }, [one.about]) : ""]))));
    if (some.some((one) => one.status)) { rows.push(row(some, ["Status"], some.map((one) => cell([one.status ? plain("b", one.status, { class: "grade" }) : "current"])))); }
    rows.push(row(some, ["Toxicity"], some.map((one) => cell([one.toxicity || unsaid()]))));
    if (some.some((one) => one.against.length)) {
      rows.push(row(some, ["Not together with"], some.map((one) => cell(one.against.length ? one.against.flatMap(([heavy, ...names]) => [state(heavy), make("span", { class: "src" }, [names.join(", ")])]) : [plain("span", "none listed", { class: "un" })]))));
    }
    all.topics.forEach(([topic, target], at) => { if (!target && ["pregnancy", "breast-feeding", "lactation"].includes(topic)) { topics.set(at, NOT_CHECKED); } });
    for (const one of some) { for (let i = 0; i < one.cautions.length; i += 2) { const at = one.cautions[i]; topics.set(at, Math.min(number(one.cautions[i + 1]), topics.has(at) ? topics.get(at) : NOT_CHECKED)); } }
    const order = [...topics].sort((a, b) => a[1] - b[1] || a[0] - b[0]);
    for (const [at] of order) {
      const [topic, target, covering] = all.topics[at];
      rows.push(row(some, target ? [capital(topic), plain("span", target, { class: "sub" })] : [capital(topic)], some.map((one) => {
        let heaviest = NOT_CHECKED, by = at;
        for (let i = 0; i < one.cautions.length; i += 2) {
          if ((one.cautions[i] === at || covering.includes(one.cautions[i])) && number(one.cautions[i + 1]) < heaviest) { heaviest = number(one.cautions[i + 1]); by = one.cautions[i]; }
        }
        return cell([state(heaviest), by !== at ? make("span", { class: "src" }, ["stated of " + (all.topics[by][1] || all.topics[by][0])]) : ""]);
      })));
    }
    return strip("Safety", "of each as it stands; forms in the first row", [table(some, "Topic", rows), make("p", { class: "src" }, ["Not checked: nobody has looked; nothing follows from it. None stated: looked for in a source and not found, which is not a finding of safety."])]);
  }
  function number(value) { return typeof value === "number" ? value : NOT_CHECKED; }

  /* ---- values side by side ---- */
  function values(some, told) {
    const shown = new Set(told.map((one) => one.fact)), differ = [], same = [];
    for (const [predicate, label] of ROWS) {
      const at = places.get(predicate), held = some.map((one) => [...new Set(one.own.filter((fact) => all.facts[fact][3] === at && !all.facts[fact][4] && one.true.has(fact)).map((fact) => all.facts[fact][2]))]);
      if (held.every((list) => !list.length)) { continue; }
      const flat = held.map((list) => list.slice().sort().join("\n")), alike = flat.every((one) => one === flat[0]);
      (alike ? same : differ).push(row(some, [label], held.map((list) => ({ content: list.length ? [list.join(", ")] : [unsaid()] })), alike ? "same" : null));
    }
    if (some.some((one) => one.dose)) {
      const alike = some.every((one) => one.dose === some[0].dose);
      (alike ? same : differ).push(row(some, ["Dose", plain("span", "decoction, adult, g a day", { class: "sub" })], some.map((one) => ({ content: [one.dose || unsaid()] })), alike ? "same" : null));
    }
    return { differ, same, shown };
  }
  function firmly(some, got, shown) {
    return got.asked.filter((one) => one.predicate === "action" && !all.facts[one.fact][4] && !shown.has(one.fact) && one.sides.includes(YES) && one.sides.includes(NO)).map((one) => telling(some, one));
  }
  function someOnly(some, got) {
    const list = got.asked.filter((one) => !all.facts[one.fact][4] && !one.safety && one.sides.includes(YES) && one.sides.includes(SILENT) && !one.sides.includes(NO));
    if (!list.length) { return ""; }
    const by = some.map((one, i) => [one, list.filter((each) => each.sides[i] === YES).map((each) => all.facts[each.fact][1])]).filter(([, labels]) => labels.length);
    return make("details", { class: "places" }, [make("summary", {}, [list.length + (list.length === 1 ? " fact is" : " facts are") + " stated of some only and prove nothing about the others"]),
      make("dl", { class: "also" }, by.map(([one, labels]) => make("div", {}, [make("dt", {}, [who(one)]), make("dd", {}, [labels.join(" · ")])])))]);
  }
  function recorded(some) {
    const mine = new Map(some.map((one) => [one.at, one])), herb = new Map(some.map((one) => [numbers.get(one.id.split(".")[0]), one])), of = (at) => mine.get(at) || herb.get(at), seen = new Set(), made = [];
    for (const one of some) {
      const held = MATERIA["part" + Math.floor(one.at / all.part)];
      for (const [id, shared, points, source, locator, basis] of held.contrasts) {
        const said = points.filter((point) => of(point[0])), whom = some.filter((each) => said.some((point) => of(point[0]) === each));
        if (seen.has(id) || whom.length < 2) { continue; }
        seen.add(id);
        const axes = [...new Set(said.map((point) => point[1]))];
        made.push(make("p", { class: "why" }, [plain("b", whom.length === some.length ? "All share" : "Shared"), ": " + shared]),
          table(whom, "On record", axes.map((axis) => row(whom, [capital(all.axes[axis])], whom.map((each) => { const points = said.filter((point) => of(point[0]) === each && point[1] === axis).map((point) => point[2]); return { content: [points.length ? points.join("; ") : unsaid()] }; })))),
          make("p", { class: "src" }, ["Recorded contrast · " + [source, locator, BASES[basis] || basis].filter(Boolean).join(" · ")]));
      }
      for (const [a, b, kind, harm, tell] of held.mixed) {
        const key = [a, b, kind].join();
        if (seen.has(key) || !of(a) || !of(b) || of(a) === of(b)) { continue; }
        seen.add(key);
        made.push(make("div", { class: "hit stop" }, [make("div", {}, [make("p", {}, [make("b", {}, [who(of(a)), " and ", who(of(b)), " are taken for each other " + (TAKEN[kind] || kind) + "."]), " " + harm]), tell ? make("p", {}, [plain("b", "Tell apart:"), " " + tell]) : ""])]));
      }
    }
    return made;
  }

  /* ---- the page ---- */
  const title = doc.getElementById("title"), pick = doc.getElementById("pick"), compared = doc.getElementById("compared"), tryout = doc.getElementById("try");
  let chosen = [], lost = [];
  function read() {
    const given = location.hash.slice(1) || new URLSearchParams(location.search).get("of") || "";
    let text = given;
    try { text = decodeURIComponent(given); } catch (e) { /* then as it stands */ }
    const ids = [...new Set(text.split(",").filter(Boolean))];
    chosen = ids.filter((id) => numbers.has(id)).slice(0, MOST);
    lost = ids.filter((id) => !chosen.includes(id));
  }
  function choose(ids) {
    chosen = ids; lost = [];
    try { history.replaceState(null, "", ids.length ? "#" + ids.map(encodeURIComponent).join(",") : location.pathname); } catch (e) { location.hash = ids.join(","); }
    return show();
  }
  let turn = 0;
  async function show() {
    const mine = (turn += 1);
    try { await MATERIA.parts(chosen); } catch (error) { fill(compared, [make("p", { class: "note" }, ["The facts could not be read: " + error.message + " is missing."])]); return; }
    if (mine !== turn) { return; }
    const some = chosen.map((id) => record(numbers.get(id)));
    picker.draw(some);
    doc.title = (some.length ? "Compare " + some.map((one) => one.hans || one.en).join(", ") : "Compare") + " · Materia medica";
    fill(title, some.length ? some.flatMap((one, i) => [i ? ", " : "", who(one)]) : ["Two to six side by side"]);
    tryout.hidden = some.length > 1;
    if (some.length < 2) { fill(compared, []); return; }
    const got = contrast(some), parts = [], { differ, same, shown } = values(some, got.chosen);
    const apart = [];
    if (got.chosen.length) { apart.push(table(some, "Fact", got.chosen.map((one) => telling(some, one)), true)); }
    for (const [a, b] of got.alike) { apart.push(make("p", { class: "note" }, ["Nothing stated tells ", who(some[a]), " from ", who(some[b]), "."])); }
    parts.push(strip("Set apart by", "the fewest facts that do it", apart));
    parts.push(safety(some));
    const told = recorded(some);
    if (told.length) { parts.push(strip("Told apart", "on record", told)); }
    differ.push(...firmly(some, got, shown));
    parts.push(strip("Also differ", "", differ.length ? [table(some, "Fact", differ)] : [make("p", {}, ["Nothing else that is stated of all."])]));
    const list = got.shared.length ? make("p", { class: "small" }, [plain("b", "Stated of all: "), got.shared.join(" · ") + "."]) : make("p", {}, ["No fact is stated of all."]);
    parts.push(strip("The same in all", "", [same.length ? table(some, "Fact", same) : "", list, someOnly(some, got)].filter(Boolean), "last"));
    fill(compared, parts);
  }

  /* A field that proposes medicinals and forms as names are typed; the names are read when it is first used. */
  const picker = (function () {
    const input = make("input", { id: "p", type: "text", role: "combobox", autocomplete: "off", autocapitalize: "off", spellcheck: "false", "aria-expanded": "false", "aria-controls": "p-list", "aria-autocomplete": "list" });
    const list = make("ul", { id: "p-list", role: "listbox", class: "picks", "aria-label": "Proposed" }), change = make("div", { class: "change" }), status = make("p", { role: "status", class: "src" }), label = make("label", { for: "p" }, ["Add a medicinal or form"]);
    let proposed = [], at = -1;
    pick.append(change, make("div", { class: "pick" }, [label, input, list]), status);
    pick.hidden = false;
    function propose() {
      const text = input.value.trim();
      proposed = [];
      if (text && !MATERIA.index) { status.textContent = "Reading the names …"; }
      if (text && MATERIA.index) {
        proposed = MATERIA.search(MATERIA.index, text).hits.map((hit) => MATERIA.index.subjects[hit.subject]).filter((one) => numbers.has(one.id) && !chosen.includes(one.id)).slice(0, 8);
        status.textContent = proposed.length ? proposed.length + " proposed" : "No medicinal or form is near this.";
      }
      at = proposed.length ? 0 : -1;
      list.textContent = "";
      proposed.forEach((one, i) => {
        const item = make("li", { role: "option", id: "p-" + i, "aria-selected": String(i === at) }, [name(one), " ", make("span", { class: "quiet" }, [one.en])]);
        item.addEventListener("mousedown", (event) => event.preventDefault());
        item.addEventListener("click", () => add(i));
        list.append(item);
      });
      point();
    }
    function point() {
      input.setAttribute("aria-expanded", String(proposed.length > 0));
      if (at >= 0) { input.setAttribute("aria-activedescendant", "p-" + at); } else { input.removeAttribute("aria-activedescendant"); }
      Array.from(list.children).forEach((item, i) => item.setAttribute("aria-selected", String(i === at)));
    }
    function add(i) {
      const one = proposed[i];
      if (!one || chosen.length >= MOST) { return; }
      input.value = "";
      choose([...chosen, one.id]).then(() => { status.textContent = one.hans + " added."; });
      propose();
    }
    input.addEventListener("focus", MATERIA.load);
    input.addEventListener("input", () => { MATERIA.load(); propose(); });
    input.addEventListener("keydown", (event) => {
      if (event.isComposing) { return; }
      if (event.key === "ArrowDown" || event.key === "ArrowUp") { event.preventDefault(); if (proposed.length) { at = (at + (event.key === "ArrowDown" ? 1 : proposed.length - 1)) % proposed.length; point(); } }
      if (event.key === "Enter") { event.preventDefault(); add(at); }
      if (event.key === "Escape") { input.value = ""; propose(); }
    });
    doc.addEventListener("materia-names", () => { if (input.value.trim()) { propose(); } });
    function draw(some) {
      fill(change, some.map((one) => {
        const button = make("button", { type: "button" }, ["Take ", who(one), " away"]);
        button.addEventListener("click", () => choose(chosen.filter((id) => id !== one.id)).then(() => input.focus()));
        return button;
      }));
      input.disabled = some.length >= MOST;
      label.firstChild.textContent = some.length >= MOST ? "Six is the most" : "Add a medicinal or form";
      status.textContent = lost.length ? "Left out: " + lost.join(", ") + (lost.every((id) => numbers.has(id)) ? " (six is the most)." : ". Not a medicinal or form here, or beyond six.") : some.length === 1 ? "Add at least one more." : "";
    }
    return { draw };
  }());
  read();
  show();
  addEventListener("hashchange", () => { read(); show(); });
}());
