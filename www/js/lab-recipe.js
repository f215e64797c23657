// Station 1: powder, binder parts and loading give an estimated feedstock, each number with its band.

import { byId, el, onceAFrame, whenQuiet } from "app/dom";
import { choiceBox, list, numberBox, tableOf } from "app/lab-fields";
import { labFigure } from "app/lab-figures";
import { parameter } from "app/model";
import { number } from "app/numbers";

const LAWS = [
  ["power", "Power form, (1 − φ/φc)^−m"],
  ["krieger_dougherty", "Krieger and Dougherty"],
  ["eilers", "Eilers"],
  ["chong", "Chong"],
  ["quemada", "Quemada"],
  ["mooney", "Mooney, for comparison"],
];
const RULES = [
  ["maxwell_eucken", "Maxwell and Eucken"],
  ["bruggeman", "Bruggeman"],
  ["lichtenecker", "Lichtenecker"],
];
const LOADINGS = [
  ["volume_percent", "by volume"],
  ["mass_percent", "by mass"],
];
const AMOUNTS = [
  ["mass_kg", "mass, kg"],
  ["volume_l", "volume, L"],
];

export function recipeStation(bench) {
  const { laboratory, shelf, use } = bench;
  const [first] = shelf.recipes;
  let rows = [];
  let estimate = null;
  const figures = [
    labFigure(laboratory, "recipe_flow", "Viscosity against shear rate", "Around the chosen temperature; the wash is the band of the middle one."),
    labFigure(laboratory, "recipe_loading", "Viscosity against loading", "At the chosen shear rate and temperature, with its band."),
  ];
  const changed = onceAFrame(compute);
  // Curves follow the hand; long tables wait until it rests.
  const fillTables = whenQuiet(60, show);

  const name = el("input", { id: "recipe-name", type: "text", maxLength: 120, autocomplete: "off", oninput: changed });
  const powder = choiceBox("recipe-powder", "Powder", shelf.powders.map((p) => [p.key, p.name]), first.recipe.powder, changed);
  const unit = choiceBox("recipe-unit", "Loading is given", LOADINGS, "volume_percent", convert);
  const loading = numberBox("recipe-loading", "Solids loading", { unit: "%", min: 0, max: 99.9, changed: typed });
  const slider = el("input", { id: "recipe-slider", type: "range", min: "30", max: "75", step: "0.1", "aria-label": "Solids loading", oninput: slid });
  const critical = numberBox("recipe-critical", "Critical loading", { unit: "vol%", path: "feedstock.critical_loading", optional: true, changed, help: "Empty: that of a usual lot of the powder." });
  const size = numberBox("recipe-size", "Median particle size", { unit: "µm", path: "feedstock.particle_size", optional: true, changed, help: "Empty: the powder’s usual size." });
  const law = choiceBox("recipe-law", "How viscosity grows with loading", LAWS, "power", changed);
  const exponent = numberBox("recipe-exponent", "Exponent m", { path: "feedstock.loading_exponent", value: 2, changed });
  const rule = choiceBox("recipe-rule", "Conductivity of the mixture", RULES, "maxwell_eucken", changed);
  const rate = numberBox("recipe-rate", "Shear rate", { unit: "1/s", value: 1000, min: 0.01, max: 1e6, changed });
  const temperature = numberBox("recipe-temperature", "Temperature", { unit: "°C", value: 160, min: 60, max: 400, changed });
  const amountOf = choiceBox("recipe-amount-of", "Batch by", AMOUNTS, "mass_kg", changed);
  const amount = numberBox("recipe-amount", "Amount", { value: 10, min: 0.001, max: 100000, changed });
  const regrind = numberBox("recipe-regrind", "Regrind in it", { unit: "% by mass", value: 0, min: 0, max: 100, changed });
  const parts = el("ol", { className: "parts" });
  const sum = el("p", { id: "recipe-sum", "aria-live": "polite" });
  const trouble = el("ul", { className: "trouble", id: "recipe-trouble", hidden: true, "aria-live": "polite" });

  const said = el("p", { className: "said-so", id: "recipe-said", role: "status", "aria-live": "polite" });
  const remarks = el("div");
  const numbers = el("div", { id: "recipe-numbers" });
  const batch = el("div", { id: "recipe-batch" });
  const results = el("div", {}, said, el("div", { className: "figures" }, figures.map((f) => f.root)), numbers, batch, remarks);

  byId("recipe-ins").append(
    el("div", { className: "row" }, el("span", { className: "small" }, "Worked recipes, invented:"), shelf.recipes.map(({ recipe }) =>
      el("button", { type: "button", className: "quiet", onclick: () => put(recipe) }, recipe.name))),
    el("div", { className: "field wide" }, el("label", { htmlFor: "recipe-name" }, "Name of the feedstock"), name),
    powder.root,
    el("div", { className: "inline" }, loading.root, unit.root),
    slider,
    el("fieldset", {}, el("legend", {}, "Binder, % by mass"), parts,
      el("div", { className: "row" }, el("button", { type: "button", id: "recipe-add", onclick: add }, "Add a part")), sum),
    trouble,
    el("div", { className: "inline" }, rate.root, temperature.root),
    el("details", { className: "more" }, el("summary", {}, "Rules and what is known of the lot"),
      el("div", { className: "inline" }, critical.root, size.root), law.root, exponent.root, rule.root),
    el("details", { className: "more", open: true }, el("summary", {}, "Batch"),
      el("div", { className: "inline" }, amountOf.root, amount.root, regrind.root)),
    el("div", { className: "row" }, el("button", { type: "button", id: "recipe-use", onclick: () => use(() => laboratory.link_with_recipe(JSON.stringify(bench.scenario))) }, "Use this feedstock")),
    el("p", { className: "small" }, "Opens the window of the scenario with this feedstock in it, marked as estimated from a recipe."),
  );
  byId("recipe-outs").append(results);

  function put(recipe) {
    name.value = recipe.name;
    powder.input.value = recipe.powder;
    unit.input.value = Object.keys(recipe.loading)[0];
    loading.set(Object.values(recipe.loading)[0]);
    follow();
    critical.set(recipe.critical_loading);
    size.set(recipe.particle_size);
    rows = recipe.binder.map(({ part, mass_fraction }) => row(part, Number((100 * mass_fraction).toPrecision(10))));
    parts.replaceChildren(...rows.map((r) => r.root));
    changed();
  }

  function row(part, percent) {
    const choice = el("select", { "aria-label": "Binder part", onchange: changed }, shelf.binders.map((b) => el("option", { value: b.key }, b.name)));
    choice.value = part;
    const error = el("p", { className: "error", hidden: true });
    const input = el("input", { type: "text", inputMode: "decimal", autocomplete: "off", "aria-label": "% of the binder’s mass", oninput: changed });
    const share = numberBox("part", "Share", { unit: "%", min: 0, max: 100, changed });
    // Only the reader of the number box is wanted here: the line has its own field.
    const read = () => {
      share.input.value = input.value;
      const value = share.read();
      fail(Number.isNaN(value) ? share.root.querySelector(".error").textContent : null);
      return value;
    };
    const fail = (message) => {
      error.textContent = message ?? "";
      error.hidden = !message;
      if (message) input.setAttribute("aria-invalid", "true");
      else input.removeAttribute("aria-invalid");
    };
    share.set(percent);
    input.value = share.input.value;
    const remove = el("button", { type: "button", className: "quiet", "aria-label": "Remove this part" }, "Remove");
    const own = {
      root: el("li", {}, el("div", { className: "part" }, choice, el("div", { className: "entry" }, input, el("span", { className: "unit" }, "%")), remove), error),
      read,
      fail,
      part: () => choice.value,
      focus: () => choice.focus(),
    };
    remove.addEventListener("click", () => {
      rows = rows.filter((r) => r !== own);
      own.root.remove();
      byId("recipe-add").focus();
      changed();
    });
    return own;
  }

  function add() {
    const taken = new Set(rows.map((r) => r.part()));
    const free = shelf.binders.find((b) => !taken.has(b.key)) ?? shelf.binders[0];
    const shares = rows.map((r) => r.read());
    const rest = 100 - shares.reduce((a, b) => a + (b || 0), 0);
    const own = row(free.key, rest > 0 ? Number(rest.toPrecision(6)) : 0);
    rows.push(own);
    parts.append(own.root);
    own.focus();
    changed();
  }

  // The same powder content in the other unit, where it is known.
  function convert(wanted) {
    if (estimate) {
      const share = estimate.properties.find((p) => p.quantity === "powder_mass")?.value;
      loading.set(Number((wanted === "mass_percent" ? share : estimate.feedstock.solids_loading).toPrecision(5)));
    }
    follow();
    changed();
  }

  function typed() {
    follow();
    changed();
  }

  function follow() {
    const byVolume = unit.read() === "volume_percent";
    slider.min = byVolume ? "30" : "60";
    slider.max = byVolume ? "75" : "98";
    const value = loading.read();
    if (!Number.isNaN(value)) slider.value = String(value);
  }

  function slid() {
    loading.set(Number(slider.value));
    changed();
  }

  // The recipe as the core reads it, or null where a field holds no number.
  function written() {
    const shares = rows.map((r) => r.read());
    const total = shares.reduce((a, b) => a + b, 0);
    sum.textContent = `Sum: ${number(total, 6)} %`;
    const given = { loading: loading.read(), critical: critical.read(), size: size.read(), exponent: exponent.read(), rate: rate.read(), temperature: temperature.read(), amount: amount.read(), regrind: regrind.read() };
    if ([...shares, ...Object.values(given)].some(Number.isNaN)) return null;
    return {
      rate: given.rate,
      temperature: given.temperature,
      recipe: {
        name: name.value,
        powder: powder.read(),
        loading: { [unit.read()]: given.loading },
        binder: rows.map((r, i) => ({ part: r.part(), mass_fraction: Number((shares[i] / 100).toPrecision(12)) })),
        ...(given.critical !== null && { critical_loading: given.critical }),
        ...(given.size !== null && { particle_size: given.size }),
        loading_law: law.read(),
        loading_exponent: given.exponent,
        conductivity_rule: rule.read(),
        batch: { amount: { [amountOf.read()]: given.amount }, ...(given.regrind > 0 && { regrind: { mass_fraction: given.regrind / 100 } }) },
      },
    };
  }

  function compute() {
    trouble.hidden = true;
    const wanted = written();
    if (!wanted) {
      stale("Not estimated: see the message at the field.");
      return;
    }
    try {
      estimate = JSON.parse(laboratory.estimate(JSON.stringify(wanted.recipe), wanted.rate, wanted.temperature));
    } catch (error) {
      if (!error?.problems) throw error;
      refuse(error.problems);
      stale("Not estimated: see the message.");
      return;
    }
    results.classList.remove("old");
    byId("recipe-use").disabled = false;
    for (const figure of figures) figure.refresh();
    say();
    fillTables();
  }

  function stale(words) {
    estimate = null;
    results.classList.add("old");
    byId("recipe-use").disabled = true;
    said.textContent = words;
  }

  // Problems at their fields, the others in the list.
  function refuse(problems) {
    const left = [];
    for (const { path, message } of problems) {
      const [, place, field] = /^binder\.(\d+)\.(\w+)$/.exec(path) ?? [];
      if (path.startsWith("loading.")) loading.fail(`Solids loading ${message}`);
      else if (path === "critical_loading") critical.fail(`Critical loading ${message}`);
      else if (field === "mass_fraction") rows[place]?.fail(`The share, as a fraction, ${message}`);
      else if (field) rows[place]?.fail(`The part ${message}`);
      else left.push(path === "binder" ? `Binder: ${message}` : `${title(path)} ${message}`);
    }
    trouble.hidden = left.length === 0;
    trouble.replaceChildren(...left.map((words) => el("li", {}, words)));
  }

  function say() {
    const at = estimate.properties.find((p) => p.quantity === "viscosity_at_1000");
    said.textContent = `An estimate: ${number(at.value, 3)} Pa·s at 1000 1/s and the reference temperature, between ${number(at.low, 2)} and ${number(at.high, 2)} Pa·s.`;
  }

  function show() {
    if (!estimate) return;
    const line = (e) => [title(e.quantity), number(e.value, 4), e.low === e.high ? "–" : `${number(e.low, 4)} to ${number(e.high, 4)}`, e.unit || "–", e.rule];
    const heads = [{ words: "Quantity" }, "Estimate", "Band, low to high", { words: "Unit" }, { words: "Rule or source" }];
    numbers.replaceChildren(
      tableOf("Constants of the feedstock", heads, estimate.parameters.map(line)),
      el("details", { className: "more" }, el("summary", {}, "Further properties, and what makes the viscosity uncertain"),
        tableOf("Properties of binder and mixture", heads, estimate.properties.map(line)),
        tableOf("What makes the viscosity uncertain", [{ words: "Source of error" }, "As a factor"], estimate.viscosity_errors.map((e) => [e.source, `× ${number(Math.exp(e.log_error), 3)}`])),
        tableOf("Conductivity by each rule", [{ words: "Rule" }, "W/mK"], estimate.conductivities.map((c) => [RULES.find(([key]) => key === c.rule)[1], number(c.conductivity, 3)]))),
    );
    const sheet = estimate.batch;
    batch.replaceChildren(
      tableOf(`To weigh for ${number(sheet.mass_kg, 5)} kg or ${number(sheet.volume_l, 5)} L, ${number(sheet.volume_percent, 4)} vol% or ${number(sheet.mass_percent, 4)} % by mass of powder`, [{ words: "Material" }, "kg"], [
        ...(sheet.regrind_kg > 0 ? [["Regrind", number(sheet.regrind_kg, 5)]] : []),
        [shelf.powders.find((p) => p.key === powder.read()).name, number(sheet.powder_kg, 5)],
        ...sheet.parts.map((p) => [p.name, number(p.mass_kg, 5)]),
      ]),
    );
    remarks.replaceChildren(el("h3", {}, "To bear in mind"), list(estimate.remarks));
  }

  put((shelf.recipes.find(({ recipe }) => recipe.name === bench.scenario.feedstock.name) ?? first).recipe);
  return {
    ready: () => estimate !== null,
    setCritical(value) {
      critical.set(Number(value.toFixed(2)));
      changed();
    },
  };
}

// `binder_heat_capacity` by the catalogue's words, or by its own.
function title(quantity) {
  const known = parameter(quantity) ?? parameter(`feedstock.${quantity}`);
  if (known) return known.title;
  const words = quantity.split(".").pop().replaceAll("_", " ");
  return words[0] ? words[0].toUpperCase() + words.slice(1) : "It";
}
