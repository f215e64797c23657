// Station 3: the critical loading from densities and from torques or viscosities.

import { byId, el } from "app/shared/dom";
import { list, numberBox, tableOf, under } from "app/laboratory/fields";
import { labFigure } from "app/laboratory/figures";
import { keeper, recall } from "app/laboratory/keep";
import { tableBox } from "app/laboratory/table";
import { number } from "app/shared/numbers";

export function criticalStation({ laboratory, shelf, spawn, recipe }) {
  const kept = recall("critical") ?? {};
  const figure = labFigure(laboratory, "critical", "Density and flow resistance against loading", "Density peaks at the critical loading; flow resistance diverges there. The tinted band is the 95 % interval.", { tall: true });
  const said = el("p", { className: "said-so", id: "critical-said", role: "status", "aria-live": "polite" });
  const work = el("p", { id: "critical-work" });
  const numbers = el("div", { id: "critical-numbers" });
  const button = el("button", { type: "button", id: "critical-use", hidden: true }, "Use it in the recipe");
  const results = el("div", { hidden: true }, work, el("div", { className: "row" }, button), figure.root, numbers);
  let found = null;
  let tableNotes = [];

  const keep = keeper("critical", () => ({ powder: powder.input.value, binder: binder.input.value, exponent: exponent.input.value, exponentError: exponentError.input.value }));
  const again = () => {
    keep();
    box.again();
  };
  const powder = numberBox("critical-powder", "feedstock.powder_density", { empty: "fitted", changed: again, help: "Density of the solid, not of the loose powder. Leave it empty to fit it too." });
  const binder = numberBox("critical-binder", "feedstock.binder_density", { empty: "fitted", changed: again, help: "At the temperature of the density readings, usually 20 °C. Leave it empty to fit it too." });
  const exponent = numberBox("critical-exponent", "feedstock.loading_exponent", { title: "Exponent of the divergence", empty: "fitted", value: 2, changed: again, help: "m in (1 − φ/φc)^−m; 2 is customary. Leave it empty to fit it too, which needs readings close to the critical loading." });
  const exponentError = numberBox("critical-exponent-spread", "page.exponent_error", { value: 0.4, changed: again });
  for (const [field, text] of [[powder, kept.powder], [binder, kept.binder], [exponent, kept.exponent], [exponentError, kept.exponentError]]) {
    if (text !== undefined) field.input.value = text;
  }
  const box = tableBox("critical-text", "Readings against loading", {
    spawn,
    form: shelf.loadings_form,
    example: shelf.loadings,
    exampleWords: "The worked example is invented: it was computed from a critical loading of 65 vol% and rounded.",
    job,
    take,
    cleared,
    working,
  });
  byId("critical-ins").append(box.root, powder.root, binder.root, exponent.root, exponentError.root);
  byId("critical-outs").append(said, results);
  button.addEventListener("click", () => {
    recipe.setCritical(found.critical);
    byId("recipe").scrollIntoView({ block: "start" });
    byId("recipe").focus({ preventScroll: true });
  });
  said.textContent = "No readings yet. Paste some, or press “Worked example”.";
  box.again();

  function job(text) {
    const known = [powder, binder, exponent, exponentError].map((field) => field.read());
    if (known.some(Number.isNaN)) return null;
    const [powder_density, binder_density, given, exponent_error] = known.map((value) => value ?? null);
    return { call: "assess", args: { text, powder_density, binder_density, exponent: given, exponent_error } };
  }

  function working(words) {
    results.classList.add("old");
    button.hidden = true;
    said.textContent = words;
  }

  function cleared(why) {
    results.classList.add("old");
    button.hidden = true;
    if (why === "empty") results.hidden = true;
    said.textContent = { empty: "No readings yet. Paste some, or press “Worked example”.", field: "Not fitted: see the message at the field.", refused: "Not fitted: see the list below the readings." }[why];
  }

  function take({ told, bytes }) {
    found = told.found;
    tableNotes = told.table.notes;
    laboratory.take_assessment(bytes);
    results.hidden = false;
    results.classList.remove("old");
    figure.refresh();
    said.textContent = found.verdict;
    work.textContent = found.reason;
    button.hidden = !found.critical;
    show();
  }

  function show() {
    const rows = [];
    const remarks = [...tableNotes];
    const add = (by, title, estimate, unit) => {
      const open = estimate.low === null && estimate.high === null;
      const bounds = open && estimate.standard_error === null ? "given" : interval(estimate);
      const error = typeof estimate.standard_error === "number" ? number(estimate.standard_error, 2) : "–";
      rows.push([`${title}, by ${by}`, under(number(estimate.value, 4), unit), bounds, error, unit]);
    };
    const { density, resistance } = found;
    if (density.Ok) {
      add("density", "Critical loading", density.Ok.critical, "vol%");
      add("density", "Powder density", density.Ok.powder_density, "kg/m³");
      add("density", "Binder density", density.Ok.binder_density, "kg/m³");
      remarks.push(...density.Ok.remarks);
    } else remarks.push(`Density: ${density.Err}`);
    if (resistance.Ok) {
      const by = resistance.Ok.of.replace("_", " ");
      add(by, "Critical loading", resistance.Ok.critical, "vol%");
      add(by, "Factor A", resistance.Ok.factor, "of the readings");
      add(by, "Exponent m", resistance.Ok.exponent, "–");
      remarks.push(...resistance.Ok.remarks);
    } else remarks.push(`Flow resistance: ${resistance.Err}`);
    if (found.agree) add("both together", "Critical loading", found.critical, "vol%");
    const heads = [{ words: "Constant" }, "Value", "95 % interval", "Standard error", { words: "Unit" }];
    numbers.replaceChildren(...[rows.length > 0 && tableOf("What was fitted", heads, rows, "stacked"), list(remarks)].filter(Boolean));
  }
}

function interval({ low, high }) {
  const side = (value) => (typeof value === "number" ? number(value, 4) : "open");
  return `${side(low)} to ${side(high)}`;
}
