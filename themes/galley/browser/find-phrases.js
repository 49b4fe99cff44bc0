/*
 * What a reader types -> the conditions that it states, and the words that are left. Knows no page: the phrases come
 * from the words file (find.phrases), the names of allergens, meals and diets from the page.
 *
 * Read are figures ("under 450 kcal", "30 g protein", "300-450 kcal", "under 20 min"), allergens that the hub can
 * leave out ("no milk or eggs", "milk-free"), diets, and beside one of these a meal. Everything else stays words: a
 * name that does not stand alone ("no milk chocolate") is never taken for a condition, and what follows "no" and
 * cannot be left out keeps its "no", so that it is told as not applied.
 *
 * @typedef {object} Reading
 * @property {object[]} conditions  as find.core gives them: kind, name, range, chosen
 * @property {string} rest  what stays words
 * @property {string} held  the end of the text, not finished yet: neither a condition nor words
 * @property {boolean} unread  the rest has a figure with a limit or a unit
 */
(() => {
  "use strict";
  const find = (globalThis.GramwrightFind ??= {});

  const TOKEN = /\d{1,3}(?:[\u202f\u00a0]\d{3})+|\d+(?:[.,]\d+)?|[\p{L}\p{M}]+(?:['’ʼ][\p{L}\p{M}]+)*|[<>≤≥=]+|[-+–—/&,;:.]/gu;
  const BREAKS = new Set([",", ";", ":", "."]);
  const KJ_PER_KCAL = 4.184;
  /** Letters of its first word after which a phrase may be on its way. */
  const BEGUN = 3;

  /** What a figure without "under" or "over" limits. Carbohydrate has readers of both kinds, and so must say it. */
  const BARE = { kcal: "most", protein: "least", ratio: "least", fibre: "least", fat: "most", salt: "most", total: "most", hands_on: "most" };
  const GRAMS = ["protein", "carbohydrate", "fat", "fibre", "salt"];
  const WORDS = ["most", "most_after", "least", "least_after", "between", "to", "kcal", "kj", "grams", "energy", "hands_on", "total"];
  const MORE_WORDS = ["of", "each", "per", "per_100", "without", "free", "also", "joins"];
  const WAYS = ["most", "least", "between"];

  const split = (text) =>
    Array.from(text.matchAll(TOKEN), ({ 0: written, index }) => ({ key: find.fold.fold(written), written, from: index, end: index + written.length }));

  /**
   * @param {Object<string, string>} says  words by key
   * @param {{endings: [string, string][], allergens: Map<string, string>, meals: Set<string>, diets: Map<string, string>}} offered
   *     what the form has, by id; allergens and diets with their names
   * @returns {(text: string, typing?: boolean) => Reading}
   */
  function reader(says, { endings, allergens, meals, diets }) {
    const stem = (key) => find.fold.stem(key, endings);
    const keys = (text) => split(text).map(({ key }) => key);
    const listed = (key) => (says[key] ?? "").split("|").map(keys).filter((words) => words.length);
    const phrases = Object.fromEntries([...WORDS, ...MORE_WORDS].map((name) => [name, listed(`find.phrases.${name}`)]));
    const times = { 1: listed("cook.time.minute"), 60: listed("cook.time.hour") };
    const figures = { kcal: [...phrases.energy, ...phrases.kcal] };
    for (const name of GRAMS) figures[name] = listed(`find.phrases.${name}`);
    for (const name of ["hands_on", "total"]) figures[name] = phrases[name];
    const negations = new Set((says["find.negations"] ?? "").split(", ").map(find.fold.fold));
    const leaving = named(allergens, "allergens", (id) => allergens.has(id));
    const eaten = named(new Map(), "meals", (id) => meals.has(id));
    const suited = named(diets, "diets", (id) => diets.has(id));

    /** Names with what they stand for. A key of the words joins several ids with "+": all of them, or the name is none. */
    function named(own, list, known) {
      const found = new Map();
      const start = `find.phrases.${list}.`;
      const add = (text, ids) => {
        const name = keys(text).map(stem);
        if (ids) found.set(name.join(" "), { name, ids });
        else found.delete(name.join(" "));
      };
      for (const [id, name] of own) for (const text of [name, name.split("(")[0]]) add(text, [id]);
      for (const key of Object.keys(says).filter((key) => key.startsWith(start))) {
        const ids = key.slice(start.length).split("+");
        const usable = ids.every(known);
        if (usable || ids.length > 1) for (const text of says[key].split("|")) add(text, usable && ids);
      }
      return [...found.values()].sort((a, b) => b.name.length - a.name.length);
    }

    return understand;

    /** One text. `used`: tokens that are read; `holdFrom`: the first that is not finished. */
    function understand(text, typing = false) {
      const tokens = split(text);
      const last = tokens.length - 1;
      const used = new Array(tokens.length).fill(false);
      const conditions = [];
      const unfinished = typing && last >= 0 && tokens[last].end === text.length;
      let holdFrom = tokens.length;
      let ran = false;
      let letters = BEGUN;

      const key = (at) => tokens[at]?.key;
      const isNumber = (at) => /^\d/.test(key(at) ?? "");
      const isBreak = (at) => BREAKS.has(key(at));
      const use = (from, end) => void used.fill(true, from, end);
      const over = (at) => at >= holdFrom || used[at] || isBreak(at);

      /** The end of the longest phrase at a token, -1 for none. Sets `ran` when one may be on its way where the text ends. */
      function take(list, at) {
        let found = -1;
        for (const phrase of list) {
          let k = 0;
          while (k < phrase.length && at + k <= last && !used[at + k] && key(at + k) === phrase[k]) k++;
          if (k === phrase.length) found = Math.max(found, at + k);
          else if (typing && at + k > last) ran ||= k > 0;
          else if (unfinished && at + k === last && phrase[k].startsWith(key(last))) ran ||= k > 0 || key(last).length >= letters;
        }
        return found;
      }

      /** The name at a token: {ids, end}, null for none. */
      function takeNamed(list, at) {
        const one = list.find(({ name }) => name.every((word, k) => at + k <= last && !used[at + k] && stem(key(at + k)) === word));
        return one ? { ids: one.ids, end: at + one.name.length } : null;
      }

      // ------------------------------------------------------ figures

      function amount(at) {
        const written = tokens[at].written.replace(/[\u202f\u00a0]/g, "");
        const [sign] = written.match(/[.,](?=\d{3}$)/) ?? [];
        if (sign && sign !== (says["number.decimal"] ?? ".")) return Number(written.replace(sign, ""));
        return Number(written.replace(",", "."));
      }

      function figureName(at) {
        for (const [name, list] of Object.entries(figures)) {
          const end = take(list, at);
          if (end > 0) return { name, end };
        }
        return null;
      }

      function unit(at) {
        for (const [of, kj] of [["kcal", false], ["kj", true]]) {
          const end = take(phrases[of], at);
          if (end > 0) return { of: "kcal", kj, end };
        }
        const grams = take(phrases.grams, at);
        if (grams > 0) return { of: "grams", end: grams };
        for (const minutes of [1, 60]) {
          const end = take(times[minutes], at);
          if (end < 0) continue;
          const more = minutes === 60 && isNumber(end) ? take(times[1], end + 1) : -1;
          return { of: "time", minutes, more: more > 0 ? amount(end) : 0, end: Math.max(end, more) };
        }
        return null;
      }

      const kind = (name) => (name === "kcal" ? "kcal" : name === "hands_on" || name === "total" ? "time" : "grams");

      /** A figure with its limits at a token; null for none. With `ran`, none yet. */
      function figure(at) {
        letters = BEGUN;
        const before = figureName(at);
        ran = false; // the beginning of a figure's name is a word that is searched
        let next = before ? before.end : at;
        if (key(next) === ":" && before) next++;
        let how = null;
        for (const way of WAYS) {
          const end = how ? -1 : take(phrases[way], next);
          if (end > 0) [how, next] = [way, end];
        }
        if (how || isNumber(next)) letters = 1;
        if (!isNumber(next)) {
          if (how) ran = typing && next > last;
          return null;
        }
        const low = amount(next++);
        const to = take(phrases.to, next);
        const high = to > 0 && isNumber(to) ? amount(to) : null;
        if (high !== null) next = to + 1;
        else if (how === "between") return (ran ||= typing && next > last), null;
        const plus = key(next) === "+";
        if (plus || (key(next) === "-" && !isNumber(next + 1))) next++;
        if (typing && next > last) return (ran = true), null;

        const measure = unit(next);
        // "protein over 30" can only be grams and "kcal under 450" says its unit; "energy under 450" does not
        if (!measure && (!before || kind(before.name) === "time" || take(phrases.energy, at) > 0)) return null;
        if (measure) next = measure.end;
        const after = before || !measure ? null : figureName(Math.max(next, take(phrases.of, next)));
        if (after) next = after.end;
        else if (measure?.of === "grams" && !before) return (ran ||= typing && next > last), null;
        let name = (before ?? after)?.name ?? (measure.of === "time" ? "total" : "kcal");
        if (measure && measure.of !== kind(name)) return null;

        next = Math.max(next, take(phrases.each, next));
        const hundred = take(phrases.per_100, next);
        const per = take(phrases.per, next);
        if (hundred > 0 && name === "protein") [name, next] = ["ratio", hundred];
        else if (per > 0 && (isNumber(per) || take(phrases.joins, next) < 0)) return null;
        for (const way of ["most", "least"]) {
          const end = how ? -1 : take(phrases[`${way}_after`], next);
          if (end > 0) [how, next] = [way, end];
        }
        how = high !== null ? "between" : (how ?? (plus ? "least" : BARE[name]));
        if (!how) return (ran = typing && next > last), null;
        ran = false;
        const ends = how === "between" ? [Math.min(low, high), Math.max(low, high)] : how === "most" ? [null, low] : [low, null];
        return { condition: { kind: "range", name, range: ends.map((end, side) => inUnits(end, measure, side)) }, end: next };
      }

      /** A limit in kcal, minutes or grams. What is not whole after conversion is made stricter, never wider. */
      function inUnits(end, measure, side) {
        if (end === null || !measure) return end;
        const made = measure.kj ? end / KJ_PER_KCAL : measure.minutes ? end * measure.minutes + measure.more : end;
        return measure.kj || measure.minutes ? (side ? Math.floor(made) : Math.ceil(made)) : made;
      }

      function figuresRead() {
        for (let at = 0; at <= last; ) {
          const found = figure(at);
          const refused = negations.has(key(at - 1)) || (isNumber(at - 1) && !used[at - 1]);
          if (found && !refused) {
            conditions.push(found.condition);
            use(at, found.end);
          } else if (ran && !refused) {
            holdFrom = at;
            return;
          }
          at = found ? found.end : at + 1;
        }
      }

      // ------------------------------------------------------ what is left out

      function leaveOut(ids) {
        for (const name of ids) if (!conditions.some((one) => one.kind === "without" && one.name === name)) conditions.push({ kind: "without", name });
      }

      /** Whether a thing of a list ends at a token: the text, a comma, a joining word, what is read, a meal, a diet. */
      const ends = (at) => over(at) || key(at) === "/" || take(phrases.joins, at) > 0 || Boolean(takeNamed(eaten, at) ?? takeNamed(suited, at));

      /** One thing of a list after "no". The word being typed after an allergen's name is waited for. */
      function thing(from) {
        const found = takeNamed(leaving, from);
        if (found && unfinished && found.end === last && !ends(last)) holdFrom = last;
        if (found && ends(found.end)) return { from, ...found };
        let end = from;
        while (!ends(end)) end++;
        return end > from ? { from, end, ids: null } : null;
      }

      function list(lead) {
        const things = [];
        for (let next = lead; ; ) {
          const one = over(next) ? null : thing(next);
          if (!one) return things;
          things.push(one);
          const comma = isBreak(one.end) ? one.end + 1 : one.end;
          const also = key(comma) === "/" ? comma + 1 : take(phrases.also, comma);
          next = Math.max(comma, also);
          if (next === one.end || take(phrases.without, next) > 0) return things;
          one.joined = also > 0;
        }
      }

      /**
       * Reads "no" and its list, gives where it ends. After commas alone the list goes on as long as its things can be
       * left out; "or" and "and" hold it together. What cannot be left out stays words with the "no".
       */
      function without(at, lead) {
        const things = list(lead);
        const tail = things.at(-1);
        if (tail && !tail.ids && unfinished && tail.end > last && begins(tail.from)) {
          holdFrom = things.length > 1 ? tail.from : at;
          things.pop();
        } else if (typing && lead > last) holdFrom = at;
        const other = things.findIndex((one) => !one.ids);
        const joined = things.findLastIndex((one) => one.joined);
        const mine = things.slice(0, Math.max(joined + 2, other < 0 ? things.length : other));
        const left = mine.filter((one) => !one.ids);
        for (const one of mine) if (one.ids) (leaveOut(one.ids), use(one.from, one.end));
        if (mine.length && left.length < mine.length) use(left.length ? lead : at, left.length ? left[0].from : mine.at(-1).end);
        return mine.at(-1)?.end ?? lead;
      }

      /** Whether what is typed from a token on is the beginning of an allergen's name. */
      function begins(from) {
        const typed = tokens.slice(from).map((token) => token.key).join(" ");
        return leaving.some(({ name }) => name.join(" ").startsWith(typed));
      }

      /** The end of "milk-free", "milk free", "milchfrei" at a token, -1 for none. */
      function freeOf(at) {
        if (negations.has(key(at - 1))) return -1;
        const found = takeNamed(leaving, at);
        const end = found ? take(phrases.free, key(found.end) === "-" ? found.end + 1 : found.end) : -1;
        if (end > 0) return leaveOut(found.ids), end;
        const word = phrases.free.find(([ending]) => key(at).endsWith(ending))?.[0] ?? key(at);
        const name = stem(key(at).slice(0, -word.length));
        const glued = name && leaving.find((one) => one.name.length === 1 && one.name[0] === name);
        return glued ? (leaveOut(glued.ids), at + 1) : -1;
      }

      function allergensRead() {
        for (let at = 0; at < holdFrom; at++) if (!used[at]) use(at, Math.max(at, freeOf(at)));
        for (let at = 0; at < holdFrom; ) {
          const lead = used[at] ? -1 : take(phrases.without, at);
          at = lead > 0 ? Math.max(without(at, lead), at + 1) : at + 1;
        }
      }

      // ------------------------------------------------------ meals and diets

      /** What stands between commas and what is read, if it is diets and meals alone; a meal only beside a condition. */
      function choicesRead() {
        const chosen = [];
        for (let at = 0; at < holdFrom; at++) {
          if (over(at) || (at > 0 && !over(at - 1))) continue;
          const found = [];
          let next = at;
          while (!over(next)) {
            const diet = takeNamed(suited, next);
            const meal = diet ? null : takeNamed(eaten, next);
            const end = diet?.end ?? meal?.end ?? take(phrases.joins, next);
            if (end < 0) break;
            if (diet) found.push({ kind: "diet", name: diet.ids[0] });
            if (meal) found.push({ kind: "meal", name: meal.ids[0] });
            next = end;
          }
          if (over(next) && found.length) chosen.push({ found, at, next });
        }
        const all = chosen.flatMap(({ found }) => found);
        const suits = [...new Set(all.filter((one) => one.kind === "diet").map((one) => one.name))];
        if (!conditions.length && !suits.length) return;
        for (const { at, next } of chosen) use(at, next);
        for (const name of suits) conditions.push({ kind: "diet", name });
        const eat = [...new Set(all.filter((one) => one.kind === "meal").map((one) => one.name))];
        if (eat.length) conditions.push({ kind: "meals", name: "", chosen: eat });
      }

      // ------------------------------------------------------ what is left

      /** The words that are left, without what joined them to what was read. */
      function rest() {
        const beside = (at) => used[at] || (isBreak(at) && (used[at - 1] || used[at + 1]));
        for (let at = 0, again = false; at < holdFrom; at = again ? 0 : at + 1) {
          const end = used[at] ? -1 : take(phrases.joins, at);
          again = end > 0 && Boolean(beside(at - 1) || beside(end));
          if (again) use(at, end);
        }
        let left = "";
        for (let at = 0; at < holdFrom; at++) {
          if (over(at)) continue;
          const from = at;
          while (!over(at + 1)) at++;
          const apart = !left ? "" : negations.has(find.fold.words(left).at(-1)) ? " " : ", ";
          left += apart + text.slice(tokens[from].from, tokens[at].end);
        }
        return left;
      }

      const limited = (at) => Boolean(unit(at + 1)) || WAYS.some((way) => take(phrases[way], at - 1) === at);

      figuresRead();
      allergensRead();
      choicesRead();
      const unread = tokens.some((_, at) => at < holdFrom && !used[at] && isNumber(at) && limited(at));
      const held = holdFrom <= last ? text.slice(tokens[holdFrom].from) : "";
      return { conditions, rest: conditions.length || held ? rest() : text, held, unread };
    }
  }

  find.phrases = { reader };
})();
