/*
 * The form <-> a state. Knows the page's form and nothing of recipes but what
 * it is told: scales for the sliders, counts for the choices.
 *
 * Every change calls `changed(committed)`, that of the text `typed(committed)`:
 * false while the reader is still typing or sliding, true when a value is settled.
 */
(() => {
  "use strict";
  const find = (globalThis.GramwrightFind ??= {});

  const RULING = [
    [20, 1, 5, 5],
    [50, 1, 5, 10],
    [100, 2, 10, 20],
    [600, 10, 50, 100],
    [1200, 20, 100, 200],
    [3000, 50, 250, 500],
  ];

  /**
   * @param {HTMLFormElement} form
   * @param {object} speaker of find.say
   * @param {{changed: (committed: boolean) => void, typed: (committed: boolean) => void}} told
   */
  function controls(form, speaker, { changed, typed }) {
    const text = form.querySelector("#find-text");
    const may = form.querySelector("#find-may");
    const swap = form.querySelector("#find-swap");
    const boxes = [...form.querySelectorAll("input[type=checkbox][data-list]")];
    const ranges = [...form.querySelectorAll(".find-range")].map((fieldset) => range(fieldset, speaker, changed));
    const would = new Map();
    for (const box of boxes) would.set(`${box.dataset.list} ${box.value}`, box.parentElement.querySelector(".find-would"));

    text.addEventListener("input", () => typed(false));
    text.addEventListener("change", () => typed(true));
    for (const box of [...boxes, may, swap]) box.addEventListener("change", () => changed(true));
    form.addEventListener("submit", (event) => {
      event.preventDefault();
      typed(true);
    });

    /** Reads the form but for its text into a state; what the form cannot show is kept. @param {State} state */
    function read(state) {
      state.may = may.checked;
      state.swap = swap.checked;
      for (const list of ["meals", "tags", "diets", "without"]) {
        const mine = boxes.filter((box) => box.dataset.list === list);
        const shown = new Set(mine.map((box) => box.value));
        const chosen = mine.filter((box) => box.checked).map((box) => box.value);
        state[list] = [...state[list].filter((name) => !shown.has(name)), ...chosen];
      }
      for (const one of ranges) find.state.setRange(state, one.name, ...one.read());
    }

    /** Shows a state in the form. @param {State} state @param {boolean} [words] whether in the text as well */
    function write(state, words = true) {
      if (words && text.value !== state.text) text.value = state.text;
      may.checked = state.may;
      swap.checked = state.swap;
      for (const box of boxes) box.checked = state[box.dataset.list].includes(box.value);
      for (const one of ranges) one.write(state.ranges[one.name] ?? [null, null]);
      for (const details of form.querySelectorAll(".find-members, .find-more-figures")) {
        if (details.querySelector("input:checked") || ranges.some((one) => details.contains(one.fieldset) && state.ranges[one.name])) {
          details.open = true;
        }
      }
    }

    /** Shows how many recipes there would be with each choice. */
    function count(counts) {
      for (const [list, byName] of Object.entries(counts)) {
        for (const [name, number] of byName) {
          const shown = would.get(`${list} ${name}`);
          if (!shown) continue;
          const said = speaker.number(number);
          if (shown.textContent !== said) shown.textContent = said;
          shown.parentElement.classList.toggle("find-nothing", number === 0);
        }
      }
    }

    /** The fields whose spread is on the screen. */
    const drawn = () => ranges.filter((one) => one.fieldset.offsetParent !== null).map((one) => one.name);

    /** What there is to choose from, for find.phrases. */
    function offered() {
      const { endings, meals, diets } = speaker.given;
      const left = boxes.filter((box) => box.dataset.list === "without").map((box) => [box.value, speaker.allergen(box.value)]);
      return { endings, allergens: new Map(left), meals: new Set(Object.keys(meals)), diets: new Map(Object.entries(diets)) };
    }

    return { text, read, write, count, drawn, offered, ranges };
  }

  /** One figure's two fields and two sliders. */
  function range(fieldset, speaker, changed) {
    const name = fieldset.dataset.field;
    const { per, step } = find.core.FIELDS[name];
    const [low, high, from, to] = ["low", "high", "from", "to"].map((part) => fieldset.querySelector(`.find-${part}`));
    const chosen = fieldset.querySelector(".find-chosen");
    let top = 0;
    low.step = high.step = String(step);

    /** Both ends of what is typed; null for no limit. @returns {[?number, ?number]} */
    const read = () => [low, high].map((field) => (field.value === "" ? null : Math.max(0, Number(field.value))));

    function write([least, most]) {
      set(low, least);
      set(high, most);
      slide();
    }

    const set = (field, value) => {
      const text = value === null ? "" : String(value);
      if (field.value !== text) field.value = text;
    };

    /** Puts the sliders where the fields are. */
    function slide() {
      const [least, most] = read();
      from.value = String(least ?? 0);
      to.value = String(most ?? top);
      tell();
    }

    function tell() {
      from.setAttribute("aria-valuetext", speaker.amount(name, Number(from.value)));
      const end = Number(to.value) >= top;
      const text = speaker.amount(name, Number(to.value));
      to.setAttribute("aria-valuetext", end ? speaker.say("find.and_more", { top: text }) : text);
      const start = top ? Number(from.value) / top : 0;
      const stop = top ? Number(to.value) / top : 1;
      chosen.setAttribute("x", `${start * 100}%`);
      chosen.setAttribute("width", `${Math.max(0, stop - start) * 100}%`);
      from.classList.toggle("find-above", start > 0.5);
      fieldset.classList.toggle("find-set", low.value !== "" || high.value !== "");
    }

    /** A slider moved: its end of the range follows; the ends never pass each other. */
    function slid(moved) {
      if (moved === from && Number(from.value) > Number(to.value)) from.value = to.value;
      if (moved === to && Number(to.value) < Number(from.value)) to.value = from.value;
      set(low, Number(from.value) > 0 ? Number(from.value) : null);
      set(high, Number(to.value) < top ? Number(to.value) : null);
      tell();
    }

    for (const field of [low, high]) {
      field.addEventListener("input", () => (slide(), changed(false)));
      field.addEventListener("change", () => {
        const [least, most] = read();
        if (least !== null && most !== null && least > most) write([most, least]);
        changed(true);
      });
    }
    for (const slider of [from, to]) {
      slider.addEventListener("input", () => (slid(slider), changed(false)));
      slider.addEventListener("change", () => changed(true));
    }

    /** Sets the sliders' scale, and draws its ruling. */
    function rule(scale) {
      top = scale.top;
      for (const slider of [from, to]) {
        slider.max = String(top);
        slider.step = String(step);
        slider.disabled = false;
      }
      fieldset.querySelector(".find-top").textContent = speaker.say("find.scale_to", { top: speaker.number(top) });
      fieldset.querySelector(".find-track .small-ticks").setAttribute("d", ticks(top));
      draw(".find-spread-all", scale.all, Math.max(1, ...scale.all));
      fieldset.querySelector(".find-spread").setAttribute("viewBox", `0 0 ${scale.bins} 30`);
      slide();
    }

    /** Draws how the recipes that meet everything else are spread. */
    function spread(scale, counts) {
      draw(".find-spread-now", counts, Math.max(1, ...scale.all));
    }

    function draw(part, counts, most) {
      let path = "";
      counts.forEach((count, bin) => {
        if (count) path += `M${bin} 30V${(30 - Math.max(1, 29 * Math.sqrt(count / most))).toFixed(1)}H${bin + 1}V30Z`;
      });
      fieldset.querySelector(part).setAttribute("d", path);
    }

    return { name, per, fieldset, read, write, rule, spread };
  }

  /** A rule's ticks from 0 to `top`, 1000 wide. @param {number} top */
  function ticks(top) {
    const scale = top < 10 ? 10 : 1;
    const [, minor, middle, major] = RULING.find(([limit]) => top * scale <= limit) ?? [0, 100, 500, 1000];
    let path = "";
    for (let at = 0; at <= top * scale; at += minor) {
      path += `M${((at / (top * scale)) * 1000).toFixed(1)} 0V${at % major === 0 ? 8 : at % middle === 0 ? 6 : 3}`;
    }
    return path;
  }

  find.controls = { controls };
})();
