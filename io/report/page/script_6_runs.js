"use strict";
// Choose a run: what it waters lights up, the rest dims; its grade line and worksheet take their place.
(() => {
  const { byId, data, words, view, things } = report;
  const select = byId("run");
  const states = ["low", "within", "high", "dry", "off"];
  const before = new Map(); // classes as drawn, of what a run has changed
  report.runName = (run) => select.querySelector(`option[value="${run}"]`).textContent.replace(/: [a-z ]+$/, "");

  function classOf(element, classes) {
    if (!before.has(element)) before.set(element, element.getAttribute("class"));
    for (const [name, on] of classes) element.classList.toggle(name, on);
  }
  function restore() {
    for (const [element, classes] of before) element.setAttribute("class", classes);
    before.clear();
    view.drawing.classList.remove("one-run");
  }
  function light(run) {
    const facts = data.runs[run];
    view.drawing.classList.add("one-run");
    const lit = new Map();
    const each = (kind, list, name) => words(list).forEach((position) => lit.set(kind + "-" + position, name));
    for (const valve of words(facts.open)) {
      lit.set("valve-" + valve, "");
      each("head", data.zone_heads[valve], "within");
      each("pipe", data.zone_pipes[valve], "");
    }
    each("head", data.main_heads, "within");
    for (const state of ["low", "high", "dry"]) each("head", facts[state], state);
    // Something over its limit in another run is not over it here.
    for (const element of view.drawing.querySelectorAll(".over")) classOf(element, [["over", false]]);
    for (const element of view.drawing.querySelectorAll(".way")) classOf(element, [["way", false]]);
    for (const [id, state] of lit) {
      const element = byId(id);
      if (!element) continue;
      classOf(element, [["lit", true], ...(state ? states.map((name) => [name, name === state]) : [])]);
    }
    for (const id of words(facts.over)) if (byId(id)) classOf(byId(id), [["over", true], ["lit", true]]);
    for (const id of words(facts.numbers?.way)) if (byId(id)) classOf(byId(id), [["way", true], ["lit", true]]);
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
    restore();
    if (select.value !== "") light(select.value);
    showSheet(select.value);
    things.setRun(select.value);
    const chosen = things.chosen();
    if (chosen) chosen.classList.add("chosen");
  }
  select.addEventListener("change", choose);
  byId("plan-tools").hidden = false;
  showSheet("");
})();
