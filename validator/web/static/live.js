// Makes the pages live: an answer changes only what it changes; without a signal it stays on this phone and is sent when the signal is
// back. Everything works without this file, by forms and links. It knows no fact and no rule: it carries forms, and nothing else.
"use strict";

(() => {
  const WAITING = "tile-desk answers waiting", HELD = "tile-desk answers held", AHEAD = "tile-desk questions ahead of ", PAGES = "tile-desk pages";
  const MOST_WAITING = 500, EVERY = 30000, LOOK_EVERY = 15000, PATIENCE = 20000, AHEAD_AFTER = 1500;
  const own = { createHTML: (html) => html, createScriptURL: (address) => address };
  const ours = window.trustedTypes ? trustedTypes.createPolicy("our own pages", own) : own;

  /** @param {string} html @returns {Document} */
  const read = (html) => new DOMParser().parseFromString(ours.createHTML(html), "text/html");

  /** @param {string} key @returns {Array<{action: string, body: [string, string][], asked: string, said: string}>} */
  const kept = (key) => { try { return JSON.parse(localStorage.getItem(key) || "[]"); } catch { return []; } };

  /** Keeps a list on this phone; false where it is full. @param {string} key @param {unknown[]} list */
  const keep = (key, list) => { try { localStorage.setItem(key, JSON.stringify(list)); return true; } catch { return false; } };

  let lost = false, trouble = ""; // whether the last thing that was sent got no answer; what the server said was wrong with itself
  const random = () => Array.from(crypto.getRandomValues(new Uint8Array(16)), (each) => each.toString(16).padStart(2, "0")).join("");
  const many = (number, word) => `${number} ${word}${number === 1 ? "" : "s"}`;

  const carried = { "x-carried-by": "live" }; // a page comes at once then, and its slower parts are asked for once it is shown

  /** Sends a form; a promise of the answer, refused where there is no signal. @param {string} action @param {[string, string][]} body */
  const send = (action, body) => fetch(action, { method: "POST", body: new URLSearchParams(body), headers: carried, credentials: "same-origin", signal: AbortSignal.timeout(PATIENCE) });

  /** What the server says is wrong with itself. @param {Response} answer */
  const whyOf = async (answer) => (read(await answer.text()).querySelector("main p")?.textContent || "The server cannot take it now.").split(/(?<=\.) /).slice(0, 2).join(" ");

  // -- what is told --------------------------------------------------------------------------------------------------------------

  /** Shows what waits, and what needs somebody, in a strip above the page. */
  const tell = (more = "") => {
    const waiting = kept(WAITING), held = kept(HELD);
    let strip = document.getElementById("strip");
    if (!waiting.length && !held.length && !more) { strip?.remove(); return; }
    if (!strip) {
      strip = document.createElement("div");
      strip.id = "strip";
      strip.setAttribute("role", "status");
      document.getElementById("main").before(strip);
    }
    const lines = [];
    if (waiting.length) lines.push(`${lost ? "No signal. " : trouble && `${trouble} `}${many(waiting.length, "answer")} on this phone, not sent yet. What is told above is from before ${waiting.length === 1 ? "it" : "them"}.`);
    if (more) lines.push(more);
    strip.replaceChildren(...lines.map((said) => Object.assign(document.createElement("p"), { textContent: said })));
    held.forEach((each, number) => {
      const line = document.createElement("p");
      const drop = Object.assign(document.createElement("button"), { type: "button", textContent: "Let it go" });
      drop.addEventListener("click", () => { keep(HELD, kept(HELD).filter((_, other) => other !== number)); tell(); });
      line.append(`This one needs you: ${each.asked} You said: ${each.said}. ${each.why} `, drop);
      strip.append(line);
    });
  };

  /** Keeps a page on this phone as it now is, for when there is no signal. @param {Response} answer @param {string} html */
  const keepPage = async (answer, html) => {
    if (answer.ok && navigator.serviceWorker?.controller) await (await caches.open(PAGES)).put(answer.url, new Response(html, { headers: answer.headers }));
  };

  /** Puts a page's parts in place of those shown. @param {Document} page */
  const show = (page) => {
    for (const name of ["main", "header"]) {
      const now = document.querySelector(name), next = page.querySelector(name);
      if (now && next) now.replaceWith(next);
    }
    document.title = page.title;
    tell();
    const at = document.getElementById("wrong") || document.getElementById("question");
    if (at) { at.tabIndex = -1; at.focus({ preventScroll: true }); }
    scrollTo(0, 0);
    fetchAfter();
    fetchAheadSoon();
  };

  /** Fills in the parts of a page that take longer than the page. */
  const fetchAfter = async () => {
    const address = document.getElementById("live")?.dataset.after;
    if (!address) return;
    try {
      const answer = await fetch(address, { signal: AbortSignal.timeout(PATIENCE) });
      if (!answer.ok || document.getElementById("live")?.dataset.after !== address) return;
      for (const part of read(await answer.text()).querySelectorAll("[id]")) document.getElementById(part.id)?.replaceChildren(...part.childNodes);
    } catch { /* the question is whole without them */ }
  };

  // -- without a signal ----------------------------------------------------------------------------------------------------------

  const place = () => document.getElementById("live")?.dataset.case || "";
  const keyOf = (form) => form.querySelector("input[name=key]")?.value || "";

  let soon = 0;
  /** Once somebody stays with a page: who answers quickly has the questions that were kept before. */
  const fetchAheadSoon = () => { clearTimeout(soon); soon = setTimeout(fetchAhead, AHEAD_AFTER); };

  /** Keeps the next questions of this case for when the signal is lost. */
  const fetchAhead = async () => {
    const here = place();
    if (!here) return;
    try {
      const answer = await fetch(`${here}/ahead`, { signal: AbortSignal.timeout(PATIENCE) });
      if (answer.ok) localStorage.setItem(AHEAD + here, await answer.text());
    } catch { /* those that are kept already stay */ }
  };

  /** Shows the next question that is kept on this phone and not answered yet. */
  const goOn = () => {
    const here = place(), asked = new Set(kept(WAITING).flatMap((each) => each.body.filter(([name]) => name === "key").map(([, key]) => key)));
    const forms = [...read(localStorage.getItem(AHEAD + here) || "").querySelectorAll("form")];
    const next = forms.find((form) => !asked.has(keyOf(form))), section = document.querySelector("section.ask");
    if (next) section.replaceChildren(next);
    else section.replaceChildren(Object.assign(document.createElement("h1"), { id: "question", textContent: "No more questions are on this phone" }),
      Object.assign(document.createElement("p"), { textContent: "The next come when the signal is back. What you answered is kept here." }));
    tell();
    document.getElementById("question")?.focus({ preventScroll: true });
    scrollTo(0, 0);
  };

  /** What somebody said, in their words, for when it needs them. @param {[string, string][]} body */
  const said = (body) => {
    const entered = ["pressed", "typed", "says", "left", "feet", "inches", "eighths", "number", "unit", "side", "other_side", "word"];
    if (body.some(([name]) => name === "rest")) entered.push("usual");
    return body.filter(([name, value]) => value && value !== "0" && entered.includes(name.split(".")[0])).map(([, value]) => value).join(" ");
  };

  let sending = false;
  /** Sends what waits, one after another, in order; stops at the first that gets no answer. */
  const sendWaiting = async () => {
    if (sending || !kept(WAITING).length) return;
    sending = true;
    let sent = 0;
    try {
      for (let waiting = kept(WAITING); waiting.length; waiting = kept(WAITING)) {
        const [first, ...rest] = waiting, token = document.querySelector("input[name=token]")?.value;
        const answer = await send(first.action, first.body.map(([name, value]) => [name, name === "token" && token ? token : value]));
        if (answer.status >= 500) { trouble = await whyOf(answer); break; }
        trouble = "";
        if (answer.status === 401) { tell("Sign in; nothing is lost."); break; }
        if (!answer.ok) {
          const why = { 409: "Somebody answered otherwise meanwhile.", 422: "It was not understood.", 403: "The page was from another session." };
          keep(HELD, [...kept(HELD), { ...first, why: why[answer.status] || "It was not taken." }]);
        }
        keep(WAITING, rest);
        sent += 1;
      }
      lost = false;
    } catch { lost = true; }
    sending = false;
    if (sent && !kept(WAITING).length && place()) {
      try { show(read(await (await fetch(place(), { headers: carried })).text())); } catch { tell(); }
    } else tell();
  };

  // -- answers -------------------------------------------------------------------------------------------------------------------

  document.addEventListener("submit", async (event) => {
    const form = event.target;
    if (!(form instanceof HTMLFormElement) || !("live" in form.dataset)) return;
    event.preventDefault();
    const body = [...new FormData(form, event.submitter)].map(([name, value]) => [name, String(value)]);
    const action = new URL(form.getAttribute("action"), location.href).pathname, isAnswer = form.id === "answer";
    if (form.dataset.sent) return;
    form.dataset.sent = "yes";
    if (!kept(WAITING).length) {
      try {
        const answer = await send(action, body);
        if (answer.status >= 500) {
          lost = false;
          trouble = await whyOf(answer);
        } else {
          if (answer.status === 401 || answer.status === 403) { tell(await answer.text().then((text) => text.startsWith("<") ? "This form is from another session; load the page again." : text)); delete form.dataset.sent; return; }
          trouble = "";
          const html = await answer.text();
          show(read(html));
          keepPage(answer, html);
          return;
        }
      } catch { lost = true; /* it is kept below */ }
    }
    const waiting = kept(WAITING), asked = form.querySelector("#question")?.textContent || "";
    const op = body.map(([name, value]) => [name, name === "op" && waiting.length ? random() : value]);
    if (!isAnswer || waiting.length >= MOST_WAITING || !keep(WAITING, [...waiting, { action, body: op, asked, said: said(body) }])) {
      delete form.dataset.sent;
      tell(isAnswer ? "Not kept: this phone is full. Your answer is still in its box." : "No signal: that needs one.");
      return;
    }
    goOn();
  });

  // -- others on the same case ---------------------------------------------------------------------------------------------------

  const lookForOthers = async () => {
    const live = document.getElementById("live");
    if (!live || document.hidden || kept(WAITING).length) return;
    try {
      const answer = await fetch(`${live.dataset.case}/seq`, { signal: AbortSignal.timeout(PATIENCE) });
      if (answer.ok && (await answer.text()) !== document.getElementById("live")?.dataset.seq) tell("This case has changed since the page was made. Load it again to see; your answer can still be sent.");
    } catch { /* no signal; nothing is lost */ }
  };

  // -- opened once, opened again without a signal ---------------------------------------------------------------------------------

  const keepOpened = async () => {
    if (!navigator.serviceWorker) return; // over plain http in an office: answers are kept only while the page is open
    await navigator.serviceWorker.register(ours.createScriptURL("/worker.js"));
    await navigator.serviceWorker.ready;
    const cache = await caches.open(PAGES), files = [...document.querySelectorAll("link[rel=stylesheet], script[src]")].map((each) => each.href || each.src);
    for (const each of [location.href.split("#")[0], ...files]) if (!(await cache.match(each))) await cache.add(each).catch(() => {});
  };

  document.querySelector("form.signed-in")?.addEventListener("submit", () => { window.caches?.delete(PAGES); });
  keepOpened().catch(() => {});
  addEventListener("online", sendWaiting);
  document.addEventListener("visibilitychange", () => { if (!document.hidden) sendWaiting(); });
  setInterval(sendWaiting, EVERY);
  setInterval(lookForOthers, LOOK_EVERY);
  tell();
  fetchAhead();
  sendWaiting();
})();
