import type { LoopResult, LoopRound } from './close-loop.ts';

/** One curve of the plot: a value per round. */
interface Curve {
  readonly title: string;
  readonly valueOf: (round: LoopRound) => number;
}

const CURVES: readonly Curve[] = [
  { title: 'Flare (% of shifts)', valueOf: ({ found }) => 100 * found.flare },
  { title: 'Tie-up and harsh (% of shifts)', valueOf: ({ found }) => 100 * (found.tieUp + found.harsh) },
  { title: 'Map error, r.m.s. (%)', valueOf: ({ mapError }) => 100 * mapError.rms },
];

const percent = (value: number, digits = 2) => (100 * value).toFixed(digits);

/** The page that tells what came of loops, one line each. */
export function loopPage(results: readonly LoopResult[]): string {
  const lines = results.map(({ setting, rounds, trimCorrelation }) => {
    const [first, last] = [rounds[0], rounds.at(-1) ?? rounds[0]];
    const cells = [
      setting.gearset,
      setting.seed,
      percent(setting.profileError, 0),
      `${percent(first.found.flare)} → ${percent(last.found.flare)}`,
      `${percent(first.found.tieUp + first.found.harsh)} → ${percent(last.found.tieUp + last.found.harsh)}`,
      `${percent(first.mapError.rms, 1)} → ${percent(last.mapError.rms, 1)}`,
      percent(last.mapError.median, 1),
      trimCorrelation.toFixed(3),
    ];
    return `| ${cells.join(' | ')} |`;
  });
  return `# What the loop makes of a poor map

Written by \`npm run loop -- --all\`. Simulated cars with trims of 6 % (standard deviation) drive a map whose base pressures
are wrong by up to ±35 %, its factors of speed and temperature flat where the truth is not. Shifts are found and graded from
their logs alone; each round all proposals are accepted, at most 8 % a step. First → last round of ${results[0]?.setting.rounds ?? 0}.

![Rates and map error by round](loop.svg)

| gearset | seed | profiles wrong by (%) | flare (%) | tie-up + harsh (%) | map error, r.m.s. (%) | median (%) | trims, correlation |
|---|---|---|---|---|---|---|---|
${lines.join('\n')}

Map error: ln of commanded over ideal pressure, the ideal being that with which the average car's shift takes its target
time in the simulator, at places that no car was asked for. Its r.m.s. is carried by places where time hardly depends on
pressure (least load) and by kinks between break points that the layout cannot follow; the median is what most shifts meet.
Trims: mean over a car's kinds of shift against what the simulator says that the car needs.
`;
}

const [WIDTH, HEIGHT, GAP, LEFT, TOP, BOTTOM] = [250, 190, 24, 36, 26, 28];

/** The curves of all loops, a panel each: one line per loop. */
export function loopPlot(results: readonly LoopResult[]): string {
  const panels = CURVES.map((curve, i) => panel(curve, results, i * (WIDTH + GAP)));
  const width = CURVES.length * (WIDTH + GAP) - GAP;
  return `<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 ${width} ${HEIGHT}" font-family="sans-serif" font-size="11">
<rect width="${width}" height="${HEIGHT}" fill="#fbfaf7"/>
${panels.join('\n')}
</svg>
`;
}

function panel({ title, valueOf }: Curve, results: readonly LoopResult[], offset: number): string {
  const values = results.map(({ rounds }) => rounds.map(valueOf));
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
