// @ts-check
// The page in one file: puts the page that the address names in place, then starts it.

import { byId } from "app/shared/dom";

const query = new URLSearchParams(location.search);
const pages = /** @type {HTMLTemplateElement[]} */ ([...document.querySelectorAll("template[data-page]")]);
const page = pages.find(({ dataset }) => query.has(dataset.page ?? "")) ?? pages[0];

document.title = page.dataset.title ?? "";
// Where `app/shared/core` looks for the module of the page.
document.documentElement.dataset.module = page.dataset.module;
byId("starting").replaceWith(page.content);
for (const name of (page.dataset.modules ?? "").split(" ").filter(Boolean)) await import(name);
// The browser looks for the anchor of the address before the page is in place. So a page without modules scrolls here.
if (!page.dataset.modules) document.getElementById(decodeURIComponent(location.hash.slice(1)))?.scrollIntoView();
