/* On every page: the large type that is remembered, `/` to the search box, and the search itself once it is asked for.
   A classic script, so that it runs from disk. */
(function () {
  "use strict";
  const MATERIA = (window.MATERIA = window.MATERIA || {}), doc = document, form = doc.querySelector("form.find"), field = doc.getElementById("q");

  const large = doc.getElementById("large");
  try { large.checked = localStorage.getItem("materia-large") === "1"; } catch (e) { /* storage may be closed to files */ }
  large.addEventListener("change", () => {
    try { localStorage.setItem("materia-large", large.checked ? "1" : "0"); } catch (e) { /* then it holds for this page only */ }
  });

  MATERIA.root = form.getAttribute("data-root");
  let asked = false;
  /* Read the scripts of the search, in order; then the box answers. */
  MATERIA.load = function () {
    if (asked) { return; }
    asked = true;
    for (const path of form.getAttribute("data-scripts").split(" ")) {
      if (MATERIA.draw && path.startsWith("js/draw.")) { continue; }
      const script = doc.createElement("script");
      script.src = MATERIA.root + path;
      script.async = false;
      script.onerror = () => {
        const found = doc.getElementById("found");
        found.hidden = false;
        found.textContent = "The search could not be read: " + path + " is missing.";
      };
      doc.head.append(script);
    }
  };
  field.addEventListener("focus", MATERIA.load);
  field.addEventListener("input", MATERIA.load);
  form.addEventListener("submit", (event) => { if (!MATERIA.answers) { event.preventDefault(); MATERIA.load(); } });
  doc.addEventListener("keydown", (event) => {
    const inside = /^(INPUT|TEXTAREA|SELECT)$/.test(event.target.tagName) || event.target.isContentEditable;
    if (event.key === "/" && !inside && !event.ctrlKey && !event.metaKey && !event.altKey) { event.preventDefault(); field.focus(); field.select(); }
  });
  const given = new URLSearchParams(location.search).get("q");
  if (given) { field.value = given; MATERIA.load(); }
}());
