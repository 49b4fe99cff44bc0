// A choice on the page. Takes sums and what the law says of them, fills the same places with the same markup.
"use strict";
((cook) => {
  const { say } = cook;
  const { html, word } = say;
  const places = () => [...document.querySelectorAll("[data-cook]")];
  const before = new Map();
  const ASKED_DIETS = ["vegetarian", "vegan"];

  const lang = (of) => (of ? html` lang="${of}"` : "");
  const strong = (names) => names.map((name, at) => html`${at ? ", " : ""}<strong>${name}</strong>`);

  function panel({ known, ...view }) {
    if (!known) return html`<p>${word("panel.unknown")}</p>`;
    const [what, where, share] = view.titles;
    const list = (cuts, caption, column, swatch) =>
      cuts.length
        ? html`<table class="pieces"><caption>${caption}</caption><thead class="unseen"><tr><th scope="col">${word(column)}</th><th scope="col">${word("panel.column_grams")}</th><th scope="col">${share}</th></tr></thead><tbody>${cuts.map((cut) => html`<tr><th scope="row">${swatch(cut)}${cut.href ? html`<a href="${cut.href}">${cut.name}</a>` : cut.name}</th><td>${cut.grams}</td><td>${cut.share}</td></tr>`)}</tbody></table>`
        : "";
    return html`<div class="rule-head"><p class="energy">${view.least ? html`<span class="energy-least">${word("panel.at_least")}</span> ` : ""}<span class="energy-figure">${view.energy}</span> <span class="energy-unit">kcal</span></p><p class="energy-more">${view.kj ? html`<span>${view.kj}</span>` : ""}<span>${view.portion ? word("panel.of", { grams: view.portion }) : word("panel.portion")}</span></p>${view.likely ? html`<p class="energy-likely">${view.likely}</p>` : ""}</div><svg class="rule" width="100%" height="98" role="img" aria-label="${view.described}">${view.bracket ? html`<svg class="rule-bracket" y="1" width="100%" height="9" viewBox="0 0 1000 9" preserveAspectRatio="none"><path d="${view.bracket}"/></svg>` : ""}<g class="rule-pieces">${view.what.map((cut) => html`<rect x="${cut.x}" y="13" width="${cut.width}" height="34" fill="url(#piece-${cut.fill})"/>`)}</g><g class="rule-strip">${view.where.map((cut) => html`<rect class="${cut.fill}" x="${cut.x}" y="50" width="${cut.width}" height="9"/>`)}</g><line class="rule-edge" x1="0" x2="100%" y1="62" y2="62"/><svg class="rule-ticks" y="62" width="100%" height="12" viewBox="0 0 1000 12" preserveAspectRatio="none"><path d="${view.ticks}"/></svg><g class="rule-numbers">${view.numbers.map((each) => html`<text x="${each.x}" y="91">${each.text}</text>`)}</g></svg><div class="rule-lists">${list(view.what, what, "panel.column_piece", (cut) => html`<svg class="swatch" width="16" height="16" aria-hidden="true"><rect width="16" height="16" fill="url(#piece-${cut.fill})"/></svg>`)}${list(view.where, where, "panel.column_ingredient", (cut) => html`<svg class="swatch" width="16" height="9" aria-hidden="true"><rect class="${cut.fill}" width="16" height="9"/></svg>`)}</div>`;
  }

  function declaration(lines, made, changed) {
    const shares = lines.some((line) => line.share);
    const cell = (text, least, blank = false) => {
      const [first, second] = say.localised(text).split(" / ").map(say.joined);
      const mark = least && first ? html`<span aria-hidden="true">≥ </span><span class="unseen">${word("declaration.at_least")} </span>` : "";
      const shown = first || blank ? first : html`<span class="soft">${word("declaration.unknown")}</span>`;
      return html`<td>${mark}${shown}${second ? html`<span class="second"><span class="unseen"> / </span>${second}</span>` : ""}</td>`;
    };
    const rows = lines.map(
      (line) =>
        html`<tr${line.level ? html` class="of-which"` : ""}><th scope="row">${line.level ? html`<span class="soft">${word("declaration.of_which")}</span> ` : ""}${word(`lines.${line.key}`)}</th>${cell(line.per100, line.least)}${cell(line.portion, line.least)}${shares ? cell(line.share, line.least, true) : ""}</tr>`,
    );
    const { least, taste } = cook.label.atLeast(lines);
    const basis = changed && made.doneBy === "factor" && before.get("by") === "measured" ? "cook.finished_changed" : `declaration.finished_${made.doneBy}`;
    const { day } = cook.words.texts;
    return html`<table class="declaration"><caption>${word("declaration.title")}</caption><thead><tr><td></td><th scope="col">${word("declaration.per_100g")}</th><th scope="col">${word("declaration.per_portion")}</th>${shares ? html`<th scope="col">${word("declaration.share")}</th>` : ""}</tr></thead><tbody>${rows}</tbody></table><ul class="fine"><li>${word(basis)} ${word(`declaration.by_${made.by}`)}</li>${shares && day ? html`<li>${day}</li>` : ""}${least ? html`<li>${word("declaration.at_least_note")} ${least}</li>` : ""}${taste ? html`<li>${taste}</li>` : ""}</ul>`;
  }

  function brief(found) {
    const may = found.may_contain.length ? html`; ${word("allergens.may_contain").toLowerCase()} ${strong(found.may_contain.map((line) => line.word))}` : "";
    const not = found.unknown.length ? html`; ${word("allergens.short_unknown", { n: found.unknown.length })}` : "";
    const has = found.contains.length ? strong(found.contains.map((line) => line.word)) : word("allergens.short_none");
    return html`<a href="#allergens">${word("allergens.title")}</a>: ${has}${may}${not}`;
  }

  function allergens(found) {
    const lines = (key) =>
      found[key].length
        ? html`<div><dt>${word(`allergens.${key}`)}</dt>${found[key].map((line) => html`<dd><strong>${line.word}</strong> <span class="soft">${word("allergens.in_foods", { foods: line.foods })}</span></dd>`)}</div>`
        : "";
    const not = found.unknown.map((line) => line.word);
    const unknown = not.length
      ? html`<div><dt>${word("allergens.unknown")}</dt><dd>${found.unknownFoods.length ? html`${word("allergens.unknown_of", { foods: found.unknownFoods.join(word("list.comma")) })} ` : ""}${strong(not)}.</dd></div>`
      : "";
    const none = found.contains.length || found.may_contain.length || not.length ? "" : html`<p>${word("allergens.none")}</p>`;
    return html`<dl class="allergens">${lines("contains")}${lines("may_contain")}${unknown}</dl>${none}${found.excepted.map((text) => html`<p class="fine">${text}</p>`)}<p class="fine">${word("allergens.never")}</p>`;
  }

  function claims(found, diets, changed) {
    const open = diets.filter(([diet, answer]) => answer === null && ASKED_DIETS.includes(diet)).map(([diet]) => word(`suits.${diet}`));
    const fits = diets.filter(([, answer]) => answer === true).map(([diet]) => word(`suits.${diet}`));
    return html`<dl class="claims">${found.map((claim) => html`<div${lang(cook.rules.say.lang)}><dt>${claim.name}</dt><dd>${claim.text}</dd></div>`)}${fits.length ? html`<div><dt>${fits.join(", ")}</dt><dd>${word("suits.note")}</dd></div>` : ""}${open.length ? html`<div><dt>${open.join(", ")}</dt><dd>${word("suits.unknown")}</dd></div>` : ""}</dl>${changed && found.length ? html`<p class="fine">${word("claims.written")}</p>` : ""}`;
  }

  function cautions(found, old) {
    const own = [...old.querySelectorAll("li[data-own]")].map((item) => item.outerHTML);
    return found.map((caution) => html`<li${lang(caution.lang)}>${caution.text}${caution.source ? html` <span class="source"${lang(cook.rules.cited)}>${caution.source}</span>` : ""}</li>`).join("") + own.join("");
  }

  // Fills the page for a choice; gives the figure in words. With nothing chosen the page is as it came.
  function render(page, choice, force = false) {
    const made = cook.sums.sums(page, choice);
    for (const place of places()) if (!before.has(place)) before.set(place, place.innerHTML);
    before.set("by", page.o.fin[1]);
    const changed = made.changed || force;
    const found = cook.label.allergens(page.o, made.parts);
    const lines = cook.label.declaration(made);
    const view = cook.panel.view(page, made);
    const drawn = {
      panel: () => panel(view),
      brief: () => brief(found),
      declaration: () => declaration(lines, made, made.changed),
      allergens: () => allergens(found),
      claims: () => claims(cook.label.claims(page, made), cook.label.diets(made.parts), made.changed),
      doubts: () => html`${cook.label.doubts(page, made).map((text) => html`<li>${text}</li>`)}`,
      cautions: (place) => cautions(cook.label.cautions(page, made), place),
      portion: () => view.portion,
    };
    const filled = places().map((place) => [place, changed ? String(drawn[place.dataset.cook](place)) : before.get(place)]);
    for (const [place, text] of filled) place.innerHTML = text;
    cook.show.changed = made.changed;
    document.body.classList.toggle("is-changed", made.changed); // only now: what failed half-way leaves no mark
    const energy = view.known ? word("cook.energy_each", { energy: `${view.least ? `${word("panel.at_least")} ` : ""}${view.energy}\u202fkcal` }) : word("panel.unknown");
    return [energy, view.likely].filter(Boolean).join(", ");
  }

  cook.show = { render, changed: false };
})((globalThis.GramwrightCook ??= {}));
