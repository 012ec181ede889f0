/* The fewest facts that tell subjects apart: an exact smallest set, chosen as `materia contrast` chooses it.

   asked: [{sides, weight, …}] in order, a side being "has", "has-not" or "silent" (not stated) for each subject; weight:
   numbers, the lighter the sooner chosen. Gives {chosen, alike}: pairs by place that nothing tells apart. */
(function () {
  "use strict";
  const MATERIA = (window.MATERIA = window.MATERIA || {}), BOUND = 6;

  MATERIA.fewest = function (asked, count) {
    const pairs = [];
    for (let a = 0; a < count; a += 1) { for (let b = a + 1; b < count; b += 1) { pairs.push([a, b]); } }
    const firm = cheapest(asked, pairs, (a, b) => a !== "silent" && b !== "silent"), soft = cheapest(asked, pairs, (a, b) => a === "has" || b === "has");
    const hard = union(firm.keys()), cover = union(soft.keys());
    const rest = new Map();
    for (const [mask, one] of soft) {
      const left = mask & ~hard;
      if (left && (!rest.has(left) || lighter(one.weight, rest.get(left).weight) < 0)) { rest.set(left, one); }
    }
    const chosen = [...new Set([...hit(firm, hard), ...hit(rest, cover & ~hard)])];
    const order = new Map(asked.map((one, place) => [one, place]));
    chosen.sort((one, other) => lighter(one.weight, other.weight) || order.get(one) - order.get(other));
    return { chosen, alike: pairs.filter((_, place) => !((cover >> place) & 1)) };
  };

  function lighter(one, other) {
    for (let i = 0; i < one.length; i += 1) { if (one[i] !== other[i]) { return one[i] - other[i]; } }
    return 0;
  }
  function union(masks) { let whole = 0; for (const mask of masks) { whole |= mask; } return whole; }

  /* For each set of pairs, as bits, the fact to prefer among those that tell just these apart. */
  function cheapest(asked, pairs, telling) {
    const found = new Map();
    for (const one of asked) {
      let mask = 0;
      pairs.forEach(([a, b], place) => { if (one.sides[a] !== one.sides[b] && telling(one.sides[a], one.sides[b])) { mask |= 1 << place; } });
      if (mask && (!found.has(mask) || lighter(one.weight, found.get(mask).weight) < 0)) { found.set(mask, one); }
    }
    return found;
  }

  /* An exact smallest cover of the goal, the lightest among them; beyond the bound the greedy one. */
  function hit(masks, goal) {
    if (!goal) { return []; }
    const keys = [...masks.keys()], weight = (mask) => masks.get(mask).weight;
    const better = (one, other) => one !== other && (one | other) === one && lighter(weight(one), weight(other)) <= 0;
    const best = keys.filter((mask) => !keys.some((other) => better(other, mask)));
    for (let size = 1; size <= BOUND; size += 1) {
      let lightest = null, least = null;
      covers(best, goal, size, 0, [], (cover) => {
        const weights = cover.map(weight).sort(lighter);
        if (!least || compared(weights, least) < 0) { least = weights; lightest = cover; }
      });
      if (lightest) { return lightest.map((mask) => masks.get(mask)); }
    }
    const chosen = [];
    while (goal) {
      let most = best[0];
      for (const mask of best) { if (count(mask & goal) > count(most & goal) || (count(mask & goal) === count(most & goal) && weight(mask)[2] < weight(most)[2])) { most = mask; } }
      chosen.push(masks.get(most));
      goal &= ~most;
    }
    return chosen;
  }
  function compared(some, others) {
    for (let i = 0; i < some.length; i += 1) { const by = lighter(some[i], others[i]); if (by) { return by; } }
    return 0;
  }
  function count(bits) { let made = 0; while (bits) { bits &= bits - 1; made += 1; } return made; }

  /* Every cover of that size, by branching on the first pair still open. */
  function covers(masks, goal, size, done, chosen, give) {
    const missing = goal & ~done;
    if (!missing) { give(chosen); return; }
    if (!size) { return; }
    const lowest = missing & -missing;
    for (const mask of masks) { if (mask & lowest) { covers(masks, goal, size - 1, done | mask, [...chosen, mask], give); } }
  }
}());
