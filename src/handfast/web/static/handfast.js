// Life for pages that also work without it: keys, sliders' words, focus after a new answer.
(function () {
  "use strict";
  var doc = document;
  var waitsForNumber = false;
  var remembered = "";
  var fromLine = false;

  function at(selector) { return doc.querySelector(selector); }
  function typing(element) {
    return Boolean(element && element.closest && element.closest("input:not([type=range]),textarea,select,[contenteditable]"));
  }
  function press(selector) {
    var element = at(selector);
    if (!element) { return false; }
    element.click();
    return true;
  }
  function go(selector) {
    var element = at(selector);
    if (!element) { return false; }
    element.focus({ preventScroll: true });
    element.scrollIntoView({ block: "start" });
    return true;
  }

  // ---- words that the page has told in its language: data-say-…
  function word(element, name, plain) { return (element && element.dataset["say" + name]) || plain; }

  // ---- sliders: what they say, and steps by key
  function said(slider) {
    var value = Number(slider.value);
    var unit = slider.dataset.unit;
    if (value === 0 && slider.dataset.zero) { return slider.dataset.zero; }
    if (unit === "lid") { return value + "° " + word(slider.form, "Open", "open"); }
    if (unit !== "curl") { return value + " " + word(slider, "Unit", unit); }
    return Math.abs(value) + "° " + (value > 0 ? word(slider.form, "Back", "back") : word(slider.form, "Dumped", "dumped"));
  }
  function speak(slider) {
    var words = said(slider);
    var output = at("output[for=" + slider.id + "]");
    if (output) { output.textContent = words; }
    slider.setAttribute("aria-valuetext", words);
  }
  function step(id, by) {
    var slider = doc.getElementById(id);
    if (!slider) { return false; }
    slider.value = String(Number(slider.value) + by);
    slider.dispatchEvent(new Event("input", { bubbles: true }));
    slider.dispatchEvent(new Event("change", { bubbles: true }));
    return true;
  }
  doc.addEventListener("input", function (event) {
    if (event.target.matches && event.target.matches("input[type=range]")) { speak(event.target); }
  });

  // while a slider moves only the width that is seen is drawn; when it rests, all are
  doc.addEventListener("htmx:configRequest", function (event) {
    var cause = event.detail.triggeringEvent;
    var box = doc.getElementById("drawing");
    if (box && cause && cause.type === "input" && event.target.matches(".slides")) {
      event.detail.parameters.size = box.clientWidth <= 640 ? "small" : box.clientWidth <= 880 ? "middle" : "wide";
    }
  });

  // ---- the typing line: a lone digit answers, .q and the like command
  function command(text) {
    var line = text.trim();
    if (/^[0-9]$/.test(line)) { return press("[data-reply='" + line + "']"); }
    if (/^\.\S$/.test(line)) { return bare(line[1]); }
    if (/^\.o[1-9]$/.test(line)) { return press("[data-outfit='" + line[2] + "']"); }
    if (line === "?") { return bare(line); }
    return false;
  }
  doc.addEventListener("submit", function (event) {
    var line = event.target.querySelector && event.target.querySelector("[data-line]");
    fromLine = Boolean(line);
    if (line && command(line.value)) { line.value = ""; event.preventDefault(); event.stopPropagation(); }
  }, true);

  // ---- certainty of the fact under the hand, else of the one just put in
  function certain(word) {
    var held = doc.activeElement && doc.activeElement.closest ? doc.activeElement.closest(".fact") : null;
    var fact = held || at(".fact[data-last]") || at(".fact.fresh");
    var button = fact && fact.querySelector("button[value=" + word + "]");
    if (!button) { return false; }
    button.click();
    return true;
  }

  // ---- what is read aloud, copied; the text message, counted
  function copied(text) {
    var note = at("#copied");
    function done() { if (note) { note.textContent = word(doc.body, "Copied", "copied") + ", " + text.length + " " + word(doc.body, "Characters", "characters"); } }
    function by_hand() {
      var box = doc.createElement("textarea");
      box.value = text;
      doc.body.appendChild(box);
      box.select();
      if (doc.execCommand("copy")) { done(); }
      box.remove();
    }
    if (navigator.clipboard && window.isSecureContext) { navigator.clipboard.writeText(text).then(done, by_hand); } else { by_hand(); }
  }
  function message() {
    var box = at("#message");
    var text = at("#textmessage");
    if (!box || !text) { return false; }
    box.open = true;
    text.focus();
    text.select();
    copied(text.value);
    return true;
  }
  doc.addEventListener("click", function (event) {
    var button = event.target.closest ? event.target.closest("[data-copy]") : null;
    if (!button) { return; }
    var from = at(button.dataset.copy);
    copied((from.value || from.textContent).trim());
  });
  doc.addEventListener("input", function (event) {
    if (!event.target.matches || !event.target.matches("[data-counted]")) { return; }
    var says = at("#counted");
    says.textContent = event.target.value.length + " " + word(doc.body, "Of", "of") + " " + says.dataset.most + " " + word(doc.body, "Characters", "characters");
  });

  // ---- what comes alive with script; minutes of the open calls; ticks that outlive a new answer
  var ticked = {};
  function minutes() {
    doc.querySelectorAll("[data-begun]").forEach(function (one) {
      var seconds = Math.max(0, Math.floor((Date.now() - Date.parse(one.dataset.begun)) / 1000));
      var rest = seconds % 60;
      one.textContent = seconds < 3600 ? Math.floor(seconds / 60) + ":" + (rest < 10 ? "0" : "") + rest : Math.floor(seconds / 3600) + " h " + Math.floor(seconds % 3600 / 60) + " min";
    });
  }
  function enliven() {
    doc.querySelectorAll("[data-live]").forEach(function (one) { one.hidden = false; });
    doc.querySelectorAll("[data-tick]").forEach(function (one) { one.checked = Boolean(ticked[one.dataset.tick]); });
    minutes();
  }
  doc.addEventListener("change", function (event) {
    var tick = event.target.dataset ? event.target.dataset.tick : "";
    if (tick) { ticked[tick] = event.target.checked; }
  });
  doc.addEventListener("htmx:afterSwap", enliven);
  setInterval(minutes, 1000);
  enliven();
  // on a call the cursor lives in the typing line; a phone's page is not moved for it
  if (at("[data-home]") && !at("[autofocus]") && window.innerWidth > 900 && !location.hash && !at("#faults")) { at("[data-home]").focus({ preventScroll: true }); }

  // ---- bare keys
  function units() {
    return press(".settings button[name=units][aria-pressed=false]");
  }
  function bare(key) {
    if (waitsForNumber) {
      waitsForNumber = false;
      if (/^[1-9]$/.test(key)) { return press("[data-outfit='" + key + "']"); }
    }
    switch (key) {
      case "/": return go("[data-type]");
      case "n": return press("[data-new]");
      case "o": waitsForNumber = Boolean(at("[data-outfit]")); return waitsForNumber;
      case "q": case "p": case "h": case "r": case "k": case "z": case "Z": case "t": case "s": case "m":
        return press("[data-key=" + key + "]");
      case "y": return press("[data-key=y]");
      case "x": return message();
      case "~": return certain("about");
      case "!": return certain("sure");
      case "-": return certain("unknown");
      case "u": return units();
      case "?": at("#keys").showModal(); return true;
      case "ArrowUp": return step("s-height", 1);
      case "ArrowDown": return step("s-height", -1);
      case "[": return step("s-curl", -2);
      case "]": return step("s-curl", 2);
      case "{": return step("s-lid", -2);
      case "}": return step("s-lid", 2);
      case "<": return step("s-piece", -1);
      case ">": return step("s-piece", 1);
    }
    if (/^[a-j]$/.test(key) && go("#h-" + key)) { return true; }
    if (key === "c") { location.assign("/comebacks"); return true; }
    if (/^[0-9]$/.test(key)) { return press("[data-reply='" + key + "']"); }
    return false;
  }
  doc.addEventListener("keydown", function (event) {
    if (event.ctrlKey || event.metaKey || event.altKey || event.defaultPrevented) { return; }
    if (event.key === "Escape" && !at("dialog[open]")) {
      if (typing(event.target)) { event.target.blur(); } else if (at("[data-line]")) { go("[data-line]"); }
      event.preventDefault();
      return;
    }
    if (typing(event.target) || at("dialog[open]") || !doc.body.dataset.keys) { return; }
    if (event.target.matches && event.target.matches("input[type=range]") && event.key.indexOf("Arrow") === 0) { return; }
    if (bare(event.key)) { event.preventDefault(); }
  });

  // ---- what could not be sent stays where it was typed, and is said
  function notKept(event) {
    var box = at("#notkept");
    if (box && event.target.closest("#call")) { box.hidden = false; }
  }
  doc.addEventListener("htmx:sendError", notKept);
  doc.addEventListener("htmx:responseError", notKept);
  doc.addEventListener("htmx:afterOnLoad", function () {
    var box = at("#notkept");
    if (box) { box.hidden = true; }
  });

  // ---- after a new answer the hand is where it was
  doc.addEventListener("htmx:beforeRequest", function (event) {
    var form = event.target;
    var box = form.closest ? form.closest("details[id]") : null;
    remembered = box ? "#" + box.id + " summary" : fromLine || at("[data-home]") || (form.querySelector && form.querySelector("[data-line]")) ? "#line" : "";
    fromLine = false;
  });
  doc.addEventListener("htmx:afterSwap", function (event) {
    var fault = event.detail.target && event.detail.target.id === "call" ? at("#call [aria-invalid=true], #faults") : null;
    if (event.target.id !== "call" && !fault) { return; }
    var place = at("#call [aria-invalid=true]") || at("#faults") || (remembered && at(remembered)) || at("[data-reply]") || at("#line");
    if (place) { place.focus({ preventScroll: !place.matches("[aria-invalid=true],#faults") }); }
  });
  doc.addEventListener("htmx:beforeSwap", function (event) {
    if (event.detail.xhr.status === 422) { event.detail.shouldSwap = true; event.detail.isError = false; }
  });
  var fault = at("#faults");
  if (fault) { fault.focus(); }
})();
