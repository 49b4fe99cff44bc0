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
    const idsOf = ({ starts, members }, number) => Array.from(members.subarray(starts[number], starts[number + 1]), (at) => names[at]);
    const each = (found, make) => Array.from({ length: found.starts.length - 1 }, (_, number) => make(found, number));

    const [whats, ...about] = packed.said;
    const what = stream(whats);
    const said = each(sets(about), (found, number) => ({ what: packed.whats[what[number]], ids: idsOf(found, number) }));
    const tells = sets(packed.tells);
    const told = new Map();
    places(packed.told, index.count).forEach((i, at) => {
      told.set(i, Array.from(tells.members.subarray(tells.starts[at], tells.starts[at + 1]), (number) => said[number]));
    });

    const frees = places(packed.frees, index.count);
    const fixed = each(sets(packed.fixed), idsOf);
    const ways = each(sets(packed.ways), idsOf);
    const [rows, choices] = [stream(packed.rows), stream(packed.choices)];
    let row = 0;
    let way = 0;
    const free = Array.from(frees, (i, at) => {
      const mine = [];
      for (let n = 0; n < rows[at]; n++) {
        const end = way + choices[row++];
        mine.push(ways.slice(way, end));
        way = end;
      }
      return { i, fixed: fixed[at], rows: mine };
    });
    if (told.size !== tells.starts.length - 1 || free.length !== fixed.length || row !== choices.length || way !== ways.length) {
      throw damaged("swaps");
    }
    return { index, told, free, kept: new Map() };
  }

  /** What a recipe's swaps and optional ingredients change. @returns {{what: string, ids: string[]}[]} */
  const told = (swaps, i) => swaps.told.get(i) ?? [];

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
    const none = (way) => !way.some((id) => ids.has(id));
    for (const { i, fixed, rows } of swaps.free) {
      if (none(fixed) && rows.every((ways) => ways.some(none))) bits[i >> 5] |= 1 << (i & 31);
    }
    if (swaps.kept.size >= MOST_KEPT) swaps.kept.delete(swaps.kept.keys().next().value);
    swaps.kept.set(key, bits);
    return bits;
  }

  find.swapped = { open, told, without };
})();
