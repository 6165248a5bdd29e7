// Paper or blueprint: the page's switch, kept for the next visit. Nothing else is stored.
(function () {
  "use strict";
  var root = document.documentElement;
  function put(ink) {
    if (ink === "paper" || ink === "blueprint") { root.setAttribute("data-ink", ink); }
    else { root.removeAttribute("data-ink"); }
  }
  function shown() {
    var set = root.getAttribute("data-ink");
    if (set) { return set; }
    return window.matchMedia("(prefers-color-scheme: dark)").matches ? "blueprint" : "paper";
  }
  function kept() { try { return localStorage.getItem("ink"); } catch (e) { return null; } }
  function keep(ink) { try { localStorage.setItem("ink", ink); } catch (e) { /* private window: the switch still works */ } }
  put(kept());
  document.addEventListener("click", function (event) {
    var button = event.target.closest ? event.target.closest("[data-switch=ink]") : null;
    if (!button) { return; }
    var next = shown() === "paper" ? "blueprint" : "paper";
    put(next);
    keep(next);
    button.setAttribute("aria-pressed", String(next === "blueprint"));
  });
})();
