/*
 * A result in words: the count, the conditions with their buttons, what is left out and why, what to give up when
 * there is nothing. Takes a result and the state that asked for it, fills the page's own elements.
 */
(() => {
  "use strict";
  const find = (globalThis.GramwrightFind ??= {});

  const SPEAK_AFTER = 600;

  /**
   * @param {{element: (id: string) => HTMLElement, speaker: object, index: object, drop: (condition: object) => void,
   *     clear: () => void}} given  `drop` takes a condition away, `clear` all of them
   */
  function teller({ element, speaker, index, drop, clear }) {
    const { say } = speaker;

    /** Count, conditions, what is left out, and what to give up when there is nothing. */
    function tell(result, state, failed, { conditions: understood, unread }) {
      const { total, asked } = result;
      const all = index.count;
      const count = asked.length ? say("find.count_of", { n: total, all }) : say("find.count", { n: total });
      element("count").textContent = count;
      const listed = result.ids.length;
      element("done").textContent = listed ? say("find.done", { n: listed }) : say("find.done_none");
      const read = understood.length ? say("find.read_as", { what: understood.map(speaker.condition).join(say("list.comma")) }) : "";
      speak(`${read} ${listed ? count : say("find.none")}`.trim());
      element("narrow-count").textContent = asked.length ? say("find.narrow_count", { n: asked.length }) : "";
      conditions(asked);
      aside("may-aside", result.may && say("find.also_may", { n: result.may }));
      aside("open", result.open && say("find.open", { n: result.open }));
      aside("swap-aside", result.swaps && say(state.swap ? "find.shown_swap" : "find.also_swap", { n: result.swaps }));
      element("swap-aside").querySelector("button").hidden = state.swap;
      const unknown = state.without.find((id) => !find.unpacked.allergen(index, id));
      aside(
        "note",
        unknown !== undefined
          ? say("find.unknown_allergen", { name: unknown })
          : negated(state.text)
            ? say("find.negated")
            : unread
            ? say("find.unread")
            : failed.words && state.text.trim()
            ? say("find.no_words")
            : failed.swaps && state.swap && state.without.length && say("find.no_swaps"),
      );
      nothing(result, state);
    }

    /** Whether the words ask for something not to be there, which words cannot. */
    function negated(text) {
      const asked = new Set(text.toLowerCase().split(/[^\p{L}]+/u));
      return say("find.negations").split(", ").some((word) => asked.has(word));
    }

    function aside(id, text) {
      const part = element(id);
      part.hidden = !text;
      if (text) (part.querySelector("span") ?? part).textContent = text;
    }

    /** The conditions, each with a button that takes it away. */
    function conditions(wanted) {
      const asked = element("asked");
      asked.hidden = wanted.length === 0;
      const key = JSON.stringify(wanted.map(speaker.condition));
      if (asked.dataset.shown === key) return;
      asked.dataset.shown = key;
      const made = wanted.map((condition) => {
        const what = speaker.condition(condition);
        const button = find.row.make("button", `${what} ×`);
        button.type = "button";
        button.setAttribute("aria-label", say("find.drop", { what }));
        button.addEventListener("click", () => drop(condition));
        const item = document.createElement("li");
        item.append(button);
        return item;
      });
      if (made.length > 1) {
        const again = find.row.make("button", say("find.again"));
        again.type = "button";
        again.addEventListener("click", clear);
        const item = document.createElement("li");
        item.append(again);
        made.push(item);
      }
      asked.replaceChildren(...made);
    }

    /**
     * When nothing is found: which single condition to give up, and what that would give. Never an allergen, and no
     * word of a text that asks for something not to be there.
     */
    function nothing(result, state) {
      element("none").hidden = result.ids.length > 0;
      if (result.ids.length > 0) return;
      const { asked, alone } = result;
      const told = negated(state.text);
      const ways = asked
        .map((condition, at) => ({ condition, gives: alone[at] }))
        .filter(({ condition, gives }) => gives > 0 && !(told && condition.kind === "word"));
      const open = ways.filter(({ condition }) => condition.kind !== "without").sort((a, b) => b.gives - a.gives);
      const shut = ways.filter(({ condition }) => condition.kind === "without");
      const items = open.map(({ condition, gives }) => {
        const button = find.row.make("button", say("find.loosen", { what: speaker.condition(condition), n: gives }));
        button.type = "button";
        button.addEventListener("click", () => drop(condition));
        return button;
      });
      for (const { condition, gives } of shut) {
        items.push(find.row.make("span", say("find.allergens_alone", { n: gives, names: speaker.allergen(condition.name) })));
      }
      element("none-hint").textContent = open.length ? say("find.none_hint") : shut.length ? "" : say("find.none_many");
      element("loosen").replaceChildren(
        ...items.map((part) => {
          const item = document.createElement("li");
          item.append(part);
          return item;
        }),
      );
    }

    let speaking = 0;
    /** Says the count to those who listen, once it has settled. */
    function speak(text) {
      clearTimeout(speaking);
      speaking = setTimeout(() => (element("said").textContent = text), SPEAK_AFTER);
    }

    return { tell };
  }

  find.tell = { teller };
})();
