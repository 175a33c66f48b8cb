"use strict";
// What the other parts share: the numbers of the page, read once.
const report = (() => {
  const byId = (id) => document.getElementById(id);
  const data = JSON.parse(byId("numbers").textContent);
  const words = (text) => (text ? text.split(" ") : []);
  const parsed = new Map();

  // What one run says of each thing: "head-3" -> [["Pressure", "31.2", "psi"], ...].
  const columns = {
    head: [["pressure", "Pressure", "pressure"], ["flow", "Flow", "flow"], ["radius", "Throw", "length"]],
    pipe: [["flow", "Flow", "flow"], ["velocity", "Velocity", "velocity"], ["loss", "Loss", "pressure"]],
    device: [["flow", "Flow", "flow"], ["inlet", "Inlet", "pressure"], ["outlet", "Outlet", "pressure"]],
    valve: [["flow", "Flow", "flow"], ["inlet", "Inlet", "pressure"], ["outlet", "Outlet", "pressure"]],
    supply: [["flow", "Flow", "flow"], ["pressure", "Pressure", "pressure"]],
    point: [["pressure", "Pressure", "pressure"]],
  };
  function numbersOf(run) {
    if (parsed.has(run)) return parsed.get(run);
    const source = data.runs[run] && data.runs[run].numbers;
    let things = null;
    if (source) {
      things = new Map();
      for (const [kind, fields] of Object.entries(columns)) {
        const values = fields.map(([key]) => words(source[kind + "_" + key]));
        words(source[kind]).forEach((position, i) => {
          things.set(kind + "-" + position, fields.map(([, name, unit], f) => [name, values[f][i], data.units[unit]]));
        });
      }
    }
    parsed.set(run, things);
    return things;
  }
  document.documentElement.classList.add("scripted");
  return { byId, data, words, numbersOf };
})();
