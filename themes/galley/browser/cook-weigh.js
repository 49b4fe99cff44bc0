// The weighing view: one part after another, big, to tick off; in one bowl the scale's running total beside each row.
"use strict";
((cook) => {
  const { say } = cook;
  let lock = null;
  let wanted = false;

  // Keeps the screen on where the browser can; asks again when the page comes back.
  async function awake() {
    wanted = true;
    if (lock || !navigator.wakeLock || document.hidden) return;
    try {
      lock = await navigator.wakeLock.request("screen");
      lock.addEventListener("release", () => (lock = null));
    } catch {
      lock = null; // refused (battery): the view works without it
    }
  }
  function asleep() {
    if (cook.timers.any()) return;
    wanted = false;
    lock?.release();
  }
  document.addEventListener("visibilitychange", () => wanted && awake());

  const ticked = () => {
    try {
      return new Set(JSON.parse(sessionStorage.getItem(`weighed:${location.pathname}`) ?? "[]"));
    } catch {
      return new Set();
    }
  };
  const keep = (keys) => {
    try {
      sessionStorage.setItem(`weighed:${location.pathname}`, JSON.stringify([...keys]));
    } catch {
      // without storage the ticks last as long as the view
    }
  };

  function body(dialog, bowl, done) {
    const parts = cook.taken().map(({ name, rows }) => {
      let total = 0;
      const lines = rows.map((row) => {
        total += cook.amounts.weighed(row.grams);
        const scale = row.grams ? say.word("cook.scale", { grams: say.plain(total < 100 ? total : Math.round(total)) }) : "";
        return say.html`<li><label><input type="checkbox" value="${row.key}"${done.has(row.key) ? say.html` checked` : ""}><span class="weigh-amount">${row.weight || row.amount}</span><span class="weigh-name">${row.name}${row.weight && row.amount !== row.weight ? say.html` <small>${row.amount}</small>` : ""}${row.note ? say.html` <small>${row.note}</small>` : ""}</span><span class="weigh-total">${bowl ? scale : ""}</span></label></li>`;
      });
      return say.html`<section><h3>${name || say.word("cook.everything")}</h3>${bowl ? say.html`<p class="fine">${say.word("cook.tare")}</p>` : ""}<ol class="weigh-rows">${lines}</ol></section>`;
    });
    dialog.querySelector(".weigh-parts").innerHTML = say.html`${parts}`;
  }

  function open(button) {
    const dialog = document.createElement("dialog");
    dialog.className = "weigh";
    dialog.setAttribute("aria-label", say.word("cook.weigh"));
    const title = document.querySelector("h1").textContent;
    dialog.innerHTML = say.html`<header><h2>${title} <small>${cook.portionsText()}</small></h2><button type="button" class="key weigh-close">${say.word("cook.close")}</button></header><p class="weigh-bowl"><label><input type="checkbox" class="bowl"> ${say.word("cook.one_bowl")}</label><span role="status" class="weigh-left"></span><button type="button" class="plain weigh-again">${say.word("cook.untick")}</button></p><div class="weigh-parts"></div>`;
    document.body.append(dialog);
    let done = ticked();
    const count = () => {
      const boxes = [...dialog.querySelectorAll(".weigh-rows input")];
      const left = boxes.filter((box) => !box.checked).length;
      dialog.querySelector(".weigh-left").textContent = left ? say.word("cook.left", { n: left }) : say.word("cook.all_in");
    };
    const bowl = dialog.querySelector(".bowl");
    const draw = () => (body(dialog, bowl.checked, done), count());
    bowl.addEventListener("change", draw);
    dialog.querySelector(".weigh-again").addEventListener("click", () => (keep((done = new Set())), draw()));
    dialog.addEventListener("change", ({ target }) => {
      if (target.closest(".weigh-rows")) {
        done[target.checked ? "add" : "delete"](target.value);
        keep(done);
        count();
      }
    });
    dialog.querySelector(".weigh-close").addEventListener("click", () => dialog.close());
    dialog.addEventListener("close", () => {
      document.body.append(cook.dock());
      dialog.remove();
      asleep();
      button.focus();
    });
    draw();
    dialog.showModal();
    dialog.append(cook.dock());
    awake();
  }

  cook.awake = awake;
  cook.weigh = { open };
})((globalThis.GramwrightCook ??= {}));
