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

/** A column of the list; all rows of a list that is never drawn whole can only be as wide as it says. */
export interface ShiftColumn extends DataColumn<ShiftRow> {
  readonly widthPx: number;
}

/** A column of one measure, its unit in the head; hidden by itself where no shift has a value. */
function measure(
  key: NumberKey,
  title: string,
  unit: string,
  options: { sort?: string; digits?: number } = {},
): ShiftColumn {
  const { sort, digits } = options;
  return {
    id: key,
    widthPx: 84,
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

export const SHIFT_COLUMNS: readonly ShiftColumn[] = [
  {
    id: 'kind',
    title: 'Shift',
    widthPx: 74,
    render: (shift) => (
      <TextLink to="/logs/$logId" params={{ logId: shift.logId }} search={{ shift: shift.id }}>
        {shift.kind} <span aria-hidden="true">→</span>
      </TextLink>
    ),
  },
  { id: 'grades', title: 'Grade', widthPx: 120, render: (shift) => <GradeMarks grades={shift.grades} /> },
  {
    id: 'remarks',
    title: 'Remarks',
    widthPx: 150,
    distinct: (shift) => remarksOf(shift).join() || null,
    render: (shift) => <Remarks shift={shift} />,
  },
  measure('flareRpm', 'Flare speed', 'rpm', { sort: 'flareRpm' }),
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
  {
    id: 'program',
    title: 'Program',
    widthPx: 84,
    distinct: (shift) => shift.program,
    render: (shift) => shift.program ?? '–',
  },
  {
    id: 'vehicle',
    title: 'Car',
    widthPx: 150,
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
    widthPx: 110,
    distinct: (shift) => shift.revisionId,
    render: (shift) => shift.revisionLabel ?? 'not known',
  },
  {
    id: 'driven',
    title: 'Driven',
    widthPx: 110,
    sort: 'newest',
    render: (shift) => <Instant at={shift.drivenAt} precision="day" />,
  },
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
    <span title={[first, ...rest].join(', ')}>
      {first === 'hunting' ? <HelpTerm term="hunting">hunting</HelpTerm> : first}
      {rest.length > 0 && `, ${rest.join(', ')}`}
    </span>
  );
}
