import type { Grade } from '@syncline/shifts';
import type { DetectionReport, ErrorFigures } from './measure-detection.ts';

/** The report as a page of Markdown. */
export function reportText(reports: readonly DetectionReport[]): string {
  return [
    '# Detection against the truth',
    '',
    'Made by `npm run report`. The simulator of `packages/drivetrain` drives the cars of the demo and knows when each',
    'shift began, when it synchronised and how far it flared; the detector sees only the noisy log (input speed 6 rpm,',
    'output speed 3 rpm standard deviation, steps of 1 rpm, 5 % jitter of the sampling interval). A shift counts as found when gears',
    'agree and the ends lie within 0.6 s. Shifts cut by the end of a drive are left out on both sides.',
    '',
    ...summaryTable(reports),
    '',
    '“Median” and “95 %” are quantiles of the absolute error, “bias” is the median of the signed one. Tie-up is compared for',
    'power-on upshifts. Jerk is a share of the true peak.',
    ...reports.flatMap((report) => ['', ...confusionTable(report)]),
    '',
  ].join('\n');
}

function summaryTable(reports: readonly DetectionReport[]): string[] {
  const rows: [string, (report: DetectionReport) => string][] = [
    ['drives, cars', ({ drives, cars }) => `${drives}, ${cars}`],
    ['true shifts', ({ trueShifts }) => String(trueShifts)],
    ['recall', ({ recall }) => percent(recall)],
    ['precision', ({ precision }) => percent(precision)],
    ['start of inertia phase, median / 95 % / bias', ({ inertiaStartMs }) => errors(inertiaStartMs, 1, 'ms')],
    ['synchronisation, median / 95 % / bias', ({ syncMs }) => errors(syncMs, 1, 'ms')],
    ['flares in truth', ({ flareRpm }) => String(flareRpm.count)],
    ['flare, median / 95 % / bias', ({ flareRpm }) => errors(flareRpm, 1, 'rpm')],
    ['flares within ±12 rpm', ({ flareRpm }) => percent(flareRpm.within12Rpm)],
    ['tie-up depth, median / 95 % / bias', ({ tieUpDepth }) => errors(tieUpDepth, 2, 'm/s²')],
    ['peak jerk, median / 95 % / bias', ({ peakJerkShare }) => errors(scaled(peakJerkShare, 100), 0, '%')],
    [
      'lock-up episodes, true / found / matched',
      ({ lockUps }) => `${lockUps.truth} / ${lockUps.found} / ${lockUps.matched}`,
    ],
  ];
  return [
    `| | ${reports.map(({ rateHz }) => `${rateHz} Hz`).join(' | ')} |`,
    `|---|${reports.map(() => '---|').join('')}`,
    ...rows.map(([name, cell]) => `| ${name} | ${reports.map(cell).join(' | ')} |`),
  ];
}

function confusionTable({ rateHz, confusion }: DetectionReport): string[] {
  const grades = Object.keys(confusion) as Grade[];
  return [
    `Leading grade at ${rateHz} Hz, truth by row, found by column:`,
    '',
    `| truth | ${grades.join(' | ')} |`,
    `|---|${grades.map(() => '---|').join('')}`,
    ...grades.map((truth) => `| ${truth} | ${grades.map((found) => confusion[truth][found]).join(' | ')} |`),
  ];
}

function errors({ medianAbsolute, p95Absolute, bias }: ErrorFigures, digits: number, unit: string): string {
  return `${medianAbsolute.toFixed(digits)} / ${p95Absolute.toFixed(digits)} / ${signed(bias, digits)} ${unit}`;
}

function signed(value: number, digits: number): string {
  const text = value.toFixed(digits);
  return value > 0 ? `+${text}` : text.replace('-', '−');
}

function scaled(figures: ErrorFigures, factor: number): ErrorFigures {
  const { count, bias, medianAbsolute, p95Absolute } = figures;
  return { count, bias: bias * factor, medianAbsolute: medianAbsolute * factor, p95Absolute: p95Absolute * factor };
}

function percent(value: number): string {
  return `${(100 * value).toFixed(2)} %`;
}
