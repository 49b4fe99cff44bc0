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
 * may ask to see those that may contain it, never those that are not known). A
 * recipe that only its swaps make fit is never among those found: it is counted
 * apart, and stands after them where the reader asks for it.
 *
 * @typedef {object} Result
 * @property {number} total
 * @property {Uint32Array} ids  the recipes listed, in order: those found, then those that need a swap if asked for
 * @property {object[]} asked  every condition: its kind and name
 * @property {Uint32Array} alone  per condition: how many recipes fail it and nothing else
 * @property {number} may  how many more there are that only may contain what is left out
 * @property {number} open  how many fit but for an allergen that is not known
 * @property {number} swaps  how many there are that only fail by what is left out, and do not with their swaps
 * @property {Bits} swapped  those of them that are listed
 * @property {Bits} found
 * @property {Bits} twice  the recipes that miss two conditions or more
 */
(() => {
  "use strict";
  const find = (globalThis.GramwrightFind ??= {});
  const { values, least, byMeal, byDiet, byTag, allergen, once, join } = find.unpacked;
  const has = (bits, i) => (bits[i >> 5] >>> (i & 31)) & 1;

  /** Figures with a range: `per` steps to a unit, `step` of the slider in units, `most` the longest slider. */
  const FIELDS = {
    kcal: { per: 1, step: 10 },
    protein: { per: 10, step: 1 },
    ratio: { per: 100, step: 0.5 },
    carbohydrate: { per: 10, step: 1 },
    fat: { per: 10, step: 1 },
    fibre: { per: 10, step: 1 },
    salt: { per: 100, step: 0.1 },
    hands_on: { per: 1, step: 5, most: 90 },
    total: { per: 1, step: 5, most: 180 },
  };
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

  // ------------------------------------------------------------ asking

  /**
   * The conditions of a state, one by one, each with the recipes that do not meet it.
   * @param {object} index @param {State} state @param {object[]} words matches of find.match
   */
  function conditions(index, state, words) {
    const found = words.map((word) => ({ kind: "word", name: word.typed, misses: word.misses }));
    for (const name of Object.keys(FIELDS)) {
      const range = state.ranges[name];
      if (range) found.push({ kind: "range", name, range, misses: missing(index, `${name} ${range}`, () => outside(index, name, range)) });
    }
    if (state.meals.length) {
      found.push({ kind: "meals", name: "", chosen: state.meals, misses: missing(index, JSON.stringify(state.meals), () => without(index, anyMeal(index, state.meals))) });
    }
    for (const name of state.tags) found.push({ kind: "tag", name, misses: without(index, named(index, "tags", byTag, name)) });
    for (const name of state.diets) found.push({ kind: "diet", name, misses: without(index, named(index, "diets", byDiet, name)) });
    for (const name of state.without) found.push({ kind: "without", name, misses: excluded(index, name, state.may) });
    return found;
  }

  const MOST_KEPT = 48;

  /** The recipes that miss a condition, kept for when it is asked again. @returns {Bits} */
  function missing(index, key, make) {
    const found = index.missed.get(key) ?? make();
    index.missed.delete(key);
    index.missed.set(key, found);
    if (index.missed.size > MOST_KEPT) index.missed.delete(index.missed.keys().next().value);
    return found;
  }

  /** The recipes whose figure is not known to lie within a range. */
  function outside(index, name, range) {
    const { per } = FIELDS[name];
    const column = values(index, name);
    const low = range[0] === null ? 0 : Math.ceil(range[0] * per - 1e-6);
    const high = range[1] === null ? 0x3fffffff : Math.floor(range[1] * per + 1e-6);
    const bits = find.pack.noBits(index.count);
    for (let i = 0; i < column.length; i++) {
      if (column[i] < low || column[i] > high) bits[i >> 5] |= 1 << (i & 31);
    }
    const unsure = range[1] === null ? null : least(index, name);
    if (unsure) join(bits, unsure);
    return bits;
  }

  function without(index, bits) {
    const rest = find.pack.noBits(index.count);
    for (let w = 0; w < rest.length; w++) rest[w] = index.every[w] & ~bits[w];
    return rest;
  }

  function anyMeal(index, chosen) {
    const bits = find.pack.noBits(index.count);
    for (const name of chosen) join(bits, named(index, "meals", byMeal, name));
    return bits;
  }

  /** The recipes with one name of a list; none for a name that the index does not have. */
  function named(index, list, by, name) {
    const number = index.names[list].indexOf(name);
    return number < 0 ? find.pack.noBits(index.count) : by(index)[number];
  }

  /** Recipes that a left-out allergen takes away; all of them when the index does not know it. */
  function excluded(index, id, may) {
    return once(index, `${may ? "not" : "neither"} ${id}`, () => {
      const found = allergen(index, id);
      if (!found) return index.every;
      const bits = found.contains.slice();
      join(bits, found.unknown);
      if (!may) join(bits, found.may);
      return bits;
    });
  }

  /**
   * Takes an index, a state and the words' matches, gives the result.
   * @param {object} index @param {State} state @param {object[]} [words]
   * @param {?object} [swaps] of find.swapped; null while it is not here
   * @returns {Result}
   */
  function query(index, state, words = [], swaps = null) {
    const asked = conditions(index, state, words);
    const once = find.pack.noBits(index.count);
    const twice = find.pack.noBits(index.count);
    let left = { may: 0, open: 0 };
    let fits = null;
    let counted = false;
    for (const { kind, misses } of asked) {
      if (kind === "without" && !counted) {
        left = leftOut(index, state, once);
        fits = without(index, once);
        counted = true;
      }
      for (let w = 0; w < once.length; w++) {
        twice[w] |= once[w] & misses[w];
        once[w] |= misses[w];
      }
    }
    const found = without(index, once);
    const total = find.pack.countBits(found);
    const swapped = needSwaps(index, state, fits, found, swaps);
    const needing = find.pack.countBits(swapped);
    const listed = state.swap ? swapped : find.pack.noBits(index.count);
    const ids = new Uint32Array(total + (state.swap ? needing : 0));
    ids.set(ordered(index, state, words, found, total));
    if (state.swap) ids.set(ordered(index, state, words, swapped, needing), total);
    return {
      total,
      ids,
      swaps: needing,
      swapped: listed,
      asked,
      alone: asked.map(({ misses }) => countAndNot(misses, twice)),
      may: left.may,
      open: left.open,
      found,
      twice,
    };
  }

  /**
   * What lies around a result: how many recipes there would be with each further
   * choice (as it is, for one already chosen), and how the figures are spread
   * over the recipes that meet every other condition.
   * @param {object} index @param {State} state @param {Result} result
   * @param {string[]} drawn the fields whose histograms are wanted
   * @returns {{counts: Object<string, Map<string, number>>, histograms: Object<string, Uint32Array>}}
   */
  function around(index, state, { asked, found, twice, total }, drawn) {
    const forMeals = butFor(found, asked.find(({ kind }) => kind === "meals"), twice);
    const each = (list, by, among) => new Map(index.names[list].map((name, number) => [name, countAnd(by(index)[number], among)]));
    const stay = (id) => (state.without.includes(id) ? total : countAndNot(found, excluded(index, id, state.may)));
    return {
      counts: {
        meals: each("meals", byMeal, forMeals),
        tags: each("tags", byTag, found),
        diets: each("diets", byDiet, found),
        without: new Map(index.allergens.map((id) => [id, stay(id)])),
      },
      histograms: Object.fromEntries(
        drawn.map((name) => {
          const own = asked.find((condition) => condition.kind === "range" && condition.name === name);
          return [name, histogram(index, name, butFor(found, own, twice))];
        }),
      ),
    };
  }

  /** How many are in the first set and not in the second. */
  function countAndNot(bits, not) {
    let count = 0;
    for (let w = 0; w < bits.length; w++) if (bits[w] & ~not[w]) count += find.pack.countWord(bits[w] & ~not[w]);
    return count;
  }

  /** How many are in both. */
  function countAnd(bits, and) {
    let count = 0;
    for (let w = 0; w < bits.length; w++) if (bits[w] & and[w]) count += find.pack.countWord(bits[w] & and[w]);
    return count;
  }

  /**
   * Of what meets every other condition: how many are left out only because they
   * may contain something (`may`), and how many because something is not known (`open`).
   */
  function leftOut(index, state, missed) {
    const found = { may: 0, open: 0 };
    const chosen = state.without.map((id) => allergen(index, id));
    if (chosen.includes(undefined)) return found;
    const fits = without(index, missed);
    const open = find.pack.noBits(index.count);
    const maybe = find.pack.noBits(index.count);
    for (const { contains, may, unknown } of chosen) {
      for (let w = 0; w < fits.length; w++) fits[w] &= ~contains[w];
      join(open, unknown);
      join(maybe, may);
    }
    for (let w = 0; w < fits.length; w++) maybe[w] &= ~open[w];
    return { may: state.may ? 0 : countAnd(maybe, fits), open: countAnd(open, fits) };
  }

  /**
   * Of what meets every other condition and is not found: the recipes whose swaps do without all that is left out.
   * None while it is not known what swaps change, and none for an allergen that the index does not know.
   */
  function needSwaps(index, state, fits, found, swaps) {
    const bits = find.pack.noBits(index.count);
    if (!fits || !swaps || !state.without.every((id) => allergen(index, id))) return bits;
    const free = find.swapped.without(swaps, state.without);
    for (let w = 0; w < bits.length; w++) bits[w] = fits[w] & ~found[w] & free[w];
    return bits;
  }

  /** What meets every condition, and what misses that one alone. */
  function butFor(found, condition, twice) {
    if (!condition) return found;
    const bits = found.slice();
    for (let w = 0; w < bits.length; w++) bits[w] |= condition.misses[w] & ~twice[w];
    return bits;
  }

  // ------------------------------------------------------------ ranges

  /**
   * The scale of a figure's slider: from 0 to `top` units in `step`s; nearly all
   * recipes lie on it, and its end means "and more". `bins` of equal width, the
   * last with everything beyond; `all` counts the whole hub.
   */
  const scale = (index, name) => once(index, `scale ${name}`, () => makeScale(index, name));

  function makeScale(index, name) {
    const { per, step, most: longest = Infinity } = FIELDS[name];
    const column = values(index, name);
    const sorted = column.slice().sort();
    let unknown = 0;
    while (unknown < sorted.length && sorted[unknown] < 0) unknown++;
    const known = sorted.length - unknown;
    const most = known ? sorted[unknown + Math.min(known - 1, Math.floor(known * 0.99))] / per : 0;
    const steps = Math.max(10, Math.ceil(Math.min(most, longest) / step));
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

  /** How many of a set of recipes lie in each bin. */
  function histogram(index, name, among) {
    const { binOf, bins } = scale(index, name);
    const counts = new Uint32Array(bins);
    for (let w = 0; w < among.length; w++) {
      for (let word = among[w] | 0; word !== 0; word &= word - 1) {
        const bin = binOf[(w << 5) + 31 - Math.clz32(word & -word)];
        if (bin >= 0) counts[bin]++;
      }
    }
    return counts;
  }

  /**
   * Everything that is unpacked at first need, piece by piece, for idle moments.
   * @param {object} index
   */
  function* prepare(index) {
    for (const name of find.unpacked.FIGURES) yield values(index, name);
    yield byMeal(index);
    yield byDiet(index);
    yield byTag(index);
    for (const id of index.allergens) yield excluded(index, id, false);
    for (const sort of Object.keys(SORTS)) if (SORTS[sort]) yield orderBy(index, sort);
  }

  // ------------------------------------------------------------ orders

  /** The recipes found, in the order asked for. */
  function ordered(index, state, words, found, total) {
    const ids = new Uint32Array(total);
    let into = 0;
    if (SORTS[state.sort]) {
      const order = orderBy(index, state.sort);
      for (let at = 0; into < total; at++) if (has(found, order[at])) ids[into++] = order[at];
      return ids;
    }
    for (let i = 0; into < total; i++) if (has(found, i)) ids[into++] = i;
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

  find.core = { FIELDS, SORTS, query, around, prepare, scale, orderBy };
})();
