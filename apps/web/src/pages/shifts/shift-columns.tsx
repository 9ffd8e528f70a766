import type { ShiftRow } from '@syncline/contract';
import { digitsFor, formatNumber, fullValue } from '../../format/quantity.js';
import { DISTURBANCE_WORDS } from '../../format/words.js';
import type { DataColumn } from '../../parts/data-table.js';
import { GradeMarks } from '../../parts/grade-mark.js';
import { HelpTerm } from '../../parts/help-term.js';
import { Instant } from '../../parts/instant.js';
import { TextLink } from '../../parts/text-link.js';

const OUTCOME_WORDS: Record<ShiftRow['outcome'], string> = {
  complete: 'complete',
  retargeted: 'target changed',
  cut: 'cut by a gap',
  unsynchronised: 'not reached',
};

type NumberKey = {
  [Key in keyof ShiftRow]: ShiftRow[Key] extends number | null ? Key : never;
}[keyof ShiftRow];

/** A column of one measure, its unit in the head; hidden by itself where no shift has a value. */
function measure(
  key: NumberKey,
  title: string,
  unit: string,
  options: { sort?: string; digits?: number } = {},
): DataColumn<ShiftRow> {
  const { sort, digits } = options;
  return {
    id: key,
    title,
    unit,
    isNumber: true,
    ...(sort === undefined ? {} : { sort }),
    distinct: (shift) => shift[key],
    render: (shift) => (
      <span title={fullValue(shift[key], unit)}>{formatNumber(shift[key], digits ?? digitsFor(unit))}</span>
    ),
  };
}

export const SHIFT_COLUMNS: readonly DataColumn<ShiftRow>[] = [
  {
    id: 'kind',
    title: 'Shift',
    isShort: true,
    render: (shift) => (
      <TextLink to="/logs/$logId" params={{ logId: shift.logId }} search={{ shift: shift.id }}>
        {shift.kind} <span aria-hidden="true">→</span>
      </TextLink>
    ),
  },
  { id: 'grades', title: 'Grade', render: (shift) => <GradeMarks grades={shift.grades} /> },
  {
    id: 'remarks',
    title: 'Remarks',
    distinct: (shift) => remarksOf(shift).join() || null,
    render: (shift) => <Remarks shift={shift} />,
  },
  measure('flareRpm', 'Flare', 'rpm', { sort: 'flareRpm' }),
  measure('flareMs', 'Flare time', 'ms'),
  measure('tieUpDepth', 'Tie-up depth', 'm/s²', { sort: 'tieUpDepth' }),
  measure('peakJerk', 'Peak jerk', 'm/s³', { sort: 'peakJerk' }),
  measure('inertiaTimeS', 'Inertia time', 's', { sort: 'inertiaTimeS' }),
  measure('shiftTimeS', 'Shift time', 's'),
  measure('delayS', 'Delay', 's'),
  measure('load', 'Load', '%', { digits: 0 }),
  measure('inputTorqueNm', 'Input torque', 'N·m'),
  measure('inputSpeedRpm', 'Input speed', 'rpm'),
  measure('outputSpeedRpm', 'Output speed', 'rpm'),
  measure('fluidTemperatureC', 'Fluid', '°C'),
  measure('applyPressureKpa', 'Apply pressure', 'kPa'),
  measure('slipEnergyJ', 'Slip energy', 'J'),
  measure('demandRatio', 'Demand ratio', ''),
  { id: 'program', title: 'Program', distinct: (shift) => shift.program, render: (shift) => shift.program ?? '–' },
  {
    id: 'vehicle',
    title: 'Car',
    isShort: true,
    distinct: (shift) => shift.vehicleId,
    render: (shift) => (
      <TextLink to="/vehicles/$vehicleId" params={{ vehicleId: shift.vehicleId }}>
        {shift.vehicleTitle}
      </TextLink>
    ),
  },
  {
    id: 'revision',
    title: 'Revision',
    isShort: true,
    distinct: (shift) => shift.revisionId,
    render: (shift) => shift.revisionLabel ?? 'not known',
  },
  { id: 'driven', title: 'Driven', sort: 'newest', render: (shift) => <Instant at={shift.drivenAt} precision="day" /> },
];

/** Shown unless a person chooses otherwise; constant and empty ones of these hide themselves. */
export const USUAL_COLUMNS: readonly string[] = [
  'kind',
  'grades',
  'remarks',
  'flareRpm',
  'tieUpDepth',
  'peakJerk',
  'inertiaTimeS',
  'load',
  'inputSpeedRpm',
  'fluidTemperatureC',
  'program',
  'vehicle',
  'revision',
  'driven',
];

function remarksOf(shift: ShiftRow): string[] {
  return [
    ...(shift.isHunting ? ['hunting'] : []),
    ...(shift.isSkip ? ['skip'] : []),
    ...(shift.outcome === 'complete' ? [] : [OUTCOME_WORDS[shift.outcome]]),
    ...shift.disturbances.map((disturbance) => DISTURBANCE_WORDS[disturbance] ?? disturbance),
  ];
}

function Remarks({ shift }: { readonly shift: ShiftRow }) {
  const [first, ...rest] = remarksOf(shift);
  if (first === undefined) return '–';
  return (
    <>
      {first === 'hunting' ? <HelpTerm term="hunting">hunting</HelpTerm> : first}
      {rest.length > 0 && `, ${rest.join(', ')}`}
    </>
  );
}
