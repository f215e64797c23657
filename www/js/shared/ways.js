// Addresses of the pages from each other: files of a site, or one file with another query.

const single = document.documentElement.hasAttribute("data-single");
const here = location.href.split(/[?#]/)[0];

const way = (file, query) => (fragment) => `${single ? here + query : file}${fragment && `#${fragment}`}`;

export const toWindow = way("index.html", "");
export const toLaboratory = way("laboratory.html", "?laboratory");

const toHandbook = (chapter, anchor) => way(`handbook/${chapter}.html`, `?handbook/${chapter}`)(anchor);

// The handbook's row of a number, by its path in the scenario, and its section of a limit, by its name.
export const toNumber = (path) => toHandbook("scenario", path.replace(/\.\d+\./g, ".*."));
export const toLimit = (limit) => toHandbook("limits", limit);
