// @ts-check
// Addresses of the pages from each other: files of a site, or one file with another query.

const single = document.documentElement.hasAttribute("data-single");
const here = location.href.split(/[?#]/)[0];

const way = (/** @type {string} */ file, /** @type {string} */ query) => (/** @type {string} */ fragment) => `${single ? here + query : file}${fragment && `#${fragment}`}`;

export const toWindow = way("index.html", "");
export const toLaboratory = way("laboratory.html", "?laboratory");
export const toAfter = way("after.html", "?after");
export const toPlan = way("plan.html", "?plan");
export const toClassroom = way("classroom.html", "?classroom");
export const toCalibration = way("calibration.html", "?calibration");
// The plan at its last station.
export const toSheet = way("plan.html?sheet", "?plan&sheet");

const toHandbook = (/** @type {string} */ chapter, /** @type {string} */ anchor) => way(`handbook/${chapter}.html`, `?handbook/${chapter}`)(anchor);

// The handbook's row of a number, by its path in the scenario, its section of a limit, by its name, and of a result.
export const toNumber = (/** @type {string} */ path) => toHandbook("scenario", path.replace(/\.\d+\./g, ".*."));
export const toLimit = (/** @type {string} */ limit) => toHandbook("limits", limit);
export const toResult = (/** @type {string} */ section) => toHandbook("results", section);
