// What the samples of a strip say at a moment: exact where there is a sample, marked where not.

const finite = (value) => value !== null && value !== undefined;

// The row at or before a time, -1 where there is none.
const rowBefore = (times, time) => {
  let low = 0;
  let high = times.length;
  while (low < high) {
    const middle = (low + high) >> 1;
    if (times[middle] <= time) low = middle + 1;
    else high = middle;
  }
  return low - 1;
};

// All moments at which a line has a sample, in order.
export const sampleTimes = (data) => {
  const all = data.lanes.flatMap((lane) => lane.lines.flatMap((line) => line.t));
  const [low, high] = [data.from, data.to];
  return [...new Set(all)].filter((t) => t >= low && t <= high).sort((a, b) => a - b);
};

export const sampleNear = (times, time) => {
  if (!times.length) return null;
  const row = rowBefore(times, time);
  const around = [times[Math.max(row, 0)], times[Math.min(row + 1, times.length - 1)]];
  return around.reduce((best, each) => (Math.abs(each - time) < Math.abs(best - time) ? each : best));
};

const between = (line, key, row, time) => {
  const [one, other] = [line[key][row], line[key][row + 1]];
  if (!finite(one) || !finite(other)) return null;
  const share = (time - line.t[row]) / (line.t[row + 1] - line.t[row]);
  return one + share * (other - one);
};

const valueOf = (line, time) => {
  const row = rowBefore(line.t, time);
  const keys = line.lo ? ["v", "lo", "hi"] : ["v"];
  if (row >= 0 && line.t[row] === time) {
    return finite(line.v[row]) ? { exact: true, at: keys.map((key) => line[key][row]) } : null;
  }
  if (row < 0 || row + 1 >= line.t.length) return null;
  const at = keys.map((key) => between(line, key, row, time));
  return at.every(finite) ? { exact: false, at } : null;
};

const during = (stays, time) => stays.findLast(([start, end]) => start <= time && time < end);

// What each lane says at a moment; lanes that say nothing are left out.
export const readAt = (data, time, span) => ({
  time,
  span,
  happens: data.events.filter(([at]) => Math.abs(at - time) <= (span[1] - span[0]) / 400).map(([, said]) => said),
  lanes: data.lanes.map((lane) => ({
    name: lane.name,
    unit: lane.unit,
    decimals: (lane.decimals ??= decimalsOf(lane)),
    stay: during(lane.stays, time)?.[2] ?? null,
    lines: lane.lines.map((line) => ({ name: line.name, read: valueOf(line, time) })).filter(({ read }) => read),
  })).filter((lane) => lane.stay !== null || lane.lines.length),
});

const minus = (text) => text.replace("-", "\u2212");

// Five figures of the largest value in sight: more than any sensor on board is worth, and enough to
// tell samples apart.
export const decimalsOf = (lane) => {
  const all = lane.lines.flatMap((line) => [line.v, line.lo ?? [], line.hi ?? []].flat()).filter(finite);
  const largest = all.reduce((most, each) => Math.max(most, Math.abs(each)), 0);
  return largest > 0 ? Math.min(Math.max(4 - Math.floor(Math.log10(largest)), 0), 9) : 0;
};

export const number = (value, decimals) => {
  const text = value.toFixed(decimals);
  return minus(Number(text) === 0 ? text.replace("-", "") : text);
};

// With the decimals that a part of this length can tell apart.
export const moment = (time, [low, high]) => {
  const decimals = Math.min(Math.max(Math.ceil(-Math.log10((high - low) / 2000)), 0), 9);
  return `${minus(time.toFixed(decimals))}\u00a0s`;
};

const lineWords = ({ name, read }, decimals) => {
  const [middle, low, high] = read.at.map((each) => number(each, decimals));
  const spread = low === undefined || low === high ? "" : ` (${low} to ${high})`;
  return `${name ? `${name} ` : ""}${read.exact ? "" : "≈\u00a0"}${middle}${spread}`;
};

const piece = (strong, rest) => {
  const span = document.createElement("span");
  const name = document.createElement("b");
  name.textContent = strong;
  span.append(name, rest ? ` ${rest}` : "", " ");
  return span;
};

// The reading as elements: the moment first, then a piece for each lane.
export const words = ({ time, span, happens, lanes }) => [
  piece(moment(time, span), happens.join(", ")),
  ...lanes.map((lane) => piece(lane.name, lane.stay ?? `${lane.lines.map((line) => lineWords(line, lane.decimals)).join(" · ")} ${lane.unit}`)),
];
