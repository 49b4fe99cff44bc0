/*
 * The fourth data file -> what swaps and optional ingredients change of a recipe's allergens. The other half of
 * generator/gramwright/site/search/swaps.py. Knows no page.
 *
 * It is loaded late: until it is here, and when it does not come, every recipe
 * is taken as written.
 */
(() => {
  "use strict";
  const find = (globalThis.GramwrightFind ??= {});

  const MOST_KEPT = 24;

  /**
   * Takes the file's content, gives what `told` and `without` ask.
   * @param {object} packed @param {object} index of find.unpacked
   */
  function open(packed, index) {
    const { sets, stream, places, damaged } = find.pack;
    const { names } = packed;
    const [whats, ...about] = packed.said;
    const [what, ids] = [stream(whats), sets(about)];
    const tells = sets(packed.tells);
    const telling = places(packed.told, index.count);
    const at = new Map();
    for (let number = 0; number < telling.length; number++) at.set(telling[number], number);
    const frees = places(packed.frees, index.count);
    const [fixed, ways] = [sets(packed.fixed), sets(packed.ways)];
    const [rows, choices] = [stream(packed.rows), stream(packed.choices)];
    const sum = (numbers) => numbers.reduce((total, number) => total + number, 0);
    if (
      telling.length !== size(tells) ||
      what.length !== size(ids) ||
      frees.length !== size(fixed) ||
      frees.length !== rows.length ||
      sum(rows) !== choices.length ||
      sum(choices) !== size(ways)
    ) {
      throw damaged("swaps");
    }
    return { index, names, whats: packed.whats, what, ids, at, tells, frees, fixed, rows, choices, ways, kept: new Map() };
  }

  const size = (sets) => sets.starts.length - 1;
  const members = (sets, number) => sets.members.subarray(sets.starts[number], sets.starts[number + 1]);

  /** What a recipe's swaps and optional ingredients change. @returns {{what: string, ids: string[]}[]} */
  function told(swaps, i) {
    const at = swaps.at.get(i);
    if (at === undefined) return [];
    return Array.from(members(swaps.tells, at), (number) => ({
      what: swaps.whats[swaps.what[number]],
      ids: Array.from(members(swaps.ids, number), (id) => swaps.names[id]),
    }));
  }

  /**
   * The recipes that some way of making their swaps has nothing of in what is left out, not even as not known.
   * @param {object} swaps @param {string[]} leftOut ids of allergens and classes @returns {Bits}
   */
  function without(swaps, leftOut) {
    const key = JSON.stringify(leftOut);
    let bits = swaps.kept.get(key);
    if (bits) return bits;
    bits = find.pack.noBits(swaps.index.count);
    const ids = new Set(leftOut.flatMap((id) => [id, ...find.unpacked.members(swaps.index, id)]));
    const out = Uint8Array.from(swaps.names, (name) => Number(ids.has(name)));
    const none = ({ starts, members }, number) => {
      for (let at = starts[number]; at < starts[number + 1]; at++) if (out[members[at]]) return false;
      return true;
    };
    let row = 0;
    let way = 0;
    for (let at = 0; at < swaps.frees.length; at++) {
      let fits = none(swaps.fixed, at);
      for (const last = row + swaps.rows[at]; row < last; row++) {
        let some = false;
        for (const end = way + swaps.choices[row]; way < end; way++) some ||= none(swaps.ways, way);
        fits &&= some;
      }
      const i = swaps.frees[at];
      if (fits) bits[i >> 5] |= 1 << (i & 31);
    }
    if (swaps.kept.size >= MOST_KEPT) swaps.kept.delete(swaps.kept.keys().next().value);
    swaps.kept.set(key, bits);
    return bits;
  }

  find.swapped = { open, told, without };
})();
