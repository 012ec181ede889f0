/* How names are folded before they are compared: the same keys as the command `materia name` makes, from the same tables. */
(function () {
  "use strict";
  const MATERIA = (window.MATERIA = window.MATERIA || {});
  const TONES = { "\u0304": "1", "\u0301": "2", "\u030c": "3", "\u0300": "4", "\u0306": "3" };
  const MARKS = { 1: "\u0304", 2: "\u0301", 3: "\u030c", 4: "\u0300" };
  const APOSTROPHES = "’‘ʻʼ`´′＇";
  const HAN = /[一-鿿㐀-䶿〇\u{20000}-\u{323af}]/u;
  const NOT_HAN = /[^一-鿿㐀-䶿〇\u{20000}-\u{323af}]/gu;
  const MOST = 4;

  /* Without control and invisible characters, full-width letters as plain ones; 2,000 characters at most. */
  function tidied(text) {
    const cut = Array.from(text.slice(0, 4000)).slice(0, 2000).join("");
    return cut.normalize("NFKC").replace(/[\p{Cc}\p{Zl}\p{Zp}]/gu, " ").replace(/[\p{Cf}\p{Cs}]/gu, "").trim();
  }

  /* Small letters and single spaces: what counts as the very name. */
  function plain(text) { return text.toLowerCase().split(/\s+/u).filter(Boolean).join(" "); }

  /* A reading as its bare letters and the tone over each, `.` where none; empty where there are other letters. */
  function reading(text) {
    let small = text.toLowerCase();
    if (/[:vɑɡ]/.test(small)) { small = small.replace(/u:|v/g, "ü").replace(/ɑ/g, "a").replace(/ɡ/g, "g"); }
    if (/[0-5]/.test(small)) { small = small.normalize("NFC").replace(/([a-zü]+)([0-5])/g, (_, syllable, tone) => marked(syllable, tone)); }
    let base = "", marks = [];
    for (const part of small.normalize("NFD")) {
      if (part >= "a" && part <= "z") { base += part; marks.push("."); }
      else if (TONES[part] && marks.length) { marks[marks.length - 1] = TONES[part]; }
      else if (part > "\u007f" && /\p{L}/u.test(part) && !APOSTROPHES.includes(part)) { return { base: "", marks: "" }; }
    }
    return { base, marks: marks.join("") };
  }
  /* A syllable with its number turned into the mark on the vowel that carries it. */
  function marked(syllable, tone) {
    const mark = MARKS[tone];
    let at = ["a", "e", "ou"].map((vowel) => syllable.indexOf(vowel)).find((place) => place >= 0);
    if (at === undefined) { at = Math.max(...Array.from("iouü", (vowel) => syllable.lastIndexOf(vowel))); }
    return at < 0 || !mark ? syllable : syllable.slice(0, at + 1) + mark + syllable.slice(at + 1);
  }
  /* Whether no tone contradicts; a tone left out contradicts nothing. */
  function agree(marks, others) {
    for (let i = 0; i < marks.length; i += 1) {
      if (marks[i] !== "." && others[i] !== "." && marks[i] !== others[i]) { return false; }
    }
    return true;
  }

  function toneless(text) { return text.normalize("NFD").replace(/[\u0304\u0301\u030c\u0300\u0302]/g, "").normalize("NFC"); }
  /* A text as Wade–Giles is compared: apostrophes of one kind, without tones, spaces and hyphens; ü stays. */
  function spelled(text) {
    return toneless(text.toLowerCase().replace(/[’‘ʻʼ`´′＇]/g, "'")).replace(/[^a-zü']/g, "");
  }
  function careless(text) { return spelled(text).replace(/'/g, "").replace(/ü/g, "u"); }

  /* tables: `MATERIA.names.keys`. */
  MATERIA.keys = function (tables) {
    const pairs = (two) => { const others = Array.from(two[1]); return new Map(Array.from(two[0], (char, i) => [char, others[i]])); };
    const simple = pairs(tables.simple), radicals = pairs(tables.radicals), small = new Set(tables.small.split(" "));
    const radical = new RegExp("[" + tables.radicals[0] + "]", "gu");
    const readings = new Map(Object.entries(tables.readings).map(([char, said]) => [char, said.split(",")])), others = new Map();
    for (const said of Object.keys(tables.others)) { for (const char of tables.others[said]) { others.set(char, said.split(",")); } }
    const syllables = new Map(), words = tables.syllables.split(" ");
    for (let i = 0; i < words.length; i += 2) { syllables.set(words[i], words[i + 1]); }
    const foreign = tables.sounds, local = foreign.filter((sound) => sound[2] === "local");

    /* A reading folded by ear. */
    function heard(base, ears) {
      for (const [sound, written] of ears === "foreign" ? foreign : local) { if (base.includes(sound)) { base = base.split(sound).join(written); } }
      return base;
    }
    /* A reading with its syllables parted, in Wade–Giles; empty if a syllable has none. */
    function wade(pinyin) {
      const found = pinyin.toLowerCase().split(/\s+/).filter(Boolean).map((one) => syllables.get(toneless(one)));
      return found.length && found.every(Boolean) ? found.join("") : "";
    }
    /* The characters of a text in one script, without all that stands between them. */
    function folded(text) {
      const han = text.normalize("NFKC").replace(radical, (char) => radicals.get(char)).replace(NOT_HAN, "");
      return han && Array.from(han, (char) => simple.get(char) || char).join("");
    }
    /* The readings of folded characters, syllables parted, at most four; none if one cannot be read. */
    function read(han, stored) {
      let made = han ? [""] : [];
      for (const char of han) {
        const known = readings.get(char) || (stored ? [] : others.get(char) || []);
        made = made.flatMap((before) => known.map((one) => (before ? before + " " + one : one))).slice(0, MOST);
      }
      return made;
    }
    /* Names in Latin letters as words: small, without accents and little words. */
    function wordsOf(text) {
      const bare = text.toLowerCase().replace(/[’'`]/g, "").normalize("NFD").replace(/\p{M}/gu, "");
      return (bare.match(/[\p{L}\p{N}]+/gu) || []).filter((word) => !small.has(word));
    }
    return { tidied, plain, reading, agree, spelled, careless, heard, wade, folded, read, wordsOf, han: (text) => HAN.test(text) };
  };
}());
