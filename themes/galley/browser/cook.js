// A recipe's page: portions, measures and choices; all of them stand in the address. Loads the rest when it is needed.
"use strict";
((cook) => {
  const { say } = cook;
  const block = document.getElementById("cook-data");
  if (!block) return;
  const page = JSON.parse(block.textContent);
  const bar = document.querySelector(".cook-bar");
  const picks = [...document.querySelectorAll(".pick input")];
  const lines = [...document.querySelectorAll("[data-line]")].map((line) => {
    const [at, option] = line.dataset.line.split(".").map(Number);
    const [amount, grams] = [".amount-text", ".grams"].map((name) => line.querySelector(name));
    const row = page.rows[at][option];
    return { line, at, option, row, amount, grams, own: [amount.textContent, grams.textContent] };
  });
  const state = { portions: page.n, measure: "", choice: {} };

  // ---------------------------------------------------------------- dock: what is chosen, what runs, said aloud

  let dock = null;
  cook.dock = () => {
    if (!dock) {
      dock = document.createElement("aside");
      dock.className = "dock";
      dock.setAttribute("aria-label", say.word("cook.now"));
      dock.innerHTML = say.html`<p class="dock-choice" hidden><span class="dock-said"></span> <button type="button" class="key">${say.word("cook.as_written")}</button></p><p class="unseen" role="status"></p>`;
      dock.querySelector(".key").addEventListener("click", () => set({ choice: {}, portions: page.n, measure: "" }));
      document.body.append(dock);
    }
    return dock;
  };
  cook.announce = (text) => (cook.dock().querySelector("[role=status]").textContent = text);

  // ---------------------------------------------------------------- address

  const names = () => page.o?.names ?? {};
  function address() {
    const asked = new URLSearchParams();
    if (state.portions !== page.n) asked.set("portions", String(state.portions));
    if (state.measure) asked.set("in", state.measure);
    const keys = Object.entries(state.choice).map(([at, option]) => names()[`${at}.${option}`][0]);
    if (keys.length) asked.set("take", keys.join(" "));
    return asked.toString();
  }

  // Choices are named by their food, so that a link still means the same when rows move.
  function read(search) {
    const asked = new URLSearchParams(search);
    const portions = Number(asked.get("portions"));
    const measure = asked.get("in") ?? "";
    const choice = {};
    for (const key of (asked.get("take") ?? "").split(" ").filter(Boolean)) {
      const found = Object.entries(names()).find(([place, [food]]) => {
        const [at, option] = place.split(".").map(Number);
        return food === key && !(at in choice) && option !== writtenOf(at);
      });
      if (found) choice[found[0].split(".")[0]] = Number(found[0].split(".")[1]);
    }
    return {
      portions: portions > 0 && portions <= 200 ? portions : page.n,
      measure: ["g", "hub", "us"].includes(measure) ? measure : "",
      choice,
    };
  }

  const writtenOf = (at) => (page.o.pick.find((pick) => pick[0] === Number(at))[1] ? -1 : 0);
  const keep = () => {
    const asked = address();
    try {
      history.replaceState(null, "", (asked ? `?${asked}` : location.pathname) + location.hash);
    } catch {
      // opened from disk, some browsers refuse: the choice then lasts as long as the page
    }
  };

  // ---------------------------------------------------------------- showing

  const times = () => state.portions / page.n;
  const chosen = (at) => state.choice[at] ?? (page.o && page.o.pick.some((pick) => pick[0] === at) ? writtenOf(at) : 0);
  cook.portionsText = () => say.word("recipe.portions", { n: state.portions });

  function amounts() {
    const own = times() === 1 && !state.measure;
    for (const each of lines) {
      const { amount, grams } = own ? { amount: each.own[0], grams: each.own[1] } : cook.amounts.said(each.row, times(), state.measure);
      each.amount.textContent = own ? amount : say.joined(amount);
      each.grams.textContent = own ? grams : say.joined(grams);
    }
  }

  // What goes in, by part: for weighing and for copying.
  cook.taken = () => {
    const parts = new Map();
    for (const { line, at, option, row, amount } of lines) {
      if (chosen(at) !== option) continue;
      const list = line.closest("ul");
      const heading = list.previousElementSibling;
      if (!parts.has(list)) parts.set(list, { name: heading?.tagName === "H3" ? heading.textContent : "", rows: [] });
      const grams = (row[3] ?? 0) * times();
      parts.get(list).rows.push({
        key: `${at}.${option}`,
        amount: amount.textContent,
        weight: row[0] === "t" ? "" : say.joined(cook.amounts.weight(grams)),
        grams,
        name: line.querySelector(".what a").textContent,
        note: line.querySelector(".note")?.textContent.replace(/^, /, "") ?? "",
      });
    }
    return [...parts.values()];
  };

  let asked = null;
  // The code for choices, loaded when first wanted: classic scripts, so that it works from disk too.
  function more() {
    asked ??= (async () => {
      for (const script of document.querySelectorAll("script.more")) script.remove();
      for (const src of bar.dataset.more.split(" "))
        await new Promise((loaded, failed) => {
          const script = document.createElement("script");
          script.src = src;
          script.className = "more";
          script.onload = loaded;
          script.onerror = () => failed(new Error(src));
          document.head.append(script);
        });
    })();
    return asked;
  }

  function controls() {
    bar.querySelector("output").textContent = cook.portionsText();
    bar.querySelector("select").value = state.measure;
    for (const pick of picks) pick.checked = chosen(Number(pick.dataset.at)) === Number(pick.value);
    document.body.classList.toggle("is-chosen", Object.keys(state.choice).length > 0);
  }

  async function show() {
    controls();
    amounts();
    const changed = Object.keys(state.choice).length > 0;
    let text = "";
    if (changed || cook.show?.changed) {
      try {
        await more();
        text = cook.show.render(page, state.choice);
      } catch {
        asked = null; // the next change tries again; until then no allergens are shown
        text = say.word("cook.cannot");
      }
    }
    if (!dock && !changed && times() === 1 && !state.measure) return;
    const choice = cook.dock().querySelector(".dock-choice");
    const scaled = times() === 1 ? "" : cook.portionsText();
    const said = [changed ? text : "", scaled].filter(Boolean).join(" \u00b7 ");
    choice.hidden = !(changed || scaled || state.measure);
    choice.firstChild.textContent = said || say.word("cook.other_measures");
    cook.announce(said || say.word("cook.written_again"));
  }

  function set(next) {
    Object.assign(state, next);
    keep();
    show();
  }

  // ---------------------------------------------------------------- doing

  function copy() {
    const parts = cook.taken().map(({ name, rows }) =>
      [name, ...rows.map((row) => `${row.amount} ${row.name}${row.note ? `, ${row.note}` : ""}`)].filter(Boolean).join("\n"),
    );
    const steps = [...document.querySelectorAll("#method .prose > ol > li, #method .prose > p")].map(
      (step) => (step.tagName === "LI" ? `${[...step.parentNode.children].indexOf(step) + 1}. ` : "") + step.innerText.trim(),
    );
    const figures = document.querySelector(".rule-head")?.innerText.replace(/\s+/g, " ").trim() ?? "";
    const brief = document.querySelector(".brief").innerText.replace(/\s+/g, " ").trim();
    return [document.querySelector("h1").textContent, cook.portionsText(), ...parts, ...steps, figures, brief, location.href].join("\n\n").replaceAll("\u202f", " ");
  }

  async function copied(button) {
    const text = copy();
    try {
      await navigator.clipboard.writeText(text);
      cook.announce(say.word("cook.copied"));
      const own = button.textContent;
      button.textContent = say.word("cook.copied");
      setTimeout(() => (button.textContent = own), 2000);
    } catch {
      // no access to the clipboard: show the text, selected, to be copied by hand
      const dialog = document.createElement("dialog");
      dialog.className = "copy";
      dialog.innerHTML = say.html`<form method="dialog"><label>${say.word("cook.copy_by_hand")}<textarea rows="14" readonly>${text}</textarea></label><button class="key">${say.word("cook.close")}</button></form>`;
      dialog.addEventListener("close", () => dialog.remove());
      document.body.append(dialog);
      dialog.showModal();
      dialog.querySelector("textarea").select();
    }
  }

  bar.addEventListener("click", ({ target }) => {
    const button = target.closest("button");
    if (!button) return;
    if (button.dataset.step) {
      const next = Math.max(1, Math.min(200, Math.round(state.portions) + Number(button.dataset.step)));
      set({ portions: next });
    } else if (button.dataset.do === "weigh") cook.weigh.open(button);
    else if (button.dataset.do === "copy") copied(button);
    else if (button.dataset.do === "print") print();
  });
  bar.querySelector("select").addEventListener("change", ({ target }) => set({ measure: target.value }));
  for (const pick of picks)
    pick.addEventListener("change", () => {
      const at = Number(pick.dataset.at);
      const option = pick.checked ? Number(pick.value) : -1;
      const choice = { ...state.choice };
      if (option === writtenOf(at)) delete choice[at];
      else choice[at] = option;
      set({ choice });
    });
  addEventListener("popstate", () => (Object.assign(state, read(location.search)), show()));
  addEventListener("pageshow", ({ persisted }) => persisted && show());

  cook.timers.ready(document.querySelector("#method"));
  Object.assign(state, read(location.search));
  show();
})((globalThis.GramwrightCook ??= {}));
