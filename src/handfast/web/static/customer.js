// The customer's page: keeps what was chosen on the phone, sends it when there is signal, or writes it as text.
"use strict";
(() => {
  const form = document.getElementById("answers"), told = document.getElementById("told");
  if (!form) { return; }
  const alone = document.body.dataset.alone === "yes", key = "answers " + location.pathname;
  const store = { get: () => { try { return JSON.parse(localStorage.getItem(key) || "null"); } catch { return null; } },
    set: (value) => { try { localStorage.setItem(key, JSON.stringify(value)); } catch { /* the page still works */ } } };
  const say = (key) => { told.textContent = told.getAttribute("data-say-" + key); }; // words that the page has told in its language
  const fields = () => Object.fromEntries(new FormData(form));

  const lines = () => [...form.querySelectorAll("fieldset")].map((set) => {
    const number = set.dataset.number, given = fields();
    const words = [given["choice-" + number], given["words-" + number]]
      .map((part) => (part || "").split(/\s+/).filter(Boolean).join(" ")).filter(Boolean).join("; ");
    return words ? `Q${number} [${set.dataset.fact}]: ${words}` : "";
  }).filter(Boolean).join("\n");

  const write = () => {
    if (!alone) { return; }
    const text = lines();
    document.getElementById("reply").value = text;
    document.getElementById("mail").href = "mailto:?subject=" + encodeURIComponent(told.getAttribute("data-say-subject")) + "&body=" + encodeURIComponent(text);
  };
  const put = (given) => {
    for (const [name, value] of Object.entries(given || {})) {
      for (const field of form.querySelectorAll(`[name="${CSS.escape(name)}"]`)) {
        if (field.type === "radio") { field.checked = field.value === value; } else { field.value = value; }
      }
    }
  };
  const send = async () => {
    say("sending");
    try {
      const answer = await fetch(location.pathname, { method: "POST", headers: { accept: "application/json" }, body: new URLSearchParams(fields()) });
      if (!answer.ok) { store.set({ given: fields(), waits: false }); say("closed"); return; }
      store.set({ given: fields(), waits: false });
      say("arrived");
    } catch {
      store.set({ given: fields(), waits: true });
      say("waits");
    }
  };

  const kept = store.get();
  if (kept && (alone || kept.waits)) { put(kept.given); }
  write();
  form.addEventListener("input", () => { store.set({ given: fields(), waits: false }); write(); });
  if (alone) {
    document.getElementById("copy").addEventListener("click", async () => {
      const reply = document.getElementById("reply");
      reply.select();
      try { await navigator.clipboard.writeText(reply.value); } catch { document.execCommand("copy"); }
      say("copied");
    });
    return;
  }
  form.addEventListener("submit", (event) => { event.preventDefault(); send(); });
  window.addEventListener("online", () => { const now = store.get(); if (now && now.waits) { send(); } });
  if (kept && kept.waits && navigator.onLine) { send(); }
})();
