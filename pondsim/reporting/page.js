"use strict";
(() => {
  const body = document.body;
  const each = (selector, act, root = document) => root.querySelectorAll(selector).forEach(act);

  // Units: both texts are in the page, a class shows one.
  const show = (system) => {
    body.classList.toggle("show-us", system === "us");
    body.classList.toggle("show-si", system === "si");
    each("[data-units]", (button) => button.setAttribute("aria-pressed", String(button.dataset.units === system)));
  };
  each(".switch", (group) => { group.hidden = false; });
  each("[data-units]", (button) => button.addEventListener("click", () => show(button.dataset.units)));
  show(body.classList.contains("show-si") ? "si" : "us");

  // Folds: closed on a screen, open on paper.
  const folds = [...document.querySelectorAll("details")];
  let before = [];
  folds.forEach((fold) => { fold.open = false; });
  window.addEventListener("beforeprint", () => {
    before = folds.map((fold) => fold.open);
    folds.forEach((fold) => { fold.open = true; });
  });
  window.addEventListener("afterprint", () => folds.forEach((fold, k) => { fold.open = before[k]; }));

  // Sorting: the heads become buttons; rows move within their group.
  const order = (row, column) => {
    const cell = row.cells[column];
    const text = cell.dataset.order ?? cell.textContent.trim();
    const number = Number(text);
    return { number: text === "" || Number.isNaN(number) ? null : number, text };
  };
  const compare = (a, b) => {
    if (a.text === "" || b.text === "") return Number(a.text === "") - Number(b.text === "");
    return a.number !== null && b.number !== null ? a.number - b.number : a.text.localeCompare(b.text);
  };
  const sort = (table, head, column) => {
    const rising = head.getAttribute("aria-sort") !== "ascending";
    each("thead [aria-sort]", (other) => other.removeAttribute("aria-sort"), table);
    head.setAttribute("aria-sort", rising ? "ascending" : "descending");
    for (const part of table.tBodies) {
      const rows = [...part.rows].filter((row) => !row.matches(".group, .last"));
      const keyed = rows.map((row) => [order(row, column), row]);
      keyed.sort((a, b) => {
        const missing = Number(a[0].text === "") - Number(b[0].text === "");
        return missing || (rising ? 1 : -1) * compare(a[0], b[0]);
      });
      const last = part.querySelector(".last");
      keyed.forEach(([, row]) => part.insertBefore(row, last));
    }
  };
  each("table", (table) => {
    [...table.tHead.rows[0].cells].forEach((head, column) => {
      const button = document.createElement("button");
      button.type = "button";
      button.append(...head.childNodes);
      head.append(button);
      button.addEventListener("click", () => sort(table, head, column));
    });
  });

  // Reading: values of the lines under the pointer.
  const moment = (ms) => new Date(ms).toISOString().slice(0, 16).replace("T", " ");
  const nearest = (line, at) => {
    let low = 0;
    let high = line.at.length - 1;
    if (at < line.at[0] - 20 || at > line.at[high] + 20) return null;
    while (high - low > 1) {
      const middle = (low + high) >> 1;
      if (line.at[middle] > at) high = middle; else low = middle;
    }
    return line.is[at - line.at[low] < line.at[high] - at ? low : high];
  };
  each("figure", (figure) => {
    const data = figure.querySelector(".readings");
    if (!data) return;
    const systems = JSON.parse(data.textContent);
    const out = figure.querySelector(".reading");
    each(".drawing", (drawing) => {
      const panels = systems[drawing.classList.contains("si") ? "si" : "us"].panels || [];
      const hair = document.createElement("div");
      hair.className = "hair";
      hair.hidden = true;
      drawing.append(hair);
      const clear = () => { hair.hidden = true; out.textContent = ""; };
      drawing.addEventListener("pointerleave", clear);
      drawing.addEventListener("pointermove", (event) => {
        const place = drawing.querySelector("svg").getBoundingClientRect();
        const x = (event.clientX - place.left) / place.width;
        const y = (event.clientY - place.top) / place.height;
        const panel = panels.find(({ box }) => x >= box[0] && x <= box[2] && y >= box[1] && y <= box[3]);
        if (!panel) { clear(); return; }
        const share = (x - panel.box[0]) / (panel.box[2] - panel.box[0]);
        const values = panel.lines.map((line) => [line.name, nearest(line, share * 2000)]);
        const said = values.filter(([, value]) => value !== null).map(([name, value]) => `${name} ${value}`.trim());
        out.textContent = `${moment(panel.from + share * (panel.to - panel.from))}, ${panel.name}: ${said.join(", ")}`;
        hair.hidden = false;
        hair.style.left = `${x * place.width}px`;
        hair.style.top = `${panel.box[1] * place.height}px`;
        hair.style.height = `${(panel.box[3] - panel.box[1]) * place.height}px`;
      });
    }, figure);
  });
})();
