// @ts-check
// A student's work as a text that a course page keeps: at most 4096 signs of ASCII (CMIString4096 of SCORM 1.2).
// An exercise is NAME/VERSION|HINTS|HELD|ANSWER|ANSWER…; a semicolon stands between exercises. HELD are the points that
// the student had when the solution was opened before all answers were right, and is empty before that.

const MOST = 4096;
const MOST_READ = 65_536;
const MOST_HINTS = 10;
const LONGEST = 80;

/**
 * What is kept of an exercise.
 * @typedef {object} Entry
 * @property {string} place NAME/VERSION
 * @property {number} hints
 * @property {number | null} held
 * @property {string[]} answers
 */

const encode = (/** @type {string} */ text) => text.replace(/[^ -~]|[%|;]/gu, encodeURIComponent);

/** @param {string} text */
function decode(text) {
  try {
    return decodeURIComponent(text);
  } catch {
    return "";
  }
}

/** @param {Entry[]} entries */
const written = (entries) => entries.map(({ place, hints, held, answers }) => [place, hints, held ?? "", ...answers.map(encode)].join("|")).join(";");

/**
 * The text, and how many answers had no room in it. The longest are left out first, those that are wrong before others.
 * @param {Entry[]} entries
 * @param {(entry: Entry, at: number) => boolean} isWrong
 */
export function pack(entries, isWrong) {
  const kept = entries.map((entry) => ({ ...entry, answers: [...entry.answers] }));
  const all = kept.flatMap((entry, k) => entry.answers.map((answer, at) => ({ entry, at, length: answer.length, wrong: isWrong(entries[k], at) })));
  const order = all.sort((a, b) => Number(b.wrong) - Number(a.wrong) || b.length - a.length);
  let lost = 0;
  while (written(kept).length > MOST && lost < order.length) {
    const { entry, at } = order[lost];
    entry.answers[at] = "";
    lost += 1;
  }
  return { text: written(kept), lost };
}

/** @param {string | undefined} text */
function count(text, /** @type {number} */ most) {
  const value = Number(text);
  return text !== undefined && /^\d{1,3}$/.test(text) && value <= most ? value : null;
}

/**
 * What a text keeps. What cannot be read is left out.
 * @param {string} text
 * @returns {Entry[]}
 */
export function unpack(text) {
  if (text === "" || text.length > MOST_READ) return [];
  return text.split(";").map((part) => {
    const [place, hints, held, ...answers] = part.split("|");
    return { place, hints: count(hints, MOST_HINTS) ?? 0, held: count(held, 100), answers: answers.map((answer) => decode(answer).slice(0, LONGEST)) };
  });
}
