// @ts-check
// Starts the page of the classroom: who, the exercises, what is handed in, and the lecturer's desk.

import { buildDesk } from "app/classroom/desk";
import { Exercise } from "app/classroom/exercise";
import { buildHandIn } from "app/classroom/hand-in";
import { ExerciseList } from "app/classroom/list";
import { buildWho } from "app/classroom/who";
import { Work } from "app/classroom/work";
import { say } from "app/classroom/say";
import { byId, el } from "app/shared/dom";
import { start } from "app/shared/start";
import { buildThrough } from "app/shared/through";

const page = document.documentElement;
// The copy of the page that a course has says so.
const course = "course" in page.dataset ? await import("app/classroom/course") : null;

function build() {
  buildThrough(() => "");
  const work = new Work();
  const exercise = new Exercise(work);
  const list = new ExerciseList(work, (name) => exercise.open(name));
  const handIn = buildHandIn(work);
  if (!course?.join(work)) {
    buildWho(work);
    buildDesk();
  }
  work.addEventListener("changed", () => {
    list.show();
    handIn();
  });
  work.addEventListener("other", () => exercise.again());
  if (!work.ofCourse) lecturers(work);
  byId("open-own", "button").addEventListener("click", async () => (await import("app/classroom/own")).buildOwn());
  list.show();
  handIn();
  page.dataset.ready = "true";
  page.dataset.busy = "false";
}

// Exercises that a lecturer made: a link or a file opens one, and the desk makes them.
/** @param {Work} work */
function lecturers(work) {
  const open = async (/** @type {string} */ text) => (await import("app/classroom/posed")).openPosed(text, work);
  const fromLink = () => {
    if (location.hash.startsWith("#own=")) open(location.hash);
  };
  const chooser = el("input", { type: "file", accept: ".json,.txt,application/json,text/plain", className: "hidden", tabIndex: -1, "aria-label": say("posed-open"), onchange: async () => {
    const file = chooser.files?.[0];
    if (file) open(await file.text());
    chooser.value = "";
  } });
  byId("from-lecturer").replaceChildren(el("button", { type: "button", id: "open-posed", onclick: () => chooser.click() }, say("posed-open")), chooser);
  byId("open-make", "button").addEventListener("click", async () => (await import("app/classroom/make")).buildMake());
  addEventListener("hashchange", fromLink);
  fromLink();
}

// Demonstrations in the hall have an address: `#hall`, or `#hall-3` for the third.
async function showHall() {
  if (!/^#hall(-\d)?$/.test(location.hash)) return;
  const { openHall } = await import("app/classroom/hall");
  openHall(Number(location.hash.slice("#hall-".length)) || 1);
}

await start(build, document.querySelector("main")?.dataset.kept ?? "");
addEventListener("hashchange", showHall);
await showHall();
