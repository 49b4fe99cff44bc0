// Runs the find page's reading of typed phrases without a page. Arguments: the scripts in order.
// A line of JSON with `says` and `offered` opens a language; one with `text` is read in the language opened last.
"use strict";
const { readFileSync } = require("node:fs");
const { createInterface } = require("node:readline");
const { runInThisContext } = require("node:vm");

for (const file of process.argv.slice(2)) runInThisContext(readFileSync(file, "utf8"), file);
const find = globalThis.GramwrightFind;
let read = null;

function answer({ says, offered, text, typing }) {
  if (text !== undefined) return read(text, typing);
  const { endings, allergens, meals, diets } = offered;
  read = find.phrases.reader(says, { endings, allergens: new Map(allergens), meals: new Set(meals), diets: new Map(diets) });
  return true;
}

createInterface({ input: process.stdin }).on("line", (line) => {
  process.stdout.write(JSON.stringify(answer(JSON.parse(line))) + "\n");
});
