/*
 * What is typed <-> a state. While the reader types, what is understood stands on top of the state as it was before, so
 * that taking letters away takes their conditions away; once the text is settled the conditions are the controls' own,
 * and only the words stay in the field.
 */
(() => {
  "use strict";
  const find = (globalThis.GramwrightFind ??= {});

  const NOTHING = { conditions: [], rest: "", held: "", unread: false };

  /** @param {(text: string, typing?: boolean) => Reading} read  of find.phrases */
  function typed(read) {
    let before = null;
    let got = NOTHING;

    /**
     * Takes the text into the state.
     * @param {State} state @param {string} text
     * @param {{settled?: boolean, typing?: boolean}} how  `typing`: its end may not be finished
     */
    function take(state, text, { settled = false, typing = false }) {
      before ??= structuredClone(state);
      got = read(text, typing);
      Object.assign(state, structuredClone(before), { text: got.rest });
      for (const condition of got.conditions) add(state, condition);
      if (settled) before = null;
    }

    /** Something else changed the state, which holds what was understood: the text's words are all that is left of it. */
    function settle(state, text) {
      if (before) state.text = read(text).rest;
      before = null;
      got = NOTHING;
    }

    /** Gives what is typed up: the state comes from elsewhere. */
    function forget() {
      before = null;
      got = NOTHING;
    }

    return { take, settle, forget, got: () => got, open: () => before !== null };
  }

  function add(state, { kind, name, range, chosen }) {
    if (kind === "range") state.ranges[name] = limited(state.ranges[name] ?? [null, null], range);
    else if (kind === "meals") state.meals = [...new Set([...state.meals, ...chosen])];
    else if (kind === "diet") state.diets = [...new Set([...state.diets, name])];
    else state.without = [...new Set([...state.without, name])];
  }

  /** A range with new ends; an old end that they pass is given up. */
  function limited([low, high], [from, to]) {
    if (from !== null && to !== null) return [from, to];
    if (from !== null) return [from, high !== null && high < from ? null : high];
    return [low !== null && low > to ? null : low, to];
  }

  find.typed = { typed };
})();
