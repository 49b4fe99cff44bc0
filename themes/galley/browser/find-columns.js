/*
 * The first data file -> figures, choices and allergens of every recipe, each
 * unpacked when it is first needed. The other half of
 * generator/gramwright/site/search/columns.py. Knows no page.
 *
 * A recipe is a number, its place in the index (the order of titles). Figures
 * are whole numbers of the smallest step shown (find.core.FIELDS); -1 is "not
 * known".
 */
(() => {
  "use strict";
  const find = (globalThis.GramwrightFind ??= {});
  const has = (bits, i) => (bits[i >> 5] >>> (i & 31)) & 1;

  /** What a figure is told by (Regulation (EU) 1169/2011, Annex XIV). */
  const KCAL_A_GRAM = { protein: 4, carbohydrate: 4, fat: 9, fibre: 2 };

  /** A graded step (fine up to 100, ten times as wide beyond) in its fine steps, and back; whole numbers only. */
  const fine = (step) => (step < 100 ? step : (step - 90) * 10);
  const graded = (amount) => (amount < 100 ? amount : 90 + Math.floor((amount + 5) / 10));

  /**
   * Takes the first data file's content, gives the index that `query` asks.
   * Columns are unpacked when they are first needed.
   * @param {object} packed
   */
  function open(packed) {
    const count = packed.recipes;
    for (const text of Object.values(packed.numbers)) {
      if (count && text.length % count) throw find.pack.damaged("a column's length");
    }
    return {
      packed,
      count,
      names: { meals: packed.meals.names, tags: packed.tags.names, diets: packed.diets.names },
      allergens: [...new Set([...Object.keys(packed.allergens.classes), ...packed.allergens.names])],
      every: all(count),
      kept: new Map(),
      missed: new Map(),
    };
  }

  /** Every recipe. @returns {Bits} */
  function all(count) {
    const bits = find.pack.noBits(count).fill(0xffffffff);
    if (count & 31) bits[bits.length - 1] = (1 << (count & 31)) - 1;
    return bits;
  }

  /** What `make` gives, made once. */
  function once(index, key, make) {
    let made = index.kept.get(key);
    if (made === undefined) index.kept.set(key, (made = make()));
    return made;
  }

  /** A figure of every recipe, in its smallest shown step. @returns {Int32Array} */
  const values = (index, name) => once(index, name, () => (name === "ratio" ? ratios(index) : READ[name](index, name)));

  /** The recipes whose figure is only "at least" known; null for none. */
  function least(index, name) {
    const text = index.packed.least[name === "ratio" ? "protein" : name];
    return text ? once(index, `least ${name}`, () => find.pack.subset(text, index.count)) : null;
  }

  const whole = (index, name) => find.pack.numbers(index.packed.numbers[name], index.count, 1);

  function stepped(index, name) {
    const column = whole(index, name);
    for (let i = 0; i < column.length; i++) column[i] = fine(column[i]);
    return column;
  }

  /** Protein as shown: tenths below 10 g, whole grams from there on. */
  function protein(index) {
    const column = tenthsOfProtein(index).slice();
    for (let i = 0; i < column.length; i++) if (column[i] >= 100) column[i] = Math.floor((column[i] + 5) / 10) * 10;
    return column;
  }

  const tenthsOfProtein = (index) => once(index, "tenths of protein", () => whole(index, "protein"));

  /** Carbohydrate, kept as the difference from what energy, protein, fat and fibre leave for it. */
  function carbohydrate(index) {
    const column = whole(index, "carbohydrate");
    const [e, p, f, b] = [values(index, "kcal"), tenthsOfProtein(index), values(index, "fat"), values(index, "fibre")];
    const { carbohydrate: kc, protein: kp, fat: kf, fibre: kb } = KCAL_A_GRAM;
    for (let i = 0; i < column.length; i++) {
      if (column[i] < 0) continue;
      const rest = 10 * Math.max(e[i], 0) - kp * Math.max(p[i], 0) - kf * Math.max(f[i], 0) - kb * Math.max(b[i], 0);
      column[i] = fine(unzigzag(column[i]) + graded(Math.floor(Math.max(rest, 0) / kc)));
    }
    return column;
  }

  /** Time in all, kept as the difference from the time of work. */
  function longer(index) {
    const column = whole(index, "total");
    const work = values(index, "hands_on");
    for (let i = 0; i < column.length; i++) if (column[i] >= 0) column[i] = unzigzag(column[i]) + Math.max(work[i], 0);
    return column;
  }

  const unzigzag = (number) => (number & 1 ? -((number + 1) >> 1) : number >> 1);

  const READ = {
    kcal: whole,
    protein,
    fat: stepped,
    fibre: stepped,
    carbohydrate,
    salt: stepped,
    hands_on: whole,
    total: longer,
  };

  /** Grams of protein for every 100 kcal, in hundredths; not known where the energy is only "at least" known. */
  function ratios(index) {
    const grams = tenthsOfProtein(index);
    const kcal = values(index, "kcal");
    const unsure = least(index, "kcal");
    const column = new Int32Array(index.count);
    for (let i = 0; i < column.length; i++) {
      const known = grams[i] >= 0 && kcal[i] > 0 && !(unsure && has(unsure, i));
      column[i] = known ? Math.round((grams[i] * 1000) / kcal[i]) : -1;
    }
    return column;
  }

  /** The recipes that have a meal, a tag, or a "yes" for a diet, by their numbers. @returns {Bits[]} */
  const byMeal = (index) => once(index, "meals", () => spread(index, "meals", (members, meal) => members.includes(meal)));
  const byDiet = (index) => once(index, "diets", () => spread(index, "diets", (run, diet) => run[diet] === "y"));
  const tagSets = (index) => once(index, "tag sets", () => find.pack.sets(index.packed.tags.sets));

  function byTag(index) {
    return once(index, "tags", () => {
      const { starts, members } = tagSets(index);
      const found = index.names.tags.map(() => find.pack.noBits(index.count));
      for (let i = 0; i < index.count; i++) {
        const end = starts[i + 1];
        for (let at = starts[i]; at < end; at++) found[members[at]][i >> 5] |= 1 << (i & 31);
      }
      return found;
    });
  }

  /** Combinations by recipe -> for each name the recipes whose combination has it. */
  function spread(index, key, has) {
    const { together, which } = index.packed[key];
    const column = find.pack.numbers(which, index.count);
    const alike = together.map(() => find.pack.noBits(index.count));
    for (let i = 0; i < column.length; i++) alike[column[i]][i >> 5] |= 1 << (i & 31);
    return index.names[key].map((_, number) => {
      const bits = find.pack.noBits(index.count);
      together.forEach((combination, at) => has(combination, number) && join(bits, alike[at]));
      return bits;
    });
  }

  function join(bits, more) {
    for (let w = 0; w < bits.length; w++) bits[w] |= more[w];
  }

  /**
   * An allergen, or a class of them, by its id: three sets of recipes. Undefined when the index does not know it.
   * @param {boolean} [alone] the id itself, even where a class has the same
   * @returns {{contains: Bits, may: Bits, unknown: Bits}|undefined}
   */
  function allergen(index, id, alone = false) {
    const { names, classes } = index.packed.allergens;
    if (!alone && Object.hasOwn(classes, id)) return once(index, `class ${id}`, () => union(index, classes[id]));
    const number = names.indexOf(id);
    return number < 0 ? undefined : single(index, number);
  }

  /** The ids that count as an allergen or a class. @returns {string[]} */
  function members(index, id) {
    const { names, classes } = index.packed.allergens;
    return Object.hasOwn(classes, id) ? classes[id].members.map((number) => names[number]) : [id];
  }

  function single(index, number) {
    return once(index, `allergen ${number}`, () => {
      const { packed, count } = index;
      const unsure = once(index, "open", () => find.pack.subset(packed.allergens.open, count));
      const contains = find.pack.subset(packed.allergens.contains[number], count);
      const may = find.pack.subset(packed.allergens.may[number], count);
      const unknown = find.pack.subset(packed.allergens.unknown[number], count);
      for (let w = 0; w < unknown.length; w++) unknown[w] ^= unsure[w] & ~contains[w] & ~may[w];
      return { contains, may, unknown };
    });
  }

  /** A class of allergens: whatever one of its members has, and what is said of the group as a whole. */
  function union(index, packed) {
    const made = {};
    for (const state of ["contains", "may", "unknown"]) {
      const bits = (made[state] = find.pack.subset(packed[state], index.count));
      for (const number of packed.members) join(bits, single(index, number)[state]);
    }
    return made;
  }

  /** Figures in the order in which they need each other. */
  const FIGURES = Object.keys(READ);

  find.unpacked = { KCAL_A_GRAM, FIGURES, open, values, least, byMeal, byDiet, byTag, tagSets, allergen, members, once, join };
})();
