// The graduated rule of a choice: the same geometry as the generator's (site/panel.py), drawn in the same markup.
"use strict";
((cook) => {
  const { say } = cook;
  const NAMED = 5;
  const CLOSE = 0.01;
  const SHADES = 6;
  const RULINGS = [
    [10, 0.2, 1, 2],
    [20, 1, 5, 5],
    [50, 1, 5, 10],
    [100, 2, 10, 20],
    [600, 10, 50, 100],
    [1200, 20, 100, 200],
    [3000, 50, 250, 500],
  ];
  const TICKS = [5, 8, 12];
  const DRAWN = ["protein", "carbohydrate", "fat", "fibre", "alcohol", "polyols", "acids", "rest"];

  function ruling(top) {
    top = Math.max(top, 1);
    let found = RULINGS.find(([limit]) => top < limit);
    if (!found) {
      const major = 10 ** Math.floor(Math.log10(top));
      found = [0, major / 10, major / 2, major];
    }
    const [, minor, middle, major] = found;
    return { end: (Math.floor(top / major) + 1) * major, minor, middle, major };
  }

  function laid(rule, energy, parts) {
    let told = parts.filter(([, , kcal]) => kcal > 0);
    const total = told.reduce((sum, [, , kcal]) => sum + kcal, 0);
    if (energy <= 0 || total <= 0) return [];
    const missing = energy - total;
    let factor = energy / total;
    if (missing > CLOSE * energy) {
      const rest = told.filter(([key]) => key === "rest").reduce((sum, [, , kcal]) => sum + kcal, 0);
      told = [...told.filter(([key]) => key !== "rest"), ["rest", "", rest + missing, null]];
      factor = 1;
    }
    const at = (kcal) => Math.min(Math.max(kcal / rule.end, 0), 1);
    let start = 0;
    return told.map(([key, name, kcal, grams]) => {
      const end = start + kcal * factor;
      const cut = { key, name, grams, share: (kcal * factor) / energy, x: at(start), width: at(end) - at(start) };
      start = end;
      return cut;
    });
  }

  function pieces(made) {
    return cook.rules.energy.terms.flatMap(([key, add, less, kj, kcal]) => {
      if (!made.totals[add] || !kj) return [];
      let grams = made.totals[add].amount;
      for (const tag of less) grams -= made.totals[tag]?.amount ?? 0;
      if (grams <= 1e-12) return [];
      grams /= made.portions;
      return [[key, "", grams * kcal, grams]];
    });
  }

  function strip(page, made) {
    const data = page.o;
    const table = made.by === "table";
    const rows = data.strip.map((row) => ({ at: row[0], key: row[1], name: row[2], kcal: row[table ? 4 : 3], grams: row[5] }));
    for (const [key, part] of made.parts.slice(1)) {
      const kcal = (table ? (part.b?.[0] ?? 0) / cook.sums.KJ_PER_KCAL : (part.e?.[0] ?? 0)) / made.portions;
      const [food, name] = data.names[key];
      rows.push({ at: parseInt(key, 10), key: food, name, kcal, grams: part.g / made.portions });
    }
    rows.sort((a, b) => a.at - b.at);
    const foods = new Map();
    for (const { key, name, kcal, grams } of rows) {
      const found = foods.get(key) ?? [key, name, 0, 0];
      found[2] += kcal;
      found[3] += grams;
      foods.set(key, found);
    }
    const giving = [...foods.values()]
      .sort((a, b) => b[2] - a[2] || (a[0] < b[0] ? -1 : 1))
      .filter(([, , kcal]) => kcal > 0);
    if (giving.length <= NAMED + 1) return giving;
    const others = giving.slice(NAMED).reduce((sum, [, , kcal]) => sum + kcal, 0);
    return [...giving.slice(0, NAMED), ["rest", "", others, null]];
  }

  const lengths = (share) => `${say.fixed(share * 100 * say.NUDGE, 2)}%`;
  const thousandth = (share) => say.fixed(share * 1000 * say.NUDGE, 1).replace(/\.0$/, "");
  const half = (x) => Math.round(x) - (Math.abs(x % 1) === 0.5 && Math.round(x) % 2 ? 1 : 0);

  // Everything the panel shows, in words and lengths.
  function view(page, made) {
    const figure = made.perPortion.ENERC_kcal;
    const grams = made.portion === null ? "" : say.grams(made.portion);
    if (!figure) return { known: false, portion: grams };
    const rule = ruling(Math.max(figure.amount, made.ranged ? figure.high : 0));
    const fill = (cut) => (DRAWN.includes(cut.key) ? cut.key : "rest");
    const shown = (cut) => ({
      x: lengths(cut.x),
      width: lengths(cut.width),
      grams: cut.grams === null || cut.grams === undefined ? "" : say.grams(cut.grams),
      share: say.percent(cut.share),
    });
    const what = laid(rule, figure.amount, pieces(made)).map((cut) => ({
      ...shown(cut),
      fill: fill(cut),
      name: say.word(`pieces.${fill(cut)}`),
    }));
    const where = laid(rule, figure.amount, strip(page, made)).map((cut, at) => ({
      ...shown(cut),
      fill: `shade-${Math.min(at + 1, SHADES)}`,
      name: cut.key === "rest" ? say.word("panel.rest") : cut.name,
      href: cut.key === "rest" ? "" : href(cut.key),
    }));
    const [low, high] = [say.number(figure.low), say.number(figure.high)];
    const spread = made.ranged && half(figure.low) !== half(figure.high);
    const listed = (cuts) => cuts.map(({ name, share }) => say.word("panel.piece", { name, share })).join(", ");
    const energy = say.number(figure.amount);
    const likely = spread ? say.word("panel.drawing_likely", { low, high }) : "";
    const known = figure.coverage < 1 ? "_known" : "";
    const described = [say.word("panel.drawing", { end: say.number(rule.end), energy, likely })];
    if (what.length) described.push(say.word(`panel.drawing_what${known}`, { pieces: listed(what) }));
    if (where.length) described.push(say.word(`panel.drawing_where${known}`, { pieces: listed(where) }));
    const at = (kcal) => thousandth(Math.min(Math.max(kcal / rule.end, 0), 1));
    const count = Math.round(rule.end / rule.minor);
    const every = (step) => Math.round(step / rule.minor);
    const rank = (i) => (i % every(rule.major) === 0 ? 2 : i % every(rule.middle) === 0 ? 1 : 0);
    return {
      known: true,
      energy,
      least: figure.coverage < 1,
      kj: made.perPortion.ENERC_kJ ? `${say.number(made.perPortion.ENERC_kJ.amount)}\u202fkJ` : "",
      portion: grams,
      likely: spread ? say.word("panel.likely", { low, high }) : "",
      described: described.join(" "),
      bracket: spread ? `M${at(figure.low)} 8V1H${at(figure.high)}V8` : "",
      ticks: Array.from({ length: count + 1 }, (_, i) => `M${thousandth(i / count)} 0V${TICKS[rank(i)]}`).join(""),
      numbers: Array.from({ length: Math.round(rule.end / rule.major) + 1 }, (_, i) => ({
        x: lengths(Math.min((i * rule.major) / rule.end, 1)),
        text: say.number(i * rule.major),
      })),
      titles: ["what", "where", "column_share"].map((key) => say.word(`panel.${key}${known}`)),
      what,
      where,
    };
  }

  const href = (key) =>
    key.startsWith("recipe:")
      ? `../../recipes/${encodeURIComponent(key.slice(7))}/index.html`
      : `../../foods/${encodeURIComponent(key)}/index.html`;

  cook.panel = { view };
})((globalThis.GramwrightCook ??= {}));
