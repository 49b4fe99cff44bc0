/*
 * Data files that are loaded when they are first needed, as scripts: a page
 * opened from disk may load nothing else.
 */
(() => {
  "use strict";
  const find = (globalThis.GramwrightFind ??= {});

  /** Summaries a file (search/__init__.py, LINES). */
  const LINES = 256;

  /** Loads a script once it is asked for; settles when it has run. @param {string} source @returns {Promise<void>} */
  function load(source) {
    return new Promise((done, failed) => {
      const script = document.createElement("script");
      script.src = source;
      script.addEventListener("load", () => done());
      script.addEventListener("error", () => failed(new Error(`could not load ${source}`)));
      document.head.append(script);
    });
  }

  /**
   * The summaries, loaded block by block as recipes come into view.
   * @param {string} folder @param {string[]} files @param {() => void} came called when a block has come
   */
  function summaries(folder, files, came) {
    const asked = new Set();
    const split = [];
    find.lines ??= [];

    /** The summary of a recipe, '' while it is not here. @param {number} i */
    function of(i) {
      const block = Math.floor(i / LINES);
      if (find.lines[block] === undefined) return "";
      split[block] ??= find.lines[block].split("\n");
      return split[block][i % LINES] ?? "";
    }

    /** Asks for the block of a recipe. A summary that does not come is a line that stays empty. */
    function want(i) {
      const block = Math.floor(i / LINES);
      if (asked.has(block) || !files[block]) return;
      asked.add(block);
      load(folder + files[block]).then(came, () => asked.delete(block));
    }

    return { of, want };
  }

  find.load = { load, summaries };
})();
