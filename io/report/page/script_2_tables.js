"use strict";
// Tables: sort by a column, show the rows with a text, copy what is shown as CSV.
(() => {
  const seen = 150; // rows before the others are folded away
  const collator = new Intl.Collator("en", { numeric: true });

  function value(row, column) {
    const text = row.cells[column].textContent;
    const number = Number.parseFloat(text.replace("\u2212", "-"));
    return { text, number };
  }

  // A cell that a spreadsheet would run as a formula gets an apostrophe in front.
  function csvCell(text) {
    if (text === "-") return ""; // not known
    const plain = /^[+-]?(\d+\.?\d*|\.\d+)(e[+-]?\d+)?$/i.test(text);
    const safe = /^[=+\-@\t\r]/.test(text) && !plain ? "'" + text : text;
    return /[",\n\r]/.test(safe) ? '"' + safe.replaceAll('"', '""') + '"' : safe;
  }

  class Table {
    constructor(box) {
      this.box = box;
      this.tables = [...box.querySelectorAll("table")];
      this.head = this.tables[0].tHead;
      this.rows = this.tables.flatMap((table) => [...table.tBodies[0].rows]);
      this.order = this.rows;
      this.tools();
      [...this.head.rows[0].cells].forEach((cell, column) => this.sortable(cell, column));
    }
    tools() {
      const name = this.tables[0].caption.textContent;
      const tools = document.createElement("div");
      tools.className = "table-tools";
      if (this.rows.length > 5) {
        this.filter = document.createElement("input");
        this.filter.type = "search";
        this.filter.placeholder = "rows with this text";
        this.filter.setAttribute("aria-label", "Show rows of " + name + " with this text");
        this.filter.addEventListener("input", () => this.show());
        tools.append(this.filter);
      }
      const copy = document.createElement("button");
      copy.type = "button";
      copy.textContent = "Copy as CSV";
      copy.setAttribute("aria-label", "Copy " + name + " as CSV");
      copy.addEventListener("click", () => this.copy());
      this.said = document.createElement("output");
      tools.append(copy, this.said);
      this.box.prepend(tools);
    }
    sortable(cell, column) {
      const button = document.createElement("button");
      button.type = "button";
      button.append(...cell.childNodes);
      button.addEventListener("click", () => this.sort(cell, column));
      cell.append(button);
    }
    sort(cell, column) {
      const down = cell.getAttribute("aria-sort") === "ascending";
      for (const other of this.head.rows[0].cells) other.removeAttribute("aria-sort");
      cell.setAttribute("aria-sort", down ? "descending" : "ascending");
      const numbers = cell.classList.contains("number");
      const keys = new Map(this.rows.map((row) => [row, value(row, column)]));
      const compare = (a, b) => {
        const one = keys.get(a), other = keys.get(b);
        if (!numbers) return collator.compare(one.text, other.text) * (down ? -1 : 1);
        // What is not known stands last either way.
        if (Number.isNaN(one.number) || Number.isNaN(other.number)) return Number.isNaN(one.number) - Number.isNaN(other.number);
        return (one.number - other.number) * (down ? -1 : 1);
      };
      this.order = [...this.rows].sort(compare);
      this.show();
    }
    shown() {
      const text = this.filter ? this.filter.value.trim().toLowerCase() : "";
      return text ? this.order.filter((row) => row.textContent.toLowerCase().includes(text)) : this.order;
    }
    show() {
      const rows = this.shown();
      this.tables[0].tBodies[0].replaceChildren(...rows.slice(0, seen));
      if (this.tables[1]) {
        this.tables[1].tBodies[0].replaceChildren(...rows.slice(seen));
        const rest = this.tables[1].closest("details");
        rest.hidden = rows.length <= seen;
        rest.firstElementChild.textContent = Math.max(0, rows.length - seen) + " more rows";
      }
      this.said.textContent = rows.length === this.rows.length ? "" : rows.length + " of " + this.rows.length + " rows";
    }
    csv() {
      const titles = [...this.head.rows[0].cells].map((cell) => {
        const unit = cell.querySelector("small");
        const title = unit ? cell.textContent.replace(unit.textContent, "").trim() : cell.textContent;
        return unit ? title + " (" + unit.textContent + ")" : title;
      });
      const lines = [titles, ...this.shown().map((row) => [...row.cells].map((cell) => cell.textContent))];
      return lines.map((line) => line.map(csvCell).join(",")).join("\r\n") + "\r\n";
    }
    async copy() {
      const text = this.csv();
      try {
        await navigator.clipboard.writeText(text);
      } catch {
        const area = document.createElement("textarea");
        area.value = text;
        this.box.append(area);
        area.select();
        document.execCommand("copy");
        area.remove();
      }
      this.said.textContent = "Copied " + this.shown().length + " rows";
    }
  }
  report.tables = new Map();
  for (const box of document.querySelectorAll(".table.tools")) report.tables.set(box.id, new Table(box));
})();
