"use strict";
// Choose a run: what it waters lights up, the rest dims; its grade line and worksheet take their place.
(() => {
  const { byId, data, words, view, things } = report;
  const select = byId("run");
  const states = Object.keys(data.shapes);
  const before = new Map(); // attributes as drawn, of what a run has changed
  report.runName = (run) => select.querySelector(`option[value="${run}"]`).textContent.replace(/: [a-z ]+$/, "");

  function change(element, name, value) {
    if (!element) return;
    if (!before.has(element)) before.set(element, new Map());
    const old = before.get(element);
    if (!old.has(name)) old.set(name, element.getAttribute(name));
    element.setAttribute(name, value);
  }
  function classes(element, add, remove = []) {
    if (!element) return;
    const list = new Set((element.getAttribute("class") ?? "").split(" "));
    remove.forEach((name) => list.delete(name));
    add.forEach((name) => list.add(name));
    change(element, "class", [...list].join(" "));
  }
  function restore() {
    for (const [element, attributes] of before)
      for (const [name, value] of attributes) element.setAttribute(name, value);
    before.clear();
    view.drawing.classList.remove("one-run");
  }
  function headState(head, state) {
    const element = byId("head-" + head);
    classes(element, ["lit", state], states);
    const mark = element?.querySelector(".mark");
    if (mark) change(mark, "d", data.shapes[state]);
    classes(byId("throw-" + head), ["lit"]);
  }
  // The lines of several pipes as one path.
  const lines = (ids) => ids.filter((id) => id.startsWith("pipe-")).map((id) => byId(id)?.getAttribute("d") ?? "").join("") || "M0 0";
  function light(run) {
    const facts = data.runs[run];
    view.drawing.classList.add("one-run");
    for (const element of view.drawing.querySelectorAll(".over")) classes(element, [], ["over"]);
    const heads = new Map(words(data.main_heads).map((head) => [head, "within"]));
    for (const valve of words(facts.open)) {
      classes(byId("valve-" + valve), ["lit"]);
      for (const head of words(data.zone_heads[valve])) heads.set(head, "within");
      for (const pipe of words(data.zone_pipes[valve])) classes(byId("pipe-" + pipe), ["lit"]);
    }
    for (const state of ["low", "high", "dry"]) for (const head of words(facts[state])) heads.set(head, state);
    if (!facts.unsolved) for (const [head, state] of heads) headState(head, state);
    const over = words(facts.over);
    for (const id of over) classes(byId(id), ["over", "lit"]);
    change(byId("over-pipes"), "d", lines(over));
    change(byId("way"), "d", lines(words(facts.way)));
    const critical = byId("critical"), head = byId("head-" + facts.critical);
    if (critical) change(critical, "transform", head ? head.getAttribute("transform").replace(/scale.*/, "") : "scale(0)");
  }
  function showSheet(run) {
    for (const sheet of document.querySelectorAll(".sheet.chosen")) sheet.classList.remove("chosen");
    const wanted = byId("sheet-" + (run === "" ? data.critical : run));
    const picked = byId("sheet-picked");
    if (wanted) wanted.classList.add("chosen");
    picked.textContent = run === "" ? "The run with the least margin; choose another at the plan. All are printed."
      : wanted ? "The run chosen at the plan." : "There is no worksheet of run " + report.runName(run) + " in this file.";
    picked.hidden = false;
  }
  function choose() {
    const chosen = things.chosen();
    things.choose(null);
    restore();
    if (select.value !== "") light(select.value);
    showSheet(select.value);
    things.setRun(select.value);
    if (chosen) things.choose(chosen);
  }
  select.addEventListener("change", choose);
  byId("plan-tools").hidden = false;
  showSheet("");
})();
