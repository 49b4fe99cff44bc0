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

  /** Tenths (or hundredths) of a graded step: fine up to 100, ten times as wide beyond. */
  const graded = (step) => (step < 100 ? step : (step - 90) * 10);
  const unzigzag = (number) => (number & 1 ? -((number + 1) >> 1) : number >> 1);

  /**
   * Takes the first data file's content, gives the index that `query` asks.
   * @param {object} columns
   */
  function open(columns) {
    const count = columns.recipes;
    const values = {};
    const least = {};
    for (const [name, text] of Object.entries(columns.least)) least[name] = find.pack.subset(text, count);
    for (const [name, [scale, text]] of Object.entries(columns.numbers)) {
      values[name] = read(scale, find.pack.numbers(text, count), values);
    }
    values.ratio = ratios(values, least.kcal, count);
    if (least.protein) least.ratio = least.protein;
    const exact = values.protein;
    values.protein = exact.map((tenths) => (tenths < 100 ? tenths : Math.floor((tenths + 5) / 10) * 10));
    return {
      count,
      values,
      least,
      meals: together(columns.meals, count),
      tags: { names: columns.tags.names, sets: find.pack.sets(columns.tags.sets) },
      diets: { names: columns.diets.names, runs: columns.diets.together, which: find.pack.numbers(columns.diets.which, count) },
      allergens: allergens(columns.allergens, count),
      scales: {},
      orders: {},
      fails: new Uint8Array(count),
      blame: new Uint8Array(count),
    };
  }

  /** One column of numbers in its smallest shown step. */
  function read(scale, packed, before) {
    const column = new Int32Array(packed.length);
    for (let i = 0; i < packed.length; i++) {
      const step = packed[i] - 1;
      if (step < 0) column[i] = -1;
      else if (scale === "graded" || scale === "fine") column[i] = graded(step);
      else if (scale === "kcal") column[i] = unzigzag(step) + told(before, i);
      else if (scale === "longer") column[i] = unzigzag(step) + Math.max(before.hands_on[i], 0);
      else column[i] = step;
    }
    return column;
  }

  /** The kcal that a recipe's packed grams give. */
  function told(values, i) {
    let tenths = 0;
    for (const name in KCAL_A_GRAM) if (values[name][i] > 0) tenths += KCAL_A_GRAM[name] * values[name][i];
    return Math.floor((tenths + 5) / 10);
  }

  /** Grams of protein for every 100 kcal, in hundredths; not known where the energy is only "at least" known. */
  function ratios({ protein, kcal }, least, count) {
    const column = new Int32Array(count);
    for (let i = 0; i < count; i++) {
      const unsure = protein[i] < 0 || kcal[i] <= 0 || (least && has(least, i));
      column[i] = unsure ? -1 : Math.round((protein[i] * 1000) / kcal[i]);
    }
    return column;
  }

  function together({ names, together, which }, count) {
    return { names, together, which: find.pack.numbers(which, count) };
  }

  /** Three sets of recipes an allergen: contains, may contain, not known. */
  function allergens(packed, count) {
    const { subset } = find.pack;
    const unsure = subset(packed.open, count);
    const choices = new Map();
    const singles = packed.names.map((name, number) => {
      const contains = subset(packed.contains[number], count);
      const may = subset(packed.may[number], count);
      const unknown = subset(packed.unknown[number], count);
      for (let w = 0; w < unknown.length; w++) unknown[w] ^= unsure[w] & ~contains[w] & ~may[w];
      return { name, contains, may, unknown };
    });
    for (const [name, members] of Object.entries(packed.classes)) {
      choices.set(name, union(name, members.map((number) => singles[number]), count));
    }
    for (const single of singles) if (!choices.has(single.name)) choices.set(single.name, single);
    return { singles, choices };
  }

  /** A class of allergens: whatever one of its members has. */
  function union(name, members, count) {
    const made = { name };
    for (const state of ["contains", "may", "unknown"]) {
      const bits = (made[state] = find.pack.noBits(count));
      for (const member of members) for (let w = 0; w < bits.length; w++) bits[w] |= member[state][w];
    }
    return made;
  }

  const has = (bits, i) => (bits[i >> 5] >>> (i & 31)) & 1;

  // ------------------------------------------------------------ asking

  /**
   * The conditions of a state, one by one. Each has `fails(mark)`, which calls
   * `mark(i)` for every recipe that does not meet it.
   * @param {object} index @param {State} state @param {object[]} words matches of find.match
   */
  function conditions(index, state, words) {
    const found = [];
    for (const word of words) found.push({ kind: "word", name: word.typed, scores: word.scores });
    for (const name of Object.keys(FIELDS)) {
      const range = state.ranges[name];
      if (range && (range[0] !== null || range[1] !== null)) found.push({ kind: "range", name, range });
    }
    if (state.meals.length) found.push({ kind: "meals", name: "", chosen: state.meals });
    for (const name of state.tags) found.push({ kind: "tag", name });
    for (const name of state.diets) found.push({ kind: "diet", name });
    for (const name of state.without) found.push({ kind: "without", name });
    return found;
  }

  function markRange(index, { name, range }, fail) {
    const { per } = FIELDS[name];
    const column = index.values[name];
    const low = range[0] === null ? 0 : Math.ceil(range[0] * per - 1e-6);
    const high = range[1] === null ? 0x7fffffff : Math.floor(range[1] * per + 1e-6);
    for (let i = 0; i < column.length; i++) {
      const value = column[i];
      if (value < low || value > high) fail(i);
    }
    const least = index.least[name];
    if (range[1] === null || !least) return;
    each(least, (i) => {
      if (column[i] >= low && column[i] <= high) fail(i);
    });
  }

  function markMeals(index, { chosen }, fail) {
    const wanted = index.meals.names.map((name) => chosen.includes(name));
    const fits = index.meals.together.map((members) => members.some((number) => wanted[number]));
    const { which } = index.meals;
    for (let i = 0; i < which.length; i++) if (!fits[which[i]]) fail(i);
  }

  function markTag(index, { name }, fail) {
    const number = index.tags.names.indexOf(name);
    const { starts, members } = index.tags.sets;
    for (let i = 0; i < index.count; i++) {
      let fits = false;
      for (let at = starts[i]; at < starts[i + 1]; at++) if (members[at] === number) fits = true;
      if (!fits) fail(i);
    }
  }

  function markDiet(index, { name }, fail) {
    const number = index.diets.names.indexOf(name);
    const fits = index.diets.runs.map((run) => run[number] === "y");
    const { which } = index.diets;
    for (let i = 0; i < which.length; i++) if (!fits[which[i]]) fail(i);
  }

  function markWord(index, { scores }, fail) {
    for (let i = 0; i < scores.length; i++) if (scores[i] === 0) fail(i);
  }

  const MARK = { word: markWord, range: markRange, meals: markMeals, tag: markTag, diet: markDiet };

  /**
   * Takes an index, a state and the words' matches, gives the result.
   * @param {object} index @param {State} state @param {object[]} [words]
   * @param {string[]} [drawn] the fields whose histograms are wanted
   * @returns {Result}
   */
  function query(index, state, words = [], drawn = []) {
    const { count, fails, blame } = index;
    const asked = conditions(index, state, words);
    fails.fill(0);
    asked.forEach((condition, number) => {
      const mark = MARK[condition.kind];
      if (mark) mark(index, condition, (i) => ((fails[i] += fails[i] < 255 ? 1 : 0), (blame[i] = number)));
    });
    const without = asked.filter((condition) => condition.kind === "without");
    const left = leftOut(index, without, state.may);
    asked.forEach((condition, number) => {
      if (condition.kind !== "without") return;
      each(excluded(index, condition.name, state.may), (i) => ((fails[i] += fails[i] < 255 ? 1 : 0), (blame[i] = number)));
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
    const choice = index.allergens.choices.get(name);
    const bits = find.pack.noBits(index.count);
    if (!choice) {
      for (let i = 0; i < index.count; i++) bits[i >> 5] |= 1 << (i & 31);
      return bits;
    }
    for (let w = 0; w < bits.length; w++) {
      bits[w] = choice.contains[w] | choice.unknown[w] | (may ? 0 : choice.may[w]);
    }
    return bits;
  }

  /**
   * Of what meets every other condition: how many are left out only because they
   * may contain something (`may`), and how many because something is not known (`open`).
   */
  function leftOut(index, without, may) {
    const found = { may: 0, open: 0 };
    if (!without.length) return found;
    const chosen = without.map(({ name }) => index.allergens.choices.get(name));
    if (chosen.includes(undefined)) return found;
    for (let i = 0; i < index.count; i++) {
      if (index.fails[i] !== 0) continue;
      let contained = false;
      let unknown = false;
      let maybe = false;
      for (const choice of chosen) {
        if (has(choice.contains, i)) contained = true;
        else if (has(choice.unknown, i)) unknown = true;
        else if (has(choice.may, i)) maybe = true;
      }
      if (contained) continue;
      if (unknown) found.open++;
      else if (maybe && !may) found.may++;
    }
    return found;
  }

  /** Calls `visit` for every member. */
  function each(bits, visit) {
    for (let w = 0; w < bits.length; w++) {
      for (let word = bits[w]; word !== 0; word &= word - 1) visit((w << 5) + 31 - Math.clz32(word & -word));
    }
  }

  /** How many recipes there would be with each choice (as it is, for one already chosen). */
  function choiceCounts(index, state, asked, bits, total) {
    const { count, fails, blame, meals, tags, diets } = index;
    const mealsAt = asked.findIndex((condition) => condition.kind === "meals");
    const byMeals = new Uint32Array(meals.together.length);
    const byTag = new Uint32Array(tags.names.length);
    const byRun = new Uint32Array(diets.runs.length);
    for (let i = 0; i < count; i++) {
      if (fails[i] === 0) {
        byMeals[meals.which[i]]++;
        byRun[diets.which[i]]++;
        for (let at = tags.sets.starts[i]; at < tags.sets.starts[i + 1]; at++) byTag[tags.sets.members[at]]++;
      } else if (fails[i] === 1 && blame[i] === mealsAt) byMeals[meals.which[i]]++;
    }
    const byMeal = new Uint32Array(meals.names.length);
    meals.together.forEach((members, number) => members.forEach((meal) => (byMeal[meal] += byMeals[number])));
    const byDiet = diets.names.map((_, number) => diets.runs.reduce((sum, run, at) => sum + (run[number] === "y" ? byRun[at] : 0), 0));
    const without = new Map();
    const kept = find.pack.noBits(count);
    for (const [name, choice] of index.allergens.choices) {
      if (state.without.includes(name)) {
        without.set(name, total);
        continue;
      }
      for (let w = 0; w < bits.length; w++) {
        kept[w] = bits[w] & ~(choice.contains[w] | choice.unknown[w] | (state.may ? 0 : choice.may[w]));
      }
      without.set(name, find.pack.countBits(kept));
    }
    const named = (names, counts) => new Map(names.map((name, number) => [name, counts[number]]));
    return { meals: named(meals.names, byMeal), tags: named(tags.names, byTag), diets: named(diets.names, byDiet), without };
  }

  // ------------------------------------------------------------ ranges

  /**
   * The scale of a figure's slider: from 0 to `top` units in `step`s; nearly all
   * recipes lie on it, and its end means "and more". `bins` of equal width, the
   * last with everything beyond; `all` counts the whole hub.
   */
  function scale(index, name) {
    if (index.scales[name]) return index.scales[name];
    const { per, step } = FIELDS[name];
    const column = index.values[name];
    const known = column.filter((value) => value >= 0).sort();
    const most = known.length ? known[Math.min(known.length - 1, Math.floor(known.length * 0.99))] / per : 0;
    const steps = Math.max(10, Math.ceil(most / step));
    const wide = Math.ceil(steps / MOST_BINS);
    const bins = Math.ceil(steps / wide);
    const top = Number((bins * wide * step).toFixed(2));
    const binOf = new Int8Array(column.length);
    const width = wide * step * per;
    const all = new Uint32Array(bins);
    for (let i = 0; i < column.length; i++) {
      binOf[i] = column[i] < 0 ? -1 : Math.min(bins - 1, Math.floor(column[i] / width));
      if (binOf[i] >= 0) all[binOf[i]]++;
    }
    return (index.scales[name] = { top, step, bins, binOf, all });
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
    if (index.orders[sort]) return index.orders[sort];
    const { field, high, late } = SORTS[sort];
    const column = index.values[field];
    const least = index.least[field];
    const keys = new Float64Array(column.length);
    for (let i = 0; i < keys.length; i++) {
      const value = column[i];
      const group = value < 0 ? 2 : late && least && has(least, i) ? 1 : 0;
      keys[i] = (group * 0x1000000 + (high ? 0xffffff - value : Math.max(value, 0))) * 0x200000 + i;
    }
    return (index.orders[sort] = Uint32Array.from(keys.sort(), (key) => key % 0x200000));
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

  find.core = { FIELDS, SORTS, KCAL_A_GRAM, open, query, scale, orderBy, has };
})();
