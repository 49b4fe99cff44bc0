/*
 * What a reader asks for <-> the page's address. Knows no page.
 *
 *   q=barley  kcal=300-450  protein=30-  hands_on=-20  meal=lunch  tag=one+tray
 *   diet=vegan  without=milk  may=1  swap=1  sort=protein
 *
 * meal, tag, diet and without may stand several times. A name that the index
 * does not have stays a condition (nothing meets it), so that a shared address
 * never shows more than it was meant to.
 *
 * @typedef {object} State
 * @property {string} text
 * @property {Object<string, [?number, ?number]>} ranges  from and to in units, null for no limit
 * @property {string[]} meals  any of them
 * @property {string[]} tags  all of them
 * @property {string[]} diets  all of them
 * @property {string[]} without  allergens to leave out
 * @property {boolean} may  show recipes that may contain them
 * @property {boolean} swap  show, after the others, recipes that are without them only with a swap
 * @property {string} sort
 */
(() => {
  "use strict";
  const find = (globalThis.GramwrightFind ??= {});

  const LISTS = { meal: "meals", tag: "tags", diet: "diets", without: "without" };
  const RANGE = /^(\d+(?:\.\d+)?)?-(\d+(?:\.\d+)?)?$/;
  const LONGEST_TEXT = 200;

  /** @returns {State} */
  function empty() {
    return { text: "", ranges: {}, meals: [], tags: [], diets: [], without: [], may: false, swap: false, sort: "relevance" };
  }

  /** Takes the address's query ('?kcal=300-450'), gives the state. @param {string} search @returns {State} */
  function read(search) {
    const given = new URLSearchParams(search);
    const state = empty();
    state.text = (given.get("q") ?? "").slice(0, LONGEST_TEXT);
    for (const name of Object.keys(find.core.FIELDS)) {
      const found = RANGE.exec(given.get(name) ?? "");
      if (found) setRange(state, name, amount(found[1]), amount(found[2]));
    }
    for (const [key, list] of Object.entries(LISTS)) state[list] = [...new Set(given.getAll(key))];
    state.may = given.get("may") === "1";
    state.swap = given.get("swap") === "1";
    const sort = given.get("sort") ?? "";
    if (Object.hasOwn(find.core.SORTS, sort)) state.sort = sort;
    return state;
  }

  const amount = (text) => (text === undefined ? null : Number(text));

  /** Sets or takes away a range; ends that are the wrong way round change places. */
  function setRange(state, name, low, high) {
    if (low !== null && high !== null && low > high) [low, high] = [high, low];
    if (low === null && high === null) delete state.ranges[name];
    else state.ranges[name] = [low, high];
  }

  /** Takes a state, gives the address's query, '' when nothing is asked. @param {State} state */
  function write(state) {
    const given = new URLSearchParams();
    if (state.text.trim()) given.set("q", state.text.trim());
    for (const name of Object.keys(find.core.FIELDS)) {
      const range = state.ranges[name];
      if (range) given.set(name, range.map((end) => end ?? "").join("-"));
    }
    for (const [key, list] of Object.entries(LISTS)) for (const name of state[list]) given.append(key, name);
    if (state.may && state.without.length) given.set("may", "1");
    if (state.swap && state.without.length) given.set("swap", "1");
    if (state.sort !== "relevance") given.set("sort", state.sort);
    const text = given.toString();
    return text && `?${text}`;
  }

  /** Takes one condition of a result away from a state. @param {State} state */
  function loosen(state, { kind, name }, typedWords) {
    if (kind === "word") state.text = typedWords(state.text).filter((word) => word !== name).join(" ");
    else if (kind === "range") delete state.ranges[name];
    else if (kind === "meals") state.meals = [];
    else state[LISTS[kind]] = state[LISTS[kind]].filter((other) => other !== name);
  }

  find.state = { empty, read, write, setRange, loosen };
})();
