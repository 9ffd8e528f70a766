import { checkContent, defaultContent } from '@syncline/calibration';
import type { Finding, LayoutDocument } from '@syncline/contract';
import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { findingsOf, gravestFirst, severityByCell } from '../src/pages/draft/model/draft-findings.js';
import { withValues } from '../src/pages/draft/model/edit-history.js';
import { aLayout, anAxis, aTable, PLATFORM } from './small-layout.js';

const pedal = [anAxis('pedal', [0, 100])];
const layout: LayoutDocument = {
  ...aLayout([
    aTable({
      id: 'base',
      repeat: 'shift',
      axes: [anAxis('load', [0, 50, 100])],
      monotone: [{ axis: 0, direction: 'rising', strict: false }],
      stepBound: { absolute: 100 },
      defaultValue: 100,
    }),
    aTable({
      id: 'up',
      unit: 'rpm',
      repeat: 'upshift',
      axes: pedal,
      limits: { min: 0, max: 8000 },
      defaultValue: 2000,
    }),
    aTable({
      id: 'down',
      unit: 'rpm',
      repeat: 'downshift',
      axes: pedal,
      limits: { min: 0, max: 8000 },
      defaultValue: 900,
    }),
  ]),
  schedules: [
    {
      id: 'schedule',
      title: 'Schedule',
      upTable: 'up',
      downTable: 'down',
      minHysteresisRpm: 100,
      minInputSpeedRpm: 500,
      maxInputSpeedRpm: 9000,
    },
  ],
};
const parent = structuredClone(defaultContent(layout, PLATFORM)) as Parameters<typeof findingsOf>[0];

/** What the server would answer for a content. */
function serverFindings(content: typeof parent): Finding[] {
  return checkContent(layout, PLATFORM, content, parent).map((found) => ({
    code: found.code,
    severity: found.severity,
    where: '',
    message: found.message,
    tableId: found.tableId,
    variant: found.variant,
    cell: found.cell && { ...found.cell },
  }));
}

const wordsOf = (findings: readonly Finding[]) => findings.map(({ code, message }) => `${code}: ${message}`).sort();

/** Edits of any variant of any table, some of them beyond every limit. */
const anyEdits = fc.array(
  fc.record({
    place: fc.constantFrom(
      { tableId: 'base', variant: '1-2', cells: 3 },
      { tableId: 'base', variant: '2-1', cells: 3 },
      { tableId: 'up', variant: '1-2', cells: 2 },
      { tableId: 'down', variant: '2-1', cells: 2 },
    ),
    value: fc.integer({ min: -100, max: 9000 }),
    at: fc.nat(2),
  }),
  { maxLength: 6 },
);

describe('findings on the page', () => {
  it('are those of the whole check, whatever was edited since the last answer of the server', () => {
    fc.assert(
      fc.property(anyEdits, anyEdits, (before, after) => {
        const edit = (content: typeof parent, edits: typeof before) =>
          edits.reduce((now, { place, value, at }) => {
            const values = now.tables[place.tableId]!.values[place.variant]!;
            return withValues(now, place, values.with(at % place.cells, value));
          }, content);
        const saved = edit(parent, before);
        const content = edit(saved, after);
        const checked = { content: saved, findings: serverFindings(saved) };
        const found = findingsOf(content, { layout, platform: PLATFORM, parent, checked });
        expect(wordsOf(found)).toEqual(wordsOf(serverFindings(content)));
      }),
    );
  });

  it('show the graver of two at a cell, and blocking ones first in a list', () => {
    const content = withValues(parent, { tableId: 'base', variant: '1-2' }, [100, 5000, 50]);
    const found = serverFindings(content);
    const marks = severityByCell(found, { tableId: 'base', variant: '1-2', columns: 3 });
    expect(marks.get(1)).toBe('blocking');
    expect(marks.get(0)).toBeUndefined();
    const severities = gravestFirst(found).map(({ severity }) => severity);
    expect(severities).toEqual([...severities].sort());
  });
});
