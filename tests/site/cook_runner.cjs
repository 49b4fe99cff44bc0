// Runs the recipe page's code without a page. Arguments: the scripts in order.
// Reads one JSON request a line ({load: data block}, or {choice: {index: option}}), writes one JSON answer a line.
"use strict";
const { readFileSync } = require("node:fs");
const { createInterface } = require("node:readline");
const { runInThisContext } = require("node:vm");

for (const file of process.argv.slice(2)) runInThisContext(readFileSync(file, "utf8"), file);
const cook = globalThis.GramwrightCook;
let page = null;

function choose(choice) {
  const made = cook.sums.sums(page, choice);
  return {
    by: made.by,
    figures: Object.fromEntries(Object.entries(made.perPortion).map(([tag, each]) => [tag, each.amount])),
    lines: cook.label.declaration(made),
    atLeast: cook.label.atLeast(cook.label.declaration(made)),
    allergens: cook.label.allergens(page.o, made.parts),
    diets: cook.label.diets(made.parts),
    claims: cook.label.claims(page, made),
    cautions: cook.label.cautions(page, made),
    panel: cook.panel.view(page, made),
    ranged: made.ranged,
    doubts: cook.label.doubts(page, made),
  };
}

function answer(request) {
  if (request.load) page = request.load;
  if (request.rules) cook.rules = request.rules;
  if (request.words) cook.words = request.words;
  if (request.amount) return cook.amounts.said(request.amount, request.times ?? 1, request.measure ?? "");
  if (request.round) return cook.say.rounded(request.round, request.of);
  if (request.word) return cook.say.word(...request.word);
  if (request.plurals) return request.numbers.map((number) => new Intl.PluralRules(request.plurals).select(number));
  if (request.fixed) return cook.say.fixed(...request.fixed);
  return request.choice ? choose(request.choice) : {};
}

createInterface({ input: process.stdin }).on("line", (line) =>
  process.stdout.write(`${JSON.stringify(answer(JSON.parse(line)))}\n`),
);
