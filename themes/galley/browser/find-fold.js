/*
 * What a reader types -> the words that are compared. The other half of
 * generator/gramwright/site/search/fold.py; both fold alike.
 */
(() => {
  "use strict";
  const find = (globalThis.GramwrightFind ??= {});

  const LETTERS = { ß: "ss", æ: "ae", œ: "oe", ø: "o", đ: "d", ð: "d", þ: "th", ł: "l", ı: "i", ς: "σ" };
  const UNDECOMPOSED = /[ßæœøđðþłıς]/g;
  const ACCENTS = /[\u0300-\u036f'’ʼ]/g;
  const WORD = /[\p{L}\p{M}\p{N}]+/gu;
  const ASCII = /^[\0-\x7f]*$/;

  /** Small letters without accents or apostrophes. @param {string} text */
  function fold(text) {
    text = text.toLowerCase();
    if (!ASCII.test(text)) text = text.replace(UNDECOMPOSED, (letter) => LETTERS[letter]).normalize("NFKD");
    return text.replace(ACCENTS, "");
  }

  /** The folded words of a text in its order. @param {string} text @returns {string[]} */
  const words = (text) => fold(text).match(WORD) ?? [];

  /**
   * A folded word without its plural ending.
   * @param {string} word @param {[string, string][]} endings longest first
   */
  function stem(word, endings) {
    for (const [ending, instead] of endings) {
      if (word.length - ending.length >= 2 && word.endsWith(ending)) {
        return word.slice(0, word.length - ending.length) + instead;
      }
    }
    return word;
  }

  /** Doubled letters once. @param {string} word */
  const single = (word) => word.replace(/(.)\1+/gu, "$1");

  /**
   * Whether `word` begins with `typed`, one slip allowed: a letter too many, one
   * missing, one wrong, or two that changed places.
   * @param {string} typed @param {string} word
   */
  function nearlyBegins(typed, word) {
    const length = typed.length;
    let at = 0;
    while (at < length && typed.charCodeAt(at) === word.charCodeAt(at)) at++;
    if (at === length) return true;
    return (
      goesOn(typed, at + 1, word, at + 1) ||
      goesOn(typed, at + 1, word, at) ||
      goesOn(typed, at, word, at + 1) ||
      (at + 1 < length &&
        typed.charCodeAt(at) === word.charCodeAt(at + 1) &&
        typed.charCodeAt(at + 1) === word.charCodeAt(at) &&
        goesOn(typed, at + 2, word, at + 2))
    );
  }

  /** Whether `word` from `at` begins with `typed` from `from`. */
  function goesOn(typed, from, word, at) {
    if (at > word.length || typed.length - from > word.length - at) return false;
    while (from < typed.length) if (typed.charCodeAt(from++) !== word.charCodeAt(at++)) return false;
    return true;
  }

  find.fold = { fold, words, stem, single, nearlyBegins };
})();
