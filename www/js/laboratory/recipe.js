// Station 1: powder, binder parts and loading give an estimated feedstock, each number with its band.

import { Laboratory } from "app/shared/core";
import { byId, download, el, fileName, numberInput, onceAFrame, whenQuiet } from "app/shared/dom";
import { choiceBox, described, list, numberBox, readNumber, ruleBox, ruleWords, tableOf, under, wayBack } from "app/laboratory/fields";
import { labFigure } from "app/laboratory/figures";
import { keeper, recall } from "app/laboratory/keep";
import { parameter } from "app/window/settings/model";
import { number } from "app/shared/numbers";

const LOADINGS = [
  ["volume_percent", "by volume"],
  ["mass_percent", "by mass"],
];
// Fields of the page by their paths in the recipe.
const FIELDS = {
  critical_loading: "critical",
  critical_loading_error: "criticalError",
  particle_size: "size",
  loading_exponent: "exponent",
  reference_temperature: "reference",
  "batch.amount.mass_kg": "amount",
  "batch.amount.volume_l": "amount",
  "batch.regrind.mass_fraction": "regrind",
  "batch.regrind.loading": "regrindLoading",
};
const AMOUNTS = [
  ["mass_kg", "mass"],
  ["volume_l", "volume"],
];

export function recipeStation(bench) {
  const { laboratory, shelf, use } = bench;
  const [first] = shelf.recipes;
  let rows = [];
  let estimate = null;
  // Viscosity at the rate and temperature that the curves are drawn at, these two, and a remark on the curves.
  let chosen = null;
  let at = null;
  let remark = null;
  const figures = [
    labFigure(laboratory, "recipe_flow", "Estimated viscosity against shear rate", "At and around the chosen temperature. The tinted band belongs to the chosen one."),
    labFigure(laboratory, "recipe_loading", "Viscosity against loading", "At the chosen shear rate and temperature, with its band."),
  ];
  const recompute = onceAFrame(compute);
  // Until it is edited, the recipe is a worked one, and nothing is kept.
  let touched = false;
  // What was typed of name, loading and lot; the rest follows the powder. Of it, what was typed for another powder.
  let typedOnes = new Set();
  let keptOnes = new Set();
  // The worked recipe that was opened last, and the density of the binder in the last estimate.
  let worked = first.recipe;
  let binderDensity = null;
  const keep = keeper("recipe", () => (touched ? state() : null));
  const changed = () => {
    touched = true;
    keep();
    recompute();
  };
  // Curves follow each key; long tables wait for a pause.
  const fillTables = whenQuiet(60, show);

  // An empty field follows the powder.
  const mark = (key, text) => {
    typedOnes[text.trim() === "" ? "delete" : "add"](key);
    keptOnes.delete(key);
    tellKept();
  };
  const typing = (key) => () => {
    mark(key, boxes[key].input.value);
    changed();
  };
  const name = el("input", { id: "recipe-name", type: "text", maxLength: 120, autocomplete: "off", "aria-describedby": "recipe-name-remark", oninput: () => {
    mark("name", name.value);
    changed();
  } });
  const nameRemark = el("p", { className: "error", id: "recipe-name-remark", role: "status", hidden: true });
  const powder = choiceBox("recipe-powder", "Powder", shelf.powders.map((p) => [p.key, p.name]), otherPowder);
  const followed = el("p", { className: "small", id: "recipe-followed", role: "status", hidden: true });
  const unit = choiceBox("recipe-unit", "Powder content", LOADINGS, convert);
  const loading = numberBox("recipe-loading", "recipe.loading.volume_percent", { changed: typed });
  const slider = el("input", { id: "recipe-slider", type: "range", min: "30", max: "75", step: "0.1", "aria-label": "Powder content", oninput: slid });
  const critical = numberBox("recipe-critical", "feedstock.critical_loading", { empty: "usual", changed: typing("critical"), help: "It belongs to the lot: measure it, or find it in station 3. Leave it empty for that of a usual lot of the powder." });
  const criticalError = numberBox("recipe-critical-spread", "recipe.critical_loading_error", { empty: "usual", changed: typing("criticalError") });
  const size = numberBox("recipe-size", "feedstock.particle_size", { empty: "usual", changed: typing("size") });
  const law = ruleBox("loading_law", changed);
  const exponent = numberBox("recipe-exponent", "feedstock.loading_exponent", { value: 2, changed });
  const rule = ruleBox("conductivity_rule", changed);
  const form = ruleBox("flow_form", changed);
  const noFlow = ruleBox("no_flow_rule", changed);
  const reference = numberBox("recipe-reference", "recipe.reference_temperature", { empty: "usual", changed });
  const rate = numberBox("recipe-rate", "page.rate", { value: 1000, changed });
  const temperature = numberBox("recipe-temperature", "page.temperature", { value: 160, changed });
  const amountOf = choiceBox("recipe-amount-of", "Batch by", AMOUNTS, (wanted) => {
    amount.describe(`recipe.batch.amount.${wanted}`);
    changed();
  });
  const amount = numberBox("recipe-amount", "recipe.batch.amount.mass_kg", { title: "Amount of feedstock", value: 10, changed });
  const regrind = numberBox("recipe-regrind", "page.regrind", { value: 0, changed });
  const regrindLoading = numberBox("recipe-regrind-loading", "recipe.batch.regrind.loading", { empty: "same", changed });
  // What is kept of the station, by name; the binder's parts beside it.
  const boxes = { powder, unit, loading, critical, criticalError, size, law, exponent, rule, form, noFlow, reference, rate, temperature, amountOf, amount, regrind, regrindLoading };
  const parts = el("ol", { className: "parts" });
  const sum = el("p", { id: "recipe-sum", "aria-live": "polite" });
  const trouble = el("ul", { className: "trouble", id: "recipe-trouble", hidden: true, "aria-live": "polite" });

  const said = el("p", { className: "said-so", id: "recipe-said", role: "status", "aria-live": "polite" });
  const beyond = el("p", { className: "small", id: "recipe-beyond", hidden: true });
  const beside = el("div", { id: "recipe-beside" });
  const remarks = el("div");
  const numbers = el("div", { id: "recipe-numbers" });
  const batch = el("div", { id: "recipe-batch" });
  const results = el("div", {}, said, beyond, beside, el("div", { className: "figures" }, figures.map((f) => f.root)), numbers, batch, remarks);

  const back = wayBack("Restore my recipe");
  byId("recipe-ins").append(
    el("div", { className: "row" }, el("span", { className: "small" }, "Worked recipes (invented):"), shelf.recipes.map(({ title, recipe }) =>
      el("button", { type: "button", className: "quiet", onclick: () => replace(recipe) }, title)), back.button),
    el("div", { className: "field choice" }, el("label", { htmlFor: "recipe-name" }, "Name of the feedstock"), name, nameRemark),
    powder.root,
    followed,
    unit.root,
    loading.root,
    slider,
    el("fieldset", {}, el("legend", {}, "Binder, % by mass"), parts,
      el("div", { className: "row" }, el("button", { type: "button", id: "recipe-add", onclick: add }, "Add a part")), sum),
    trouble,
    el("fieldset", {}, el("legend", {}, "This powder lot"), critical.root, criticalError.root, size.root),
    el("details", { className: "more rules", id: "recipe-rules" }, el("summary", {}, "Rules of the estimate"),
      law.root, exponent.root, form.root, reference.root, noFlow.root, rule.root),
    el("fieldset", {}, el("legend", {}, "Curves drawn at"), rate.root, temperature.root),
    el("fieldset", {}, el("legend", {}, "Batch"), amountOf.root, amount.root, regrind.root, regrindLoading.root),
    el("div", { className: "row" }, el("button", { type: "button", id: "recipe-use", onclick: () => use(() => laboratory.link_with_recipe(JSON.stringify(bench.scenario))) }, "Use this feedstock")),
    el("p", { className: "small" }, "Opens the window with this feedstock, marked as estimated from a recipe. What you enter on this page is kept in this tab."),
  );
  byId("recipe-outs").append(results);

  // A worked recipe in place of what is there, with a way back to it.
  function replace(recipe) {
    if (touched) {
      const before = state();
      back.offer(() => {
        restore(before);
        changed();
      });
    }
    put(recipe);
    touched = false;
    keep();
  }

  function put(recipe) {
    worked = recipe;
    typedOnes = new Set();
    followed.hidden = true;
    name.value = recipe.name ?? "";
    const [given] = Object.keys(recipe.loading);
    powder.set(recipe.powder);
    unit.set(given);
    loading.set(recipe.loading[given]);
    critical.set(recipe.critical_loading);
    criticalError.set(recipe.critical_loading_error);
    size.set(recipe.particle_size);
    law.set(recipe.loading_law);
    exponent.set(recipe.loading_exponent);
    rule.set(recipe.conductivity_rule);
    form.set(recipe.flow_form);
    noFlow.set(recipe.no_flow_rule);
    reference.set(recipe.reference_temperature);
    fill(recipe.binder.map(({ part, mass_fraction }) => [part, String(Number((100 * mass_fraction).toPrecision(10)))]));
    follow();
    recompute();
  }

  function fill(lines) {
    rows = lines.map(([part, text]) => row(part, text));
    parts.replaceChildren(...rows.map((r) => r.root));
  }

  // The station as it stands, whatever is wrong with it.
  function state() {
    const texts = Object.entries(boxes).map(([key, box]) => [key, box.input.value]);
    return { ...Object.fromEntries(texts), name: name.value, typed: [...typedOnes], worked: worked.powder, parts: rows.map((r) => [r.part(), r.text()]) };
  }

  function restore(kept) {
    worked = (shelf.recipes.find(({ recipe }) => recipe.powder === kept.worked) ?? first).recipe;
    // What an older page kept does not say what was typed: all of it may have been.
    typedOnes = new Set(kept.typed ?? ["name", "loading", "critical", "criticalError", "size"]);
    followed.hidden = true;
    name.value = kept.name;
    for (const [key, box] of Object.entries(boxes)) {
      const text = kept[key];
      if (text === undefined) continue;
      if (box.input.tagName === "SELECT") box.set(text);
      else box.input.value = text;
    }
    fill(kept.parts);
    amount.describe(`recipe.batch.amount.${amountOf.read()}`);
    follow();
  }

  function row(part, text) {
    const choice = el("select", { "aria-label": "Binder part", onchange: changed }, shelf.binders.map((b) => el("option", { value: b.key }, b.name)));
    choice.value = part;
    if (choice.selectedIndex < 0) choice.selectedIndex = 0;
    const error = el("p", { className: "error", hidden: true });
    const input = numberInput({ "aria-label": "% of the binder’s mass", value: text, oninput: changed });
    const fail = (message) => {
      error.textContent = message ?? "";
      error.hidden = !message;
      if (message) input.setAttribute("aria-invalid", "true");
      else input.removeAttribute("aria-invalid");
    };
    const read = () => readNumber("page.share", input.value, false, fail);
    const remove = el("button", { type: "button", className: "quiet", "aria-label": "Remove this part", title: "Remove this part" }, "×");
    const own = {
      root: el("li", {}, el("div", { className: "part" }, choice, el("div", { className: "entry" }, input, el("span", { className: "unit" }, "%")), remove), error),
      read,
      fail,
      part: () => choice.value,
      text: () => input.value,
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
    const own = row(free.key, rest > 0 ? String(Number(rest.toPrecision(6))) : "0");
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
    mark("loading", loading.input.value);
    follow();
    changed();
  }

  // After a change of powder, what was not typed takes the value that is usual for it, or that of the worked recipe
  // if this is its powder. So the way from powder to powder changes nothing.
  function otherPowder() {
    const usual = shelf.powders.find((p) => p.key === powder.read());
    const own = usual.key === worked.powder ? worked : {};
    const lot = { critical: own.critical_loading, criticalError: own.critical_loading_error, size: own.particle_size };
    for (const [key, value] of Object.entries(lot)) if (!typedOnes.has(key)) boxes[key].set(value);
    if (!typedOnes.has("name")) name.value = own.name ?? "";
    if (!typedOnes.has("loading")) loadFor(usual);
    keptOnes = new Set(typedOnes);
    followed.hidden = false;
    tellKept();
    changed();
  }

  // The loading as far below the usual critical loading as in the worked recipe, and below one that was typed.
  function loadFor({ key, critical_loading: usual, density }) {
    const distance = worked.critical_loading - worked.loading.volume_percent;
    const wanted = key === worked.powder ? worked.loading.volume_percent : usual.value - distance;
    const typedCritical = critical.read();
    const volume = Math.max(0, typedCritical > 0 ? Math.min(wanted, typedCritical - 0.5) : wanted);
    const byVolume = unit.read() === "volume_percent";
    if (!byVolume && binderDensity === null) return;
    const mass = (100 * volume * density.value) / (volume * density.value + (100 - volume) * binderDensity);
    loading.set(Number((byVolume ? volume : mass).toPrecision(5)));
    follow();
  }

  function tellKept() {
    const words = { name: "name", loading: "powder content", critical: "critical loading", criticalError: "its standard error", size: "particle size" };
    const kept = Object.keys(words).filter((key) => keptOnes.has(key));
    followed.textContent = `The fields that you did not fill in now follow the powder.${kept.length > 0 ? ` Kept as you typed them: ${kept.map((key) => words[key]).join(", ")}. Check that they belong to the new powder.` : ""}`;
  }

  function follow() {
    const byVolume = unit.read() === "volume_percent";
    loading.describe(`recipe.loading.${unit.read()}`);
    slider.min = byVolume ? "30" : "60";
    slider.max = byVolume ? "75" : "98";
    const value = loading.read();
    if (!Number.isNaN(value)) slider.value = String(value);
  }

  function slid() {
    loading.set(Number(slider.value));
    mark("loading", slider.value);
    changed();
  }

  // The recipe as the core reads it, or null where a field holds no number.
  function written() {
    const shares = rows.map((r) => r.read());
    const total = shares.reduce((a, b) => a + b, 0);
    sum.textContent = `Sum: ${number(total, 6)} %`;
    const given = { loading: loading.read(), critical: critical.read(), criticalError: criticalError.read(), size: size.read(), exponent: exponent.read(), rate: rate.read(), temperature: temperature.read(), amount: amount.read(), regrind: regrind.read(), regrindLoading: regrindLoading.read(), reference: reference.read() };
    if ([...shares, ...Object.values(given)].some(Number.isNaN)) return null;
    return {
      rate: given.rate,
      temperature: given.temperature,
      recipe: {
        ...(name.value.trim() !== "" && { name: name.value }),
        powder: powder.read(),
        loading: { [unit.read()]: given.loading },
        binder: rows.map((r, i) => ({ part: r.part(), mass_fraction: Number((shares[i] / 100).toPrecision(12)) })),
        ...(given.critical !== null && { critical_loading: given.critical }),
        ...(given.critical !== null && given.criticalError !== null && { critical_loading_error: given.criticalError }),
        ...(given.size !== null && { particle_size: given.size }),
        loading_law: law.read(),
        loading_exponent: given.exponent,
        conductivity_rule: rule.read(),
        flow_form: form.read(),
        no_flow_rule: noFlow.read(),
        ...(given.reference !== null && { reference_temperature: given.reference }),
        batch: {
          amount: { [amountOf.read()]: given.amount },
          ...(given.regrind > 0 && { regrind: { mass_fraction: given.regrind / 100, ...(given.regrindLoading !== null && { loading: given.regrindLoading }) } }),
        },
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
      ({ estimate, chosen, remark } = laboratory.estimate(JSON.stringify(wanted.recipe), wanted.rate, wanted.temperature));
      at = [wanted.rate, wanted.temperature];
      binderDensity = estimate.feedstock.binder_density;
    } catch (error) {
      if (!error?.problems) throw error;
      refuse(error.problems);
      stale("Not estimated: see the message.");
      return;
    }
    results.classList.remove("old");
    byId("recipe-use").disabled = false;
    // A batch that cannot be mixed takes nothing from the estimate.
    refuse(estimate.batch_refused ?? []);
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
      const box = FIELDS[path] ? boxes[FIELDS[path]] : path.startsWith("loading.") ? loading : null;
      if (box) box.fail(`${described(`recipe.${path}`)?.title ?? title(path)} ${message}`);
      else if (field === "mass_fraction") rows[place]?.fail(`The share, as a fraction, ${message}`);
      else if (field) rows[place]?.fail(`The part ${message}`);
      else left.push(path === "binder" ? `Binder: ${message}` : `${title(path)} ${message}`);
    }
    trouble.hidden = left.length === 0;
    trouble.replaceChildren(...left.map((words) => el("li", {}, words)));
  }

  function say() {
    said.textContent = `An estimate: ${number(chosen.viscosity, 3)} Pa·s at ${number(at[0], 4)} 1/s and ${number(at[1], 4)} °C, with a band from ${number(chosen.low, 2)} to ${number(chosen.high, 2)} Pa·s.`;
    beyond.textContent = remark ?? "";
    beyond.hidden = !remark;
    name.placeholder = estimate.feedstock.name;
    const other = laboratory.name_remark("name of the feedstock", name.value);
    nameRemark.textContent = other ? `${other} The name stays as you typed it.` : "";
    nameRemark.hidden = !other;
  }

  // The scenario's own feedstock at the same rate and temperature, and why it differs.
  function compare() {
    const { scenario } = bench;
    const { feedstock } = scenario;
    let own;
    try {
      own = Laboratory.own_viscosity(JSON.stringify(scenario), at[0], at[1]);
    } catch (error) {
      if (!error?.problems) throw error;
      beside.replaceChildren();
      return;
    }
    const { critical_loading, solids_loading } = estimate.feedstock;
    const other = laboratory.name_remark("name of the scenario", scenario.name);
    const factor = own / chosen.viscosity;
    const times = factor >= 1 ? `${number(factor, 2)} times the estimate` : `${number(100 * factor, 2)} % of the estimate`;
    const why = [
      `The estimate mixes the melt viscosities of the binder’s parts and multiplies by the relative viscosity, here at ${number(solids_loading, 4)} vol% with a critical loading of ${number(critical_loading, 4)} vol%. The rule leaves out entanglement and parts that do not mix, so it tends to come out low. The band says how far it may be off.`,
      `The constants of the scenario’s feedstock are illustrative. They were not computed from a recipe: they were chosen so that the viscosity at moulding rates lies where published feedstocks for high-pressure moulding lie, at 100 to 1000 Pa·s (Int. J. Mater. Forming 2021, 10.1007/s12289-021-01612-0). They stand at ${number(feedstock.solids_loading, 4)} vol% with a critical loading of ${number(feedstock.critical_loading, 4)} vol%.`,
      "Neither is a measurement. Readings of your own feedstock show which is nearer.",
    ];
    beside.replaceChildren(
      ...[
        el("p", { className: "small" }, `The scenario’s own feedstock, “${feedstock.name}”, has ${number(own, 3)} Pa·s there at ${number(feedstock.solids_loading, 4)} vol%, ${times}, which is at ${number(solids_loading, 4)} vol%.`),
        feedstock.provenance.includes("illustrative") && el("details", { className: "more" }, el("summary", {}, "Why the estimate and the demo’s feedstock differ"), list(why)),
        other && el("p", { className: "error", id: "recipe-scenario-remark" }, `${other} It stays as it was typed.`),
      ].filter(Boolean),
    );
  }

  function show() {
    if (!estimate) return;
    compare();
    const line = (e) => {
      const rule = e.rule.replaceAll("_", "");
      const band = e.low === e.high ? "–" : `${number(e.low, 4)} to ${number(e.high, 4)}`;
      return [under(title(e.quantity), rule), under(number(e.value, 4), e.unit), band, e.unit || "–", rule];
    };
    const heads = [{ words: "Quantity" }, "Estimate", "Band, low to high", { words: "Unit" }, { words: "Rule or source" }];
    numbers.replaceChildren(
      tableOf("Constants of the feedstock", heads, estimate.parameters.map(line), "stacked"),
      el("div", { className: "row save" }, el("button", { type: "button", className: "quiet", onclick: () => save() }, "Estimate as a file (JSON)")),
      el("details", { className: "more" }, el("summary", {}, "Further properties, and what makes the viscosity uncertain"),
        tableOf("Properties of binder and mixture", heads, estimate.properties.map(line), "stacked"),
        tableOf("What makes the viscosity uncertain", [{ words: "Source of error" }, "As a factor"], estimate.viscosity_errors.map((e) => [e.source, `× ${number(Math.exp(e.log_error), 3)}`])),
        tableOf("Conductivity by each rule", [{ words: "Rule" }, "W/mK"], estimate.conductivities.map((c) => [ruleWords("conductivity_rule", c.rule), number(c.conductivity, 3)]))),
    );
    remarks.replaceChildren(el("h3", {}, "Remarks"), list(estimate.remarks));
    const sheet = estimate.batch;
    if (!sheet) {
      batch.replaceChildren();
      return;
    }
    batch.replaceChildren(
      tableOf(`Amounts for ${number(sheet.mass_kg, 5)} kg or ${number(sheet.volume_l, 5)} L, ${number(sheet.volume_percent, 4)} vol% or ${number(sheet.mass_percent, 4)} % by mass of powder`, [{ words: "Material" }, "kg"], [
        ...(sheet.regrind_kg > 0 ? [["Regrind", number(sheet.regrind_kg, 5)]] : []),
        [shelf.powders.find((p) => p.key === powder.read()).name, number(sheet.powder_kg, 5)],
        ...sheet.parts.map((p) => [p.name, number(p.mass_kg, 5)]),
      ]),
    );
  }

  // Feedstock with its uncertainty, and where each number comes from.
  function save() {
    download(fileName(estimate.feedstock.name, "-estimate.json"), "application/json", `${JSON.stringify(estimate, null, 2)}\n`);
  }

  // The worked recipe whose powder is as dense as the scenario's.
  const alike = ({ recipe }) => Math.abs(shelf.powders.find((p) => p.key === recipe.powder).density.value / bench.scenario.feedstock.powder_density - 1) < 0.01;
  put((shelf.recipes.find(alike) ?? first).recipe);
  const kept = recall("recipe");
  if (kept) {
    touched = true;
    restore(kept);
  }
  return {
    ready: () => estimate !== null,
    setCritical({ value, standard_error }) {
      critical.set(Number(value.toFixed(2)));
      criticalError.set(typeof standard_error === "number" ? Number(standard_error.toPrecision(3)) : null);
      mark("critical", critical.input.value);
      mark("criticalError", criticalError.input.value);
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
