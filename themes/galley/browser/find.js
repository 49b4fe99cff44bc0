/*
 * The find page. Reads the address, asks the index, paints the list, keeps the
 * address up to date. What it says and shows is in the page; see find-*.js for
 * the parts.
 */
(() => {
  "use strict";
  const find = (globalThis.GramwrightFind ??= {});

  /** Rows painted at once, rows that a list begins with, and rows that "more" adds. */
  const AT_ONCE = 6;
  const ROWS = 30;
  const MORE_ROWS = 50;
  const ADDRESS_AFTER = 300;
  /** How long the unfinished end of a text waits until it is taken as words. */
  const HELD_FOR = 1200;

  /** Calls `work` when the browser has nothing better to do, within a fifth of a second. */
  const idle = (work) =>
    globalThis.requestIdleCallback
      ? requestIdleCallback(work, { timeout: 200 })
      : setTimeout(() => work({ timeRemaining: () => 8 }), 20);

  /** An address that asks for something never shows the page's own list, neither before the index comes nor without it. */
  function holdBack() {
    if (find.state.write(find.state.read(location.search)) === "") return;
    document.getElementById("find-list")?.replaceChildren();
    const count = document.getElementById("find-count");
    if (count) count.textContent = "…";
  }

  function start() {
    const page = document.getElementById("find");
    if (!page) return;
    const element = (id) => document.getElementById(`find-${id}`);
    const speaker = find.say.speaker(JSON.parse(element("words").textContent));
    try {
      run(page, element, speaker);
    } catch (error) {
      element("note").textContent = speaker.say("find.no_index");
      element("note").hidden = false;
      throw error;
    }
  }

  function run(page, element, speaker) {
    const { say } = speaker;
    const index = find.unpacked.open(find.columns);
    let titles = null;
    let [words, wordsFailed] = [null, false];
    let [swaps, swapsFailed] = [null, false];
    let [rows, result] = [null, null];
    let shown = [];
    let prepared = false;

    const list = element("list");
    const teller = find.tell.teller({ element, speaker, index, drop: (condition) => drop(condition), clear: () => clear() });
    const tell = () => teller.tell(result, state, { words: wordsFailed, swaps: swapsFailed }, typed.got());
    const form = find.controls.controls(element("form"), speaker, { changed, typed: (committed) => type(committed) });
    const typed = find.typed.typed(find.phrases.reader(speaker.given.says, form.offered()));
    const lines = find.load.summaries(page.dataset.search, find.titles.lines, () => rows.summarise());
    const visible = new IntersectionObserver((entries) => {
      for (const entry of entries) if (entry.isIntersecting) lines.want(Number(entry.target.dataset.recipe));
    });

    const state = asked();
    let settled = find.state.write(state);

    // -------------------------------------------------------- asking and painting

    /** What the address asks for; a text in it is understood as if it had been typed. */
    function asked() {
      const given = find.state.read(location.search);
      typed.take(given, given.text, { settled: true });
      return given;
    }

    /** A control changed. @param {boolean} committed */
    function changed(committed) {
      form.read(state);
      settle();
      show();
      remember(committed);
    }

    let waiting = 0;

    /** The text changed, or is settled: what is understood moves the controls. @param {boolean} committed */
    function type(committed) {
      clearTimeout(waiting);
      if (committed && !typed.open() && form.text.value === state.text) return;
      const take = (how) => {
        typed.take(state, form.text.value, how);
        form.write(state, how.settled === true);
        show();
      };
      take(committed ? { settled: true } : { typing: true });
      if (typed.got().held) waiting = setTimeout(() => take({}), HELD_FOR);
      remember(committed);
    }

    /** What was typed is settled before something else changes. */
    function settle() {
      clearTimeout(waiting);
      typed.settle(state, form.text.value);
      form.text.value = state.text;
    }

    /** Asks the index and paints what it gives. `most` rows at the least as far as they go. */
    function show(most = ROWS) {
      if (state.text.trim() && !words && !wordsFailed) {
        loadWords().then(() => show(most));
        element("count").textContent = say("find.reading");
        return;
      }
      openTitles();
      const found = words && state.text.trim() ? find.match.match(words, state.text) : [];
      if (state.without.length && !swaps && !swapsFailed) loadSwaps();
      result = find.core.query(index, state, found, swaps);
      result.marks = marks(found);
      wanted = Math.min(most, result.ids.length);
      begin();
      tell();
      soon();
    }

    let wanted = 0;
    let painting = false;

    /** After the first rows are painted: the others, then the counts beside the choices. */
    function soon() {
      if (painting) return;
      painting = true;
      idle(() => {
        painting = false;
        if (shown.length < wanted) {
          more(Math.min(MORE_ROWS, wanted - shown.length));
          soon();
        } else around();
      });
    }

    /** What is marked in the rows. @param {object[]} found */
    const marks = (found) => ({
      wordsKey: found.map((word) => word.typed).join(" "),
      withoutKey: state.without.join("|"),
      found,
      words,
      wanted: new Set(state.without.flatMap((id) => [id, ...find.unpacked.members(index, id)])),
      swapped: result.swapped,
    });

    /** Paints the first rows; a row that was there already stays where it is. */
    function begin() {
      shown = rowsOf(0, AT_ONCE);
      const stay = new Set(shown);
      for (const row of [...list.children]) if (!stay.has(row)) row.remove();
      let at = list.firstElementChild;
      for (const row of shown) {
        if (row === at) at = at.nextElementSibling;
        else list.insertBefore(row, at);
      }
      offer();
    }

    /** Paints further rows, never more than MORE_ROWS at a time. @param {number} count */
    function more(count) {
      const made = rowsOf(shown.length, Math.min(count, MORE_ROWS));
      shown.push(...made);
      list.append(...made);
      offer();
      return made;
    }

    function rowsOf(from, count) {
      const made = Array.from(result.ids.subarray(from, from + count), (i) => rows.row(i, result.marks));
      for (const row of made) visible.observe(row);
      return made;
    }

    /** The button for further rows. */
    function offer() {
      const left = result.ids.length - shown.length;
      element("more").hidden = left === 0;
      element("more").textContent = say("find.more", { n: Math.min(left, MORE_ROWS) });
    }

    /** Takes one condition away; the focus stays where readers can go on. */
    function drop(condition) {
      settle();
      find.state.loosen(state, condition, (text) => (words ? find.match.typedWords(words, text) : find.fold.words(text)));
      form.write(state);
      show();
      remember(true);
      element("count").focus();
    }

    function clear() {
      typed.forget();
      Object.assign(state, find.state.empty(), { sort: state.sort });
      form.write(state);
      show();
      remember(true);
      element("count").focus();
    }

    /** Counts beside the choices, and the spreads over the sliders. */
    function around() {
      if (!prepared || !result) return;
      const { counts, histograms } = find.core.around(index, state, result, form.drawn());
      form.count(counts);
      for (const one of form.ranges) if (histograms[one.name]) one.spread(find.core.scale(index, one.name), histograms[one.name]);
    }

    // -------------------------------------------------------- loading

    function openTitles() {
      if (titles) return;
      titles = find.match.openTitles(find.titles, index);
      const template = element("row");
      rows = find.row.maker({ index, titles, speaker, root: page.dataset.root, template, lines, swaps: () => swaps });
    }

    let loading = null;
    function loadWords() {
      loading ??= find.load.load(page.dataset.words).then(
        () => {
          openTitles();
          words = find.match.openWords(find.words, index, titles);
          for (const word of say("find.negations").split(", ")) words.silent.add(word);
        },
        () => {
          wordsFailed = true;
          loading = null;
        },
      );
      return loading;
    }

    let swapping = null;
    /** What swaps change. The list is asked for again once it is here, if it can change by it. */
    function loadSwaps() {
      swapping ??= find.load
        .load(page.dataset.swaps)
        .then(() => (swaps = find.swapped.open(find.swaps, index)))
        .then(
          () => {
            if (state.without.length) show(Math.max(shown.length, ROWS));
            else if (result) rows?.retell(result.marks);
          },
          () => {
            swapsFailed = true;
            if (result) tell();
          },
        );
      return swapping;
    }

    /** Unpacks in idle moments what a first filter would have to wait for. */
    function prepare() {
      const steps = stepByStep();
      const work = (deadline) => {
        do {
          if (steps.next().done) {
            prepared = true;
            around();
            loadSwaps();
            return;
          }
        } while (deadline.timeRemaining() > 2);
        idle(work);
      };
      idle(work);
    }

    function* stepByStep() {
      for (const one of form.ranges) yield one.rule(find.core.scale(index, one.name));
      yield openTitles();
      yield* find.core.prepare(index);
    }

    // -------------------------------------------------------- the address

    let address = 0;
    let stepped = false;
    /**
     * Keeps the address up to date. The first change after a settled state gets
     * an entry of its own in the history; what follows until the next settled
     * state replaces it, so that "back" leads to what was settled before.
     */
    function remember(committed) {
      clearTimeout(address);
      if (committed) commit(true);
      else address = setTimeout(() => commit(false), ADDRESS_AFTER);
    }

    function commit(committed) {
      const search = find.state.write(state);
      if (search !== settled) {
        const target = search || location.pathname;
        try {
          if (stepped) history.replaceState(null, "", target);
          else history.pushState(null, "", target);
        } catch {
          // some browsers keep a page opened from disk at its address
        }
        settled = search;
        stepped = true;
      }
      if (committed) stepped = false;
    }

    addEventListener("popstate", () => {
      clearTimeout(waiting);
      typed.forget();
      Object.assign(state, find.state.empty(), asked());
      settled = find.state.write(state);
      stepped = false;
      write();
      show(history.state?.rows ?? ROWS);
    });

    addEventListener("pagehide", () => {
      try {
        if (shown.length > ROWS) history.replaceState({ rows: shown.length }, "");
      } catch {
        // as above
      }
    });

    function write() {
      form.write(state);
      element("sort").value = state.sort;
    }

    // -------------------------------------------------------- the rest of the page

    element("sort").addEventListener("change", (event) => {
      settle();
      state.sort = event.target.value;
      show();
      remember(true);
    });
    element("more").addEventListener("click", () => {
      if (shown.length < wanted) return;
      const [first] = more(MORE_ROWS);
      wanted = shown.length;
      first?.querySelector("a").focus({ preventScroll: true });
    });
    element("again").addEventListener("click", clear);
    for (const also of ["may", "swap"]) {
      element(`${also}-aside`).querySelector("button").addEventListener("click", () => {
        settle();
        state[also] = true;
        write();
        show();
        remember(true);
        element("count").focus();
      });
    }
    form.text.addEventListener("focus", () => loadWords().then(() => {}), { once: true });
    element("narrow").addEventListener("click", () => fold(element("panel").hasAttribute("data-closed")));
    element("done").addEventListener("click", () => {
      fold(false);
      element("count").focus({ preventScroll: true });
      element("count").scrollIntoView();
    });

    /** Opens or closes the panel on narrow screens. */
    function fold(open) {
      element("panel").toggleAttribute("data-closed", !open);
      element("narrow").setAttribute("aria-expanded", String(open));
      if (open) around();
    }

    element("form").addEventListener("toggle", () => around(), true);
    element("all").disabled = false;
    element("sort").disabled = false;
    write();
    if (settled || history.state?.rows) show(history.state?.rows ?? ROWS);
    else {
      result = find.core.query(index, state, []);
      result.marks = marks([]);
      openTitles();
      adopt();
    }
    prepare();

    /** Takes over the rows that the page came with. */
    function adopt() {
      shown = [...list.children];
      wanted = shown.length;
      offer();
      element("done").textContent = say("find.done", { n: result.total });
    }
  }

  holdBack();
  document.addEventListener("DOMContentLoaded", start);
})();
