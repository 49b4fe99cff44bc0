// Numbers and words as the pages write them: the same rules as the generator's rounding and words.
"use strict";
((cook) => {
  const NUDGE = 1 + 2e-13;
  const THIN = "\u202f";

  // Decimals as Python writes them: a tie of the binary number itself goes to the even digit.
  function fixed(x, places) {
    const text = x.toFixed(places);
    if (!/^50*$/.test(x.toFixed(places + 40).split(".")[1].slice(places))) return text;
    const down = x.toFixed(places + 40).slice(0, -40).replace(/\.$/, "");
    return Number(down.at(-1)) % 2 ? text : down;
  }

  const digits = (step) => step.toFixed(6).replace(/\.?0+$/, "").split(".")[1]?.length ?? 0;

  function figures(amount, most, finest, unit) {
    let places = Math.min(most - 1 - Math.floor(Math.log10(amount) + 1e-13), finest);
    for (;;) {
      const scale = 10 ** places;
      const value = Math.floor(amount * scale * NUDGE + 0.5) / scale;
      if (!value || Math.floor(Math.log10(value) + 1e-13) + 1 + places <= most)
        return [value, `${fixed(value, Math.max(places, 0))} ${unit}`];
      places -= 1;
    }
  }

  function show(band, amount, unit) {
    if (band.text) return [0, band.text];
    const places = digits(band.step);
    if (band.figures) return figures(amount, band.figures, places, unit);
    if (!places) {
      const value = Math.floor((amount / band.step) * NUDGE + 0.5) * band.step;
      return [value, `${value} ${unit}`];
    }
    const scale = 10 ** places / Math.round(band.step * 10 ** places);
    const value = Math.floor(amount * scale * NUDGE + 0.5) / scale;
    return [value, `${band.trimmed && value === Math.floor(value) ? value : fixed(value, places)} ${unit}`];
  }

  const within = (band, amount) =>
    band.limit === null || amount < band.limit || (band.inclusive && amount === band.limit);

  // [declared number, declared text] of an amount under a rounder of the rules.
  function rounded(rounder, amount) {
    if (amount <= 0) return [0, rounder.zero];
    amount = Number(amount.toPrecision(12));
    const band = rounder.bands.find((each) => within(each, amount));
    const made = show(band, amount, rounder.unit);
    return band.limit === null || band.inclusive || made[0] < band.limit ? made : rounded(rounder, band.limit);
  }

  // The amount at the step that a smaller figure of the same kind is shown with.
  function atStepOf(rounder, child, amount) {
    child = Number(child.toPrecision(12));
    const band = rounder.bands.find((each) => within(each, child) && !each.text);
    const open = band && { ...rounder, bands: [{ ...band, limit: null, inclusive: false }] };
    return rounded(open ?? rounder, amount)[1];
  }

  const fill = (text, slots) => text.replace(/\{(\w+)\}/g, (all, name) => slots[name] ?? all);

  function word(key, slots = {}) {
    const found = cook.words.texts[key];
    if (typeof found === "string") return fill(found, slots);
    const form = new Intl.PluralRules(cook.words.language).select(Number(trim(fixed(slots.n * NUDGE, 2))));
    return fill(found[form] ?? found.other, { ...slots, n: plain(slots.n) });
  }

  function localised(text) {
    const { decimal, group } = cook.words;
    if (decimal === "." && !/\d{4}/.test(text)) return text;
    return text.replace(/(\d+)(?:\.(\d+))?/g, (_, whole, part) => {
      if (whole.length > 4 || (whole.length === 4 && whole[0] !== "0"))
        whole = whole.replace(/\B(?=(\d{3})+$)/g, group);
      return part === undefined ? whole : whole + decimal + part;
    });
  }

  const number = (amount, places = 0) => localised(fixed(amount * NUDGE, places));
  const trim = (text) => (text.includes(".") ? text.replace(/\.?0+$/, "") : text);
  const plain = (amount) => localised(trim(fixed(amount * NUDGE, 2)));
  function grams(amount) {
    const text = fixed(amount * NUDGE, amount >= 9.95 ? 0 : amount >= 0.995 ? 1 : 2);
    return localised(amount < 9.95 ? trim(text) : text) + THIN + "g";
  }
  const percent = (share) =>
    share > 0 && share < 0.005 ? `<${THIN}1${THIN}%` : fixed(share * 100 * NUDGE, 0) + THIN + "%";
  const joined = (text) => text.replace(/(?<=\d) (?=(?:g|mg|µg|kg|mL|kJ|kcal|%)(?:[^\p{L}\p{N}_]|$))/gu, THIN);

  const escape = (value) => String(value).replace(/[&<>"']/g, (c) => `&#${c.charCodeAt(0)};`);
  // A template whose slots are escaped, but for what another such template made; lists are joined.
  class Html extends String {}
  const shown = (value) =>
    Array.isArray(value) ? value.map(shown).join("") : value instanceof Html ? value : escape(value ?? "");
  const html = (parts, ...slots) =>
    new Html(parts.reduce((made, part, at) => made + shown(slots[at - 1]) + part));

  cook.say = { NUDGE, fixed, rounded, atStepOf, word, localised, number, plain, grams, percent, joined, fill, html };
})((globalThis.GramwrightCook ??= {}));
