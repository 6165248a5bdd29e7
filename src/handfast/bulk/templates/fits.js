"use strict";
const seek = document.getElementById("seek"), words = document.getElementById("words"), told = document.getElementById("told");
seek.hidden = false;
seek.addEventListener("submit", event => event.preventDefault());
words.addEventListener("input", () => {
  const asked = words.value.toLowerCase().split(/\s+/).filter(Boolean);
  let tractors = 0;
  for (const section of document.querySelectorAll(".tractor")) {
    const own = section.dataset.words;
    const left = asked.filter(word => !own.includes(word));
    let rows = 0;
    for (const row of section.querySelectorAll("tbody tr")) {
      row.hidden = !left.every(word => row.dataset.words.includes(word));
      if (!row.hidden) rows++;
    }
    section.hidden = left.length > 0 && rows === 0;
    if (!section.hidden) tractors++;
  }
  told.textContent = asked.length ? tractors + (tractors === 1 ? " tractor" : " tractors") : "";
});
