// Runs the find page's code without a page. Arguments: the scripts in order.
// Reads one JSON request a line ({search: "?kcal=300-450", drawn: ["kcal"]}), writes one JSON answer a line.
"use strict";
const { readFileSync } = require("node:fs");
const { createInterface } = require("node:readline");
const { runInThisContext } = require("node:vm");

for (const file of process.argv.slice(2)) runInThisContext(readFileSync(file, "utf8"), file);
const find = globalThis.GramwrightFind;
const index = find.unpacked.open(find.columns);
const titles = find.match.openTitles(find.titles, index);
const words = find.match.openWords(find.words, index, titles);
const swaps = find.swaps && find.swapped.open(find.swaps, index);
const plain = (counts) => Object.fromEntries(counts);

function answer(request) {
  if (request.fold !== undefined) {
    const folded = find.fold.words(request.fold);
    return { words: folded, stems: folded.map((word) => find.fold.stem(word, find.words.endings)) };
  }
  if (request.column) {
    const least = find.unpacked.least(index, request.column);
    const values = Array.from(find.unpacked.values(index, request.column));
    return { values, least: values.map((_, i) => Boolean(least && find.pack.has(least, i))) };
  }
  if (request.recipes) {
    return Array.from({ length: index.count }, (_, i) => ({
      title: find.match.titleTokens(titles, i).join(" "),
      slug: find.match.slug(titles, i),
    }));
  }
  if (request.told) {
    return Array.from({ length: index.count }, (_, i) => find.swapped.told(swaps, i).map(({ what, ids }) => [what, ids]));
  }
  const state = find.state.read(request.search);
  const found = find.match.match(words, state.text);
  const result = find.core.query(index, state, found, request.written ? null : swaps);
  const around = find.core.around(index, state, result, request.drawn ?? []);
  return {
    again: find.state.write(state),
    slugs: Array.from(result.ids.subarray(0, result.total), (i) => find.match.slug(titles, i)),
    swapped: Array.from(result.ids.subarray(result.total), (i) => find.match.slug(titles, i)),
    total: result.total,
    asked: result.asked.map(({ kind, name }) => [kind, name]),
    alone: result.alone,
    may: result.may,
    open: result.open,
    swaps: result.swaps,
    counts: Object.fromEntries(Object.entries(around.counts).map(([name, counts]) => [name, plain(counts)])),
    histograms: Object.fromEntries(Object.entries(around.histograms).map(([name, bins]) => [name, Array.from(bins)])),
    foundIn: Array.from(result.ids.slice(0, 20), (i) => find.match.foundIn(words, found, i)),
  };
}

createInterface({ input: process.stdin }).on("line", (line) => {
  process.stdout.write(JSON.stringify(answer(JSON.parse(line))) + "\n");
});
