// Runs in previewed pages only: refreshes them after a rebuild and shows what is wrong with the hub.
(() => {
  "use strict";
  const words = document.currentScript.dataset;
  document.documentElement.dataset.preview = "";
  const events = new EventSource(`/.preview/events?${words.at}`);
  let shown = null;

  events.addEventListener("rebuilt", (event) => {
    const { only, but } = JSON.parse(event.data);
    const path = decodeURIComponent(location.pathname).slice(1);
    const here = path === "" || path.endsWith("/") ? `${path}index.html` : path;
    if ((!only || only.includes(here)) && !(but && but.includes(here))) location.reload();
  });
  events.addEventListener("problems", (event) => show(JSON.parse(event.data)));

  function show(problems) {
    if (shown) shown.remove();
    shown = null;
    if (problems.length === 0) return;
    shown = document.createElement("aside");
    shown.className = "preview-problems";
    shown.setAttribute("role", "status");
    const list = document.createElement("ol");
    for (const problem of problems) {
      const item = document.createElement("li");
      item.append(line("code", problem.line ? `${problem.file}:${problem.line}` : problem.file));
      item.append(line("p", problem.message));
      if (problem.hint) item.append(line("p", `${words.hint} ${problem.hint}`));
      list.append(item);
    }
    shown.append(line("h2", words.title), list);
    document.body.prepend(shown);
  }

  function line(name, text) {
    const element = document.createElement(name);
    element.textContent = text;
    return element;
  }
})();
