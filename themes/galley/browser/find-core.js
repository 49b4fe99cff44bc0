/*
 * Columns and a reader's conditions -> which recipes, in which order, and how
 * many each further choice would leave. Knows no page: it runs anywhere.
 *
 * A recipe is a number, its place in the index (the order of titles). Figures
 * are whole numbers of the smallest step shown (FIELDS); -1 is "not known".
 *
 * What is not known is never counted in favour: a recipe whose energy is not
 * known, or only "at least" known, passes no upper limit; one that contains,
 * may contain or is not known for an allergen left out is not found (the reader
 * may ask to see those that may contain it, never those that are not known).
 *
 * @typedef {object} Result
 * @property {number} total
 * @property {Uint32Array} ids  the recipes found, in order
 * @property {object[]} asked  every condition: its kind and name
 * @property {Uint32Array} alone  per condition: how many recipes fail it and nothing else
 * @property {number} may  how many more there are that only may contain what is left out
 * @property {number} open  how many fit but for an allergen that is not known
 * @property {{meals: Map, tags: Map, diets: Map, without: Map}} counts  per choice: recipes there would be with it
 * @property {Object<string, Uint32Array>} histograms
 */
(() => {
  "use strict";
  const find = (globalThis.GramwrightFind ??= {});
  const has = (bits, i) => (bits[i >> 5] >>> (i & 31)) & 1;

  /** Figures with a range: `per` steps to a unit, `step` of the slider in units. */
  const FIELDS = {
    kcal: { per: 1, step: 10 },
    protein: { per: 10, step: 1 },
    ratio: { per: 100, step: 0.5 },
    carbohydrate: { per: 10, step: 1 },
    fat: { per: 10, step: 1 },
    fibre: { per: 10, step: 1 },
    salt: { per: 100, step: 0.1 },
    hands_on: { per: 1, step: 5 },
    total: { per: 1, step: 5 },
  };
  const KCAL_A_GRAM = { protein: 4, carbohydrate: 4, fat: 9, fibre: 2 };
  const MOST_BINS = 40;

  /**
   * Orders. `field` by value, lowest first or highest first; `late`: figures
   * that are only "at least" known come after all others.
   */
  const SORTS = {
    name: null,
    relevance: null,
    energy: { field: "kcal", high: false, late: true },
    energy_high: { field: "kcal", high: true, late: false },
    protein: { field: "protein", high: true, late: false },
    ratio: { field: "ratio", high: true, late: false },
    work: { field: "hands_on", high: false, late: true },
    time: { field: "total", high: false, late: true },
  };

  // ------------------------------------------------------------ reading the columns

  const GRADED = new Int32Array(4097);
  for (let packed = 0; packed < GRADED.length; packed++) GRADED[packed] = packed <= 100 ? packed - 1 : (packed - 91) * 10;

  /**
   * Takes the first data file's content, gives the index that `query` asks.
   * Columns are unpacked when they are first needed.
   * @param {object} packed
   */
  function open(packed) {
    const count = packed.recipes;
    for (const [, text] of Object.values(packed.numbers)) {
      if (count && text.length % count) throw find.pack.damaged("a column's length");
    }
    return {
      packed,
      count,
      names: { meals: packed.meals.names, tags: packed.tags.names, diets: packed.diets.names },
      allergens: [...new Set([...Object.keys(packed.allergens.classes), ...packed.allergens.names])],
      kept: new Map(),
      fails: new Uint16Array(count),
      blame: new Uint16Array(count),
    };
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

  const unpacked = (index, name) => find.pack.numbers(index.packed.numbers[name][1], index.count);

  function whole(index, name) {
    const column = unpacked(index, name);
    for (let i = 0; i < column.length; i++) column[i]--;
    return column;
  }

  function stepped(index, name) {
    const column = unpacked(index, name);
    for (let i = 0; i < column.length; i++) {
      column[i] = column[i] < GRADED.length ? GRADED[column[i]] : (column[i] - 91) * 10;
    }
    return column;
  }

  /** Protein as shown: tenths below 10 g, whole grams from there on. */
  function protein(index) {
    const column = tenthsOfProtein(index).slice();
    for (let i = 0; i < column.length; i++) if (column[i] >= 100) column[i] = ((column[i] + 5) / 10 | 0) * 10;
    return column;
  }

  const tenthsOfProtein = (index) => once(index, "tenths of protein", () => whole(index, "protein"));

  /** Energy, kept as the difference from what the packed grams give. */
  function energy(index) {
    const column = unpacked(index, "kcal");
    const [p, c, f, b] = [tenthsOfProtein(index), values(index, "carbohydrate"), values(index, "fat"), values(index, "fibre")];
    const [kp, kc, kf, kb] = Object.values(KCAL_A_GRAM);
    for (let i = 0; i < column.length; i++) {
      const step = column[i] - 1;
      if (step < 0) {
        column[i] = -1;
        continue;
      }
      const tenths =
        (p[i] > 0 ? kp * p[i] : 0) + (c[i] > 0 ? kc * c[i] : 0) + (f[i] > 0 ? kf * f[i] : 0) + (b[i] > 0 ? kb * b[i] : 0);
      column[i] = unzigzag(step) + Math.floor((tenths + 5) / 10);
    }
    return column;
  }

  /** Time in all, kept as the difference from the time of work. */
  function longer(index) {
    const column = unpacked(index, "total");
    const work = values(index, "hands_on");
    for (let i = 0; i < column.length; i++) {
      column[i] = column[i] === 0 ? -1 : unzigzag(column[i] - 1) + (work[i] > 0 ? work[i] : 0);
    }
    return column;
  }

  const unzigzag = (number) => (number & 1 ? -((number + 1) >> 1) : number >> 1);

  const READ = {
    protein,
    carbohydrate: stepped,
    fat: stepped,
    fibre: stepped,
    kcal: energy,
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

  /** Which combination of meals each recipe has, and which run of answers on diets. */
  const which = (index, name) => once(index, name, () => find.pack.numbers(index.packed[name].which, index.count));
  const tagSets = (index) => once(index, "tags", () => find.pack.sets(index.packed.tags.sets));

  /**
   * An allergen, or a class of them, by its id: three sets of recipes. Undefined when the index does not know it.
   * @returns {{contains: Bits, may: Bits, unknown: Bits}|undefined}
   */
  function allergen(index, id) {
    const { names, classes } = index.packed.allergens;
    if (Object.hasOwn(classes, id)) return once(index, `class ${id}`, () => union(index, classes[id]));
    const number = names.indexOf(id);
    return number < 0 ? undefined : single(index, number);
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

  /** A class of allergens: whatever one of its members has. */
  function union(index, members) {
    const made = {};
    for (const state of ["contains", "may", "unknown"]) {
      const bits = (made[state] = find.pack.noBits(index.count));
      for (const number of members) {
        const other = single(index, number)[state];
        for (let w = 0; w < bits.length; w++) bits[w] |= other[w];
      }
    }
    return made;
  }

  // ------------------------------------------------------------ asking

  /**
   * The conditions of a state, one by one.
   * @param {State} state @param {object[]} words matches of find.match
   */
  function conditions(state, words) {
    const found = words.map((word) => ({ kind: "word", name: word.typed, scores: word.scores }));
    for (const name of Object.keys(FIELDS)) {
      if (state.ranges[name]) found.push({ kind: "range", name, range: state.ranges[name] });
    }
    if (state.meals.length) found.push({ kind: "meals", name: "", chosen: state.meals });
    for (const name of state.tags) found.push({ kind: "tag", name });
    for (const name of state.diets) found.push({ kind: "diet", name });
    for (const name of state.without) found.push({ kind: "without", name });
    return found;
  }

  /*
   * Each way of marking takes a condition and its number, and notes every recipe
   * that does not meet it: one more failure, and which condition it was.
   */

  function markRange(index, { name, range }, number) {
    const { fails, blame } = index;
    const { per } = FIELDS[name];
    const column = values(index, name);
    const low = range[0] === null ? 0 : Math.ceil(range[0] * per - 1e-6);
    const high = range[1] === null ? 0x3fffffff : Math.floor(range[1] * per + 1e-6);
    for (let i = 0; i < column.length; i++) {
      if (column[i] < low || column[i] > high) {
        fails[i]++;
        blame[i] = number;
      }
    }
    const unsure = range[1] === null ? null : least(index, name);
    if (!unsure) return;
    for (let i = 0; i < column.length; i++) {
      if (has(unsure, i) && column[i] >= low && column[i] <= high) {
        fails[i]++;
        blame[i] = number;
      }
    }
  }

  function markWord({ fails, blame }, { scores }, number) {
    for (let i = 0; i < scores.length; i++) {
      if (scores[i] === 0) {
        fails[i]++;
        blame[i] = number;
      }
    }
  }

  /** Marks recipes whose combination does not fit. */
  function markWhich({ fails, blame }, column, fits, number) {
    for (let i = 0; i < column.length; i++) {
      if (fits[column[i]] === 0) {
        fails[i]++;
        blame[i] = number;
      }
    }
  }

  function markMeals(index, { chosen }, number) {
    const wanted = index.names.meals.map((name) => chosen.includes(name));
    const fits = Uint8Array.from(index.packed.meals.together, (members) => members.some((meal) => wanted[meal]));
    markWhich(index, which(index, "meals"), fits, number);
  }

  function markDiet(index, { name }, number) {
    const place = index.names.diets.indexOf(name);
    markWhich(index, which(index, "diets"), Uint8Array.from(index.packed.diets.together, (run) => run[place] === "y"), number);
  }

  function markTag(index, { name }, number) {
    const { fails, blame, count } = index;
    const tag = index.names.tags.indexOf(name);
    const { starts, members } = tagSets(index);
    for (let i = 0; i < count; i++) {
      let at = starts[i];
      const end = starts[i + 1];
      while (at < end && members[at] !== tag) at++;
      if (at === end) {
        fails[i]++;
        blame[i] = number;
      }
    }
  }

  function markWithout(index, { name, may }, number) {
    const { fails, blame, count } = index;
    const bits = excluded(index, name, may);
    for (let i = 0; i < count; i++) {
      if (has(bits, i)) {
        fails[i]++;
        blame[i] = number;
      }
    }
  }

  const MARK = { word: markWord, range: markRange, meals: markMeals, tag: markTag, diet: markDiet, without: markWithout };

  /**
   * Takes an index, a state and the words' matches, gives the result.
   * @param {object} index @param {State} state @param {object[]} [words]
   * @param {string[]} [drawn] the fields whose histograms are wanted
   * @returns {Result}
   */
  function query(index, state, words = [], drawn = []) {
    const { count, fails, blame } = index;
    const asked = conditions(state, words);
    fails.fill(0);
    let left = { may: 0, open: 0 };
    asked.forEach((condition, number) => {
      if (condition.kind === "without") {
        if (state.without[0] === condition.name) left = leftOut(index, state);
        condition.may = state.may;
      }
      MARK[condition.kind](index, condition, number);
    });
    const bits = find.pack.noBits(count);
    const alone = new Uint32Array(asked.length);
    let total = 0;
    for (let i = 0; i < count; i++) {
      if (fails[i] === 0) {
        bits[i >> 5] |= 1 << (i & 31);
        total++;
      } else if (fails[i] === 1) alone[blame[i]]++;
    }
    return {
      total,
      ids: ordered(index, state, words, total),
      asked,
      alone,
      may: left.may,
      open: left.open,
      counts: choiceCounts(index, state, asked, bits, total),
      histograms: Object.fromEntries(drawn.map((name) => [name, histogram(index, name, asked)])),
    };
  }

  /** Recipes that a left-out allergen takes away; all of them when the index does not know it. */
  function excluded(index, name, may) {
    const found = allergen(index, name);
    const bits = find.pack.noBits(index.count);
    if (!found) return bits.fill(0xffffffff);
    const { contains, unknown } = found;
    for (let w = 0; w < bits.length; w++) bits[w] = contains[w] | unknown[w] | (may ? 0 : found.may[w]);
    return bits;
  }

  /**
   * Of what meets every condition so far: how many are left out only because they
   * may contain something (`may`), and how many because something is not known (`open`).
   */
  function leftOut(index, state) {
    const found = { may: 0, open: 0 };
    const chosen = state.without.map((name) => allergen(index, name));
    if (chosen.includes(undefined)) return found;
    const { fails, count } = index;
    const fits = find.pack.noBits(count);
    for (let i = 0; i < count; i++) if (fails[i] === 0) fits[i >> 5] |= 1 << (i & 31);
    const open = find.pack.noBits(count);
    const maybe = find.pack.noBits(count);
    for (const { contains, may, unknown } of chosen) {
      for (let w = 0; w < fits.length; w++) {
        fits[w] &= ~contains[w];
        open[w] |= unknown[w];
        maybe[w] |= may[w];
      }
    }
    for (let w = 0; w < fits.length; w++) {
      open[w] &= fits[w];
      maybe[w] &= fits[w] & ~open[w];
    }
    return { may: state.may ? 0 : find.pack.countBits(maybe), open: find.pack.countBits(open) };
  }

  /** How many recipes there would be with each choice (as it is, for one already chosen). */
  function choiceCounts(index, state, asked, bits, total) {
    const { count, fails, blame, names, packed } = index;
    const mealsAt = asked.findIndex((condition) => condition.kind === "meals");
    const meals = which(index, "meals");
    const diets = which(index, "diets");
    const { starts, members } = tagSets(index);
    const byMeals = new Uint32Array(packed.meals.together.length);
    const byTag = new Uint32Array(names.tags.length);
    const byRun = new Uint32Array(packed.diets.together.length);
    for (let i = 0; i < count; i++) {
      if (fails[i] === 0) {
        byMeals[meals[i]]++;
        byRun[diets[i]]++;
        const end = starts[i + 1];
        for (let at = starts[i]; at < end; at++) byTag[members[at]]++;
      } else if (fails[i] === 1 && blame[i] === mealsAt) byMeals[meals[i]]++;
    }
    const byMeal = new Uint32Array(names.meals.length);
    packed.meals.together.forEach((together, number) => together.forEach((meal) => (byMeal[meal] += byMeals[number])));
    const byDiet = names.diets.map((_, diet) =>
      packed.diets.together.reduce((sum, run, number) => sum + (run[diet] === "y" ? byRun[number] : 0), 0),
    );
    const named = (list, counts) => new Map(list.map((name, number) => [name, counts[number]]));
    return {
      meals: named(names.meals, byMeal),
      tags: named(names.tags, byTag),
      diets: named(names.diets, byDiet),
      without: new Map(index.allergens.map((id) => [id, state.without.includes(id) ? total : kept(index, id, bits, state.may)])),
    };
  }

  /** How many of a set of recipes stay when an allergen is left out. */
  function kept(index, id, bits, may) {
    const found = allergen(index, id);
    const left = find.pack.noBits(index.count);
    for (let w = 0; w < bits.length; w++) {
      left[w] = bits[w] & ~(found.contains[w] | found.unknown[w] | (may ? 0 : found.may[w]));
    }
    return find.pack.countBits(left);
  }

  // ------------------------------------------------------------ ranges

  /**
   * The scale of a figure's slider: from 0 to `top` units in `step`s; nearly all
   * recipes lie on it, and its end means "and more". `bins` of equal width, the
   * last with everything beyond; `all` counts the whole hub.
   */
  const scale = (index, name) => once(index, `scale ${name}`, () => makeScale(index, name));

  function makeScale(index, name) {
    const { per, step } = FIELDS[name];
    const column = values(index, name);
    const sorted = column.slice().sort();
    let unknown = 0;
    while (unknown < sorted.length && sorted[unknown] < 0) unknown++;
    const known = sorted.length - unknown;
    const most = known ? sorted[unknown + Math.min(known - 1, Math.floor(known * 0.99))] / per : 0;
    const steps = Math.max(10, Math.ceil(most / step));
    const wide = Math.ceil(steps / MOST_BINS);
    const bins = Math.ceil(steps / wide);
    const width = wide * step * per;
    const binOf = new Int8Array(column.length);
    const all = new Uint32Array(bins);
    for (let i = 0; i < column.length; i++) {
      if (column[i] < 0) binOf[i] = -1;
      else all[(binOf[i] = Math.min(bins - 1, Math.floor(column[i] / width)))]++;
    }
    return { top: Number((bins * wide * step).toFixed(2)), step, bins, binOf, all };
  }

  /** How many recipes that meet every other condition lie in each bin. */
  function histogram(index, name, asked) {
    const { binOf, bins } = scale(index, name);
    const at = asked.findIndex((condition) => condition.kind === "range" && condition.name === name);
    const counts = new Uint32Array(bins);
    const { fails, blame } = index;
    for (let i = 0; i < fails.length; i++) {
      if ((fails[i] === 0 || (fails[i] === 1 && blame[i] === at)) && binOf[i] >= 0) counts[binOf[i]]++;
    }
    return counts;
  }

  // ------------------------------------------------------------ orders

  /** The recipes that fail nothing, in the order asked for. */
  function ordered(index, state, words, total) {
    const ids = new Uint32Array(total);
    if (SORTS[state.sort]) {
      const order = orderBy(index, state.sort);
      for (let at = 0, into = 0; at < order.length; at++) if (index.fails[order[at]] === 0) ids[into++] = order[at];
      return ids;
    }
    for (let i = 0, into = 0; i < index.count; i++) if (index.fails[i] === 0) ids[into++] = i;
    return state.sort === "relevance" && words.length ? byRelevance(ids, words, index) : ids;
  }

  /** All recipes in one order, made once. Equal figures keep the order of titles. */
  function orderBy(index, sort) {
    return once(index, `order ${sort}`, () => makeOrder(index, SORTS[sort]));
  }

  function makeOrder(index, { field, high, late }) {
    const column = values(index, field);
    const unsure = late ? least(index, field) : null;
    const keys = new Float64Array(column.length);
    for (let i = 0; i < keys.length; i++) {
      const value = column[i];
      const group = value < 0 ? 2 : unsure && has(unsure, i) ? 1 : 0;
      keys[i] = (group * 0x1000000 + (high ? 0xffffff - value : Math.max(value, 0))) * 0x200000 + i;
    }
    keys.sort();
    const order = new Uint32Array(keys.length);
    for (let at = 0; at < order.length; at++) order[at] = keys[at] % 0x200000;
    return order;
  }

  /** Best match first, then the shorter title, then the order of titles (a counting sort). */
  function byRelevance(ids, words, index) {
    const lengths = index.titleLengths;
    const keys = new Uint16Array(ids.length);
    let most = 0;
    for (const { best } of words) most += best;
    const buckets = new Uint32Array((most + 1) * 16 + 1);
    for (let at = 0; at < ids.length; at++) {
      let score = 0;
      for (const { scores } of words) score += scores[ids[at]];
      const key = (most - score) * 16 + Math.min(15, lengths ? lengths[ids[at]] : 0);
      keys[at] = key;
      buckets[key + 1]++;
    }
    for (let key = 1; key < buckets.length; key++) buckets[key] += buckets[key - 1];
    const sorted = new Uint32Array(ids.length);
    for (let at = 0; at < ids.length; at++) sorted[buckets[keys[at]]++] = ids[at];
    return sorted;
  }

  find.core = { FIELDS, SORTS, KCAL_A_GRAM, open, values, least, tagSets, allergen, query, scale, orderBy };
})();
