// @ts-check
// Every text of the classroom comes from one table, which stands in the module.

import { text_of } from "app/shared/core";

/**
 * The text of a key, with something put in for each `{ $name }`.
 * @param {string} key
 * @param {Record<string, string | number>} [args]
 */
export const say = (key, args = {}) => text_of(key).replace(/\{ \$(\w+) \}/g, (_, name) => String(args[name] ?? ""));

/**
 * The text of a number of things: `KEY-one` for one, `KEY-many` for any other number `{ $count }`.
 * @param {string} key
 * @param {number} count
 */
export const counted = (key, count) => say(`${key}-${count === 1 ? "one" : "many"}`, { count });
