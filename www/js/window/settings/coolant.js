// @ts-check
// From the coolant to the steel: an aid beside the mould temperature, which is that of the steel's surface.

import { el, put, putHidden } from "app/shared/dom";
import { number, quantity } from "app/shared/numbers";
import { numberField } from "app/window/settings/fields";
import { model } from "app/window/settings/model";
import { more } from "app/window/settings/more";

export const COOLANT = ["coolant_temperature", "circuits", "drilling_bore", "drilling_pitch", "drilling_depth", "drilling_length", "steel_conductivity", "steel_heat"];

const words = el("p", { id: "coolant-said", className: "field wide", role: "status" });
const take = el("button", { type: "button", id: "coolant-take", hidden: true, onclick: () => model.set("setup.mould_temperature", surface) }, "Use as mould temperature");
// A tenth of a kelvin is finer than what is known of the film.
let surface = 0;

export const coolantAid = () =>
  more(
    "More: mould temperature from the coolant",
    ["mould.water_flow", ...COOLANT.map((name) => `mould.${name}`)].map((path) => numberField(path)),
    words,
    take,
  );

/** @param {Gatefrost.Report} report */
export function showCoolant({ cool: { heat_w: heat, steel } }) {
  putHidden(take, !steel);
  if (!steel || heat === null) {
    const given = model.scenario.mould.coolant_temperature !== null;
    put(
      words,
      given
        ? "The surface of the steel cannot be computed: there is no whole cycle, or the flow of water is too small to take the heat."
        : "With the coolant’s set point, this says how warm the surface of the steel is.",
    );
    return;
  }
  surface = Math.round(steel.surface_c * 10) / 10;
  const kelvins = [steel.rise_k / 2, steel.film_k, steel.steel_k].map((value) => quantity(value, "K", 2));
  put(words, `The surface of the steel is at ${quantity(surface, "°C", 4)} with the heat of this cycle, ${quantity(heat, "W", 3)}. Above the set point it is ${kelvins[0]} by the water’s own rise, ${kelvins[1]} through the film and ${kelvins[2]} through the steel. The flow is ${steel.flow} (Re ${number(steel.reynolds, 2)}).`);
}
