/* Names that are spelled nearly like a text: optimal string alignment and Jaro–Winkler, as `materia name` weighs them. */
(function () {
  "use strict";
  const MATERIA = (window.MATERIA = window.MATERIA || {});
  const NEAR = 0.7, MOST = 40, LONGEST = 80;

  function count(bits) {
    bits -= (bits >>> 1) & 0x55555555;
    bits = (bits & 0x33333333) + ((bits >>> 2) & 0x33333333);
    return (((bits + (bits >>> 4)) & 0x0f0f0f0f) * 0x01010101) >>> 24;
  }

  /* Letters to change, add, drop or exchange between a text and others, counted for all letters of the text at once in
     the bits of a number (H. Hyyrö, A bit-vector algorithm for computing Levenshtein and Damerau edit distances, 2003);
     more than `most` comes out as most + 1. */
  function distances(one) {
    const m = one.length, places = new Int32Array(128), others = new Map(), last = 1 << (m - 1);
    if (m > 32) { return (two, most) => slowly(one, two, most); }
    for (let i = 0; i < m; i += 1) {
      const code = one.charCodeAt(i);
      if (code < 128) { places[code] |= 1 << i; } else { others.set(code, (others.get(code) || 0) | (1 << i)); }
    }
    return function (two, most) {
      const n = two.length;
      let up = -1, down = 0, same = 0, before = 0, far = m;
      for (let j = 0; j < n; j += 1) {
        const code = two.charCodeAt(j), here = code < 128 ? places[code] : others.get(code) || 0, turned = ((~same & here) << 1) & before;
        same = ((((here & up) + up) | 0) ^ up) | here | down | turned;
        let right = down | ~(same | up), left = same & up;
        if (right & last) { far += 1; } else if (left & last) { far -= 1; }
        if (far - (n - 1 - j) > most) { return most + 1; }
        right = (right << 1) | 1;
        left <<= 1;
        up = left | ~(same | right);
        down = right & same;
        before = here;
      }
      return far > most ? most + 1 : far;
    };
  }
  /* The same in a table, along its diagonal only, for long texts; those whose letters differ too much are passed over. */
  let before = new Int32Array(256), last = new Int32Array(256), now = new Int32Array(256);
  const letters = new Int32Array(128);
  function slowly(one, two, most) {
    const m = one.length, n = two.length;
    letters.fill(0);
    for (let i = 0; i < m; i += 1) { letters[one.charCodeAt(i) & 127] += 1; }
    for (let j = 0; j < n; j += 1) { letters[two.charCodeAt(j) & 127] -= 1; }
    let lost = 0, won = 0, sofar = 0;
    for (let i = 0; i < 128; i += 1) { if (letters[i] > 0) { lost += letters[i]; } else { won -= letters[i]; } }
    if (lost > most || won > most) { return most + 1; }
    for (let j = 0; j <= n; j += 1) { last[j] = j; }
    for (let i = 1; i <= m; i += 1) {
      const char = one.charCodeAt(i - 1), from = Math.max(1, i - most), to = Math.min(n, i + most);
      let least = most + 1;
      now[0] = i;
      if (from > 1) { now[from - 1] = most + 1; }
      for (let j = from; j <= to; j += 1) {
        let value = Math.min(last[j - 1] + (char === two.charCodeAt(j - 1) ? 0 : 1), now[j - 1] + 1, last[j] + 1);
        if (i > 1 && j > 1 && char === two.charCodeAt(j - 2) && one.charCodeAt(i - 2) === two.charCodeAt(j - 1)) { value = Math.min(value, before[j - 2] + 1); }
        now[j] = value;
        if (value < least) { least = value; }
      }
      if (to < n) { now[to + 1] = most + 1; }
      if (least > most && sofar > most) { return most + 1; }
      sofar = least;
      const free = before; before = last; last = now; now = free;
    }
    return Math.min(last[n], most + 1);
  }
  MATERIA.distances = distances;

  function jaroWinkler(one, two) {
    const m = one.length, n = two.length, reach = Math.max(0, Math.floor(Math.max(m, n) / 2) - 1), mine = [], theirs = new Array(n).fill(false);
    for (let i = 0; i < m; i += 1) {
      for (let j = Math.max(0, i - reach); j < Math.min(n, i + reach + 1); j += 1) {
        if (!theirs[j] && one[i] === two[j]) { theirs[j] = true; mine.push(one[i]); break; }
      }
    }
    if (!mine.length) { return 0; }
    let turned = 0, at = 0;
    for (let j = 0; j < n; j += 1) { if (theirs[j]) { if (two[j] !== mine[at]) { turned += 1; } at += 1; } }
    const same = mine.length, jaro = (same / m + same / n + (same - Math.floor(turned / 2)) / same) / 3;
    if (jaro <= 0.7) { return jaro; }
    let start = 0;
    while (start < 4 && start < m && start < n && one[start] === two[start]) { start += 1; }
    return jaro + start * 0.1 * (1 - jaro);
  }

  /* The nearest keys of a measured map with 0.8 times their likeness, at most forty. */
  MATERIA.near = function (lengths, key) {
    const length = key.length, found = [];
    if (length < 3 || length > LONGEST) { return found; }
    const mine = MATERIA.bits(key), distance = distances(key);
    for (let other = Math.max(3, Math.ceil(length * NEAR - 1e-9)); other <= length / NEAR + 1e-9; other += 1) {
      const held = lengths[other];
      if (!held) { continue; }
      const longest = Math.max(length, other), most = Math.floor((1 - NEAR) * longest + 1e-9);
      for (let i = 0; i < held.keys.length; i += 1) {
        const theirs = held.bits[i];
        if (count(mine & ~theirs) > most || count(theirs & ~mine) > most) { continue; }
        const far = distance(held.keys[i], most);
        if (far <= most) { found.push([held.keys[i], 1 - far / longest]); }
      }
    }
    found.sort((a, b) => b[1] - a[1]);
    return found.slice(0, MOST).map(([other, alike]) => [other, Math.round(800 * (0.8 * alike + 0.2 * jaroWinkler(key, other))) / 1000]);
  };
}());
