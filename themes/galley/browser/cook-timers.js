// Times in the method as timers. Each <time class="timer"> becomes a button; what runs stands in the dock.
"use strict";
((cook) => {
  const { say } = cook;
  const running = new Map();
  let ticking = 0;

  const seconds = (time) => {
    const [, hours, minutes, rest] = /^PT(?:([\d.]+)H)?(?:([\d.]+)M)?(?:([\d.]+)S)?$/.exec(time) ?? [];
    return (Number(hours ?? 0) * 60 + Number(minutes ?? 0)) * 60 + Number(rest ?? 0);
  };
  const clock = (left) => {
    const [h, m, s] = [Math.floor(left / 3600), Math.floor(left / 60) % 60, left % 60];
    const two = (n) => String(n).padStart(2, "0");
    return h ? `${h}:${two(m)}:${two(s)}` : `${m}:${two(s)}`;
  };
  const title = document.title;

  function start(button, length, name) {
    if (running.has(button)) return stop(button);
    const line = document.createElement("div");
    line.className = "dock-timer";
    line.innerHTML = say.html`<b>${clock(length)}</b> <span>${name}</span> <button type="button" class="plain">${say.word("cook.stop")}</button>`;
    line.querySelector("button").addEventListener("click", () => stop(button));
    cook.dock().append(line);
    button.setAttribute("aria-pressed", "true");
    running.set(button, { end: Date.now() + length * 1000, line, name, rang: false });
    cook.announce(say.word("cook.started", { time: name }));
    ticking ||= setInterval(tick, 250);
    cook.awake();
    tick();
  }

  function stop(button) {
    running.get(button)?.line.remove();
    running.delete(button);
    button.setAttribute("aria-pressed", "false");
    if (!running.size) {
      clearInterval(ticking);
      ticking = 0;
      document.title = title;
    }
  }

  function tick() {
    let next = Infinity;
    let over = "";
    for (const timer of running.values()) {
      const left = Math.ceil((timer.end - Date.now()) / 1000);
      timer.line.firstChild.textContent = left > 0 ? clock(left) : say.word("cook.over", { time: clock(-left) });
      if (left > 0) next = Math.min(next, left);
      else {
        over = timer.name;
        if (!timer.rang) {
          timer.rang = true;
          timer.line.classList.add("rings");
          cook.announce(say.word("cook.rings", { time: timer.name }));
          navigator.vibrate?.([400, 200, 400, 200, 400]);
        }
      }
    }
    document.title = over
      ? `${Date.now() % 2000 < 1000 ? "\u25cf" : "\u25cb"} ${say.word("cook.rings", { time: over })}`
      : `${clock(next)} \u00b7 ${title}`;
  }

  function ready(root) {
    for (const time of root.querySelectorAll("time.timer")) {
      const button = document.createElement("button");
      button.type = "button";
      button.className = "timer";
      button.textContent = time.textContent;
      button.setAttribute("aria-pressed", "false");
      const item = time.closest("li");
      const nth = item && [...item.parentNode.children].indexOf(item) + 1;
      const name = item ? say.word("cook.step", { n: nth, time: time.textContent }) : time.textContent;
      button.setAttribute("aria-label", say.word("cook.start", { time: time.textContent }));
      button.addEventListener("click", () => start(button, seconds(time.dateTime), name));
      time.replaceWith(button);
    }
  }

  cook.timers = { ready, seconds, clock, any: () => running.size > 0 };
})((globalThis.GramwrightCook ??= {}));
