// @ts-check
// The tree of passages. The document describes it by names and by order. While the list is edited, references between
// the passages hold it; they are written back as names afterwards.

// Position of the passage that feeds another: the one it names, or the one before it; -1 for none.
/**
 * @param {Gatefrost.Passage[]} passages
 * @param {number} index
 */
export function feederOf(passages, index) {
  const { after } = passages[index];
  if (after === null || after === undefined) return index - 1;
  return passages.slice(0, index).findLastIndex(({ name }) => name === after);
}

/**
 * @param {Gatefrost.Passage[]} passages
 * @param {number} index
 */
export const isEnd = (passages, index) => passages.every((_, i) => feederOf(passages, i) !== index);

// The passage whose end meets that of another. Either of the two may name the other.
/**
 * @param {Gatefrost.Passage[]} passages
 * @param {number} index
 */
export function partnerOf(passages, index) {
  const { name, meets } = passages[index];
  return meets ? passages.find((p) => p.name === meets) : passages.find((p) => p.meets === name);
}

/**
 * @param {Gatefrost.Passage[]} passages
 * @returns {Map<Gatefrost.Passage, Gatefrost.Passage | null>}
 */
function feeders(passages) {
  return new Map(passages.map((passage, index) => [passage, passages[feederOf(passages, index)] ?? null]));
}

// Passages refer to each other by name, so the name of a passage that is referred to must be unique.
/**
 * @param {{ name: string }[]} passages
 * @param {string} wanted
 */
export function freeName(passages, wanted) {
  const taken = new Set(passages.map(({ name }) => name));
  let name = wanted;
  for (let count = 2; taken.has(name); count += 1) name = `${wanted} ${count}`;
  return name;
}

/**
 * @param {Gatefrost.Passage[]} passages
 * @param {Map<Gatefrost.Passage, Gatefrost.Passage | null>} fed
 */
function write(passages, fed) {
  passages.forEach((passage, index) => {
    const feeder = fed.get(passage) ?? passages[0];
    if (index === 0 || feeder === passages[index - 1]) {
      passage.after = null;
      return;
    }
    if (passages.some((other) => other !== feeder && other.name === feeder.name)) rename(passages, feeder, freeName(passages, feeder.name));
    passage.after = feeder.name;
  });
}

// Renames a passage, and its name in every reference.
/**
 * @param {Gatefrost.Passage[]} passages
 * @param {Gatefrost.Passage} passage
 * @param {string} name
 */
export function rename(passages, passage, name) {
  const fed = feeders(passages);
  const partner = partnerOf(passages, passages.indexOf(passage));
  const old = passage.name;
  passage.name = name;
  for (const other of passages) if (other.after === old && fed.get(other) === passage) other.after = name;
  if (partner?.meets === old) partner.meets = name;
}

/**
 * @param {Gatefrost.Passage[]} passages
 * @param {Gatefrost.Passage} passage
 */
export const isReferredTo = (passages, passage) =>
  passages.some((other) => other !== passage && (other.meets === passage.name || (other.after === passage.name && feeders(passages).get(other) === passage)));

// The passages that followed it then follow the one before it.
/**
 * @param {Gatefrost.Passage[]} passages
 * @param {number} index
 */
export function remove(passages, index) {
  const fed = feeders(passages);
  const [gone] = passages.splice(index, 1);
  for (const passage of passages) {
    if (fed.get(passage) === gone) fed.set(passage, fed.get(gone) ?? null);
    if (passage.meets === gone.name && passages.every(({ name }) => name !== gone.name)) passage.meets = null;
  }
  write(passages, fed);
}

// Exchanges a passage with the next in the list. If the next one follows it, they also change places along the flow.
/**
 * @param {Gatefrost.Passage[]} passages
 * @param {number} index
 */
export function exchange(passages, index) {
  const fed = feeders(passages);
  const [first, second] = passages.slice(index, index + 2);
  if (fed.get(second) === first) {
    for (const passage of passages) if (fed.get(passage) === second) fed.set(passage, first);
    fed.set(second, fed.get(first) ?? null);
    fed.set(first, second);
  }
  [passages[index], passages[index + 1]] = [second, first];
  write(passages, fed);
}

// Adds a passage at the end of the list. It follows the last passage, or the passage before that if the end of the last
// one meets another.
/**
 * @param {Gatefrost.Passage[]} passages
 * @param {Gatefrost.Passage} passage
 */
export function append(passages, passage) {
  const last = passages.length - 1;
  const feeder = last >= 0 && partnerOf(passages, last) ? passages[feederOf(passages, last)] : null;
  passage.name = freeName(passages, passage.name);
  const fed = feeders(passages);
  fed.set(passage, feeder ?? passages[last] ?? null);
  passages.push(passage);
  write(passages, fed);
}
