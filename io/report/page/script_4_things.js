"use strict";
// Things of the plan: what is pointed at, tapped, found or stepped to shows its numbers on the card.
report.things = (() => {
  const { byId, view } = report;
  const kinds = /^(head|pipe|device|valve|supply|point|suspect)-\d+$/;
  const card = byId("card");
  let run = "", chosen = null;

  function thingAt(element) {
    while (element && element !== view.frame) {
      if (kinds.test(element.id)) return element;
      element = element.parentElement;
    }
    return null;
  }
  // A finger is wider than a mark: what is nearest within its reach counts.
  function near(x, y) {
    for (const reach of [0, 6, 12, 18])
      for (let turn = 0; turn < (reach ? 8 : 1); ++turn) {
        const angle = (turn * Math.PI) / 4;
        const found = thingAt(document.elementFromPoint(x + reach * Math.cos(angle), y + reach * Math.sin(angle)));
        if (found) return found;
      }
    return null;
  }
  const rowOf = (id) => byId("row-" + id) ?? rows().get("row-" + id);
  let allRows = null; // also those that a filter has taken out
  function rows() {
    if (!allRows) {
      allRows = new Map();
      for (const table of report.tables.values()) for (const row of table.rows) if (row.id) allRows.set(row.id, row);
    }
    return allRows;
  }
  const titleOf = (element) => {
    const title = element.querySelector("title");
    return title ? title.textContent : element.id;
  };

  function fill(element) {
    const id = element.id, row = rowOf(id);
    const pairs = [];
    if (row) {
      const titles = row.closest("table")?.tHead.rows[0].cells ?? report.tables.get(boxOf(id)).head.rows[0].cells;
      [...row.cells].forEach((cell, i) => {
        if (i === 0 || cell.textContent === "-") return;
        const unit = titles[i].querySelector("small");
        const name = unit ? titles[i].textContent.replace(unit.textContent, "").trim() : titles[i].textContent;
        pairs.push([name, cell.textContent + (unit ? " " + unit.textContent : ""), cell.classList.contains("over")]);
      });
    }
    const name = row ? row.cells[0].textContent : "";
    const kind = id.slice(0, id.indexOf("-"));
    const heading = document.createElement("h3");
    heading.textContent = row ? kind[0].toUpperCase() + kind.slice(1) + " " + name : titleOf(element).split("\n")[0];
    const list = document.createElement("dl");
    const put = ([term, text, over]) => {
      const pair = document.createElement("div"), dt = document.createElement("dt"), dd = document.createElement("dd");
      dt.textContent = term;
      dd.textContent = text;
      if (over) dd.className = "over";
      pair.append(dt, dd);
      list.append(pair);
    };
    card.replaceChildren(heading);
    const ofRun = run === "" ? null : report.numbersOf(run)?.get(id);
    if (run !== "") {
      const note = document.createElement("p");
      note.textContent = ofRun ? "In run " + report.runName(run) + ": " + ofRun.filter(([, text]) => text !== "-").map(([term, text, unit]) => `${term.toLowerCase()} ${text} ${unit}`).join(", ")
        : report.numbersOf(run) ? (kind === "pipe" ? "Hardly any water or none passes it in run " : "No water passes it in run ") + report.runName(run) + "."
        : "The numbers of run " + report.runName(run) + " are not in this file; see evenhead check --run.";
      card.append(note);
    }
    if (row) {
      if (run !== "") {
        const note = document.createElement("p");
        note.textContent = "Over all runs:";
        card.append(note);
      }
      pairs.forEach(put);
      card.append(list);
    } else {
      const words = document.createElement("p");
      words.textContent = titleOf(element);
      card.append(words);
    }
    card.classList.toggle("over-limit", element.classList.contains("over"));
    card.hidden = false;
  }
  const boxOf = (id) => (id.startsWith("head") ? "heads-table" : id.startsWith("pipe") ? "pipes-table" : "devices-table");

  function choose(element, bringIt) {
    if (chosen) chosen.classList.remove("chosen");
    chosen = element;
    if (!element) {
      card.hidden = true;
      return;
    }
    element.classList.add("chosen");
    if (bringIt) view.bring(element);
    fill(element);
  }
  function step(by) {
    const kind = chosen ? chosen.id.replace(/-\d+$/, "") : "head";
    const all = [...view.drawing.querySelectorAll(`[id^="${kind}-"]`)].filter((element) => kinds.test(element.id));
    if (all.length === 0) return;
    const at = chosen ? all.indexOf(chosen) : by > 0 ? -1 : 0;
    choose(all[(at + by + all.length) % all.length], true);
  }

  // The number of a suspect place, in its table, leads to its mark.
  byId("suspects-table")?.addEventListener("click", (event) => {
    const link = event.target.closest("a[href^='#suspect-']");
    if (!link) return;
    event.preventDefault();
    choose(byId(link.hash.slice(1)), true);
    byId("plan").scrollIntoView();
    view.frame.focus({ preventScroll: true });
  });
  view.frame.addEventListener("click", (event) => {
    if (report.dragged) return;
    choose(near(event.clientX, event.clientY), false);
  });
  let seen = ""; // where the mouse was: a page that scrolls beneath it is no pointing
  view.frame.addEventListener("pointermove", (event) => {
    const here = event.screenX + " " + event.screenY;
    if (event.pointerType !== "mouse" || event.buttons || here === seen) return;
    seen = here;
    const element = thingAt(event.target);
    if (element) fill(element);
  });
  view.frame.addEventListener("pointerleave", () => {
    if (chosen) fill(chosen);
    else card.hidden = true;
  });
  view.frame.addEventListener("keydown", (event) => {
    if (event.key === "n" || event.key === "N") step(1);
    if (event.key === "p" || event.key === "P") step(-1);
    if (event.key === "Escape") choose(null);
  });
  return {
    rows, choose,
    chosen: () => chosen,
    setRun(to) {
      run = to;
      if (chosen) fill(chosen);
    },
  };
})();
