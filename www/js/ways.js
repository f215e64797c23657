// Addresses of the pages from each other: two files of a site, or one file with another query.

import { byId } from "app/dom";

const single = byId("wasm-b64") !== null;
const here = location.href.split(/[?#]/)[0];

const way = (file, query) => (fragment) => `${single ? here + query : file}${fragment && `#${fragment}`}`;

export const toWindow = way("index.html", "");
export const toLaboratory = way("laboratory.html", "?laboratory");
