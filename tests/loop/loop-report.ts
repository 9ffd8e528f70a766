import type { KeptLoop } from './kept-loops.ts';

type KeptRound = KeptLoop['rounds'][number];

/** One curve of the plot: a value per round. */
interface Curve {
  readonly title: string;
  readonly valueOf: (round: KeptRound) => number;
}

const CURVES: readonly Curve[] = [
  { title: 'Flare (% of shifts)', valueOf: ({ flare }) => 100 * flare },
  { title: 'Tie-up and harsh (% of shifts)', valueOf: ({ tieUpAndHarsh }) => 100 * tieUpAndHarsh },
  { title: 'Map error, r.m.s. (%)', valueOf: ({ mapError }) => 100 * mapError },
];

/** What a loop is to reach, and how many did. */
interface Goal {
  readonly title: string;
  readonly isReached: (rounds: readonly KeptRound[], loop: KeptLoop) => boolean;
}

const GOALS: readonly Goal[] = [
  { title: 'flare below 1 % in the last round', isReached: (rounds) => lastOf(rounds).flare < 0.01 },
  { title: 'tie-up and harsh below 2 % in the last round', isReached: (rounds) => lastOf(rounds).tieUpAndHarsh < 0.02 },
  {
    title: 'in no round more flares than at the start',
    isReached: ([first, ...later]) => later.every(({ flare }) => flare <= first.flare),
  },
  { title: 'map error of 2 % or less in the last round', isReached: (rounds) => lastOf(rounds).mapError <= 0.02 },
  { title: 'trims correlate by 0.95 or more', isReached: (_, { trimCorrelation }) => trimCorrelation >= 0.95 },
];

const percent = (value: number, digits = 2) => (100 * value).toFixed(digits);
const lastOf = (rounds: readonly KeptRound[]) => rounds[rounds.length - 1];

/** The page that tells what came of loops, one line each. */
export function loopPage(loops: readonly KeptLoop[]): string {
  const lines = loops.map((loop) => {
    const { rounds } = loop;
    const [first, last] = [rounds[0], lastOf(rounds)];
    const course = (valueOf: (round: KeptRound) => number, digits?: number) =>
      `${percent(valueOf(first), digits)} → ${percent(valueOf(last), digits)}`;
    const cells = [
      loop.gearset,
      loop.seed,
      percent(loop.profileError, 0),
      course(({ flare }) => flare),
      course(({ tieUpAndHarsh }) => tieUpAndHarsh),
      course(({ mapError }) => mapError, 1),
      percent(last.mapErrorEverywhere, 1),
      percent(loop.leastError, 1),
      loop.trimCorrelation.toFixed(3),
    ];
    return `| ${cells.join(' | ')} |`;
  });
  const goals = GOALS.map(({ title, isReached }) => {
    const count = loops.filter((loop) => isReached(loop.rounds, loop)).length;
    return `| ${title} | ${count} of ${loops.length} |`;
  });
  const parts = [
    ...partLines(
      'by what holds the node',
      loops.map(({ partsByHold }) => partsByHold),
    ),
    ...partLines(
      'by the way of the shift',
      loops.map(({ partsByWay }) => partsByWay),
    ),
  ];
  return `# What the loop makes of a poor map

Written by \`npm run loop -- --all\` from \`loops.jsonl\`, to which each loop adds its line. Simulated cars with trims of 6 %
(standard deviation) drive a map whose base pressures are wrong by up to ±35 %, its factors of speed and temperature flat
where the truth is not. Shifts are found and graded from their logs alone; each round all proposals are accepted, at most
8 % a step. First → last round of ${(loops[0]?.rounds.length ?? 1) - 1}.

| goal | loops that reach it |
|---|---|
${goals.join('\n')}

![Rates and map error by round](loop.svg)

| gearset | seed | profiles wrong by (%) | flare (%) | tie-up + harsh (%) | map error, r.m.s. (%) | everywhere (%) | of the best map (%) | trims, correlation |
|---|---|---|---|---|---|---|---|---|
${lines.join('\n')}

Map error: ln of commanded over ideal pressure, r.m.s. over places that are planned as the driven ones are but that no car
was asked for. Ideal is the pressure with which the average car's shift takes its target time in the simulator. Where the
speed step is small (close gears, low speed, little load) no pressure does: with a little less of it the input flares and
the time leaps over its target. These places, some 5 % of the Tern's and 15 % of the Curlew's, count only in the column
"everywhere", against the least pressure without a flare. The best map is the layout's tables fitted to ideal pressures by
least squares: what no calibration of this layout can better by much. Trims: mean over a car's kinds of shift against
what the simulator says that the car needs.

Where the squared map error of the last round comes from, mean over the loops: by what holds the node that a place depends
on most in the proposal of that round, and by the way of the shift.

| part | of it | share (%) |
|---|---|---|
${parts.join('\n')}
`;
}

function partLines(title: string, shares: readonly Readonly<Record<string, number>>[]): string[] {
  const names = [...new Set(shares.flatMap((own) => Object.keys(own)))];
  const means = names.map((name) => ({
    name,
    share: shares.reduce((sum, own) => sum + (own[name] ?? 0), 0) / shares.length,
  }));
  return means
    .sort((a, b) => b.share - a.share)
    .map(({ name, share }) => `| ${title} | ${name} | ${percent(share, 0)} |`);
}

const [WIDTH, HEIGHT, GAP, LEFT, TOP, BOTTOM] = [250, 190, 24, 36, 26, 28];

/** The curves of all loops, a panel each: one line per loop. */
export function loopPlot(loops: readonly KeptLoop[]): string {
  const panels = CURVES.map((curve, i) => panel(curve, loops, i * (WIDTH + GAP)));
  const width = CURVES.length * (WIDTH + GAP) - GAP;
  return `<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 ${width} ${HEIGHT}" font-family="sans-serif" font-size="11">
<rect width="${width}" height="${HEIGHT}" fill="#fbfaf7"/>
${panels.join('\n')}
</svg>
`;
}

function panel({ title, valueOf }: Curve, loops: readonly KeptLoop[], offset: number): string {
  const values = loops.map(({ rounds }) => rounds.map(valueOf));
  const highest = Math.max(...values.flat(), 1);
  const last = Math.max(...values.map(({ length }) => length)) - 1;
  const x = (round: number) => (offset + LEFT + (round / last) * (WIDTH - LEFT - 8)).toFixed(1);
  const y = (value: number) => (HEIGHT - BOTTOM - (value / highest) * (HEIGHT - TOP - BOTTOM)).toFixed(1);
  const lines = values.map((course) => {
    const points = course.map((value, round) => `${x(round)},${y(value)}`).join(' ');
    return `<polyline points="${points}" fill="none" stroke="#2f5d73" stroke-opacity="0.55" stroke-width="1.3"/>`;
  });
  const ticks = [0, highest / 2, highest].map(
    (value) =>
      `<text x="${offset + LEFT - 5}" y="${Number(y(value)) + 4}" text-anchor="end">${value.toFixed(1)}</text>`,
  );
  const rounds = Array.from(
    { length: last + 1 },
    (_, round) => `<text x="${x(round)}" y="${HEIGHT - 10}" text-anchor="middle">${round}</text>`,
  );
  return [`<text x="${offset + LEFT}" y="16" font-weight="600">${title}</text>`, ...ticks, ...rounds, ...lines].join(
    '\n',
  );
}
