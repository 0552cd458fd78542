// Keeps what is being typed on this phone until it was saved, and sends it again when the connection comes back.
// Every page works without it.
"use strict";
(() => {
  const status = document.getElementById("status");
  const say = (text) => { if (status && status.textContent !== text) status.textContent = text; };
  const place = (form) => `galebook:${form.dataset.kept}`;
  const fields = (form) => [...form.elements].filter((e) => e.name && !["hidden", "file", "submit"].includes(e.type));

  const kept = (form) => {
    try { return JSON.parse(localStorage.getItem(place(form))) || {}; } catch { return {}; }
  };
  const keep = (form) => {
    const typed = kept(form);
    for (const e of fields(form)) {
      if (e.type === "radio") { if (e.checked) typed[e.name] = e.value; }
      else typed[e.name] = e.type === "checkbox" ? (e.checked ? e.value : "") : e.value;
    }
    // The same sheet of the form makes one record, however often it is sent.
    if (form.elements.once) typed[" once"] = form.elements.once.value;
    try { localStorage.setItem(place(form), JSON.stringify(typed)); } catch { /* full, or not allowed here */ }
  };
  const forget = (form) => { try { localStorage.removeItem(place(form)); } catch { /* not allowed here */ } };

  const restore = (form) => {
    const typed = kept(form);
    let back = false;
    for (const e of fields(form)) {
      if (!(e.name in typed)) continue;
      if (e.type === "radio") e.checked = e.value === typed[e.name];
      else if (e.type === "checkbox") e.checked = typed[e.name] === e.value;
      else if (e.tagName !== "SELECT" || [...e.options].some((o) => o.value === typed[e.name])) e.value = typed[e.name];
      if (typed[e.name] && e.tagName !== "SELECT" && e.type !== "radio") back = true;
    }
    if (form.elements.once && typed[" once"]) form.elements.once.value = typed[" once"];
    if (back && form.action && form.method === "post") offerEmpty(form);
  };
  const offerEmpty = (form) => {
    const line = document.createElement("p");
    const button = document.createElement("button");
    line.textContent = "This was typed here before and not saved yet.";
    button.type = "button";
    button.className = "quiet";
    button.textContent = "Begin with an empty form";
    button.addEventListener("click", () => { forget(form); location.reload(); });
    line.append(button);
    form.prepend(line);
  };

  const tooLarge = (form) => {
    const files = [...form.elements].filter((e) => e.type === "file").flatMap((e) => [...e.files]);
    return Number(form.dataset.most || Infinity) < files.reduce((sum, f) => sum + f.size, 0);
  };

  const waiting = new Map();
  const again = (form) => {
    const held = waiting.get(form);
    if (held && form.isConnected) { clearTimeout(held.timer); waiting.delete(form); send(form, held.button); }
  };
  const wait = (form, button) => {
    say("No connection. What you typed is kept on this phone, and sent when the connection is back. You can go on typing.");
    waiting.set(form, { button, timer: setTimeout(() => again(form), 5000) });
  };

  const send = async (form, button) => {
    keep(form);
    if (tooLarge(form)) { say("That is too much at once. Nothing was sent."); return; }
    const data = new FormData(form);
    if (button && button.name) data.append(button.name, button.value);
    const buttons = form.querySelectorAll("button");
    buttons.forEach((b) => { b.disabled = true; });
    say("Saving ...");
    try {
      const body = form.enctype === "multipart/form-data" ? data : new URLSearchParams(data);
      await answered(form, await fetch(form.action, { method: "POST", body, credentials: "same-origin" }));
    } catch {
      wait(form, button);
    } finally {
      buttons.forEach((b) => { b.disabled = false; });
    }
  };
  const answered = async (form, answer) => {
    if (answer.ok && answer.redirected) { forget(form); location.assign(answer.url); return; }
    const page = new DOMParser().parseFromString(await answer.text(), "text/html");
    if ([401, 413].includes(answer.status) || answer.status >= 500 || !page.querySelector("form[data-kept]")) {
      const told = page.querySelector("main [role=alert]");
      say(told ? told.textContent : "It could not be saved. What you typed is kept on this phone.");
      if (answer.status === 503) throw new Error("busy");
      return;
    }
    say("");
    document.querySelector("main").replaceWith(page.querySelector("main"));
    arrange();
    const form2 = document.querySelector("form[data-kept]");
    keep(form2);
    const wrong = document.querySelector(".wrong.all");
    if (wrong) wrong.focus();
  };

  const arrange = () => {
    for (const form of document.querySelectorAll("form[data-kept]")) {
      // What the program gave back is what was typed last.
      if (!("wrong" in form.dataset)) restore(form);
      form.addEventListener("input", () => keep(form));
      if (form.method !== "post") continue;
      form.addEventListener("submit", (event) => {
        event.preventDefault();
        if (!waiting.has(form)) send(form, event.submitter); else again(form);
      });
    }
  };
  arrange();
  addEventListener("offline", () => say("No connection. You can go on typing; it is kept on this phone."));
  addEventListener("online", () => { say(""); [...waiting.keys()].forEach(again); });
  if ("serviceWorker" in navigator && isSecureContext) navigator.serviceWorker.register("/sw.js").catch(() => {});
})();
