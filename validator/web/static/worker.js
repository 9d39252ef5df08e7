// Keeps on this phone the pages that were opened, so that they open again without a signal, told as what they are: as they were.
// It judges nothing and answers nothing; what is entered without a signal is kept and sent by live.js.
"use strict";

const KEPT = "tile-desk pages", MOST = 80, PATIENCE = 20000;
const OURS = /^\/($|cases\/|static\/)/, NEVER = /\/(seq|ahead|weighed|pdf|description\.yaml)$/;
const NOTHING = `<!DOCTYPE html><html lang="en"><meta charset="utf-8"><meta name="viewport" content="width=device-width"><title>No signal</title>
<h1>No signal</h1><p>This page was not opened on this phone before. Those that were still open, and so does <a href="/">the list of cases</a>.</p></html>`;

self.addEventListener("install", () => self.skipWaiting());
self.addEventListener("activate", (event) => event.waitUntil(self.clients.claim()));
self.addEventListener("fetch", (event) => {
  const url = new URL(event.request.url);
  if (event.request.method !== "GET" || url.origin !== location.origin || !OURS.test(url.pathname) || NEVER.test(url.pathname)) return;
  event.respondWith(url.pathname.startsWith("/static/") ? kept(event.request) : newest(event.request));
});

/** A file of the program: its address names its content, so what is kept is right. @param {Request} request */
const kept = async (request) => {
  const cache = await caches.open(KEPT);
  return (await cache.match(request)) || put(cache, request, await fetch(request));
};

/** A page as it is; without a signal as it was. @param {Request} request */
const newest = async (request) => {
  const cache = await caches.open(KEPT);
  try {
    const answer = await fetch(request, request.mode === "navigate" ? {} : { signal: AbortSignal.timeout(PATIENCE) });
    if (new URL(answer.url || request.url).pathname === "/sign-in") await caches.delete(KEPT);
    return await put(cache, request, answer);
  } catch {
    const before = await cache.match(request, { ignoreVary: true });
    if (!before) return new Response(NOTHING, { status: 503, headers: { "content-type": "text/html", "content-security-policy": "default-src 'none'" } });
    return request.mode === "navigate" ? asItWas(before) : before;
  }
};

/** @param {Cache} cache @param {Request} request @param {Response} answer */
const put = async (cache, request, answer) => {
  if (answer.ok && !answer.redirected) {
    await cache.put(request, answer.clone());
    const every = await cache.keys();
    for (const old of every.slice(0, Math.max(0, every.length - MOST))) await cache.delete(old);
  }
  return answer;
};

/** A page with a line that says of when it is; its policy stays. @param {Response} before */
const asItWas = async (before) => {
  const at = new Date(before.headers.get("date") || Date.now()).toLocaleString([], { dateStyle: "medium", timeStyle: "short" });
  const line = `<div id="as-it-was" role="status"><p>No signal. This page is as it was ${at}.</p></div>`;
  const html = (await before.text()).replace('<main id="main">', () => `${line}<main id="main">`);
  return new Response(html, { status: before.status, headers: before.headers });
};
