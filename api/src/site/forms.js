// Makes forms pleasant: a figure in the book's unit beside what is typed, sums and areas as they grow,
// and rows only as they are needed. Nothing is sent, and every form works without it. Its words stand
// in the page.
"use strict";
(() => {
  // What is typed, as the book reads it: a figure, with one point or comma before its decimals, alone
  // or before how far off it may be. Anything else shows nothing.
  const FIGURE = /^\s*(\d+(?:[.,]\d*)?)\s*(?:(?:±|\+\/?-).*)?$/;
  const number = (input) => {
    const found = FIGURE.exec(input.value);
    return found ? Number(found[1].replace(",", ".")) : null;
  };
  const written = (value, options) => value.toLocaleString(navigator.language, { useGrouping: false, ...options });

  const shown = (after) => {
    const output = document.createElement("output");
    output.className = "live";
    after.append(output);
    return output;
  };
  const follow = (part, show) => {
    part.addEventListener("input", show);
    part.addEventListener("change", show);
    show();
  };

  for (const select of document.querySelectorAll("select.measure")) {
    const row = select.parentElement;
    const input = row.querySelector("input");
    const output = shown(row.parentElement);
    follow(row, () => {
      const { factor, symbol } = select.selectedOptions[0]?.dataset ?? {};
      const value = number(input);
      const other = value !== null && factor && Number(factor) !== 1;
      output.value = other ? `= ${written(value * factor, { maximumSignificantDigits: 4 })} ${symbol}` : "";
    });
  }

  for (const group of document.querySelectorAll("fieldset[data-total]")) {
    const output = shown(group);
    const { total, unit } = group.dataset;
    follow(group, () => {
      const typed = [...group.querySelectorAll("input[inputmode=decimal]")].filter((i) => i.value.trim());
      const values = typed.map(number);
      const decimals = Math.max(0, ...typed.map((i) => (i.value.split(/[.,]/)[1] ?? "").trim().length));
      const whole = values.length > 1 && values.every((value) => value !== null);
      const sum = values.reduce((a, b) => a + b, 0);
      const digits = { minimumFractionDigits: decimals, maximumFractionDigits: decimals };
      output.value = whole ? `${total}: ${written(sum, digits)} ${unit}` : "";
    });
  }

  for (const size of document.querySelectorAll("select.size")) {
    const field = size.parentElement;
    const around = field.closest("fieldset, form");
    const count = around.querySelector("input[inputmode=numeric]");
    if (!count) continue;
    const output = shown(field);
    const sides = [...field.querySelectorAll("input")];
    follow(around, () => {
      const { width, height } = size.selectedOptions[0]?.dataset ?? {};
      const [w, h] = width ? [width, height] : sides.map(number);
      const area = /^\s*\d+\s*$/.test(count.value) ? (Number(count.value) * w * h) / 10000 : 0;
      output.value = area > 0 ? `= ${written(area, { maximumSignificantDigits: 3 })} m²` : "";
    });
  }

  const open = (row) =>
    [...row.querySelectorAll("input, select:not(.measure)")].every((field) => !field.value.trim());
  for (const form of document.forms) {
    const lists = Map.groupBy
      ? Map.groupBy(form.querySelectorAll("fieldset[data-more]"), (row) => row.dataset.more)
      : new Map();
    for (const [more, rows] of lists) {
      const hidden = () => rows.filter((row) => row.hidden);
      let last = rows.findLastIndex((row) => !open(row));
      rows.slice(Math.max(last + 1, 1)).forEach((row) => (row.hidden = true));
      if (!hidden().length) continue;
      const button = document.createElement("button");
      button.type = "button";
      button.className = "quiet";
      button.textContent = more;
      button.addEventListener("click", () => {
        const [next, ...others] = hidden();
        next.hidden = false;
        next.querySelector("input, select").focus();
        button.hidden = !others.length;
      });
      rows.at(-1).after(button);
    }
  }
})();
