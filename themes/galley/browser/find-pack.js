/*
 * Packed text -> numbers. The other half of generator/gramwright/site/search/pack.py,
 * which says what the forms are. A text that does not fit its form throws: an
 * index that cannot be trusted shows nothing.
 *
 * @typedef {Uint32Array} Bits  one bit a recipe, the first in the lowest bit
 * @typedef {{starts: Uint32Array, members: Uint32Array}} Sets
 *     the i-th set is members[starts[i]] to members[starts[i + 1] - 1]
 */
(() => {
  "use strict";
  const find = (globalThis.GramwrightFind ??= {});

  const DIGITS = "ABCDEFGHIJKLMNOPQRSTUVWXYZabcdefghijklmnopqrstuvwxyz0123456789+/";
  const VALUE = new Uint8Array(256).fill(255);
  for (let value = 0; value < 64; value++) VALUE[DIGITS.charCodeAt(value)] = value;
  const encoder = new TextEncoder();

  /** @param {string} what */
  const damaged = (what) => new Error(`the index is damaged: ${what}`);

  /**
   * A column of equal width, every number less `by`.
   * @param {string} text @param {number} count @param {number} [by] @returns {Int32Array}
   */
  function numbers(text, count, by = 0) {
    const column = new Int32Array(count);
    if (count === 0) return column;
    const planes = text.length / count;
    if (!Number.isInteger(planes) || planes === 0) throw damaged("a column's length");
    const codes = encoder.encode(text);
    const last = (planes - 1) * count;
    for (let from = 0; from < last; from += count) {
      for (let i = 0; i < count; i++) column[i] = (column[i] | VALUE[codes[from + i]]) << 6;
    }
    for (let i = 0; i < count; i++) column[i] = (column[i] | VALUE[codes[last + i]]) - by;
    return column;
  }

  /**
   * Numbers of any size, one after another.
   * @param {string} text @returns {Uint32Array}
   */
  function stream(text) {
    const codes = encoder.encode(text);
    const found = new Uint32Array(codes.length);
    let count = 0;
    let number = 0;
    let shift = 0;
    for (let at = 0; at < codes.length; at++) {
      const digit = VALUE[codes[at]];
      number |= (digit & 31) << shift;
      if (digit < 32) {
        found[count++] = number;
        number = 0;
        shift = 0;
      } else shift += 5;
    }
    if (shift !== 0) throw damaged("a broken number");
    return found.subarray(0, count);
  }

  /** @param {number} count @returns {Bits} */
  const noBits = (count) => new Uint32Array((count + 31) >> 5);

  /** Whether a recipe is a member. @param {Bits} bits @param {number} i */
  const has = (bits, i) => (bits[i >> 5] >>> (i & 31)) & 1;

  /**
   * A subset, as gaps or as bits.
   * @param {string} text @param {number} count @returns {Bits}
   */
  function subset(text, count) {
    const bits = noBits(count);
    if (text === "") return bits;
    if (text.length !== Math.ceil(count / 6)) {
      const gaps = stream(text);
      let place = -1;
      for (let at = 0; at < gaps.length; at++) {
        place += gaps[at] + 1;
        bits[place >> 5] |= 1 << (place & 31);
      }
      if (place >= count) throw damaged("a recipe that is not there");
      return bits;
    }
    const codes = encoder.encode(text);
    for (let at = 0, place = 0; at < codes.length; at++, place += 6) {
      const digit = VALUE[codes[at]];
      const shift = place & 31;
      bits[place >> 5] |= digit << shift;
      if (shift > 26) bits[(place >> 5) + 1] |= digit >> (32 - shift);
    }
    return bits;
  }

  /**
   * The members of a subset, rising.
   * @param {string} text @param {number} count @returns {Uint32Array}
   */
  function places(text, count) {
    if (text.length === Math.ceil(count / 6)) {
      const bits = subset(text, count);
      const found = new Uint32Array(countBits(bits));
      let into = 0;
      for (let i = 0; i < count; i++) if (has(bits, i)) found[into++] = i;
      return found;
    }
    const found = stream(text);
    let place = -1;
    for (let at = 0; at < found.length; at++) found[at] = place += found[at] + 1;
    if (place >= count) throw damaged("a recipe that is not there");
    return found;
  }

  /** Sets of numbers. @param {[string, string]} packed @returns {Sets} */
  function sets([sizes, steps]) {
    const counts = stream(sizes);
    const members = stream(steps);
    const starts = new Uint32Array(counts.length + 1);
    let at = 0;
    for (let i = 0; i < counts.length; i++) {
      const end = at + counts[i];
      let before = 0;
      for (; at < end; at++) before = members[at] += before;
      starts[i + 1] = end;
    }
    if (at !== members.length) throw damaged("sets");
    return { starts, members };
  }

  /** How many bits of one word are set. @param {number} word */
  function countWord(word) {
    word -= (word >>> 1) & 0x55555555;
    word = (word & 0x33333333) + ((word >>> 2) & 0x33333333);
    return Math.imul((word + (word >>> 4)) & 0x0f0f0f0f, 0x01010101) >>> 24;
  }

  /** How many bits are set. @param {Bits} bits */
  function countBits(bits) {
    let count = 0;
    for (let w = 0; w < bits.length; w++) count += countWord(bits[w] | 0);
    return count;
  }

  find.pack = { numbers, stream, subset, places, sets, noBits, has, countWord, countBits, damaged };
})();
