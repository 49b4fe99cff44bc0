/*
 * On every page: signs up the worker that lets it be read without a network
 * (worker.js), and looks after what is no longer up to date. `says` stands
 * above, written by publish. Opened from disk it does nothing.
 */
((says) => {
  "use strict";
  const workers = navigator.serviceWorker;
  const own = document.currentScript?.src;
  const previewed = document.documentElement.dataset.preview !== undefined;
  if (!workers || !own || previewed || !/^https?:$/.test(location.protocol)) return;

  /** How often a page that is not up to date asks whether the network answers, in milliseconds. */
  const ASK_EVERY = 15_000;
  /** How often a page that is looked at again asks for a new publication. */
  const LOOK_EVERY = 60_000;
  /** Somebody cooks by this page: a timer runs or rings, or things are being weighed. */
  const BUSY = "dialog[open], .dock-timer, .step-timer.runs, .step-timer.done";
  const GATEWAY = [502, 503, 504];
  const away = document.querySelector("[data-away]");
  const asPublished = textOf(document);
  const controlled = workers.controller !== null;

  addEventListener("load", () => {
    workers.register(new URL("../service-worker.js", own)).then(registered, () => {
      // A browser that will not have one (no secure connection, no storage): the site is read as ever.
    });
  });

  /** @param {ServiceWorkerRegistration} registration */
  function registered(registration) {
    if (!controlled) workers.ready.then((ready) => ready.active.postMessage({ keep: location.href }));
    let looked = Date.now();
    const look = () => {
      if (document.visibilityState !== "visible" || Date.now() - looked < LOOK_EVERY) return;
      looked = Date.now();
      registration.update().catch(() => undefined);
    };
    document.addEventListener("visibilitychange", look);
    addEventListener("online", look);
    if (!controlled) return;
    workers.addEventListener("controllerchange", compare);
    registration.update().catch(() => undefined);
  }

  /** The text of a page as it was published. @param {Document} page */
  function textOf(page) {
    const text = page.querySelector("main")?.cloneNode(true);
    for (const part of text?.querySelectorAll("noscript") ?? []) part.remove();
    return text?.textContent ?? "";
  }

  /** A new publication: says so when this page reads otherwise in it. */
  async function compare() {
    if (away) return;
    const answer = await fetch(location.href, { cache: "no-cache" }).catch(() => null);
    if (!answer || GATEWAY.includes(answer.status)) return;
    const now = new DOMParser().parseFromString(await answer.text(), "text/html");
    if (!answer.ok || textOf(now) !== asPublished) notice(says.newer);
  }

  /** A saved copy gives way as soon as the network answers, unless somebody is cooking by it: then it says so. */
  async function ask() {
    if (document.visibilityState !== "visible" || told) return;
    const answer = await fetch(location.href, { method: "HEAD", cache: "no-store" }).catch(() => null);
    if (!answer || GATEWAY.includes(answer.status)) return;
    if (!document.querySelector(BUSY)) location.reload();
    else notice(says.back);
  }

  let told = false;

  /** @param {string} text */
  function notice(text) {
    if (told) return;
    told = true;
    document.querySelector(".saved-copy")?.remove();
    const made = document.createElement("aside");
    made.className = "saved-copy";
    made.setAttribute("role", "status");
    const strong = document.createElement("strong");
    const link = document.createElement("a");
    strong.textContent = text;
    link.textContent = says.load;
    link.href = "";
    const line = document.createElement("p");
    line.append(strong, " ", link);
    (document.querySelector("dialog[open]") ?? document.querySelector("main") ?? document.body).prepend(made);
    made.append(line);
  }

  if (away) {
    addEventListener("online", ask);
    document.addEventListener("visibilitychange", ask);
    setInterval(ask, ASK_EVERY);
  }
})
