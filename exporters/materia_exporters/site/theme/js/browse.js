/* Browse by facts. `MATERIA.facets` holds: herbs [id, hans, pinyin, English, page, heaviest state, about, status unless
   current, category]; facets {key, title, many, closed, options [id, label, hans, depth, who has it, who states not to: 1
   for all that are closed and have it not]}; courses [course, [unit, position, title, who is taught in it]]. Members are
   written as steps from one to the next. */
(function () {
  "use strict";
  const MATERIA = window.MATERIA, doc = document, { make, plain, said, state, name, capital, fill } = MATERIA.draw, root = MATERIA.root;
  const all = MATERIA.facets, count = all.herbs.length, words = (count + 31) >> 5, FIRST = 60;

  /* ---- sets of medicinals as bits ---- */
  function none() { return new Int32Array(words); }
  function set(numbers) { const made = none(); for (const n of numbers) { made[n >> 5] |= 1 << (n & 31); } return made; }
  function from(steps) { let last = 0; return set(steps.map((step) => (last += step))); }
  function every() { const made = none(); for (let n = 0; n < count; n += 1) { made[n >> 5] |= 1 << (n & 31); } return made; }
  function both(one, other) { return one.map((bits, i) => bits & other[i]); }
  function either(one, other) { return one.map((bits, i) => bits | other[i]); }
  function without(one, other) { return one.map((bits, i) => bits & ~other[i]); }
  function size(bits) { let made = 0; for (let word of bits) { while (word) { word &= word - 1; made += 1; } } return made; }
  function has(bits, n) { return (bits[n >> 5] >>> (n & 31)) & 1; }

  /* ---- what can be chosen ---- */
  const facets = all.facets.filter((facet) => facet.options.length).map((facet) => {
    const closed = facet.closed ? from(facet.closed) : none();
    const options = facet.options.map((row) => ({ id: row[0], label: row[1], hans: row[2], depth: row[3], held: from(row[4]), denied: row[5] === 1 ? without(closed, from(row[4])) : from(row[5] || []), facet }));
    return { key: facet.key, title: facet.title, many: Boolean(facet.many), options, by: new Map(options.map((one) => [one.id, one])), chosen: new Set(), denied: new Set() };
  });
  const units = [];
  for (const [course, taught] of all.courses) {
    let sofar = none();
    for (const [id, position, title, held] of taught) { sofar = either(sofar, from(held)); units.push({ id, course, position, title, held: sofar }); }
  }
  let through = null, shown = FIRST;

  /* What a facet lets through; ids may be left aside or added to see what they would do. */
  function allowed(facet) {
    let made = null;
    for (const id of facet.chosen) { const held = facet.by.get(id).held; made = made === null ? held : facet.many ? both(made, held) : either(made, held); }
    for (const id of facet.denied) { const held = facet.by.get(id).denied; made = made === null ? held : both(made, held); }
    return made;
  }
  function result(except) {
    let made = through ? through.held : every();
    for (const facet of facets) { const one = facet === except ? null : allowed(facet); if (one) { made = both(made, one); } }
    return made;
  }

  /* ---- the address keeps the choice ---- */
  function read() {
    const given = new URLSearchParams(location.hash.slice(1));
    for (const facet of facets) {
      const ids = (key) => new Set((given.get(key) || "").split(",").filter((id) => facet.by.has(id)));
      facet.chosen = ids(facet.key); facet.denied = facet.many ? ids("not-" + facet.key) : new Set();
    }
    through = units.find((unit) => unit.id === given.get("through")) || null;
  }
  function write() {
    const parts = [];
    for (const facet of facets) {
      if (facet.chosen.size) { parts.push(facet.key + "=" + [...facet.chosen].map(encodeURIComponent).join(",")); }
      if (facet.denied.size) { parts.push("not-" + facet.key + "=" + [...facet.denied].map(encodeURIComponent).join(",")); }
    }
    if (through) { parts.push("through=" + encodeURIComponent(through.id)); }
    const hash = parts.length ? "#" + parts.join("&") : location.pathname + location.search;
    try { history.replaceState(null, "", hash); } catch (e) { location.hash = parts.join("&"); }
  }

  /* ---- drawing, once; after a choice only what changed ---- */
  const form = doc.getElementById("choose"), chips = doc.getElementById("chips"), told = doc.getElementById("told"), list = doc.getElementById("list"), boxes = [];
  function box(facet, option, not) {
    const id = "f-" + facet.key + (not ? "-not-" : "-") + option.id.replace(/[^a-z0-9-]/g, "_"), input = make("input", { type: "checkbox", id }), n = make("span", { class: "n-of" });
    const label = make("label", { for: id }, [said((not ? "not " : "") + option.label), option.hans ? " " : "", option.hans ? plain("span", option.hans, { lang: "zh-Hans", class: "quiet" }) : ""]);
    const item = make("li", { class: "d" + Math.min(option.depth, 4) }, [input, label, n]);
    input.addEventListener("change", () => { const held = not ? facet.denied : facet.chosen; if (input.checked) { held.add(option.id); } else { held.delete(option.id); } shown = FIRST; write(); update(); });
    boxes.push({ facet, option, not, input, item, n });
    return item;
  }
  function draw() {
    for (const facet of facets) {
      const rule = facet.many ? "all that you choose" : "any of what you choose";
      const fields = [make("legend", { class: "off" }, [facet.title + ": " + rule]), plain("p", facet.key === "caution" ? "stated of the medicinal or of a form of it; any of what you choose" : rule, { class: "src" })];
      if (facet.options.length > 24) { fields.push(narrow(facet)); }
      fields.push(make("ul", { class: "options" }, facet.options.map((option) => box(facet, option, false))));
      if (facet.many) {
        const denied = facet.options.filter((option) => size(option.denied));
        if (denied.length) {
          facet.no = make("details", { class: "nots" }, [make("summary", {}, ["Stated not to"]), make("fieldset", {}, [make("legend", { class: "off" }, [facet.title + ": stated not to"]),
            plain("p", facet.key === "action" ? "only where a source says so" : "only where the list is whole and undisputed", { class: "src" }), make("ul", { class: "options" }, denied.map((option) => box(facet, option, true)))])]);
          fields.push(facet.no);
        }
      }
      facet.count = plain("span", "", { class: "quiet" });
      facet.node = make("details", { class: "facet" }, [make("summary", {}, [make("b", {}, [facet.title]), " ", facet.count]), make("fieldset", {}, fields)]);
      form.append(facet.node);
    }
    if (units.length) {
      const select = make("select", { id: "f-through" }, [plain("option", "any time", { value: "" })]);
      for (const [course] of all.courses) { select.append(make("optgroup", { label: course }, units.filter((unit) => unit.course === course).map((unit) => plain("option", "unit " + unit.position + ", " + unit.title, { value: unit.id })))); }
      select.addEventListener("change", () => { through = units.find((unit) => unit.id === select.value) || null; shown = FIRST; write(); update(); });
      form.append(make("p", { class: "through" }, [make("label", { for: "f-through" }, ["Taught by the end of"]), select]));
      form.through = select;
    }
    form.addEventListener("submit", (event) => event.preventDefault());
    form.down = make("button", { type: "button" });
    form.down.addEventListener("click", () => { const chosen = doc.getElementById("chosen"); chosen.scrollIntoView(); chosen.focus({ preventScroll: true }); });
    form.append(make("p", { class: "jumpdown" }, [form.down]));
  }
  /* A field that shortens a long list of choices. */
  function narrow(facet) {
    const id = "n-" + facet.key, input = make("input", { type: "text", id, autocomplete: "off", spellcheck: "false" });
    const flat = (text) => text.normalize("NFD").toLowerCase().replace(/\p{M}/gu, "");
    input.addEventListener("input", () => { facet.narrow = flat(input.value.trim()); update(); });
    facet.fits = (option) => !facet.narrow || flat(option.label).includes(facet.narrow) || option.hans.includes(facet.narrow);
    return make("p", { class: "narrow" }, [make("label", { for: id }, ["Only choices with"]), input]);
  }
  function update() {
    const found = result(null), now = size(found);
    for (const facet of facets) {
      const rest = facet.many ? found : result(facet);
      for (const one of boxes.filter((each) => each.facet === facet)) {
        const checked = (one.not ? facet.denied : facet.chosen).has(one.option.id), held = one.not ? one.option.denied : one.option.held;
        const base = checked || facet.many ? (checked ? found : rest) : rest, n = size(both(base, held));
        one.input.checked = checked;
        one.n.textContent = String(n);
        one.item.hidden = !checked && (n === 0 || Boolean(facet.fits && !one.not && !facet.fits(one.option)));
      }
      const chosen = facet.chosen.size + facet.denied.size;
      facet.count.textContent = chosen ? chosen + " chosen" : "";
    }
    if (form.through) { form.through.value = through ? through.id : ""; }
    const named = [];
    for (const facet of facets) {
      for (const id of facet.chosen) { named.push([facet.by.get(id).label, () => facet.chosen.delete(id)]); }
      for (const id of facet.denied) { named.push(["not " + facet.by.get(id).label + " (stated)", () => facet.denied.delete(id)]); }
    }
    if (through) { named.push(["taught by the end of unit " + through.position + ", " + through.title, () => { through = null; }]); }
    form.down.textContent = "Show " + (now === 1 ? "the one medicinal" : "the " + now + " medicinals");
    fill(told, [plain("b", now + (now === 1 ? " medicinal" : " medicinals")), named.length ? said(" stated to be or do what you chose") : said(", nothing chosen yet")]);
    fill(chips, named.map(([label, away]) => {
      const button = make("button", { type: "button", "aria-label": "Take away: " + label }, [label, " ", make("span", { "aria-hidden": "true" }, ["×"])]);
      button.addEventListener("click", () => { away(); shown = FIRST; write(); update(); (chips.querySelector("button") || form.querySelector("summary")).focus(); });
      return make("li", {}, [button]);
    }));
    if (named.length > 1) {
      const again = plain("button", "Start again", { type: "button", class: "again" });
      again.addEventListener("click", () => { facets.forEach((facet) => { facet.chosen.clear(); facet.denied.clear(); }); through = null; shown = FIRST; write(); update(); form.querySelector("summary").focus(); });
      chips.append(make("li", {}, [again]));
    }
    members(found, now);
  }
  function members(found, now) {
    const parts = [];
    let category = null, rows = null, drawn = 0;
    for (let n = 0; n < count && drawn < shown; n += 1) {
      if (!has(found, n)) { continue; }
      const [, hans, pinyin, en, page, heaviest, about, status, label] = all.herbs[n];
      if (label !== category) { category = label; rows = make("ul", { class: "members" }); parts.push(make("h3", {}, [label]), rows); }
      rows.append(make("li", {}, [make("span", { class: "who" }, [make("a", { href: root + page }, [name({ hans, pinyin, en })]), " ", make("span", { class: "quiet" }, [en]), status ? " " : "", status ? plain("b", status, { class: "grade" }) : ""]),
        make("span", { class: "what" }, [state(heaviest), about ? " " : "", about ? make("span", { class: "src" }, [about]) : ""])]));
      drawn += 1;
    }
    if (now > drawn) {
      const more = plain("button", "Show all " + now, { type: "button", class: "again" });
      more.addEventListener("click", () => { shown = count; members(found, now); const next = list.querySelectorAll(".members a")[drawn]; if (next) { next.focus(); } });
      parts.push(make("p", {}, [more]));
    }
    if (!now) { parts.push(make("p", {}, ["Nothing is stated to have all of this. That does not say that nothing has it: take one choice away."])); }
    fill(list, parts);
  }

  read();
  draw();
  for (const facet of facets) { if (facet.chosen.size || facet.denied.size) { facet.node.open = true; } if (facet.denied.size && facet.no) { facet.no.open = true; } }
  if (!facets.some((facet) => facet.node.open) && facets.length && matchMedia("(min-width: 60rem)").matches) { facets[0].node.open = true; }
  update();
  doc.getElementById("browse").hidden = false;
  addEventListener("hashchange", () => { read(); shown = FIRST; update(); });
}());
