// Answers where there is no connection: with a page to write on. No page of a journal is kept.
"use strict";
const KEPT = "galebook-1";
const FILES = ["/offline", "/static/style.css", "/static/page.js", "/static/icon.svg"];
addEventListener("install", (event) => {
  event.waitUntil(caches.open(KEPT).then((c) => c.addAll(FILES)).then(() => skipWaiting()));
});
addEventListener("activate", (event) => event.waitUntil(clients.claim()));
addEventListener("fetch", (event) => {
  const { request } = event;
  if (request.method !== "GET") return;
  const kept = request.mode === "navigate" ? "/offline" : new URL(request.url).pathname;
  if (FILES.includes(kept)) event.respondWith(fetch(request).catch(() => caches.match(kept)));
});
