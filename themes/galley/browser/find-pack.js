/*
 * Packed text -> numbers. The other half of generator/gramwright/site/search/pack.py,
 * which says what the forms are. A text that does not fit its form throws: an
 * index that cannot be trusted shows nothing.
 *
 * @typedef {Uint32Array} Bits  one bit a recipe, the first in the lowest bit
 */
(() => {
  "use strict";
  const find = (globalThis.GramwrightFind ??= {});

  const DIGITS = "ABCDEFGHIJKLMNOPQRSTUVWXYZabcdefghijklmnopqrstuvwxyz0123456789+/";
  const VALUE = new Uint8Array(256).fill(255);
  for (let value = 0; value < 64; value++) VALUE[DIGITS.charCodeAt(value)] = value;

  /** @param {string} what */
  const damaged = (what) => new Error(`the index is damaged: ${what}`);

  /**
   * A column of equal width.
   * @param {string} text @param {number} count @returns {Int32Array}
   */
  function numbers(text, count) {
    const column = new Int32Array(count);
    if (count === 0) return column;
    const planes = text.length / count;
    if (!Number.isInteger(planes) || planes === 0) throw damaged("column length");
    for (let plane = 0, at = 0; plane < planes; plane++) {
      for (let i = 0; i < count; i++) column[i] = (column[i] << 6) | VALUE[text.charCodeAt(at++)];
    }
    return column;
  }

  /**
   * Numbers of any size, one after another.
   * @param {string} text @returns {number[]}
   */
  function stream(text) {
    const found = [];
    let number = 0;
    let scale = 1;
    for (let at = 0; at < text.length; at++) {
      const digit = VALUE[text.charCodeAt(at)];
      number += (digit & 31) * scale;
      if (digit < 32) {
        found.push(number);
        number = 0;
        scale = 1;
      } else scale *= 32;
    }
    if (scale !== 1) throw damaged("broken number");
    return found;
  }

  /** @param {number} count @returns {Bits} */
  const noBits = (count) => new Uint32Array((count + 31) >> 5);

  /**
   * A subset, as gaps or as bits.
   * @param {string} text @param {number} count @returns {Bits}
   */
  function subset(text, count) {
    const bits = noBits(count);
    if (text === "") return bits;
    if (text.length !== Math.ceil(count / 6)) {
      for (const place of places(text, count)) bits[place >> 5] |= 1 << (place & 31);
      return bits;
    }
    for (let at = 0, place = 0; at < text.length; at++, place += 6) {
      const digit = VALUE[text.charCodeAt(at)];
      const shift = place & 31;
      bits[place >> 5] |= digit << shift;
      if (shift > 26 && digit >> (32 - shift)) bits[(place >> 5) + 1] |= digit >> (32 - shift);
    }
    return bits;
  }

  /**
   * The members of a subset, rising.
   * @param {string} text @param {number} count @returns {number[]}
   */
  function places(text, count) {
    const found = [];
    if (text.length === Math.ceil(count / 6)) {
      for (let at = 0; at < text.length; at++) {
        const digit = VALUE[text.charCodeAt(at)];
        for (let bit = 0; bit < 6; bit++) if ((digit >> bit) & 1) found.push(at * 6 + bit);
      }
    } else {
      let place = -1;
      for (const gap of stream(text)) found.push((place += gap + 1));
    }
    if (found.length && found[found.length - 1] >= count) throw damaged("a recipe that is not there");
    return found;
  }

  /**
   * Sets of numbers: `starts[i]` to `starts[i + 1]` are the places in `members` of the i-th.
   * @param {[string, string]} packed @returns {Sets}
   * @typedef {{starts: Uint32Array, members: Uint32Array}} Sets
   */
  function sets([sizes, steps]) {
    const counts = stream(sizes);
    const members = Uint32Array.from(stream(steps));
    const starts = new Uint32Array(counts.length + 1);
    for (let i = 0, at = 0; i < counts.length; i++) {
      for (let more = counts[i], before = 0; more > 0; more--, at++) before = members[at] += before;
      starts[i + 1] = at;
    }
    if (starts[counts.length] !== members.length) throw damaged("sets");
    return { starts, members };
  }

  /** How many bits are set. @param {Bits} bits */
  function countBits(bits) {
    let count = 0;
    for (let i = 0; i < bits.length; i++) {
      let word = bits[i];
      if (word === 0) continue;
      word -= (word >>> 1) & 0x55555555;
      word = (word & 0x33333333) + ((word >>> 2) & 0x33333333);
      count += (((word + (word >>> 4)) & 0x0f0f0f0f) * 0x01010101) >>> 24;
    }
    return count;
  }

  find.pack = { numbers, stream, subset, places, sets, noBits, countBits, damaged };
})();
