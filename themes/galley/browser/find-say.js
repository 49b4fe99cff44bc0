/*
 * The page's words and numbers, as the theme's words file has them. Takes the
 * words that the page carries, gives texts. The other half of site/words.py.
 */
(() => {
  "use strict";
  const find = (globalThis.GramwrightFind ??= {});

  const THIN = "\u202f";

  /**
   * @param {{language: string, says: Object<string, string|Object<string, string>>}} given
   */
  function speaker(given) {
    const { says } = given;
    const plurals = new Intl.PluralRules(given.language);
    const decimal = says["number.decimal"] ?? ".";
    const group = says["number.group"] ?? THIN;

    /** A text with its slots filled; with `n` the plural form for n. */
    function say(key, slots = {}) {
      const text = says[key];
      if (text === undefined) return key;
      const form = typeof text === "string" ? text : (text[plurals.select(Math.round((slots.n ?? 0) * 100) / 100)] ?? text.other);
      return form.replace(/\{(\w+)\}/g, (slot, name) => {
        const value = slots[name];
        return value === undefined ? slot : typeof value === "number" ? number(value) : value;
      });
    }

    /** '1 654', '2.5': no more decimals than it needs, two at most. @param {number} amount */
    function number(amount) {
      const [whole, part] = String(Math.round(amount * 100) / 100).split(".");
      const grouped = whole.length > 3 ? whole.replace(/\B(?=(\d{3})+$)/g, group) : whole;
      return part ? grouped + decimal + part : grouped;
    }

    /** '45 min', '2 h', '1 h 10 min'. @param {number} minutes */
    function duration(minutes) {
      const hours = Math.floor(minutes / 60);
      const rest = minutes % 60;
      if (!hours) return say("time.minutes", { n: rest });
      return rest ? say("time.both", { hours, minutes: rest }) : say("time.hours", { n: hours });
    }

    /** An amount of a field with its unit: '300 kcal', '1 h 10 min'. */
    function amount(name, units) {
      if (name === "hands_on" || name === "total") return duration(Math.round(units));
      return `${number(units)}${THIN}${say(`find.units.${name}`)}`;
    }

    /** A range in words: 'at least 30 g protein'. @param {[?number, ?number]} range */
    function range(name, [low, high]) {
      const unit = say(`find.units.${name}`);
      const text =
        low === null
          ? say("find.at_most", { high: number(high), unit })
          : high === null
            ? say("find.at_least", { low: number(low), unit })
            : say("find.between", { low: number(low), high: number(high), unit });
      return say(`find.ranges.${name}`, { range: text });
    }

    const allergen = (id) => given.classes[id] ?? given.allergens[id] ?? id;

    /** A condition of a result in words. */
    function condition({ kind, name, range: limits, chosen }) {
      if (kind === "word") return say("find.word", { word: name });
      if (kind === "range") return range(name, limits);
      if (kind === "meals") return chosen.map((meal) => given.meals[meal] ?? meal).join(say("list.comma"));
      if (kind === "tag") return given.tags[name] ?? name;
      if (kind === "diet") return given.diets[name] ?? name;
      return say("find.leaving_out", { name: allergen(name) });
    }

    return { say, number, duration, amount, range, allergen, condition, given };
  }

  find.say = { speaker };
})();
