// Marks on a side photo: dragged, put down by a click, moved by the arrow keys. The number fields hold the truth.
(function () {
  "use strict";
  var doc = document;
  var form = doc.getElementById("marks");
  var stage = doc.getElementById("stage");
  var glass = doc.getElementById("glass");
  if (!form || !stage) { return; }
  var wide = Number(form.dataset.wide);
  var high = Number(form.dataset.high);
  var marks = Array.prototype.slice.call(stage.querySelectorAll(".mk"));
  var held = null;
  var drag = null;

  function name(mark) { return mark.dataset.mark; }
  function field(mark, side) { return doc.getElementById("m-" + name(mark) + "-" + side); }
  function button(mark) { return form.querySelector("[data-place=" + name(mark) + "]"); }
  function title(mark) { return form.querySelector("#m-" + name(mark) + "-x").getAttribute("aria-label").replace(/, px .*/, ""); }
  function place(mark) {
    var x = field(mark, "x").value;
    var y = field(mark, "y").value;
    return x === "" || y === "" ? null : { x: Number(x), y: Number(y) };
  }
  function within(value, most) { return Math.round(10 * Math.min(Math.max(value, 0), most)) / 10; }
  function put(mark, x, y) {
    field(mark, "x").value = String(within(x, wide));
    field(mark, "y").value = String(within(y, high));
    draw(mark);
  }

  // ---- drawing: the figures of the fields, over the photo
  function draw(mark) {
    var at = place(mark);
    if (!at) {
      mark.setAttribute("display", "none");
    } else {
      mark.removeAttribute("display");
      mark.setAttribute("transform", "translate(" + at.x + " " + at.y + ")");
      mark.setAttribute("aria-label", title(mark) + ", " + at.x + " " + form.dataset.sayRight + ", " + at.y + " " + form.dataset.sayDown);
    }
    stage.querySelectorAll("[data-from=" + name(mark) + "],[data-to=" + name(mark) + "]").forEach(line);
    if (mark === held) { look(); }
  }
  function line(one) {
    var a = place(stage.querySelector("[data-mark=" + one.dataset.from + "]"));
    var b = place(stage.querySelector("[data-mark=" + one.dataset.to + "]"));
    if (!a || !b) { one.setAttribute("display", "none"); return; }
    one.removeAttribute("display");
    one.setAttribute("x1", a.x); one.setAttribute("y1", a.y);
    one.setAttribute("x2", b.x); one.setAttribute("y2", b.y);
  }
  function look() {
    var at = held && place(held);
    if (!at) { glass.setAttribute("hidden", ""); return; }
    var half = 40 * wide / (8 * Math.max(stage.clientWidth, 1)) * 2;
    glass.setAttribute("viewBox", [at.x - half, at.y - half, 2 * half, 2 * half].join(" "));
    glass.querySelectorAll(".cross").forEach(function (cross) {
      cross.setAttribute("d", "M" + (at.x - half / 2) + " " + at.y + "h" + half + "M" + at.x + " " + (at.y - half / 2) + "v" + half);
    });
    glass.classList.toggle("left", at.x > wide / 2);
    glass.removeAttribute("hidden");
  }
  function size() {
    var box = stage.getScreenCTM();
    var unit = box && box.a ? 1 / box.a : wide / 800;
    marks.forEach(function (mark) {
      mark.querySelector(".hit").setAttribute("r", 18 * unit);
      mark.querySelectorAll(".ring").forEach(function (ring) { ring.setAttribute("r", 6 * unit); });
      mark.querySelectorAll(".cross").forEach(function (cross) { cross.setAttribute("transform", "scale(" + 10 * unit + ")"); });
      var text = mark.querySelector("text");
      text.setAttribute("font-size", 15 * unit); text.setAttribute("x", 12 * unit); text.setAttribute("y", -8 * unit);
    });
  }

  // ---- which mark is in hand
  function hold(mark) {
    held = mark;
    marks.forEach(function (one) {
      one.classList.toggle("held", one === mark);
      button(one).setAttribute("aria-pressed", one === mark ? "true" : "false");
    });
    stage.classList.toggle("placing", Boolean(mark));
    doc.getElementById("inhand").textContent = mark ? form.dataset.sayHand + ": " + title(mark) + "." : "";
    look();
  }
  function next(mark) {
    var after = marks.slice(marks.indexOf(mark) + 1).filter(function (one) { return !button(one).closest("details:not([open])"); });
    return after[0] || null;
  }
  function take(mark) {
    if (!place(mark)) { put(mark, wide / 2, high / 2); }
    hold(mark);
    mark.focus({ preventScroll: true });
    stage.scrollIntoView({ block: "nearest" });
  }

  // ---- mouse, pen, finger
  function spot(event) {
    var point = stage.createSVGPoint();
    point.x = event.clientX; point.y = event.clientY;
    return point.matrixTransform(stage.getScreenCTM().inverse());
  }
  stage.addEventListener("pointerdown", function (event) {
    if (event.button) { return; }
    var mark = event.target.closest(".mk");
    var at = spot(event);
    var unplaced = held && !drag && held.dataset.fresh;
    if (unplaced) { put(held, at.x, at.y); mark = held; }
    if (!mark) {
      if (!held) { return; }
      put(held, at.x, at.y); mark = held;
    }
    delete mark.dataset.fresh;
    hold(mark);
    var from = place(mark);
    drag = { mark: mark, x: from.x - at.x, y: from.y - at.y };
    stage.setPointerCapture(event.pointerId);
    mark.focus({ preventScroll: true });
    event.preventDefault();
  });
  stage.addEventListener("pointermove", function (event) {
    if (!drag) { return; }
    var at = spot(event);
    put(drag.mark, at.x + drag.x, at.y + drag.y);
  });
  ["pointerup", "pointercancel"].forEach(function (what) {
    stage.addEventListener(what, function () { drag = null; });
  });

  // ---- keys
  stage.addEventListener("keydown", function (event) {
    var mark = event.target.closest(".mk");
    var ways = { ArrowLeft: [-1, 0], ArrowRight: [1, 0], ArrowUp: [0, -1], ArrowDown: [0, 1] };
    if (!mark || event.ctrlKey || event.altKey || event.metaKey) { return; }
    var way = ways[event.key];
    if (way) {
      var by = event.shiftKey ? 10 : 1;
      var at = place(mark);
      delete mark.dataset.fresh;
      hold(mark);
      put(mark, at.x + by * way[0], at.y + by * way[1]);
    } else if (event.key === "Enter") {
      var other = next(mark);
      if (other) { fresh(other); take(other); }
    } else if (event.key === "Escape") {
      button(mark).focus(); hold(null);
    } else { return; }
    event.preventDefault(); event.stopPropagation();
  });
  function fresh(mark) { if (!place(mark)) { mark.dataset.fresh = "1"; } }

  form.addEventListener("input", function (event) {
    var owner = /^m-(.*)-[xy]$/.exec(event.target.id || "");
    if (owner) { draw(stage.querySelector("[data-mark=" + owner[1] + "]")); }
  });
  form.addEventListener("click", function (event) {
    var pressed = event.target.closest("[data-place]");
    if (!pressed) { return; }
    var mark = stage.querySelector("[data-mark=" + pressed.dataset.place + "]");
    fresh(mark);
    take(mark);
  });

  doc.documentElement.classList.add("life");
  marks.forEach(function (mark) {
    mark.setAttribute("tabindex", "0");
    mark.setAttribute("role", "button");
    mark.setAttribute("aria-roledescription", "mark");
    mark.addEventListener("focus", function () { hold(mark); });
    button(mark).hidden = false;
    draw(mark);
  });
  form.querySelectorAll(".scripted").forEach(function (one) { one.hidden = false; });
  size();
  window.addEventListener("resize", size);
  var faults = doc.getElementById("faults");
  if (faults) { faults.focus(); }
})();
