/*
 * Reading without a network. Publish writes `HUB` above: the publication's id,
 * the language, the pages that are saved at once, and what is said.
 *
 * A page always comes from the network when it answers. A saved copy is shown
 * only when it does not, and then says so at its top: what was saved once may
 * name the wrong allergens today. A new publication brings a worker of its own,
 * which fetches what was saved anew and drops the rest. Files with the hash of
 * their content in their name cannot be out of date: those are taken as saved.
 * Data to download is never saved, having no place to say how old it is; like
 * pages it is asked for anew, whatever the browser itself still has of it.
 */
(() => {
  "use strict";

  /** Pages and pictures kept, beside the pages that every device keeps. */
  const MOST_PAGES = 80;
  const MOST_PHOTOS = 80;
  /** Milliseconds that a page is waited for when there is a saved copy. */
  const PATIENCE = 6000;
  const AT_A_TIME = 6;

  const scope = new URL(self.registration.scope);
  const mine = `gramwright ${scope.href} `;
  const pagesName = `${mine}pages ${HUB.publication}`;
  const filesName = `${mine}files ${HUB.publication}`;
  const SAVED_AT = "x-saved-at";
  const HASHED = /\.[0-9a-f]{10,12}\.[a-z0-9]+$/;
  const NAMED = /(?:src|href|data-[a-z-]+)="([^"]*\.[0-9a-f]{10}\.(?:js|css|svg|png)(?: [^"]*)?)"/g;
  /** A gateway in place of the site: the site itself did not answer. */
  const GATEWAY = new Set([502, 503, 504]);
  const GONE = new Set([404, 410]);

  /** One key for a page, whatever is asked of it and with or without index.html. @param {string} address */
  function keyOf(address) {
    const url = new URL(address, scope);
    return url.origin + url.pathname.replace(/(^|\/)index\.html$/, "$1");
  }

  const first = new Set(HUB.first.map(keyOf));
  const within = (address) => new URL(address, scope).href.startsWith(scope.href);
  const isPage = (answer) =>
    answer.ok && answer.type === "basic" && (answer.headers.get("content-type") ?? "").startsWith("text/html");

  // ---------------------------------------------------------------- saving

  /** A cache of this publication; none when another publication's worker has dropped it, so that none comes back. */
  const own = async (name) => ((await caches.has(name)) ? caches.open(name) : undefined);

  /** Saves every hashed file that a page names, then the page. @param {string} key @param {Response} answer */
  async function save(key, answer) {
    const text = await answer.text();
    const headers = new Headers(answer.headers);
    for (const name of ["content-encoding", "content-length", "transfer-encoding"]) headers.delete(name);
    headers.set(SAVED_AT, String(Date.now()));
    const base = key.endsWith("/") ? `${key}index.html` : key;
    const named = [...text.matchAll(NAMED)].flatMap(([, list]) => list.split(" ")).map((name) => new URL(name, base).href);
    await Promise.allSettled([...new Set(named)].filter(within).map(file));
    const pages = await own(pagesName);
    if (!pages) return;
    await pages.put(key, new Response(text, { headers }));
    await forgetOldest(pages, MOST_PAGES, (address) => !first.has(address));
  }

  /** A hashed file: as saved, else from the network and saved. @param {string} address */
  async function file(address) {
    const files = await own(filesName);
    const there = files && ((await files.match(address)) ?? (await elsewhere(address, files)));
    if (there) return there;
    const answer = await fetch(address);
    if (files && answer.ok && answer.type === "basic") {
      await files.put(address, answer.clone());
      if (/\/photo-[^/]+$/.test(address)) await forgetOldest(files, MOST_PHOTOS, (a) => /\/photo-[^/]+$/.test(a));
    }
    return answer;
  }

  /** The same file from another publication's cache, taken over. @param {string} address @param {Cache} files */
  async function elsewhere(address, files) {
    for (const name of await caches.keys()) {
      if (!name.startsWith(`${mine}files `) || name === filesName) continue;
      const there = await caches.match(address, { cacheName: name });
      if (there) {
        await files.put(address, there.clone());
        return there;
      }
    }
    return undefined;
  }

  async function forgetOldest(cache, most, counts) {
    const keys = (await cache.keys()).filter((request) => counts(request.url));
    for (const request of keys.slice(0, Math.max(0, keys.length - most))) await cache.delete(request);
  }

  /** Fetches a page anew and saves it. @param {string} address */
  async function keep(address) {
    const answer = await fetch(address, { cache: "no-cache" });
    if (isPage(answer) && within(answer.url)) await save(keyOf(answer.url), answer);
    else if (!GONE.has(answer.status)) throw new Error(`${address}: ${answer.status}`);
  }

  /** What was saved of other publications, fetched anew; what does not come is not kept. */
  async function carryOver() {
    const keys = new Set();
    for (const name of await caches.keys()) {
      if (!name.startsWith(`${mine}pages `) || name === pagesName) continue;
      for (const request of await (await caches.open(name)).keys()) keys.add(request.url);
    }
    const left = [...keys].filter((key) => !first.has(key));
    while (left.length) await Promise.allSettled(left.splice(0, AT_A_TIME).map(keep));
  }

  async function dropOthers() {
    for (const name of await caches.keys()) {
      if (name.startsWith(mine) && name !== pagesName && name !== filesName) await caches.delete(name);
    }
  }

  // ---------------------------------------------------------------- answering

  /** A page: from the network; a saved copy that says so when the network does not answer. @param {FetchEvent} event */
  async function page(event) {
    const key = keyOf(event.request.url);
    const asked = fetch(new Request(event.request, { cache: "no-cache" })).then((answer) => {
      if (isPage(answer)) event.waitUntil(save(key, answer.clone()).catch(noRoom));
      else if (GONE.has(answer.status)) event.waitUntil(own(pagesName).then((pages) => pages?.delete(key)));
      return GATEWAY.has(answer.status) ? Promise.reject(answer) : answer;
    });
    const saved = await (await own(pagesName))?.match(key);
    try {
      return await (saved ? Promise.race([asked, late()]) : asked);
    } catch (refused) {
      event.waitUntil(asked.catch(() => undefined));
      if (saved) return shown(saved);
      return refused instanceof Response ? refused : notSaved();
    }
  }

  const late = () => new Promise((_, stop) => setTimeout(() => stop(new Error("no answer yet")), PATIENCE));

  /** A device without room keeps nothing; its reader has the page all the same. @param {Error} error */
  function noRoom(error) {
    console.info(`not saved: ${error.message}`);
  }

  const escaped = (text) => text.replace(/[&<>"]/g, (sign) => `&#${sign.charCodeAt(0)};`);

  /** A saved page with what it is at the top. @param {Response} saved */
  async function shown(saved) {
    const text = await saved.text();
    const at = new Date(Number(saved.headers.get(SAVED_AT)));
    const when = new Intl.DateTimeFormat(HUB.language, { dateStyle: "long", timeStyle: "short" }).format(at);
    const time = `<time datetime="${at.toISOString()}">${escaped(when)}</time>`;
    const says = Object.fromEntries(Object.entries(HUB.says).map(([name, said]) => [name, escaped(said)]));
    const notice =
      `<aside class="saved-copy" role="note" data-away><p><strong>${says.copy.replace("{when}", time)}</strong> ` +
      `${says.changed} <span class="saved-id">${says.publication.replace("{id}", HUB.publication)}</span> ` +
      `<a href="">${says.again}</a></p></aside>`;
    return new Response(withNotice(text, notice), { headers: saved.headers });
  }

  /** Puts the notice first in the text, wherever a hub's own template has put that. */
  function withNotice(text, notice) {
    for (const place of [/<main\b[^>]*>/, /<body\b[^>]*>/]) {
      if (place.test(text)) return text.replace(place, (tag) => tag + notice);
    }
    return notice + text;
  }

  /** The page that says that nothing is saved of an address, with what is. */
  async function notSaved() {
    const pages = await own(pagesName);
    const here = keyOf(HUB.offline);
    const answer = await pages?.match(here);
    if (!answer) return Response.error();
    const items = [];
    for (const request of (await pages.keys()).reverse()) {
      if (request.url === here) continue;
      const text = await (await pages.match(request)).text();
      const title =
        /<meta property="og:title" content="([^"]+)">/.exec(text)?.[1] ?? escaped(request.url.slice(scope.href.length));
      items.push(`<li><a href="${escaped(request.url)}">${title}</a></li>`);
    }
    const text = (await answer.text())
      .replace(/(href|src)="\.\.\//g, `$1="${scope.pathname}`)
      .replace(/<ul class="saved-pages">\s*<\/ul>/, () => `<ul class="saved-pages" data-away>${items.join("")}</ul>`);
    return new Response(text, { status: 503, headers: answer.headers });
  }

  // ---------------------------------------------------------------- events

  self.addEventListener("install", (event) => {
    const made = async () => {
      await Promise.all([pagesName, filesName].map((name) => caches.open(name)));
      await Promise.all(HUB.first.map((path) => keep(new URL(path, scope).href)));
      await carryOver();
      await self.skipWaiting();
    };
    event.waitUntil(made());
  });

  self.addEventListener("activate", (event) => {
    event.waitUntil(dropOthers().then(() => self.clients.claim()));
  });

  self.addEventListener("fetch", (event) => {
    const request = event.request;
    if (request.method !== "GET" || !within(request.url)) return;
    if (request.mode === "navigate") event.respondWith(page(event));
    else if (HASHED.test(new URL(request.url).pathname)) event.respondWith(file(request.url));
    else if (request.cache !== "only-if-cached") event.respondWith(fetch(new Request(request, { cache: "no-cache" })));
  });

  self.addEventListener("message", (event) => {
    const address = event.data?.keep;
    if (typeof address === "string" && within(address)) event.waitUntil(keep(address).catch(noRoom));
  });
})();
