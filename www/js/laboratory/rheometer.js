// Station 2: rheometer readings, corrected and fitted; the laws ranked.

import { byId, download, el } from "app/shared/dom";
import { choiceBox, list, numberBox, tableOf, under } from "app/laboratory/fields";
import { labFigure } from "app/laboratory/figures";
import { keeper, recall } from "app/laboratory/keep";
import { tableBox } from "app/laboratory/table";
import { inWords } from "app/shared/notices";
import { number } from "app/shared/numbers";

const counted = (points) => (points === 1 ? "1 point" : `${points} points`);

const EXAMPLE =
  "The worked example is a published textbook exercise: a neat polypropylene, three dies, one temperature. It is not a feedstock, because we found no complete readings of one.";
const STANDINGS = { fitted: "fitted", held: "held fixed", at_bound: "at the end of its range", undetermined: "not determined by the data" };

export function rheometerStation(bench) {
  const { laboratory, shelf, spawn, use } = bench;
  const LAWS = Object.fromEntries(shelf.laws);
  const kept = recall("rheometer") ?? {};
  let studied = null;
  let chosen = 0;
  // The law to show of the next answer: the one last chosen, while the readings are those of before.
  let wanted = kept.law ?? null;
  // Why the part could not be computed with the law chosen.
  let unknown = null;
  const figures = [
    labFigure(laboratory, "flow", "Viscosity against shear rate", "Readings are marks, with a sign for each temperature. The lines are the law chosen below. The upright lines are the shear rates of the scenario’s part, computed with that law."),
    labFigure(laboratory, "residuals", "Readings against the fit", "How far each reading lies above the chosen law. A pattern means that the law does not fit."),
  ];
  const said = el("p", { className: "said-so", id: "rheometer-said", role: "status", "aria-live": "polite" });
  const notes = el("div", { id: "rheometer-notes" });
  const ranking = el("div", { id: "rheometer-ranking" });
  const constants = el("div", { id: "rheometer-constants" });
  const coverage = el("div", { id: "rheometer-coverage", "aria-live": "polite" });
  const corrected = el("div", { id: "rheometer-corrected" });
  const results = el("div", { hidden: true }, el("div", { className: "figures" }, figures.map((f) => f.root)), coverage, ranking, constants, notes, corrected);
  const keep = keeper("rheometer", () => ({
    loading: measured.input.value,
    others: others.read(),
    d2: d2.input.value,
    transition: transition.input.value,
    a2: a2.checked,
    law: studied?.ranking.fits[chosen]?.kind ?? wanted,
  }));
  const refit = () => {
    keep();
    wanted = studied?.ranking.fits[chosen]?.kind ?? wanted;
    box.again();
  };
  const typed = () => {
    keep();
    if (!Number.isNaN(measured.read())) askPart();
  };
  const measured = numberBox("rheometer-loading", "feedstock.measured_loading", { title: "Loading of the measured feedstock", value: bench.scenario.feedstock.solids_loading, changed: typed });
  const others = choiceBox("rheometer-others", "Its other constants", [["scenario", "those of the scenario"], ["recipe", "those of the recipe above"]], keep);
  const d2 = numberBox("rheometer-d2", "feedstock.flow_law.cross_wlf.d2", { title: "Cross law, reference temperature", empty: "usual", changed: refit, help: "Held fixed, because readings cannot tell it apart from D1 and A1. Leave it empty for −10 °C. It changes D1 and A1; the curve hardly changes." });
  const transition = numberBox("rheometer-transition", "feedstock.flow_law.carreau_yasuda.transition", { title: "Carreau–Yasuda, breadth of the transition", empty: "fitted", changed: refit, help: "Leave it empty to fit it. 2 is Carreau’s own law; enter it where the readings do not determine it." });
  const a2 = el("input", { type: "checkbox", id: "rheometer-a2", checked: kept.a2 === true, onchange: refit });
  for (const [field, text] of [[measured, kept.loading], [d2, kept.d2], [transition, kept.transition]]) {
    if (text !== undefined) field.input.value = text;
  }
  others.set(kept.others);
  const button = el("button", { type: "button", id: "rheometer-use", disabled: true, onclick: useFit }, "Use this feedstock");
  const box = tableBox("rheometer-text", "Readings, pasted, dropped or opened", { spawn, form: shelf.readings_form, example: shelf.readings, exampleWords: EXAMPLE, job, take, cleared, working });
  byId("rheometer-ins").append(
    box.root,
    el("details", { className: "more rules", id: "rheometer-held", open: Boolean(kept.d2 || kept.transition || kept.a2) }, el("summary", {}, "Held fixed in the fit"),
      d2.root, transition.root, el("label", { className: "pick" }, a2, "Fit the Cross law’s A2 too (three temperatures or more)")),
    measured.root,
    others.root,
    el("div", { className: "row" }, button),
    el("p", { className: "small" }, "Opens the window with the chosen law, at the loading it was measured at, marked as fitted to your data."),
  );
  byId("rheometer-outs").append(said, results);
  said.textContent = "No readings yet. Paste some, or press “Worked example”.";
  measured.read();
  box.again();

  function job(text) {
    const held = [d2, transition].map((field) => field.read());
    if (held.some(Number.isNaN)) return null;
    return { call: "study", args: { text, d2: held[0] ?? null, free_a2: a2.checked, transition: held[1] ?? null } };
  }

  function useFit() {
    const loading = measured.read();
    if (Number.isNaN(loading)) {
      measured.input.focus();
      return;
    }
    use(() => laboratory.link_with_fit(JSON.stringify(bench.scenario), chosen, loading, others.read() === "recipe"));
  }

  function working(words) {
    results.classList.add("old");
    button.disabled = true;
    said.textContent = words;
  }

  function cleared(why) {
    studied = null;
    button.disabled = true;
    results.classList.add("old");
    if (why === "empty") results.hidden = true;
    said.textContent = { empty: "No readings yet. Paste some, or press “Worked example”.", field: "Not fitted: see the message at the field.", refused: "Not fitted: see the list below the readings." }[why];
  }

  function take({ told, bytes }) {
    studied = told;
    laboratory.take_study(bytes);
    results.hidden = false;
    results.classList.remove("old");
    choose(Math.max(0, studied.ranking.fits.findIndex(({ kind }) => kind === wanted)));
    wanted = null;
    showNotes();
  }

  function choose(place) {
    chosen = place;
    keep();
    // What is known of the part was computed with another law.
    laboratory.forget_part();
    unknown = null;
    laboratory.show_fit(place);
    for (const figure of figures) figure.refresh();
    const { fits, best } = studied.ranking;
    button.disabled = fits.length === 0;
    said.textContent =
      fits.length === 0
        ? `${counted(studied.points)}; no law could be fitted.`
        : `${counted(studied.points)}. ${best ? `Best by AICc: ${LAWS[best]}` : fits[0].aicc === null ? "Too few to rank the laws" : "No law is offered as the best"}. Chosen: ${LAWS[fits[place].kind]}, scatter ${number(100 * fits[place].log_scatter, 2)} %.`;
    showRanking();
    showConstants();
    showCoverage();
    askPart();
  }

  // The part asks of the data what it asks of the law chosen, not of the scenario's own.
  function askPart() {
    const loading = measured.read();
    if (!studied || Number.isNaN(loading)) return;
    try {
      bench.findPart(laboratory.scenario_with_fit(JSON.stringify(bench.scenario), chosen, loading));
    } catch (error) {
      if (!error?.problems) throw error;
      bench.findPart(null);
      laboratory.forget_part();
      partKnown(error.problems.map(inWords));
    }
  }

  function partKnown(failed) {
    unknown = failed;
    laboratory.show_fit(chosen);
    for (const figure of figures) figure.refresh();
    showCoverage();
  }

  function showRanking() {
    const { fits, refused, remarks } = studied.ranking;
    const rows = fits.map((fit, i) => {
      const input = el("input", { type: "radio", name: "rheometer-fit", value: String(i), checked: i === chosen, onchange: () => choose(i) });
      return [el("label", { className: "pick" }, input, ` ${i + 1}. ${LAWS[fit.kind]}`), number(fit.aicc, 4), `${number(100 * fit.log_scatter, 2)} %`, number(fit.r_squared, 5), String(fit.points), String(fit.degrees_of_freedom), fit.converged ? "yes" : "no"];
    });
    const focused = ranking.querySelector("input:focus")?.value;
    ranking.replaceChildren(
      tableOf("Laws, the best first", [{ words: "Law" }, "AICc", "Scatter", "r²", "Points", "Degrees of freedom", "At a minimum"], rows),
      el("p", { className: "small" }, "AICc is the corrected Akaike criterion; smaller is better. With too few points it does not exist. Degrees of freedom: number of points minus number of fitted constants."),
      list([...remarks, ...refused.map(({ kind, reason }) => `${LAWS[kind]} is not offered: ${reason}`)]),
    );
    if (focused !== undefined) ranking.querySelector(`input[value="${focused}"]`)?.focus();
  }

  function showConstants() {
    const fit = studied.ranking.fits[chosen];
    if (!fit) {
      constants.replaceChildren();
      return;
    }
    const rows = fit.constants.map((c) => [
      under(`${c.title} (${c.symbol.replace("_", "")})`, STANDINGS[c.standing]),
      under(number(c.value, 4), c.unit),
      c.interval ? `${number(c.interval[0], 4)} to ${number(c.interval[1], 4)}` : "–",
      typeof c.standard_error === "number" ? number(c.standard_error, 2) : "–",
      c.unit || "–",
      STANDINGS[c.standing],
    ]);
    const doubt = studied.uncertainties[chosen];
    const symbols = doubt.numbers.map(({ path }) => fit.constants.find((c) => c.path === path).symbol.replace("_", ""));
    constants.replaceChildren(
      tableOf(`Constants: ${LAWS[fit.kind]}`, [{ words: "Constant" }, "Value", "95 % interval", "Standard error", { words: "Unit" }, { words: "Fitted or held" }], rows, "stacked"),
      list(fit.remarks),
      el("details", { className: "more" }, el("summary", {}, "Correlation of the constants"),
        tableOf("Correlation", [{ words: "Constant" }, ...symbols], doubt.correlation.map((row, i) => [symbols[i], ...row.map((value) => number(value, 3))]))),
      el("div", { className: "row save" }, el("button", { type: "button", className: "quiet", onclick: save }, "Fit as a file (JSON)")),
    );
  }

  // The law with errors, covariance and what was corrected, as the command line prints it.
  function save() {
    const { reduction, notes, uncertainties, ranking } = studied;
    const text = JSON.stringify({ notes, reduction, fits: [ranking.fits[chosen]], uncertainty: uncertainties[chosen] }, null, 2);
    download(`fit-${ranking.fits[chosen].kind}.json`, "application/json", `${text}\n`);
  }

  function showCoverage() {
    const warnings = laboratory.coverage(chosen);
    const none = laboratory.knows_part()
      ? `The readings cover the shear rates and temperatures of the part, ${bench.scenario.name}, computed with this law.`
      : unknown
        ? `The shear rates and temperatures of the part are not known, because the part cannot be computed with this law: ${unknown.join(" ")}`
        : "The shear rates and temperatures of the part are being computed.";
    const words = studied.ranking.fits.length === 0 ? [] : warnings.length > 0 ? warnings : [none];
    coverage.replaceChildren(list(words, warnings.length > 0 ? { className: "list error" } : {}));
  }

  function showNotes() {
    const { reduction } = studied;
    const lines = reduction.notes.map(({ text }) => text);
    notes.replaceChildren(el("h3", {}, "Corrections"), list([...studied.notes, ...lines]));
    const sure = (value, error, factor, digits) => `${number(value * factor, digits)}${typeof error === "number" ? ` ± ${number(error * factor, 2)}` : ""}`;
    const many = (shown) => (studied.points > shown.length && shown.length >= 60 ? `, the first ${shown.length}` : "");
    corrected.replaceChildren(
      ...[
        reduction.ends.length > 0 &&
          tableOf("End corrections; ± is one standard error", ["Temperature, °C", "Die, mm", "Apparent rate, 1/s", "End length, mm", "End pressure, MPa", "Wall stress, kPa", "Dies", "Degrees of freedom"],
            reduction.ends.map((e) => [number(e.temperature, 4), number(e.diameter * 1e3, 3), number(e.apparent_rate, 4), sure(e.length, e.length_error, 1e3, 3), sure(e.pressure, e.pressure_error, 1e-6, 3), sure(e.stress, e.stress_error, 1e-3, 4), String(e.dies), String(e.degrees_of_freedom)])),
        reduction.slip.length > 0 &&
          tableOf("Slip at the wall", ["Temperature, °C", "Wall stress, kPa", "Slip velocity, mm/s"],
            reduction.slip.map((s) => [number(s.temperature, 4), number(s.stress / 1e3, 4), sure(s.velocity, s.velocity_error, 1e3, 3)])),
        el("details", { className: "more", open: reduction.points.length <= 12 }, el("summary", {}, `Flow curve after the corrections${many(reduction.points)}`),
          tableOf("Flow curve", ["Line", "Temperature, °C", "Wall rate, 1/s", "Wall stress, kPa", "Viscosity, Pa·s"],
            reduction.points.map((p) => [String(p.line), number(p.temperature, 4), number(p.shear_rate, 4), number(p.stress / 1e3, 4), number(p.viscosity, 4)]))),
      ].filter(Boolean),
    );
  }

  return {
    // Another scenario came in by the address.
    scenarioChanged() {
      measured.set(bench.scenario.feedstock.solids_loading);
      measured.read();
      laboratory.forget_part();
      if (studied) partKnown(null);
      askPart();
    },
    // The rates and temperatures of its part are known, or it is known why they cannot be.
    partChanged(failed) {
      if (studied) partKnown(failed);
    },
  };
}
