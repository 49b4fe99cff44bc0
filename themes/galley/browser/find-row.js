/*
 * Recipes -> rows of the list. Fills the page's own row (parts/find_dish.html in
 * #find-row); only text and attributes are set, never markup.
 *
 * A row is kept and filled again only when what is marked in it changes.
 */
(() => {
  "use strict";
  const find = (globalThis.GramwrightFind ??= {});

  const SVG = "http://www.w3.org/2000/svg";
  const MOST_ROWS = 400;
  const NAMED_UNKNOWN = 4;
  /** kcal that the rounding of the packed grams can leave untold. */
  const ROUNDING = 8;
  const PIECES = ["protein", "carbohydrate", "fat", "fibre"];

  /**
   * @param {{index: object, titles: object, speaker: object, root: string, template: HTMLTemplateElement, lines: object,
   *     swaps: () => ?object}} given  `swaps` gives what find.swapped.open gave, null while it is not here
   */
  function maker(given) {
    const { index, titles, speaker, root, template, lines, swaps } = given;
    const { say, number, duration } = speaker;
    const { values, least, allergen, KCAL_A_GRAM } = find.unpacked;
    const { has } = find.pack;
    const rows = new Map();

    /**
     * The row of a recipe.
     * @param {number} i
     * @param {{wordsKey: string, withoutKey: string, found: object[], words: ?object, wanted: Set<string>, swapped: Bits}} marks
     * @returns {HTMLLIElement}
     */
    function row(i, marks) {
      let made = rows.get(i);
      if (!made) {
        if (rows.size >= MOST_ROWS) rows.delete(rows.keys().next().value);
        made = { element: template.content.firstElementChild.cloneNode(true), words: null, without: null, swaps: null };
        rows.set(i, made);
        fill(made.element, i);
      }
      if (made.words !== marks.wordsKey) mark(made.element, i, marks);
      if (made.without !== marks.withoutKey) tell(made.element.children[4], i, marks.wanted);
      const only = Boolean(marks.swapped && has(marks.swapped, i));
      const change = `${Boolean(swaps())} ${only} ${marks.withoutKey}`;
      if (made.swaps !== change) tellSwaps(made.element.children[5], i, marks.wanted, only);
      made.swaps = change;
      made.words = marks.wordsKey;
      made.without = marks.withoutKey;
      return made.element;
    }

    /** What does not depend on the search. */
    function fill(element, i) {
      const [title, energy, drawing, more, , , summary] = element.children;
      element.dataset.recipe = String(i);
      title.firstElementChild.setAttribute("href", `${root}recipes/${encodeURIComponent(find.match.slug(titles, i))}/index.html`);
      const kcal = values(index, "kcal")[i];
      const unsure = least(index, "kcal");
      energy.firstElementChild.hidden = !(unsure && has(unsure, i));
      energy.classList.toggle("soft", kcal < 0);
      energy.children[1].textContent = kcal < 0 ? "" : number(kcal);
      energy.children[2].textContent = kcal < 0 ? say("card.unknown_energy") : "kcal";
      draw(drawing, i, kcal);
      more.textContent = facts(i).join(" · ");
      more.append(make("span", "", "dish-found"));
      summary.textContent = lines.of(i);
      summary.hidden = !has(titles.summed, i);
    }

    /** The portion along the rule that all rows share. */
    function draw(drawing, i, kcal) {
      if (kcal <= 0) {
        drawing.setAttribute("aria-label", say("card.unknown_energy"));
        return;
      }
      const parts = cut(i, kcal);
      const group = drawing.firstElementChild;
      const end = speaker.given.ruleEnd;
      let from = 0;
      const told = parts.map(([key, energy]) => {
        const rect = document.createElementNS(SVG, "rect");
        const start = Math.min(from / end, 1);
        const stop = Math.min((from + energy) / end, 1);
        rect.setAttribute("x", `${(start * 100).toFixed(2)}%`);
        rect.setAttribute("width", `${((stop - start) * 100).toFixed(2)}%`);
        rect.setAttribute("height", "11");
        rect.setAttribute("fill", `url(#piece-${key})`);
        group.append(rect);
        from += energy;
        return say("panel.piece", { name: say(`pieces.${key}`), share: `${Math.round((energy / kcal) * 100)}\u202f%` });
      });
      const pieces = told.join(say("list.comma"));
      drawing.setAttribute("aria-label", say("card.drawing", { energy: number(kcal), pieces }));
    }

    /** What the energy comes from, laid so that it ends at the portion's energy. @returns {[string, number][]} */
    function cut(i, kcal) {
      const parts = [];
      let total = 0;
      for (const key of PIECES) {
        const tenths = values(index, key)[i];
        if (tenths <= 0) continue;
        const energy = (KCAL_A_GRAM[key] * tenths) / 10;
        parts.push([key, energy]);
        total += energy;
      }
      if (kcal - total > Math.max(ROUNDING, kcal * 0.01)) return [...parts, ["rest", kcal - total]];
      return total ? parts.map(([key, energy]) => [key, (energy * kcal) / total]) : [["rest", kcal]];
    }

    /** Short facts: protein, protein in 100 kcal, work, time in all. @returns {string[]} */
    function facts(i) {
      const made = [];
      const protein = values(index, "protein")[i];
      const unsure = least(index, "protein");
      const partly = Boolean(unsure && has(unsure, i));
      if (protein >= 0) {
        const text = say("card.protein", { grams: number(protein / 10) });
        const ratio = values(index, "ratio")[i];
        if (partly) made.push(`${say("card.at_least")} ${text}`);
        else made.push(ratio < 0 ? text : say("find.per_100", { protein: text, grams: number(Math.round(ratio / 10) / 10) }));
      }
      const work = values(index, "hands_on")[i];
      if (work >= 0) made.push(say("card.hands_on", { time: duration(work) }));
      const total = values(index, "total")[i];
      if (total >= 0) made.push(say("card.total", { time: duration(total) }));
      return made;
    }

    /** What depends on the words: marks in the title, ingredients found. */
    function mark(element, i, { found, words }) {
      const link = element.children[0].firstElementChild;
      const pieces = [];
      find.match.titleTokens(titles, i).forEach((token, at) => {
        if (at) pieces.push(" ");
        const length = found.length ? find.match.marked(token, found) : 0;
        if (length) pieces.push(make("mark", token.slice(0, length)));
        if (length < token.length) pieces.push(token.slice(length));
      });
      link.replaceChildren(...pieces);
      const named = words && found.length ? find.match.foundIn(words, found, i) : [];
      const text = named.length ? ` · ${say("find.found_in", { names: named.join(say("list.comma")) })}` : "";
      const part = element.children[3].lastElementChild;
      if (part.textContent !== text) part.textContent = text;
    }

    /** The allergens in words; what the reader leaves out stands out. */
    function tell(element, i, wanted) {
      const states = { contains: [], may: [], unknown: [] };
      for (const id of index.packed.allergens.names) {
        const { contains, may, unknown } = allergen(index, id, true);
        if (has(contains, i)) states.contains.push(id);
        if (has(may, i)) states.may.push(id);
        if (has(unknown, i)) states.unknown.push(id);
      }
      const parts = [];
      if (states.contains.length) parts.push(part("contains", `${say("allergens.contains")} `, states.contains, wanted));
      if (states.may.length) parts.push(part("may", `${say("allergens.may_contain")} `, states.may, wanted));
      if (states.unknown.length > NAMED_UNKNOWN) {
        parts.push(make("span", say("find.allergens_unknown", { n: states.unknown.length }), "allergen-unknown"));
      } else if (states.unknown.length) parts.push(part("unknown", `${say("allergens.unknown")} `, states.unknown, wanted));
      if (!parts.length) parts.push(make("span", say("find.allergens_none"), "allergen-none"));
      element.replaceChildren(...joined(parts));
    }

    const joined = (parts) => parts.flatMap((made, at) => (at ? [" · ", made] : [made]));

    /** What swaps and optional ingredients change; `only`: the recipe is listed for what a swap makes of it. */
    function tellSwaps(element, i, wanted, only) {
      const parts = only ? [make("span", say("find.only_swapped"), "dish-only")] : [];
      for (const { what, ids } of swaps() ? find.swapped.told(swaps(), i) : []) {
        if (ids.length > NAMED_UNKNOWN && what.endsWith("_opens")) {
          parts.push(make("span", say(`card.${what}_many`, { n: ids.length }), `allergen-${what}`));
          continue;
        }
        const [before, after] = say(`card.${what}`, { names: "\n" }).split("\n");
        const told = part(what, before, ids, wanted);
        if (after) told.append(after);
        parts.push(told);
      }
      element.hidden = !parts.length;
      element.replaceChildren(...joined(parts));
    }

    function part(state, before, ids, wanted) {
      const made = make("span", before, `allergen-${state}`);
      ids.forEach((id, at) => {
        if (at) made.append(say("list.comma"));
        made.append(make(wanted.has(id) ? "mark" : "b", speaker.given.allergens[id] ?? id));
      });
      return made;
    }

    /** Fills summaries that have come in the meantime. */
    function summarise() {
      for (const [i, { element }] of rows) {
        const summary = element.children[6];
        if (!summary.textContent) summary.textContent = lines.of(i);
      }
    }

    /** Tells the rows that are there what swaps change, once that is known. @param {object} marks */
    function retell(marks) {
      for (const i of rows.keys()) row(i, marks);
    }

    return { row, summarise, retell };
  }

  function make(name, text, className) {
    const element = document.createElement(name);
    element.textContent = text;
    if (className) element.className = className;
    return element;
  }

  find.row = { maker, make };
})();
