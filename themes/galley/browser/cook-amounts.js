// Amounts for a kitchen. Takes a row as the page carries it, a factor and a measure ("", "g", "hub", "us"), gives texts.
"use strict";
((cook) => {
  const { say } = cook;
  const CLOSE = 0.04;
  const CUPS = [1 / 4, 1 / 3, 1 / 2, 2 / 3, 3 / 4, 1];
  const FRACTIONS = [[1 / 8, "1/8"], [1 / 4, "1/4"], [1 / 3, "1/3"], [1 / 2, "1/2"], [2 / 3, "2/3"], [3 / 4, "3/4"]];

  // To what a scale shows and a hand can weigh: never more than one part in a hundred off from 20 g up.
  const step = (grams) => (grams < 5 ? 0.1 : grams < 20 ? 0.5 : grams < 250 ? 1 : grams < 1000 ? 5 : 10);
  const round = (amount, by) => Math.round((amount / by) * say.NUDGE) * by;
  const weighed = (grams) => round(grams, step(grams));
  const weight = (grams) => `${say.plain(weighed(grams))} g`;

  // A number with a fraction instead of decimals: 1.5 is "1 1/2". Fractions: of these, the nearest.
  function fraction(amount, allowed = [1 / 4, 1 / 3, 1 / 2, 2 / 3, 3 / 4]) {
    if (amount >= 10) return say.plain(Math.round(amount));
    const whole = Math.floor(amount + 1e-9);
    const near = [0, ...allowed, 1].reduce((a, b) => (Math.abs(amount - whole - b) < Math.abs(amount - whole - a) - 1e-9 ? b : a));
    if (near === 0 && whole) return say.plain(whole);
    if (near === 1) return say.plain(whole + 1);
    const found = FRACTIONS.find(([value]) => value === near) ?? FRACTIONS[0];
    return whole ? `${whole} ${found[1]}` : found[1];
  }

  const one = (measure) => cook.words.texts[`cook.one.${measure}`] ?? measure;
  const many = (measure, amount) =>
    amount > 1 + 1e-9 ? (cook.words.texts[`cook.many.${measure}`] ?? one(measure)) : one(measure);
  const joined = (number, measure) => (measure ? `${number} ${measure}` : number);
  function counted(amount, measure, allowed) {
    const text = fraction(amount, allowed);
    return joined(text, text === "1" ? one(measure) : many(measure, amount));
  }

  // How far off the nearest of some fractions is, as a share.
  function miss(amount, allowed) {
    const whole = Math.floor(amount + 1e-9);
    return Math.min(...[0, ...allowed, 1].map((each) => Math.abs(amount - whole - each))) / amount;
  }

  // The spoons that there are: quarters, and one eighth.
  function teaspoons(tsp) {
    const eighths = Math.max(1, Math.round(tsp * 8 - 1e-9));
    if (tsp > 1 || eighths % 2 === 0 || eighths === 1) return counted(tsp > 1 ? tsp : eighths / 8, "tsp", [1 / 8, 1 / 4, 1 / 2, 3 / 4]);
    return `${counted((eighths - 1) / 8, "tsp")} + ${counted(1 / 8, "tsp", [1 / 8])}`;
  }

  function spoons(ml, units) {
    const [cups, tbsp, tsp] = [ml / units.cup, ml / units.tbsp, ml / units.tsp];
    if (cups >= 0.24 && miss(cups, CUPS) < CLOSE) return counted(cups, "cup");
    if (tbsp < 0.95) return teaspoons(tsp);
    if (cups < 0.24) {
      if (miss(tbsp, [1 / 2]) < CLOSE || tbsp > 4) return counted(tbsp, "tbsp", [1 / 2]);
      const whole = Math.floor(tbsp + 1e-9);
      return `${counted(whole, "tbsp")} + ${counted(round((ml - whole * units.tbsp) / units.tsp, 0.25), "tsp", [1 / 4, 1 / 2, 3 / 4])}`;
    }
    const quarters = Math.floor(cups * 4 + 1e-9) / 4;
    const rest = round((ml - quarters * units.cup) / units.tbsp, 0.5);
    return rest ? `${counted(quarters, "cup")} + ${counted(rest, "tbsp", [1 / 2])}` : counted(quarters, "cup");
  }

  function volume(ml) {
    return ml >= 1000 ? `${say.plain(round(ml / 1000, 0.05))} L` : `${say.plain(weighed(ml))} mL`;
  }

  function ounces(grams, { oz, lb }) {
    if (grams < oz / 8) return weight(grams);
    const quarters = [1 / 4, 1 / 2, 3 / 4];
    if (grams < lb * 0.99) return counted(grams / oz, "oz", grams < oz ? [1 / 8, ...quarters] : quarters);
    const pounds = Math.floor(grams / lb + 0.01);
    const rest = Math.round((grams - pounds * lb) / oz);
    return rest > 0 ? `${pounds} lb ${rest} oz` : `${pounds} lb`;
  }

  function whole(number, measure, grams) {
    const up = Math.ceil(number - 0.03);
    const text = counted(up, measure === "each" ? "" : measure);
    return Math.abs(number - Math.round(number)) < 0.03 ? text : say.word("cook.of_them", { number: text, grams: weight(grams) });
  }

  function written([how, number, measure, grams], times) {
    const { units } = cook.words;
    const ends = [].concat(number).map((each) => each * times);
    const middle = (ends[0] + ends.at(-1)) / 2;
    const between = (text) => (ends.length > 1 ? `${text(ends[0])}\u2013${text(ends[1])}` : text(ends[0]));
    if (how === "w") return whole(middle, measure, grams * times);
    if (how === "m" && (measure === "oz" || measure === "lb")) return ounces(grams * times, units.us);
    if (how === "m") return `${between((each) => say.plain(weighed(each * units.mass[measure])))} g`;
    if (units.metric[measure]) return volume(middle * units.metric[measure]);
    if (units.hub[measure] && measure !== "fl oz" && ends.length === 1) return spoons(middle * units.hub[measure], units.hub);
    return joined(between((each) => fraction(each)), many(measure, middle));
  }

  // {amount, grams}: what to measure, and its weight where the amount does not say it.
  function said(row, times, measure) {
    const [how, , own, weighs, density, one, oneGrams] = row;
    if (how === "t") return { amount: say.word("recipe.to_taste"), grams: "" };
    const { units } = cook.words;
    const grams = weighs * times;
    const beside = (amount) => ({ amount, grams: /\d g$/.test(amount) || amount.includes(weight(grams)) ? "" : weight(grams) });
    if (measure === "g") return beside(weight(grams));
    if (measure === "us" || measure === "hub") {
      const ml = how === "v" && units.metric[own] ? row[1] * times * units.metric[own] : how === "v" && units.hub[own] ? row[1] * times * units.hub[own] : density && grams / density;
      const count = grams / oneGrams;
      if (how === "c" || how === "w" || how === "p") return beside(written(row, times));
      if (measure === "hub" && how === "m" && oneGrams >= 8 && count >= 0.24 && count < 13)
        return beside(counted(count, one === "each" ? "" : one));
      if (ml) return beside(spoons(ml, units[measure]));
      return beside(measure === "us" ? ounces(grams, units.us) : weight(grams));
    }
    return beside(written(row, times));
  }

  cook.amounts = { said, weight, weighed };
})((globalThis.GramwrightCook ??= {}));
