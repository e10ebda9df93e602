"use strict";
/* The search: every word typed has to be in the row of a cask; a row of which a number ends so, its own or one joined to it, comes first. index.html#WORDS begins with WORDS. */
(() => {
  const MOST = 50;
  const input = document.getElementById("search");
  const table = document.getElementById("found");
  const body = table.querySelector("tbody");
  const count = document.getElementById("count");
  const at = Object.fromEntries(COLUMNS.map((name, n) => [name, n]));
  const texts = CASKS.map((row) => row.join("\n").toLowerCase());
  const page = (number) => `casks/${encodeURIComponent(number.slice(0, -3))}/${encodeURIComponent(number)}.html`;

  function find(words) {
    const found = [];
    for (let n = 0; n < CASKS.length; n += 1) {
      if (words.every((word) => texts[n].includes(word))) found.push(n);
    }
    const numbers = (n) => [CASKS[n][at.cask], ...CASKS[n][at.joined].split(", ")];
    const ends = (n) => words.some((word) => numbers(n).some((number) => number.toLowerCase().endsWith(word)));
    return [...found.filter(ends), ...found.filter((n) => !ends(n))];
  }

  function show() {
    const words = input.value.toLowerCase().split(/\s+/).filter(Boolean);
    const found = words.length ? find(words) : [];
    body.replaceChildren(...found.slice(0, MOST).map((n) => {
      const row = document.createElement("tr");
      for (const name of ["cask", "type", "state", "berth", "due"]) {
        const cell = row.insertCell();
        if (name === "cask") {
          const link = document.createElement("a");
          link.href = page(CASKS[n][at.cask]);
          link.textContent = CASKS[n][at.cask];
          cell.append(link);
        } else {
          cell.textContent = CASKS[n][at[name]];
        }
      }
      return row;
    }));
    table.hidden = !found.length;
    const more = found.length > MOST ? `, the first ${MOST} shown` : "";
    count.textContent = words.length ? `${found.length} of ${CASKS.length} casks${more}` : `${CASKS.length} casks`;
  }

  input.addEventListener("input", show);
  window.addEventListener("hashchange", () => {
    input.value = decodeURIComponent(window.location.hash.slice(1));
    show();
  });
  if (window.location.hash) input.value = decodeURIComponent(window.location.hash.slice(1));
  show();
})();
