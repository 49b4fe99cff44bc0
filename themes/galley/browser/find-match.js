/*
 * Typed words -> for each, the recipes that have it and how well. Knows no page.
 *
 * A typed word fits a word of the index that begins with it, or that is its
 * plural or singular. Where none does and it has five letters or more, one slip
 * is allowed, and doubled letters count once. A recipe has a word by its title,
 * its meals, its tags or its ingredients; the best of them counts.
 */
(() => {
  "use strict";
  const find = (globalThis.GramwrightFind ??= {});

  const TYPO_LENGTH = 5;
  const MOST_WORDS = 8;
  /** Scores of a whole word, a beginning, a slip. */
  const IN_TITLE = [12, 9, 6];
  const IN_TAGS = [7, 5, 4];
  const IN_NAMES = [6, 4, 3];

  /**
   * Takes the titles' file, gives what titles and addresses are read from.
   * @param {object} packed @param {object} index of find.unpacked
   */
  function openTitles(packed, index) {
    const { numbers, stream, subset } = find.pack;
    const tokens = packed.tokens.split("\n");
    const lengths = numbers(packed.lengths, index.count);
    const runs = stream(packed.runs);
    const starts = new Uint32Array(index.count + 1);
    for (let i = 0; i < index.count; i++) starts[i + 1] = starts[i] + lengths[i];
    if (starts[index.count] !== runs.length) throw find.pack.damaged("titles");
    index.titleLengths = lengths;
    const slugs = stream(packed.slugs);
    const written = packed.written.split("\n");
    const writtenAt = new Map();
    for (let i = 0; i < slugs.length; i++) if (slugs[i] === 0) writtenAt.set(i, written[writtenAt.size]);
    return { tokens, starts, runs, slugs, writtenAt, summed: subset(packed.summed, index.count) };
  }

  /** A title as the words it was written with. @returns {string[]} */
  function titleTokens(titles, i) {
    return Array.from(titles.runs.subarray(titles.starts[i], titles.starts[i + 1]), (token) => titles.tokens[token]);
  }

  /** A recipe's slug. @returns {string} */
  function slug(titles, i) {
    const code = titles.slugs[i];
    if (code === 0) return titles.writtenAt.get(i);
    const parts = titleTokens(titles, i).flatMap((token) => find.fold.words(token));
    return parts.filter((_, place) => !(((code - 1) >> place) & 1)).join("-");
  }

  /**
   * Takes the words' file, gives what `match` asks.
   * @param {object} packed @param {object} index @param {object} titles
   */
  function openWords(packed, index, titles) {
    const { sets, stream } = find.pack;
    const vocabulary = packed.words === "" ? [] : packed.words.split("\n");
    const names = packed.names === "" ? [] : packed.names.split("\n");
    const ends = new Uint32Array(names.length + 1);
    stream(packed.lengths).forEach((length, number) => (ends[number + 1] = ends[number] + length));
    return {
      index,
      titles,
      vocabulary,
      names,
      endings: packed.endings,
      silent: new Set(packed.silent),
      inTitles: sets(packed.inTitles),
      inMeals: sets(packed.inMeals),
      inTags: sets(packed.inTags),
      inNames: sets(packed.inNames),
      postings: packed.postings,
      ends,
      singles: null,
      titleLists: null,
      tagLists: null,
      nameLists: new Map(),
      found: new Map(),
    };
  }

  /**
   * The words of a text that a search asks for: each once, silent words only when there is nothing else.
   * @param {object} words @param {string} text @returns {string[]}
   */
  function typedWords(words, text) {
    const typed = [...new Set(find.fold.words(text))];
    const telling = typed.filter((word) => !words.silent.has(word));
    return (telling.length ? telling : typed).slice(0, MOST_WORDS);
  }

  /**
   * Every typed word with its recipes.
   * @returns {{typed: string, scores: Uint8Array, misses: Bits, best: number, fits: Map<string, number>, names: number[]}[]}
   */
  function match(words, text) {
    return typedWords(words, text).map((typed) => {
      let found = words.found.get(typed);
      if (!found) {
        if (words.found.size > 40) words.found.delete(words.found.keys().next().value);
        words.found.set(typed, (found = matchOne(words, typed)));
      }
      return found;
    });
  }

  function matchOne(words, typed) {
    const fits = fitting(words, typed);
    const scores = new Uint8Array(words.index.count);
    const misses = words.index.every.slice();
    const names = [];
    const shown = new Map();
    const reach = (recipes, score) => {
      for (let at = 0; at < recipes.length; at++) {
        const i = recipes[at];
        if (scores[i] >= score) continue;
        scores[i] = score;
        misses[i >> 5] &= ~(1 << (i & 31));
      }
    };
    for (const [place, how] of fits) {
      shown.set(words.vocabulary[place], how);
      for (const token of setOf(words.inTitles, place)) reach(setOf(titleLists(words), token), IN_TITLE[how]);
      for (const meal of setOf(words.inMeals, place)) reach(mealList(words, meal), IN_TAGS[how]);
      for (const tag of setOf(words.inTags, place)) reach(setOf(tagLists(words), tag), IN_TAGS[how]);
      for (const name of setOf(words.inNames, place)) {
        names.push(name);
        reach(recipesOf(words, name), IN_NAMES[how]);
      }
    }
    return { typed, scores, misses, best: IN_TITLE[0], fits: shown, names };
  }

  /** The members of one set. @param {Sets} sets @param {number} number @returns {Uint32Array} */
  const setOf = ({ starts, members }, number) => members.subarray(starts[number], starts[number + 1]);

  const titleLists = (words) => (words.titleLists ??= invert(words.titles.starts, words.titles.runs, words.titles.tokens.length));

  function mealList(words, meal) {
    const bits = find.unpacked.byMeal(words.index)[meal];
    return Uint32Array.from({ length: words.index.count }, (_, i) => i).filter((i) => find.pack.has(bits, i));
  }

  function tagLists(words) {
    if (!words.tagLists) {
      const { starts, members } = find.unpacked.tagSets(words.index);
      words.tagLists = invert(starts, members, words.index.names.tags.length);
    }
    return words.tagLists;
  }

  /** Sets by recipe -> for each member its recipes. @returns {{starts: Uint32Array, members: Uint32Array}} */
  function invert(starts, members, count) {
    const into = new Uint32Array(count + 1);
    for (let at = 0; at < members.length; at++) into[members[at] + 1]++;
    for (let number = 0; number < count; number++) into[number + 1] += into[number];
    const next = into.slice();
    const recipes = new Uint32Array(members.length);
    for (let i = 0; i + 1 < starts.length; i++) {
      for (let at = starts[i]; at < starts[i + 1]; at++) recipes[next[members[at]]++] = i;
    }
    return { starts: into, members: recipes };
  }

  /** The recipes of an ingredient, rising. */
  function recipesOf(words, name) {
    let found = words.nameLists.get(name);
    if (!found) {
      const text = words.postings.slice(words.ends[name], words.ends[name + 1]);
      words.nameLists.set(name, (found = find.pack.places(text, words.index.count)));
    }
    return found;
  }

  // ------------------------------------------------------------ words that fit

  /** Places in the vocabulary that a typed word fits, with how: 0 whole, 1 beginning, 2 slip. @returns {Map<number, number>} */
  function fitting(words, typed) {
    const { vocabulary, endings } = words;
    const fits = new Map();
    for (let at = firstAtOrAfter(vocabulary, typed); at < vocabulary.length && vocabulary[at].startsWith(typed); at++) {
      fits.set(at, vocabulary[at] === typed ? 0 : 1);
    }
    for (const place of alike(words, typed)) fits.set(place, 0);
    if (fits.size || typed.length < TYPO_LENGTH) return fits;
    for (let at = 0; at < vocabulary.length; at++) if (find.fold.nearlyBegins(typed, vocabulary[at])) fits.set(at, 2);
    if (fits.size) return fits;
    const once = find.fold.single(typed);
    words.singles ??= vocabulary.map(find.fold.single);
    for (let at = 0; at < vocabulary.length; at++) if (find.fold.nearlyBegins(once, words.singles[at])) fits.set(at, 2);
    return fits;
  }

  /** Places of the words that share a typed word's stem: a stem begins as its word does, but for what ends it. */
  function alike({ vocabulary, endings }, typed) {
    const stem = find.fold.stem(typed, endings);
    const changed = Math.max(0, ...endings.map(([, instead]) => instead.length));
    const start = stem.slice(0, Math.max(2, stem.length - changed));
    const found = [];
    for (let at = firstAtOrAfter(vocabulary, start); at < vocabulary.length && vocabulary[at].startsWith(start); at++) {
      if (find.fold.stem(vocabulary[at], endings) === stem) found.push(at);
    }
    return found;
  }

  /** The vocabulary is sorted by code points; JavaScript compares code units, so this compares as Python sorted. */
  function firstAtOrAfter(vocabulary, typed) {
    let low = 0;
    let high = vocabulary.length;
    while (low < high) {
      const middle = (low + high) >> 1;
      if (before(vocabulary[middle], typed)) low = middle + 1;
      else high = middle;
    }
    return low;
  }

  function before(left, right) {
    const length = Math.min(left.length, right.length);
    for (let at = 0; at < length; at++) {
      const a = left.codePointAt(at);
      const b = right.codePointAt(at);
      if (a !== b) return a < b;
    }
    return left.length < right.length;
  }

  // ------------------------------------------------------------ what to mark

  /**
   * The length of the part of a written word that is marked: 0 for none.
   * @param {string} token @param {object[]} found of `match`
   */
  function marked(token, found) {
    let longest = 0;
    const folded = find.fold.words(token);
    for (const { typed, fits } of found) {
      for (const word of folded) {
        const how = fits.get(word);
        if (how === undefined) continue;
        const whole = how !== 1 || folded.length > 1 || token.length !== word.length;
        longest = Math.max(longest, whole ? token.length : typed.length);
      }
    }
    return longest;
  }

  /** The ingredients by which a recipe was found, where neither title nor tags say it. @returns {string[]} */
  function foundIn(words, found, i) {
    const named = new Set();
    for (const { scores, names } of found) {
      if (scores[i] > IN_NAMES[0] || scores[i] === 0) continue;
      const name = names.find((number) => includes(recipesOf(words, number), i));
      if (name !== undefined) named.add(words.names[name]);
    }
    return [...named];
  }

  function includes(sorted, wanted) {
    let low = 0;
    let high = sorted.length;
    while (low < high) {
      const middle = (low + high) >> 1;
      if (sorted[middle] < wanted) low = middle + 1;
      else high = middle;
    }
    return sorted[low] === wanted;
  }

  find.match = { openTitles, openWords, titleTokens, slug, typedWords, match, marked, foundIn };
})();
