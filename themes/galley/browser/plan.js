// Ticks that stay (shopping, steps) and timers of the session. Takes the plan's pages; without it they read the same.
(() => {
  "use strict";
  const plan = document.querySelector("[data-plan]");
  if (!plan) return;
  const place = `gramwright-plan-${plan.dataset.plan}`;

  const read = () => {
    try {
      return JSON.parse(localStorage.getItem(place)) || {};
    } catch {
      return {}; // no store, or not ours: ticks then last as long as the page
    }
  };
  const kept = read();
  const keep = () => {
    try {
      localStorage.setItem(place, JSON.stringify(kept));
    } catch {
      return; // a browser without a store keeps nothing
    }
  };

  for (const box of plan.querySelectorAll("input[data-tick]")) {
    box.checked = Boolean(kept[box.dataset.tick]);
    box.addEventListener("change", () => {
      if (box.checked) kept[box.dataset.tick] = 1;
      else delete kept[box.dataset.tick];
      keep();
    });
  }

  const status = plan.querySelector("[data-say]");
  const shown = (seconds) => `${Math.floor(seconds / 60)}:${String(seconds % 60).padStart(2, "0")}`;
  const ring = () => {
    const Sound = window.AudioContext || window.webkitAudioContext;
    if (!Sound) return;
    const sound = new Sound();
    const tone = sound.createOscillator();
    tone.frequency.value = 660;
    tone.connect(sound.destination);
    tone.start();
    tone.stop(sound.currentTime + 0.6);
  };

  const running = new Map();
  const tick = () => {
    for (const [button, end] of running) {
      const left = Math.ceil((end - Date.now()) / 1000);
      if (left > 0) {
        button.textContent = shown(left);
        continue;
      }
      running.delete(button);
      button.textContent = "0:00";
      button.classList.remove("runs");
      button.classList.add("done");
      if (status) status.textContent = status.dataset.say.replace("{name}", button.dataset.name);
      ring();
    }
  };
  for (const button of plan.querySelectorAll("button.step-timer")) {
    button.hidden = false;
    button.textContent = `${button.dataset.start} ${shown(Number(button.dataset.seconds))}`;
    button.addEventListener("click", () => {
      if (running.delete(button) || button.classList.contains("done")) {
        button.classList.remove("runs", "done");
        button.textContent = `${button.dataset.start} ${shown(Number(button.dataset.seconds))}`;
        return;
      }
      running.set(button, Date.now() + Number(button.dataset.seconds) * 1000);
      button.classList.add("runs");
      tick();
    });
  }
  if (plan.querySelector("button.step-timer")) setInterval(tick, 250);
})();
