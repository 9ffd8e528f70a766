import { evaluateRule, type Layout, type RevisionContent } from '@syncline/calibration';
import { type GradingPolicy, gradeShift, type Shift } from '@syncline/shifts';
import { countShift } from '../summaries/grade-counts.js';
import { designRows } from './design-row.js';
import { type NodeDesign, nodeDesign } from './node-design.js';
import { type ObservationContext, type ObservationResult, operatingPointOf } from './observe-shift.js';

/** Part of the time found wrong that one revision takes back, and the clip of the response: both common practice. */
const FILL_GAIN = 0.5;
const CLIP = 0.5;
/** Weight of a shift that anything disturbed. */
const DISTURBED_WEIGHT = 0.25;

/** The design of a single table such as the fill time, which no rule of the layout multiplies with others. */
export function tableDesign(layout: Layout, content: RevisionContent, tableId: string): NodeDesign {
  const spec = layout.tables.find(({ id }) => id === tableId);
  const rule = {
    id: `table ${tableId}`,
    title: spec?.title ?? tableId,
    unit: spec?.unit ?? '',
    kind: 'product' as const,
    tables: [tableId],
  };
  return nodeDesign({ ...layout, rules: [...layout.rules, rule] }, content, rule.id);
}

/**
 * Error of an upshift's fill (ms), positive when the on-coming clutch came late: the old clutch had let go and the input
 * ran away for the time of the flare. Negative when it came early: both held for the time of the tie-up, its impulse
 * over its depth. 0 when the policy finds neither, null when both or when the measures are missing. Common practice;
 * a flare can also come from too little apply pressure, so fill is to be corrected once the pressure map stands.
 */
export function fillErrorMs(shift: Shift, policy: GradingPolicy, programId: string | null): number | null {
  if (shift.direction !== 'up' || !shift.isPowerOn || shift.outcome !== 'complete') return null;
  const grades = gradeShift(shift, policy, programId);
  const { flareMs, tieUpDepth, tieUpImpulse } = shift.measures;
  if (tieUpDepth === null || tieUpImpulse === null) return null;
  const isFlare = grades.includes('flare');
  const isTieUp = grades.includes('tie-up');
  if (isFlare && isTieUp) return null;
  if (isFlare) return flareMs;
  return isTieUp ? (-1000 * tieUpImpulse) / tieUpDepth : 0;
}

/**
 * The second channel of methods.md 6: flare and tie-up of the torque phase as responses that correct a fill table given
 * in ms, y = ln(1 + 0.5·error/fill time) within ±0.5. Estimated and proposed like pressure, from moments of their own.
 * Shifts without a fill error count their grades only.
 */
export function fillObserver(
  design: NodeDesign,
): (shift: Shift, context: Omit<ObservationContext, 'rowAt' | 'car'>) => ObservationResult {
  const rowAt = designRows(design);
  return (shift, { platform, policy, programId }) => {
    const point = operatingPointOf(shift, platform, programId);
    const row = rowAt(point);
    if (row.kind === 'insufficient') return row;
    const errorMs = fillErrorMs(shift, policy, programId);
    const fillMs = evaluateRule(design.layout, design.content, design.rule.id, point).value;
    const part = Math.max(Math.exp(-CLIP) - 1, (FILL_GAIN * (errorMs ?? 0)) / fillMs);
    return {
      kind: 'observation',
      shiftKind: shift.kind,
      row,
      y: Math.min(CLIP, Math.log1p(part)),
      weight: errorMs === null ? 0 : shift.disturbances.length > 0 ? DISTURBED_WEIGHT : 1,
      counts: countShift(gradeShift(shift, policy, programId)),
    };
  };
}
